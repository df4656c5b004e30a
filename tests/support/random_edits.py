"""Random edits of case texts: what a builder, or somebody who only plays, could ask for."""

import random
from collections.abc import Iterator
from pathlib import Path as File
from typing import Any

from flowsim.files.case.starter import starter_text
from flowsim.files.toml.edits import Edit
from flowsim.files.toml.spans import KeyPath

ROOT = File(__file__).parents[2]
WORDS = ("3/8 in", "0.305 in", "-14 in", "left", "a # b", 'say "so"', "back\\slash", "ümläut", "",
         "two\nlines", "\x7f")  # fmt: skip
KEYS = ("note", "bore", "at", "material", "name", "odd key", "k.with.dots", "band", "capacity")


def texts() -> dict[str, str]:
    """Every bundled case, the starter and the tests' own file."""
    found = {f.parent.name: f.read_bytes().decode() for f in sorted(ROOT.glob("cases/*/case.toml"))}
    found["starter"] = starter_text("Starter")
    found["two tanks"] = (ROOT / "tests/unit/files/two_tanks.toml").read_text(encoding="utf-8")
    return found


def variants(text: str, generator: random.Random) -> dict[str, str]:
    """Give the text with other line ends, and with a byte order mark."""
    mixed = "".join(
        line + (generator.choice(["\n", "\r\n"]) if line_ends else "")
        for line, line_ends in ((x.rstrip("\n"), x.endswith("\n")) for x in text.splitlines(True))
    )
    crlf = text.replace("\n", "\r\n")
    return {"as it is": text, "CRLF": crlf, "mixed": mixed, "BOM": "\ufeff" + text,
            "BOM CRLF": "\ufeff" + crlf, "no last line end": text.rstrip("\n")}  # fmt: skip


def paths(data: Any, path: KeyPath = ()) -> Iterator[KeyPath]:
    """Give every path of some data."""
    if path:
        yield path
    if isinstance(data, dict):
        for key, value in data.items():
            yield from paths(value, (*path, key))
    elif isinstance(data, list):
        for index, value in enumerate(data):
            yield from paths(value, (*path, index))


def value(generator: random.Random, depth: int = 0) -> Any:
    """Give any value that a case could hold."""
    sort = generator.randrange(8 if depth < 2 else 5)
    if sort < 2:
        return generator.choice(WORDS)
    if sort == 2:
        return generator.choice([0, 1, -7, 12345])
    if sort == 3:
        return generator.choice([0.5, -1e-9, 3.25e11])
    if sort == 4:
        return generator.choice([True, False])
    if sort < 7:
        return [value(generator, depth + 1) for _ in range(generator.randrange(4))]
    return {key: value(generator, depth + 1) for key in generator.sample(KEYS, 2)}


def random_edit(generator: random.Random, data: dict[str, Any]) -> Edit:
    """Give an edit whose path is there (or new, where it makes something)."""
    every = list(paths(data))
    path = generator.choice(every)
    holder: Any = data
    for step in path[:-1]:
        holder = holder[step]
    do = generator.choice(["set", "set", "set", "new", "unset", "insert", "remove", "move",
                           "table", "rename"])  # fmt: skip
    if do == "set":
        return Edit("set", path, value(generator))
    if do == "new":
        tables = [p for p in ((), *every) if isinstance(_at(data, p), dict)]
        table = generator.choice(tables)
        return Edit("set", (*table, generator.choice(KEYS)), value(generator))
    if do == "unset":
        return Edit("unset", path)
    if do == "table":
        name = generator.choice(["drain", "line", "ground", "tank", "junction", "new section"])
        there = data.get(name)
        if isinstance(there, list):
            return Edit("add_table", (name, generator.randint(0, len(there))),
                        {"name": generator.choice(WORDS), "b": [1, "x"]})  # fmt: skip
        listed = generator.random() < 0.5
        return Edit("add_table", (name, 0) if listed else (name,), {"kind": "tailwheel"})
    if do == "rename":
        keys = [p for p in every if isinstance(p[-1], str)]
        return Edit("rename", generator.choice(keys), generator.choice(KEYS))
    lists = [p for p in every if isinstance(_at(data, p), list)]
    if not lists:
        return Edit("set", path, value(generator))
    chosen = generator.choice(lists)
    size = len(_at(data, chosen))
    if do == "insert" or not size:
        return Edit("insert", (*chosen, generator.randint(0, size)), value(generator))
    place = generator.randrange(size)
    if do == "remove":
        return Edit("remove", (*chosen, place))
    return Edit("move", (*chosen, place), generator.randrange(size))


def _at(data: Any, path: KeyPath) -> Any:
    for step in path:
        data = data[step]
    return data

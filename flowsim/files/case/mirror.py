"""``mirror = "left"``: a tank, outlet, line or what belongs to it as the other side of another.

A mirrored section takes every key of the one it names, with the sign of buttlines turned and the
sides in names exchanged; its own keys go before. From here on it is as if it were written out.
"""

from collections.abc import Iterator
from typing import Any

from flowsim.files.case.ledger import Ledger
from flowsim.files.case.sides import buttlines, named, names_side, other_side, turned
from flowsim.files.case.words import closest, did_you_mean
from flowsim.files.toml.lines import KeyPath
from flowsim.files.toml.source import TomlSource
from flowsim.files.units.quantities import shown

MIRRORED = ("tank", "junction", "tee", "line", "drain", "obstacle", "crossing", "vent_line")
"""Sections that may be mirrored, beside the outlets of a tank."""

KEY = "mirror"

_NODES = ("junction", "tee", "selector")
_SHAPE = ("corners", "root", "tip", "cells", "dip_at", "dip_pitch", "dip_roll", "dips",
          "floor_at", "floor_length", "floor_width", "surface_at")  # fmt: skip
_SIZE = ("stock", "tube", "outside_diameter", "wall", "bore", "hose_bore", "kind")
_INSTEAD: dict[str, dict[str, tuple[str, ...]]] = {
    "tank": {"shape": _SHAPE},
    "line": {
        **dict.fromkeys(("stock", "tube", "outside_diameter", "hose_bore"), _SIZE),
        "via": ("straight", "length"),
        "straight": ("via", "corners", "length"),
        "roughness": ("material",),
        "material": ("roughness",),
    },
}  # fmt: skip
"""What a key of one's own stands instead of, so that it is not taken over."""

_Row = dict[str, Any]


def expand_mirrors(source: TomlSource, ledger: Ledger) -> None:
    """Write every mirrored section out.

    Parameters
    ----------
    source
        The file; its data is changed, and what is copied is noted.
    ledger
        Receives the mistakes.
    """
    _Mirrors(source, ledger).run()


class _Mirrors:
    """Writes mirrored sections out, whatever the order in which they stand."""

    def __init__(self, source: TomlSource, ledger: Ledger) -> None:
        self.source, self.ledger = source, ledger
        self.wanted: dict[KeyPath, str] = {}
        self.pairs: dict[str, dict[str, str]] = {}
        self.doing: list[KeyPath] = []

    def run(self) -> None:
        """Write all of them out."""
        for kind in MIRRORED:
            for index, row in self.rows(kind):
                self.find((kind, index), row)
        self.add_the_other_side()
        for index, tank in self.rows("tank"):
            self.mirror_outlets(("tank", index), tank, last=False)
        for path in list(self.wanted):
            self.expand(path)
        for index, tank in self.rows("tank"):
            self.mirror_outlets(("tank", index), tank, last=True)

    def add_the_other_side(self) -> None:
        """Add the mirror of everything on the side that [defaults] names, where it is not there."""
        found = self.source.data.get("defaults")
        defaults: _Row = found if isinstance(found, dict) else {}
        side = defaults.get(KEY)
        if not isinstance(side, str) or side.casefold() not in ("left", "right"):
            return
        for kind in MIRRORED:
            named = [row["name"] for _, row in self.rows(kind) if isinstance(row.get("name"), str)]
            mirrored = {word for path, word in self.wanted.items() if path[0] == kind}
            for name in dict.fromkeys(named):
                there = other_side(name) in named or name in mirrored
                if names_side(name, side.casefold()) and not there:
                    rows = self.source.data[kind]
                    path: KeyPath = (kind, len(rows))
                    rows.append({KEY: name})
                    self.source.add(path, ("defaults", KEY))
                    self.find(path, rows[-1])

    def rows(self, kind: str) -> Iterator[tuple[int, _Row]]:
        """Give the sections of a kind."""
        found = self.source.data.get(kind)
        for index, row in enumerate(found if isinstance(found, list) else ()):
            if isinstance(row, dict):
                yield index, row

    def find(self, path: KeyPath, row: _Row) -> None:
        """Note a mirrored section, and give it its name."""
        word = self.word(path, row)
        if word is None:
            return
        kind = str(path[0])
        self.wanted[path] = word
        own = row.get("name")
        if not isinstance(own, str):
            own = other_side(word)
            if own == word:
                problem = f"does not follow from {shown(word)}, which names no side"
                self.ledger.mistake((*path, "name"), problem, 'write name = "..."')
            row["name"] = own
        space = "node" if kind in _NODES else kind
        self.pairs.setdefault(space, {}).setdefault(word, own)

    def word(self, path: KeyPath, row: _Row) -> str | None:
        """Take the name of what is mirrored out of a section."""
        if KEY not in row:
            return None
        word = row.pop(KEY)
        if not isinstance(word, str) or not word:
            problem = f"{shown(word)} is not a name"
            self.ledger.mistake((*path, KEY), problem, f'write {KEY} = "left"')
            self.ledger.give_up(path)
            return None
        return word

    def expand(self, path: KeyPath) -> _Row:
        """Write one mirrored section out, after what it mirrors; give it."""
        kind, index = str(path[0]), int(path[1])
        rows: list[_Row] = self.source.data[kind]
        word = self.wanted.pop(path, None)
        if word is None:
            return rows[index]
        original = self.original(path, word, dict(self.rows(kind)))
        if original is None:
            self.ledger.give_up(path)
            return rows[index]
        self.doing.append(path)
        row = self.expand((kind, original))
        self.doing.pop()
        if kind == "tank":
            self.check_one_side(path, row)
        rows[index] = self.merged(kind, row, rows[index], (kind, original), path)
        return rows[index]

    def original(self, path: KeyPath, word: str, rows: dict[int, _Row]) -> int | None:
        """Find the section that is mirrored; one that is nearly called so goes on as meant."""
        kind, at = str(path[0]), (*path, KEY)
        names: dict[str, int] = {}
        for index, row in rows.items():
            if isinstance(row.get("name"), str) and (kind, index) != path:
                names.setdefault(row["name"], index)
        found = names.get(word)
        if found is None:
            if rows[int(path[1])].get("name") == word:
                self.ledger.mistake(at, "it mirrors itself", "name another one")
                return None
            close = closest(word, tuple(names))
            remedy = did_you_mean(word, tuple(names)) if names else f"write a section [[{kind}]]"
            self.ledger.mistake(at, f"there is no {kind} called {shown(word)}", remedy)
            found = None if close is None else names[close]
        if found is not None and (kind, found) in self.doing:
            self.ledger.mistake(at, "they mirror each other", "write one of them out")
            for one in self.doing:
                self.ledger.give_up(one)
            return None
        return found

    def check_one_side(self, path: KeyPath, original: _Row) -> None:
        """Check that a tank lies on one side, so that its mirror is another tank."""
        found = [axis for key in _SHAPE for axis in buttlines(original.get(key))]
        if found and min(found) < 0.0 < max(found):
            problem = f"tank {shown(original.get('name'))} lies on both sides of buttline 0"
            remedy = "give each tank its own points; buttline 0 is the middle of the aeroplane"
            self.ledger.mistake((*path, KEY), problem, remedy)

    def merged(self, kind: str, original: _Row, own: _Row, source: KeyPath, path: KeyPath) -> _Row:
        """Take over what a section does not say itself."""
        instead = {key for mine in own for key in _INSTEAD.get(kind, {}).get(mine, ())}
        merged: _Row = {}
        self.source.copied[path] = source
        for key, value in original.items():
            if key in own:
                merged[key] = own[key]
                if key == "installation" and isinstance(value, dict) and isinstance(own[key], dict):
                    merged[key] = self.merged("", value, own[key], (*source, key), (*path, key))
                elif key == "outlet" and isinstance(value, list) and isinstance(own[key], list):
                    merged[key] = self.outlets(value, own[key], (*source, key), (*path, key))
            elif key not in instead:
                merged[key] = named(key, turned(key, value), self.name)
                self.source.copied[(*path, key)] = (*source, key)
        return {**merged, **{key: value for key, value in own.items() if key not in merged}}

    def outlets(
        self, originals: list[Any], own: list[Any], source: KeyPath, path: KeyPath
    ) -> list[Any]:
        """Take over a tank's outlets; those of one's own by that name go before, key by key."""
        merged: list[Any] = []
        moved: dict[int, int] = {}
        by_name = {row.get("name"): at for at, row in enumerate(own) if isinstance(row, dict)}
        for outlet in originals:
            name = outlet.get("name") if isinstance(outlet, dict) else None
            mine = by_name.get(other_side(name)) if isinstance(name, str) else None
            if mine is None or mine in moved:
                merged.append({})
                continue
            moved[mine] = len(merged)
            merged.append(own[mine])
        for index, row in enumerate(own):
            if index not in moved:
                moved[index] = len(merged)
                merged.append(row)
        self.source.move(path, moved)
        for index, outlet in enumerate(originals):
            if isinstance(outlet, dict) and isinstance(merged[index], dict):
                inner = (*source, index), (*path, index)
                merged[index] = self.merged("outlet", outlet, merged[index], *inner)
        return merged

    def mirror_outlets(self, path: KeyPath, tank: _Row, *, last: bool) -> None:
        """Write mirrored outlets of a tank out: ``mirror = "left.front"``.

        Those of an outlet that is not there yet wait until the tanks are written out (``last``).
        """
        rows = tank.get("outlet")
        for index, outlet in enumerate(rows if isinstance(rows, list) else ()):
            at = (*path, "outlet", index)
            if not isinstance(outlet, dict) or KEY not in outlet or not isinstance(rows, list):
                continue
            known = self.outlets_there()
            if closest(str(outlet[KEY]), tuple(known)) is None and not last:
                continue
            word = self.word(at, outlet)
            if word is None:
                continue
            if word not in known:
                remedy = did_you_mean(word, tuple(known)) if known else "write it out"
                problem = f"there is no outlet called {shown(word)}"
                self.ledger.mistake((*at, KEY), problem, remedy)
            found = known.get(word) or known.get(closest(word, tuple(known)) or "")
            if found is None:
                self.ledger.give_up(at)
                continue
            original = self.source.data["tank"][found[1]]["outlet"][found[3]]
            rows[index] = self.merged("outlet", original, outlet, found, at)

    def outlets_there(self) -> dict[str, KeyPath]:
        """Give the outlets that are written out, by ``tank.outlet``."""
        return {
            f"{tank.get('name')}.{outlet.get('name')}": ("tank", number, "outlet", place)
            for number, tank in self.rows("tank")
            for place, outlet in enumerate(tank.get("outlet") or ())
            if isinstance(outlet, dict) and KEY not in outlet
        }

    def name(self, key: str, word: str) -> str:
        """Give the name on the other side: by the pairs that are mirrored, else by its words."""
        spaces = {"name": (), "group": (), "fitting": (), "tank": ("tank",), "line": ("line",),
                  "run": ("line",), "branch": ("line",), "common": ("line",),
                  "reaches": ("line", "node", "tank", "drain")}  # fmt: skip
        for space in spaces.get(key, ("node", "tank", "drain")):
            if word in self.pairs.get(space, {}):
                return self.pairs[space][word]
        tank, dot, outlet = word.partition(".")
        if dot and tank in self.pairs.get("tank", {}):
            return f"{self.pairs['tank'][tank]}.{other_side(outlet)}"
        return other_side(word)

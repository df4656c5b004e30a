"""Whatever the form of a case file allows comes back from tables, sense or not."""

import random
from typing import Any

import pytest

from flowsim.files.case.form import FormField, form, section_at
from flowsim.files.case.models_lines import CaseFile
from flowsim.files.tables.book import SheetLedger
from flowsim.files.tables.csv_book import csv_bytes, read_csv
from flowsim.files.tables.read_back import case_of
from flowsim.files.tables.written import sheets_of
from flowsim.files.tables.xlsx_book import read_xlsx, xlsx_bytes
from flowsim.files.toml.values import same

WORDS = ("left", "a b", "#3", "=1+1", "@x", "+y", "-z", "'q", "[lines]", "none", "7", "1.50", "a;b",
         "x, y", 'say "so"', "ü ä", "lines", "Ø 3/8")  # fmt: skip


class Maker:
    """Makes data of every kind that the form has."""

    def __init__(self, seed: int) -> None:
        self.random = random.Random(seed)
        self.names = 0

    def table(self, path: tuple[str | int, ...]) -> dict[str, Any]:
        section = CaseFile if not path else section_at(path)
        made: dict[str, Any] = {}
        for field in form(section):
            if field.required or self.random.random() < 0.45:
                made[field.key] = self.value(field, (*path, field.key))
        if "name" in made and next(f for f in form(section) if f.key == "name").required:
            self.names += 1
            made["name"] = f"{self.random.choice(WORDS).replace('.', '')} {self.names}"
        return made

    def value(self, field: FormField, path: tuple[str | int, ...]) -> Any:
        pick = self.random
        if field.kind == "section":
            return self.table(path)
        if field.kind == "sections":
            return [self.table((*path, n)) for n in range(pick.randint(1, 3))]
        if field.kind == "map":
            sample = next(iter(field.example.values()))
            keys = pick.sample(WORDS, 3)
            if isinstance(sample, list):
                return {key: pick.sample(WORDS, pick.randint(0, 2)) for key in keys}
            return {key: pick.choice(WORDS) for key in keys}
        if field.kind == "list" and field.item == "list":
            return [[self.point() for _ in range(pick.randint(1, 3))] for _ in range(2)]
        if field.kind == "list" and field.item == "point":
            return [self.point() for _ in range(pick.randint(0, 3))]
        if field.kind == "list":
            return [self.qualified(field.item) for _ in range(pick.randint(0, 3))]
        return self.simple(field.kind)

    def simple(self, kind: str) -> Any:
        pick = self.random
        if kind == "point":
            return self.point()
        if kind in ("quantity", "number"):
            return self.qualified(kind)
        if kind == "names":
            return pick.sample(WORDS, pick.randint(0, 3))
        if kind == "band":
            return [0.8, pick.choice([1, 1.25])]
        if kind == "yes_no":
            return pick.random() < 0.5
        return pick.randint(1, 9) if kind == "count" else pick.choice(WORDS)

    def bare(self, kind: str) -> Any:
        if kind == "number":
            return self.random.choice([0.9, 2, 2.5, 1e-7, -0.3, 12345.678])
        return self.random.choice(
            ["1 in", "-2.50 in", "3/8 in", "5' 3 1/2\"", "7 mm", "0.0 L", "31,5 in", "1e-3 m",
             "60 /in", "4:12 min", "90 %"]
        )  # fmt: skip

    def qualified(self, kind: str) -> Any:
        value = self.bare(kind)
        if self.random.random() < 0.6:
            return value
        says: dict[str, Any] = {"from": "measured"} if self.random.random() < 0.6 else {}
        if self.random.random() < 0.5:
            says["accuracy"] = self.bare(kind)
        if not says or self.random.random() < 0.3:
            says["note"] = self.random.choice(WORDS)
        return {"value": value, **says}

    def point(self) -> list[Any]:
        if self.random.random() < 0.5:
            return [self.qualified("quantity") for _ in range(3)]
        says = {"from": "drawing", "accuracy": "0.1 in"}
        return [{"value": self.bare("quantity"), **says} for _ in range(3)]


@pytest.mark.parametrize("seed", range(40))
def test_it_comes_back(seed):
    data = Maker(seed).table(())
    sheets = sheets_of(data)
    complaints = SheetLedger("x")
    grids, decimal_comma = read_csv(csv_bytes(sheets, ("a remark",)), "x")
    made = case_of(grids, complaints, decimal_comma=decimal_comma)
    assert complaints.found == []
    assert same(made.data, data)
    made = case_of(read_xlsx(xlsx_bytes(sheets, ()), complaints), complaints, decimal_comma=False)
    assert complaints.found == []
    assert same(made.data, data)

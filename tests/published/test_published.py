"""Every published number of every source folder, met by flowsim within its tolerance."""

import csv
import math
import tomllib

import pytest

from tests.support.published import EVIDENCE, HOW, NEEDED, folders, groups, load
from tests.support.published_units import HALF_DIGIT

FOLDERS = folders()
FACTS = [tomllib.loads((folder / "source.toml").read_text(encoding="utf-8")) for folder in FOLDERS]
TABLES = [
    pytest.param(folder, number, id=f"{folder.name} {options.get('title', '')}".strip())
    for folder, facts in zip(FOLDERS, FACTS, strict=True)
    for number, options in enumerate(facts.get("table", ()))
]
each_table = pytest.mark.parametrize(("folder", "number"), TABLES)


@pytest.mark.parametrize("folder", FOLDERS, ids=lambda folder: folder.name)
def test_source_says_who_where_and_how_we_have_it(folder):
    source = load(folder)
    assert set(source.facts) >= NEEDED
    assert source.facts["how"] in HOW
    assert source.facts["evidence"] in EVIDENCE
    assert source.tables or source.facts.get("not_run") or "test_" in source.facts["how_note"]
    for table in source.tables:
        assert table.comparisons
        assert table.options["tolerance_from"]
        assert {one.how for one in table.comparisons} <= set(HOW)


@each_table
def test_published_numbers(folder, number):
    table = load(folder).tables[number]
    wrong = [
        f"{one.label}, {one.quantity}: published {one.published}, flowsim {one.in_unit:.8g} "
        f"({one.percent:+.4f} %), allowed {one.tolerance}"
        for one in table.comparisons
        if not one.agrees
    ]
    assert not wrong, "\n".join(wrong)


@each_table
def test_mean_difference_of_each_group_that_the_page_shows(folder, number):
    table = load(folder).tables[number]
    most = float(table.options.get("mean_tolerance", "inf %").removesuffix("%"))
    for label, group in groups(table):
        mean = sum(one.percent for one in group) / len(group)
        assert math.isfinite(mean), label
        assert abs(mean) <= most, label


@each_table
def test_a_tolerance_that_is_not_by_the_stated_rule_gives_its_reason(folder, number):
    table = load(folder).tables[number]
    if not table.options["tolerance_from"].startswith("half of the last digit printed"):
        return
    for one in table.comparisons:
        assert one.tolerance == HALF_DIGIT or one.why, one.label


@each_table
def test_networks_are_solved_to_the_last_digit(folder, number):
    table = load(folder).tables[number]
    assert bool(table.solved) == (table.options["kind"] == "networks")
    for one in table.solved:
        assert one.solution.converged.all()
        assert one.solution.supplied.all()
        assert one.solution.imbalance.max() <= 1e-9
        assert one.solution.residual.max() <= 1e-6
        assert one.misfit <= 1e-6


def test_every_row_with_a_source_names_one_that_is_described():
    for folder, facts in zip(FOLDERS, FACTS, strict=True):
        named = facts.get("sources", {})
        for source in named.values():
            assert set(source) >= {"author", "title", "how"}
            assert source["how"] in HOW
        for path in folder.glob("*.csv"):
            with path.open(encoding="utf-8", newline="") as file:
                rows = csv.DictReader(line for line in file if not line.startswith("#"))
                assert {row["source"] for row in rows if "source" in row} <= set(named)

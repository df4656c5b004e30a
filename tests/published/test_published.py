"""Every published number of every source folder, met by flowsim within its tolerance."""

import math

import pytest

from tests.support.published import HOW, NEEDED, ReferenceTable, folders, load

SOURCES = [load(folder) for folder in folders()]
TABLES = [
    pytest.param(table, id=f"{source.folder} {table.options.get('title', '')}".strip())
    for source in SOURCES
    for table in source.tables
]


@pytest.mark.parametrize("source", SOURCES, ids=lambda source: source.folder)
def test_source_says_who_where_and_how_we_have_it(source):
    assert set(source.facts) >= NEEDED
    assert source.facts["how"] in HOW
    assert source.tables or source.facts.get("not_run") or "test_" in source.facts["how_note"]
    for table in source.tables:
        assert table.comparisons
        assert table.options["tolerance_from"]
        assert {one.how for one in table.comparisons} <= set(HOW)


@pytest.mark.parametrize("table", TABLES)
def test_published_numbers(table: ReferenceTable):
    wrong = [
        f"{one.label}, {one.quantity}: published {one.published}, flowsim {one.in_unit:.8g} "
        f"({one.percent:+.4f} %), allowed {one.tolerance}"
        for one in table.comparisons
        if not one.agrees
    ]
    assert not wrong, "\n".join(wrong)


@pytest.mark.parametrize("table", TABLES)
def test_mean_difference(table: ReferenceTable):
    most = float(table.options.get("mean_tolerance", "inf %").removesuffix("%"))
    assert math.isfinite(table.mean_percent)
    assert abs(table.mean_percent) <= most


@pytest.mark.parametrize("table", [t for t in TABLES if t.values[0].solved])
def test_networks_are_solved_to_the_last_digit(table: ReferenceTable):
    for one in table.solved:
        assert one.solution.converged.all()
        assert one.solution.supplied.all()
        assert one.solution.imbalance.max() <= 1e-9
        assert one.solution.residual.max() <= 1e-6
        assert one.misfit <= 1e-6


def test_measured_columns_name_their_source():
    for source in SOURCES:
        named = source.facts.get("sources", {})
        for facts in named.values():
            assert {"author", "title", "how"} <= set(facts)
            assert facts["how"] in HOW

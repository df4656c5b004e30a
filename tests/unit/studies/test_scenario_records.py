"""Records by column read as a tuple of records would."""

from dataclasses import fields, replace

import pytest

from flowsim.studies.adequacy.study import judge
from flowsim.studies.result import ScenarioResult
from flowsim.studies.scenario_records import ScenarioRecords, alike, count_alike
from tests.support.systems import one_tank


@pytest.fixture(scope="module")
def records() -> ScenarioRecords:
    found = judge(one_tank(), nominal=True).scenarios
    assert isinstance(found, ScenarioRecords)
    return found


def test_they_read_as_a_tuple(records: ScenarioRecords) -> None:
    whole = tuple(records)
    assert len(whole) == len(records) > 10
    assert [item.index for item in whole] == list(range(len(whole)))
    assert records[3] is whole[3]
    assert records[-1] == whole[-1]
    assert records[2:9:3] == whole[2:9:3]
    assert records == whole
    assert repr(records) == repr(whole)
    assert hash(records) == hash(ScenarioRecords(columns_of(whole)))
    with pytest.raises(IndexError):
        records[len(records)]


def test_another_order_or_another_figure_is_not_the_same(records: ScenarioRecords) -> None:
    whole = tuple(records)
    assert records != whole[::-1]
    assert records != whole[1:]
    assert records != (replace(whole[0], flow=-1.0), *whole[1:])
    assert records != 5


def test_some_are_chosen_by_their_fields(records: ScenarioRecords) -> None:
    whole = tuple(records)
    wanted = {"end": whole[0].end, "judged": True}
    chosen = tuple(item for item in whole if item.end == wanted["end"] and item.judged)
    assert 0 < len(chosen) < len(whole)
    for given in (records, whole):
        assert alike(given, **wanted) == chosen
        assert count_alike(given, **wanted) == len(chosen)


def columns_of(whole: tuple[ScenarioResult, ...]) -> dict[str, list[object]]:
    return {item.name: [getattr(one, item.name) for one in whole] for item in fields(whole[0])}

"""A dip table that begins above empty: known from there up, said, and solved in every command."""

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from flowsim.files.case.reader import read_case_text
from flowsim.studies.flight import transfer
from tests.cli.conftest import Said
from tests.support.every_command import FEW

TEXT = (Path(__file__).parents[1] / "unit/files/two_tanks.toml").read_text(encoding="utf-8")
DIPS = """shape = "dips"
dip_at = ["20 in", "{side} in", "{foot}"]
dip_pitch = "0 deg"
dips = [{{ dip = "0 mm", quantity = "{first}" }}, {{ dip = "50 mm", quantity = "20 L" }},
        {{ dip = "130 mm", quantity = "50 L" }}]"""


def dipped(first: str, foot: str = "60 in") -> str:
    """The two tanks known by dips alone; the foot of the stick may stand above the outlets."""
    left = TEXT[TEXT.index('shape = "box"') : TEXT.index('capacity = "15')]
    right = TEXT[
        TEXT.index('shape = "lofted"') : TEXT.index(
            'unusable = "1 US_gal"\nleast_take'
            'off = "3 US_gal"\n\n[[tank.outlet]]'
            '\nname = "rear"\nat = ["30 in", "30'
        )
    ]
    text = TEXT.replace(left, DIPS.format(side=-45, first=first, foot=foot) + "\n")
    text = text.replace(right, DIPS.format(side=45, first=first, foot=foot) + "\n")
    return text.replace('capacity = "15 US_gal"\n', "")


COMMANDS = (
    ["check", *FEW], ["unusable", "--blocked-vent"], ["what-if", "tank-empty=left", "--nominal"],
    ["size", "--least-fuel", "--nominal"], ["hand-check", "--nominal"],
    ["ground-test", "plan", *FEW], ["routing"],
)  # fmt: skip


@pytest.mark.parametrize("words", COMMANDS, ids=lambda words: words[0])
def test_every_command_answers(run: Callable[..., Said], tmp_path: Path, words: list[str]) -> None:
    case = tmp_path / "case.toml"
    case.write_text(dipped("3 L"), encoding="utf-8")
    place = 2 if words[0] == "ground-test" else 1
    said = run(*words[:place], case, *words[place:])
    assert said.err == ""
    assert said.code in (0, 1, 3)
    assert "could not be solved" not in said.out


def test_no_judged_scenario_is_unsolved_and_the_start_is_said(
    run: Callable[..., Said], tmp_path: Path
) -> None:
    case = tmp_path / "case.toml"
    case.write_text(dipped("3 L"), encoding="utf-8")
    made = json.loads(run("check", case, "--nominal", "--json").out)
    assert all(s["flow_kg_per_h"] is not None for s in made["scenarios"])
    assert sum("the dip table begins at 3 L" in words for words in made["cautions"]) == 2


def test_it_may_not_begin_above_what_is_judged(run: Callable[..., Said], tmp_path: Path) -> None:
    case = tmp_path / "case.toml"
    case.write_text(dipped("4 L"), encoding="utf-8")
    said = run("check", case)
    line = 1 + case.read_text().splitlines().index(DIPS.splitlines()[3].format(first="4 L"))
    assert said.code == 4
    assert f'case.toml:{line}: tank "left", dips, value 1: the table begins at 4 L, more than' in (
        said.err
    )
    assert "dip it from empty" in said.err


@pytest.mark.parametrize("first", ["0 L", "3 L"])
@pytest.mark.parametrize("foot", ["60 in", "64 in"])
def test_tanks_that_run_out_are_followed_to_the_end(
    monkeypatch: pytest.MonkeyPatch, first: str, foot: str
) -> None:
    """A foot above the outlets made the surface jump at the last drop, and steps without end."""
    monkeypatch.setattr(transfer, "SITUATIONS", transfer.SITUATIONS[1:2])
    rows = transfer.transfer(read_case_text(dipped(first, foot), "case.toml"))
    assert rows
    for row in rows:
        assert row.stopped == ""
        full, lost = sum(row.start), sum(row.overflow)
        assert sum(row.end) + lost == pytest.approx(full, rel=1e-3)

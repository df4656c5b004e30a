"""Every bundled case gives the figures that were agreed on, and the exit code its README names.

After a change that is meant: ``python -m tests.golden.test_bundled_cases`` rewrites the expected
files; say why in docs/changelog.md.
"""

import json
import re
from pathlib import Path
from typing import Any

import pytest

from flowsim.document.words.telling import told
from flowsim.files.case.reader import read_case
from flowsim.studies.adequacy.study import judge
from flowsim.studies.result import AdequacyResult, Verdict

CASES = Path(__file__).parents[2] / "cases"
FOLDERS = sorted(path.parent for path in CASES.glob("*/case.toml"))
EXIT_CODES = {Verdict.ADEQUATE: 0, Verdict.NOT_ADEQUATE: 1, Verdict.CANNOT_TELL: 3}


def summary(result: AdequacyResult) -> dict[str, Any]:
    """Give the figures that matter, rounded to what platforms agree on."""
    deciding = result.deciding_scenario
    return {
        "verdict": result.verdict_words,
        "required_kg_per_h": round(3600 * result.requirement.required, 6),
        "deciding": {
            "selector": deciding.selector,
            "pitch_deg": round(deciding.pitch * 57.29577951308232, 4),
            "fuel_state": deciding.fuel_state,
            "end": deciding.end,
            "screens": told(deciding.screens),
            "flow_kg_per_h": round(3600 * deciding.flow, 5),
            "head_left_mm": round(1000 * deciding.head_left, 3),
            "vapour_margin_kpa": round(deciding.vapour_margin / 1000, 4),
            "uncovered": list(deciding.uncovered),
        },
        "lines": {
            told(line.name): {
                "verdict": str(line.verdict),
                "least_nominal": round(line.least_nominal, 5),
                "least_p05": rounded(line.least_low),
                "least_p95": rounded(line.least_high),
            }
            for line in result.lines
        },
        "loss_mm": {
            f"{path.tank}.{path.outlet}": {
                f"{number} {told(row.part)}": round(1000 * row.loss, 3)
                for number, row in enumerate(path.rows)
            }
            for path in result.losses
        },
        "assumptions": len(result.assumptions),
    }


def rounded(ratio: float | None) -> float | str | None:
    """Give a figure of a band; more than it was worked out to is no figure."""
    return ratio if ratio is None else "over" if ratio == float("inf") else round(ratio, 4)


def close(expected: Any, found: Any, where: str = "") -> None:
    """Compare with 1e-4 relative on numbers, exactly on everything else."""
    if isinstance(expected, dict):
        assert list(expected) == list(found), where
        for key, value in expected.items():
            close(value, found[key], f"{where}/{key}")
    elif isinstance(expected, float):
        assert found == pytest.approx(expected, rel=1e-4, abs=2e-3), where
    else:
        assert expected == found, where


@pytest.mark.parametrize("folder", FOLDERS, ids=lambda folder: folder.name)
def test_case_gives_its_expected_figures(folder: Path) -> None:
    """The study's figures are those in expected.json."""
    result = judge(read_case(folder / "case.toml"))
    close(json.loads((folder / "expected.json").read_text()), summary(result))


@pytest.mark.parametrize("folder", FOLDERS, ids=lambda folder: folder.name)
def test_case_readme_names_verdict_and_exit_code(folder: Path) -> None:
    """The README says what happens, and that the scenario is invented."""
    text = (folder / "README.md").read_text()
    expected = json.loads((folder / "expected.json").read_text())
    told = re.search(r"Expected: `([^`]+)`, exit code (\d)", text)
    assert told is not None
    assert told.group(1) == expected["verdict"]
    verdict = Verdict(expected["verdict"].removesuffix(", open line only"))
    assert int(told.group(2)) == EXIT_CODES[verdict]
    assert "nvented" in text


@pytest.mark.parametrize("folder", FOLDERS, ids=lambda folder: folder.name)
def test_losses_close_with_the_head(folder: Path) -> None:
    """On each path the parts add up to the head available within 1e-6 m."""
    result = judge(read_case(folder / "case.toml"), nominal=True)
    assert result.losses
    for path in result.losses:
        assert abs(path.closure) < 1e-6
        assert sum(row.loss for row in path.rows) == pytest.approx(path.available, abs=1e-6)


if __name__ == "__main__":
    for case in FOLDERS:
        figures = summary(judge(read_case(case / "case.toml")))
        (case / "expected.json").write_text(json.dumps(figures, indent=2) + "\n")

"""The calibrated case: the case's own text, untouched, and what a ground test taught below it."""

import math
from datetime import date
from pathlib import Path

import numpy as np
import tomlkit
from tomlkit.items import InlineTable

from flowsim.document.words.telling import told
from flowsim.errors import DomainError, InputError, Mistake
from flowsim.files.case.calibration import MARK, case_text_sha256
from flowsim.studies.ground_test.result import GroundTestFit, LearnedInput

_HEAD = """{mark}
# Above this line stands the case as it was before the test. Delete everything from here on to get
# it back. Scores tell where a value lies in its stated band: 0 in the middle, 1.64 at its 95 %
# edge. An estimate, not an approval: the readings themselves decide, by their least flow.

"""


def calibrated_name(case: Path) -> Path:
    """Give the name of the calibrated case beside a case: ``NAME.calibrated.toml``."""
    return case.with_name(f"{case.stem}.calibrated.toml")


def calibrated_text(text: str, fitted: GroundTestFit, *, today: date | None = None) -> str:
    """Write the calibrated case.

    Parameters
    ----------
    text : str
        The case's own text; it stays as it is, comments and all.
    fitted : GroundTestFit
        What its readings taught.
    today : date, optional
        Day to be named; none if not given.

    Returns
    -------
    str
        TOML that ``read_case_text`` reads as a case.

    Raises
    ------
    DomainError
        The case has a section on a ground test already, or the correction is not to be relied on.
    """
    if fitted.distrust:
        raise DomainError(f"no calibrated case: {told(fitted.distrust)}")
    calibration = fitted.system.calibration
    if MARK in text or calibration is None:
        raise DomainError("the case holds a ground test already; fit the case as it was before it")
    table = tomlkit.table()
    table.add("source", _source(calibration.source, fitted, today))
    table.add("text_sha256", case_text_sha256(text))
    table.add("learned", list(calibration.learned))
    known = {item.key: item for item in fitted.inputs}
    rows = tomlkit.aot()
    columns = np.array(calibration.directions).reshape(-1, len(calibration.keys)).T
    centres = calibration.centre or calibration.scores
    for key, score, centre, weights in zip(
        calibration.keys, calibration.scores, centres, columns, strict=True
    ):
        if score == centre == 0.0 and not weights.any():
            continue
        row = tomlkit.table()
        row.add(tomlkit.comment(_words(known[key])))
        row.add("key", key)
        row.add("score", _score(score, known[key]))
        if centre != score:
            row.add("centre", centre)
        row.add("directions", [float(weight) for weight in weights])
        rows.append(row)
    table.add("input", rows)
    document = tomlkit.document()
    document.add("calibration", table)
    return text.rstrip() + "\n\n" + _HEAD.format(mark=MARK) + tomlkit.dumps(document)


def _source(source: str, fitted: GroundTestFit, today: date | None) -> str:
    """Say which test it is, and which of its runs do not fit."""
    misfits = [run.reading.name for run in fitted.runs if run.suggests]
    if misfits:
        source += f"; does not fit: run {', '.join(misfits)}"
    return source if today is None else f"{source}, fitted {today.isoformat()}"


def _score(score: float, item: LearnedInput) -> InlineTable:
    table = tomlkit.inline_table()
    table.update({"value": score, "from": "measured", "accuracy": round(item.deviation, 4)})
    return table


def _words(item: LearnedInput) -> str:
    """Say what a value is after the test, and what it was, 5th and 95th percentile in brackets."""
    after, before = (_band(item, values) for values in (item.after, item.before))
    name = "".join(c if c.isprintable() else "?" for c in told(item.name))
    return f"{name}: {after}, was {before}"


def _band(item: LearnedInput, values: tuple[float, float, float]) -> str:
    scale, unit = (1000.0, " mm") if item.unit == "m" else (1.0, "")
    low, middle, high = (f"{scale * value:.3g}" for value in values)
    return f"{middle}{unit} ({low} to {high})"


def check_written(text: str, fitted: GroundTestFit, name: str) -> None:
    """Read the calibrated case back and compare it with what it should hold.

    Parameters
    ----------
    text : str
        As ``calibrated_text`` gives it.
    fitted : GroundTestFit
        What it should hold.
    name : str
        The file's name for messages.

    Raises
    ------
    InputError
        It does not read as the same calibration: a bug, and nothing is to be written.
    """
    from flowsim.files.case.reader import read_case_text

    found, wanted = read_case_text(text, name).calibration, fitted.system.calibration
    same = found is not None and wanted is not None
    if same and found is not None and wanted is not None:
        pairs = ((found.height, wanted.height), (found.friction, wanted.friction),
                 (found.viscosity, wanted.viscosity))  # fmt: skip
        same = all(math.isclose(a, b, rel_tol=1e-9, abs_tol=1e-12) for a, b in pairs)
        kept = dict(zip(wanted.keys, wanted.centre or wanted.scores, strict=True))
        about = zip(found.keys, found.centre or found.scores, strict=True)
        same = same and all(math.isclose(kept[key], value, abs_tol=1e-9) for key, value in about)
        theirs = {part.key: part for part in wanted.parts}
        for part in found.parts:
            other = theirs.get(part.key)
            same = same and other is not None
            if other is not None:
                same = same and math.isclose(part.loss, other.loss, rel_tol=1e-9)
    if not same:
        problem = "the calibrated case does not read back as it was written"
        raise InputError([Mistake(name, None, "", problem, "report it as a bug")])

"""Rows of a timed drain-down: marks of a container or a scale's log, turned into stretches."""

from dataclasses import replace
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np

from flowsim.files.case.words import plain
from flowsim.files.readings.table import ReadingsRow
from flowsim.files.units import kinds
from flowsim.files.units.kinds import Kind
from flowsim.files.units.quantities import QuantityError, parse_quantity, shown
from flowsim.studies.ground_test.runs import (
    MARK_MASS,
    MARK_VOLUME,
    PRESS,
    Reading,
    Setting,
)

if TYPE_CHECKING:
    from flowsim.files.readings.reader import RunReader

SPLIT = Kind(
    name="time", words="a time", si="s", units=("s", "min", "h"), example="75 s",
    low=0.0, high=86400.0, low_words="zero", high_words="a day", clock="min",
)  # fmt: skip
MOST_STRETCHES = 12
"""A drain-down is cut into no more than this: nearer marks share their errors and tell no more."""
CONTAINER_OF_ALL = "drain-down"
"""Drain-downs of one file are taken to run into one container, or onto one scale: its error is
common to them, and more of them do not average it away."""
SHORTEST = 20.0
"""[-] A stretch lasts at least this many deviations of one split."""
LARGEST_SHARE = 0.2
"""[-] A container or scale known no better than this is no measure."""
SET_UP = ("attitude", "roll", "line end", "selector", "temperature", "density", "accuracy",
          "timing", "mark accuracy")  # fmt: skip
"""Columns that stand in the first row of a drain-down alone."""


def drain_groups(rows: list[ReadingsRow]) -> list[list[ReadingsRow]]:
    """Put the rows of each drain-down together; any other row stays by itself.

    A row with a mark goes on with the drain-down before it where its run is the same or empty.
    """
    groups: list[list[ReadingsRow]] = []
    for row in rows:
        last = groups[-1] if groups else []
        same = bool(last) and bool(last[0].get("mark"))
        same = same and plain(row.get("run")) in ("", plain(last[0].get("run")))
        if row.get("mark") and same:
            last.append(row)
        else:
            groups.append([row])
    return groups


def drain_readings(reader: "RunReader", rows: list[ReadingsRow], name: str) -> list[Reading]:
    """Turn the rows of one drain-down into a reading for each stretch.

    Parameters
    ----------
    reader
        Receives mistakes and remarks.
    rows
        Of one drain-down, the set-up in the first.
    name
        Of the drain-down.

    Returns
    -------
    list of Reading
        Empty where a mistake prevents it, or no mark has a time.
    """
    first, before = rows[0], len(reader.mistakes)
    reader.at(f"drain-down {name}", first.line)
    if not any(row.get("seconds") for row in rows):
        reader.remarks.append(f"drain-down {name} has no time and is left out")
        return []
    temperature = reader.value(first, "temperature", kinds.TEMPERATURE)
    setting = reader.setting(first, temperature)
    density, measured = reader.density(first, temperature)
    timing = reader.value_or(first, "timing", SPLIT, PRESS)
    used = reader.is_used(first)
    if first.get("container"):
        reader.mistake(
            "container is given as well as mark", "leave container empty: the last mark is drawn"
        )
    marks = _marks(reader, rows, name, density, timing)
    share = _share(reader, first, marks, density)
    mark = _mark_error(reader, first, density)
    if len(reader.mistakes) > before or setting is None or len(marks) < 2:
        return []
    whole = replace(setting, volume=marks[-1][1] - marks[0][1])
    reader.check(whole)
    if len(reader.mistakes) > before:
        return []
    return [
        Reading(
            name=f"{name}/{number}",
            line=line,
            setting=_stretch(whole, marks[0][1], (begin, end)),
            seconds=late - early,
            density=density,
            density_measured=measured,
            container=CONTAINER_OF_ALL,
            container_error=share,
            timing=timing,
            used=used,
            remarks=plain(first.get("remarks")) if number == 1 else "",
            drain=name,
            mark=mark,
            weighed=_is_mass(first),
        )
        for number, ((early, begin, _), (late, end, line)) in enumerate(pairwise(marks), 1)
    ]


def _stretch(whole: Setting, zero: float, ends: tuple[float, float]) -> Setting:
    return replace(whole, drawn_before=ends[0] - zero, volume=ends[1] - ends[0])


_Mark = tuple[float, float, int]
"""Time [s], what was drawn [m3], line of the file."""


def _marks(
    reader: "RunReader", rows: list[ReadingsRow], name: str, density: float, timing: float
) -> list[_Mark]:
    """Read the marks in order, thinned to what tells anything; the start is the first."""
    found: list[_Mark] = []
    for number, row in enumerate(rows):
        reader.at(f"drain-down {name}", row.line)
        if number:
            _nothing_new(reader, row, rows[0])
            if not reader.is_used(row):
                continue
        if not row.get("seconds"):
            reader.remarks.append(f"{name}: the mark in line {row.line} has no time, left out")
            continue
        seconds = reader.value(row, "seconds", SPLIT)
        drawn = _volume(reader, row.get("mark"), density)
        if found and not (seconds > found[-1][0] and drawn > found[-1][1]):
            if not np.isnan([seconds, drawn]).any():
                reader.mistake(
                    "mark and seconds do not both rise from row to row",
                    "write seconds since the start and all that was drawn by then",
                )
            continue
        found.append((seconds, drawn, row.line))
    if found and found[0][0] > 0.0:
        found.insert(0, (0.0, 0.0, rows[0].line))
    if len(found) < 2:
        reader.remarks.append(f"drain-down {name} has no second mark and is left out")
        return found
    kept = _thinned(found, timing)
    if len(kept) < len(found):
        reader.remarks.append(
            f"drain-down {name}: {len(found) - 1} marks were read and {len(kept) - 1} stretches "
            "are used; nearer marks share their errors and tell no more"
        )
    return kept


def _thinned(marks: list[_Mark], timing: float) -> list[_Mark]:
    """Keep marks far enough apart in time; the first and the last always."""
    step = max((marks[-1][0] - marks[0][0]) / MOST_STRETCHES, SHORTEST * timing)
    kept = [marks[0]]
    for mark in marks[1:-1]:
        if mark[0] - kept[-1][0] >= step * (1.0 - 1e-9):
            kept.append(mark)
    if len(kept) > 1 and marks[-1][0] - kept[-1][0] < 0.5 * step:
        kept.pop()
    return [*kept, marks[-1]]


def _nothing_new(reader: "RunReader", row: ReadingsRow, first: ReadingsRow) -> None:
    """Refuse a set-up that differs within one drain-down."""
    for column in SET_UP:
        if row.get(column) and row.get(column) != first.get(column):
            reader.mistake(
                f"{column} {shown(row.get(column), 30)} differs from the first row's",
                "leave it empty: the set-up stands in the first row of a drain-down",
            )
    if any(row.fuel[tank].text != first.get_fuel(tank) for tank in row.fuel):
        reader.mistake(
            "fuel differs from the first row's", "leave it empty: write what was there at the start"
        )


def _volume(reader: "RunReader", text: str, density: float) -> float:
    """Read a mark as a volume [m3]; of a scale by the density."""
    try:
        size = parse_quantity(text, kinds.VOLUME, kinds.MASS)
    except QuantityError as error:
        reader.mistake(f"mark: {error.problem}", error.remedy)
        return float("nan")
    return size.value / density if size.kind is kinds.MASS else size.value


def _share(reader: "RunReader", first: ReadingsRow, marks: list[_Mark], density: float) -> float:
    """Read the accuracy of container or scale, relative (one deviation)."""
    reader.at(reader.item, first.line)
    text = first.get("accuracy")
    if not text:
        return reader.usual_accuracy()
    try:
        size = parse_quantity(text, kinds.SHARE, kinds.VOLUME, kinds.MASS)
    except QuantityError as error:
        reader.mistake(f"accuracy: {error.problem}", error.remedy)
        return float("nan")
    drawn = marks[-1][1] - marks[0][1] if len(marks) > 1 else float("nan")
    share = size.value
    if size.kind is kinds.VOLUME:
        share = size.value / drawn
    elif size.kind is kinds.MASS:
        share = size.value / density / drawn
    if not 0.0 < share <= LARGEST_SHARE and not np.isnan(share):
        reader.mistake(
            f"accuracy {shown(text)} is not plausible",
            'write one standard deviation, such as "0.5 %"',
        )
    return share


def _mark_error(reader: "RunReader", first: ReadingsRow, density: float) -> float:
    """Read one deviation of a mark [m3]; the usual one of a container or a scale if not given."""
    text = first.get("mark accuracy")
    if text:
        try:
            size = parse_quantity(text, kinds.VOLUME, kinds.MASS)
        except QuantityError as error:
            reader.mistake(f"mark accuracy: {error.problem}", error.remedy)
            return float("nan")
        if not size.value > 0.0:
            reader.mistake("mark accuracy is zero", 'write one standard deviation, such as "10 mL"')
        return size.value / density if size.kind is kinds.MASS else size.value
    return MARK_MASS / density if _is_mass(first) else MARK_VOLUME


def _is_mass(row: ReadingsRow) -> bool:
    """Tell whether a mark is read on a scale; a mark that cannot be read is told elsewhere."""
    try:
        return parse_quantity(row.get("mark"), kinds.VOLUME, kinds.MASS).kind is kinds.MASS
    except QuantityError:
        return False

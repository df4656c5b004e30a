"""Quantities over time as a table of text: CSV (RFC 4180), a unit in each column's name."""

import csv
import io
import math

from flowsim.document.words.standing import ALWAYS
from flowsim.files.case.cell_text import FORMULA, protected
from flowsim.measures import LENGTH, MASS_FLOW, VOLUME
from flowsim.studies.flight.result import PHASE, FlightResult


def flight_csv(result: FlightResult) -> str:
    """Give the samples of a flight as CSV.

    Parameters
    ----------
    result : FlightResult
        The flight.

    Returns
    -------
    str
        A line of names, then a line for each sample; what does not exist is an empty cell. At an
        event there are two samples, before and after it. The first line's remark says what it is
        worth.
    """
    history = result.history
    volume = VOLUME.name.lower().replace(" ", "_")
    flow = MASS_FLOW.name.replace("/", "_per_")
    names = ["time_s", "phase"]
    names += [f"{_text(name)} fuel_{volume}" for name in result.tanks]
    names += [f"{_text(name)} flow_out_{flow}" for name in result.tanks]
    names += [f"{_text(name)} overflow_{flow}" for name in result.tanks]
    names += [
        f"demand_{flow}",
        f"delivered_{flow}",
        f"head_left_{LENGTH.name}",
        "starved",
        "remark",
    ]
    titles = [event.phase for event in result.events if event.what == PHASE]
    buffer = io.StringIO()
    writer = csv.writer(buffer, lineterminator="\r\n")
    writer.writerow(names)
    for row in range(len(history.time)):
        cells = [_number(history.time[row]), _text(titles[int(history.phase[row])])]
        cells += [_number(VOLUME.of(value)) for value in history.quantity[row]]
        cells += [_number(MASS_FLOW.of(value)) for value in history.from_tank[row]]
        cells += [_number(MASS_FLOW.of(value)) for value in history.overflow[row]]
        cells += [
            _number(MASS_FLOW.of(history.demand[row])),
            _number(MASS_FLOW.of(history.delivered[row])),
            _number(LENGTH.of(history.head_left[row])),
            "yes" if history.starved[row] else "no",
            ALWAYS[0] if row == 0 else "",
        ]
        writer.writerow(cells)
    return buffer.getvalue()


def _number(value: float) -> str:
    return f"{value:.9g}" if math.isfinite(value) else ""


def _text(text: str) -> str:
    plain = "".join(c if c.isprintable() else " " for c in text)
    return protected(plain, FORMULA)

"""The picture of a flight: quantities, flow and pitch over time, as SVG that works in grey."""

from collections.abc import Sequence
from itertools import groupby, pairwise

import numpy as np

from flowsim.document.words.standing import ALWAYS
from flowsim.errors import OutputError
from flowsim.files.units import shown as to
from flowsim.measures import MASS_FLOW, VOLUME
from flowsim.reports.figures.drawing import Axis, Drawing, axes, shortened
from flowsim.reports.figures.looks import alone
from flowsim.studies.flight.result import (
    EMPTY,
    OVERFLOW,
    PHASE,
    REQUIRED_LOST,
    STARVED,
    UNCOVERS,
    FlightEvent,
    FlightResult,
)
from flowsim.system.fuel_system import FuelSystem

WIDTH, LEFT, RIGHT = 760.0, 46.0, 560.0
"""[px] Of the picture, and where its panels begin and end; the keys stand beside them."""
PANELS = ((96.0, 316.0), (336.0, 496.0), (516.0, 616.0))
"""[px] Top and foot of the panels: quantity, flow, pitch."""
MARKED = (UNCOVERS, EMPTY, REQUIRED_LOST, STARVED, OVERFLOW)
_LETTERS = 26


def flight_svg(system: FuelSystem, result: FlightResult) -> str:
    """Draw a flight.

    Parameters
    ----------
    system : FuelSystem
        The system that was flown.
    result : FlightResult
        The flight.

    Returns
    -------
    str
        SVG text, the same for the same flight: quantity in each tank with the declared unusable
        fuel and marks at events, flow delivered with the demand and the required flow, and pitch
        with the test attitude.

    Raises
    ------
    OutputError
        Nothing was followed.
    """
    if not len(result.history.time):
        raise OutputError("there is nothing to draw: the flight could not be followed")
    drawing = Drawing(PANELS[-1][1] + 42.0, WIDTH)
    time = Axis(0.0, max(float(result.history.time[-1]) / 60.0, 1e-9), LEFT, RIGHT)
    drawing.words(4.0, 16.0, f"{result.title}: {result.profile}", "tb")
    drawing.words(4.0, 31.0, ALWAYS[0], "ts")
    _phases(drawing, time, result)
    _quantities(drawing, time, system, result)
    _flows(drawing, time, result)
    _pitch(drawing, time, system, result)
    return alone(drawing, "flight", f"Fuel, flow and pitch over time. {ALWAYS[0]}")


def _panel(drawing: Drawing, time: Axis, number: int, values: Sequence[float], name: str) -> Axis:
    """Draw a panel's axes; it shows zero and all values."""
    top, foot = PANELS[number]
    known = [value for value in values if np.isfinite(value)]
    low, high = min([0.0, *known]), max([1e-6, *known])
    axis = Axis(1.06 * low, 1.06 * high, foot, top)
    axes(drawing, time, axis, "time, minutes" if number == len(PANELS) - 1 else "", name)
    return axis


def _key(drawing: Drawing, number: int, rows: Sequence[tuple[str, str]]) -> None:
    """Name the looks of a panel's lines beside it."""
    for place, (look, words) in enumerate(rows):
        foot = PANELS[number][0] + 12.0 + 15.0 * place
        drawing.line(RIGHT + 10.0, foot - 4.0, RIGHT + 40.0, foot - 4.0, look)
        drawing.words(RIGHT + 46.0, foot, shortened(words, _LETTERS))


def _quantities(drawing: Drawing, time: Axis, system: FuelSystem, result: FlightResult) -> None:
    shown = [index for index, stated in enumerate(result.stated_level) if not stated]
    shown_fuel = VOLUME.of(1.0) * result.history.quantity
    level = _panel(
        drawing, time, 0, [float(v) for v in shown_fuel[:, shown].ravel()], f"fuel, {VOLUME.name}"
    )
    minutes = result.history.time / 60.0
    key = []
    for number, index in enumerate(shown):
        look = f"c{number % 4}"
        points = zip(minutes.tolist(), shown_fuel[:, index].tolist(), strict=True)
        drawing.chain([(time.at(x), level.at(y)) for x, y in points], look)
        key.append((look, result.tanks[index]))
        unusable = VOLUME.of(result.unusable[index])
        if np.isfinite(unusable):
            drawing.line(LEFT, level.at(unusable), RIGHT, level.at(unusable), "c4")
    _key(drawing, 0, [*key, ("c4", "declared unusable")])
    seen = []
    for event in result.events:
        if event.what in MARKED:
            quantity = VOLUME.of(_quantity_at(system, result, event))
            _mark(drawing, time.at(event.time / 60.0), level.at(quantity), event.what)
            seen.append(event.what)
    for place, what in enumerate(dict.fromkeys(seen), len(key) + 1):
        foot = PANELS[0][0] + 12.0 + 15.0 * place
        _mark(drawing, RIGHT + 25.0, foot - 4.0, what)
        drawing.words(RIGHT + 46.0, foot, what)


def _quantity_at(system: FuelSystem, result: FlightResult, event: FlightEvent) -> float:
    """Give the quantity [m3] at which an event is marked: in its tank, else the least of all."""
    tank = event.item
    if event.what == UNCOVERS:
        owner, _ = system.outlet_nodes()[event.item]
        tank = owner.name
    if tank in result.tanks:
        quantity = event.quantities[result.tanks.index(tank)]
        return quantity if np.isfinite(quantity) else 0.0
    return min((value for value in event.quantities if np.isfinite(value)), default=0.0)


def _mark(drawing: Drawing, x: float, y: float, what: str) -> None:
    """Mark an event: each kind has a shape of its own."""
    if what == UNCOVERS:
        drawing.polygon([(x, y + 5.0), (x - 4.5, y - 3.0), (x + 4.5, y - 3.0)], "sg")
    elif what == EMPTY:
        drawing.rect(x - 3.5, y - 3.5, 7.0, 7.0, "sg")
    elif what == OVERFLOW:
        drawing.triangle(x, y, 4.5, "sg")
    else:
        look = "ln" if what == STARVED else "te"
        drawing.line(x - 4.0, y - 4.0, x + 4.0, y + 4.0, look)
        drawing.line(x - 4.0, y + 4.0, x + 4.0, y - 4.0, look)


def _flows(drawing: Drawing, time: Axis, result: FlightResult) -> None:
    history = result.history
    minutes = (history.time / 60.0).tolist()
    demand = [MASS_FLOW.of(value) for value in history.demand.tolist()]
    delivered = [MASS_FLOW.of(value) for value in history.delivered.tolist()]
    required = MASS_FLOW.of(result.required)
    flow = _panel(drawing, time, 1, [*demand, *delivered, required], f"flow, {MASS_FLOW.name}")
    rows = list(zip(minutes, demand, delivered, history.starved.tolist(), strict=True))
    key = [("c0", "delivered"), ("c5", "demand of the engine"), ("rq", "required flow")]
    for starved, group in groupby(rows, key=lambda row: row[3]):
        some = list(group)
        if starved:
            over = [(time.at(row[0]), flow.at(row[1])) for row in some]
            under = [(time.at(row[0]), flow.at(row[2])) for row in reversed(some)]
            drawing.polygon([*over, *under], "bd")
    drawing.line(LEFT, flow.at(required), RIGHT, flow.at(required), "rq")
    drawing.chain([(time.at(row[0]), flow.at(row[1])) for row in rows], "c5")
    drawing.chain([(time.at(row[0]), flow.at(row[2])) for row in rows], "c0")
    _key(drawing, 1, key)
    if any(row[3] for row in rows):
        foot = PANELS[1][0] + 12.0 + 15.0 * len(key)
        drawing.rect(RIGHT + 10.0, foot - 9.0, 30.0, 10.0, "bd")
        drawing.words(RIGHT + 46.0, foot, "starved")


def _pitch(drawing: Drawing, time: Axis, system: FuelSystem, result: FlightResult) -> None:
    test = to.degrees(system.flight.climb_pitch + system.flight.test_margin)
    steps = [
        (seconds / 60.0, to.degrees(item.phase.pitch))
        for item in result.phases
        for seconds in (item.begin, item.end)
    ]
    pitch = _panel(drawing, time, 2, [test, *(value for _, value in steps)], "pitch, deg")
    drawing.line(LEFT, pitch.at(test), RIGHT, pitch.at(test), "at")
    drawing.chain([(time.at(x), pitch.at(y)) for x, y in steps], "c0")
    _key(drawing, 2, [("c0", "pitch"), ("at", "test attitude")])


def _phases(drawing: Drawing, time: Axis, result: FlightResult) -> None:
    """Draw a thin line where each phase begins, and its name above."""
    begins = [event for event in result.events if event.what == PHASE]
    for event, after in pairwise([*begins, None]):
        if event is None:
            continue
        at = time.at(event.time / 60.0)
        end = RIGHT if after is None else time.at(after.time / 60.0)
        for top, foot in PANELS:
            drawing.line(at, top, at, foot, "gd")
        letters = 24 if end - at > 8.0 else 12
        drawing.words(
            at + 3.0, PANELS[0][0] - 5.0, shortened(event.phase, letters), "ts", size=9.0,
            turned=-30.0,
        )  # fmt: skip

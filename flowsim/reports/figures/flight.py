"""The picture of a flight: quantities, flow and pitch over time, as SVG that works in grey."""

import io
from collections.abc import Iterator
from typing import Any

import numpy as np

from flowsim.errors import OutputError
from flowsim.files.units import shown as to
from flowsim.reports.words.units import clean
from flowsim.studies.flight.result import (
    EMPTY,
    OVERFLOW,
    PHASE,
    REQUIRED_LOST,
    STARVED,
    UNCOVERS,
    FlightResult,
)
from flowsim.system.fuel_system import FuelSystem

CAUTION = "An estimate, not an approval: the ground test decides."
_LINES = ("-", "--", "-.", ":")
_SHADES = ("0.0", "0.35", "0.5", "0.2")
_MARKS = {UNCOVERS: "v", EMPTY: "s", REQUIRED_LOST: "x", STARVED: "X", OVERFLOW: "^"}
_SALT = "flowsim"
"""Makes the names inside the file the same in every run."""


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
        Matplotlib is missing, or nothing was followed.
    """
    try:
        import matplotlib as mpl
        from matplotlib.figure import Figure
    except ImportError as error:
        raise OutputError(
            "the picture needs matplotlib, which is missing; install flowsim with its dependencies"
        ) from error
    if not len(result.history.time):
        raise OutputError("there is nothing to draw: the flight could not be followed")
    settings: Any = {"svg.hashsalt": _SALT, "svg.fonttype": "none", "font.family": "sans-serif"}
    with mpl.rc_context(settings):
        # Fixed places: the library's own layout differs in the last bits from run to run.
        figure = Figure(figsize=(8.0, 8.4))
        figure.subplots_adjust(left=0.09, right=0.98, top=0.87, bottom=0.07, hspace=0.1)
        quantity, flow, pitch = figure.subplots(
            3, 1, sharex=True, gridspec_kw={"height_ratios": (4, 3, 2)}
        )
        _quantities(quantity, result)
        _flows(flow, result)
        _pitch(pitch, system, result)
        _phases((quantity, flow, pitch), result)
        figure.suptitle(f"{_plain(result.title)}: {_plain(result.profile)}\n{CAUTION}", fontsize=10)
        buffer = io.StringIO()
        figure.savefig(buffer, format="svg", metadata={"Date": None, "Creator": "flowsim"})
    return buffer.getvalue()


def _plain(text: str) -> str:
    """Give text without what the drawing library would read as mathematics."""
    return clean(text).replace("$", r"\$")


def _minutes(result: FlightResult) -> Any:
    return result.history.time / 60.0


def _styles(result: FlightResult) -> Iterator[tuple[int, str, str, str]]:
    for index, name in enumerate(result.tanks):
        if not result.stated_level[index]:
            yield index, _plain(name), _LINES[index % 4], _SHADES[index % 4]


def _quantities(axes: Any, result: FlightResult) -> None:
    time = _minutes(result)
    for index, name, line, shade in _styles(result):
        axes.plot(
            time, to.litres(1.0) * result.history.quantity[:, index], line, color=shade, label=name
        )
        if np.isfinite(result.unusable[index]):
            axes.axhline(to.litres(result.unusable[index]), color="0.6", linestyle=line, lw=0.8)
    used: set[str] = set()
    for event in result.events:
        mark = _MARKS.get(event.what)
        if mark is None:
            continue
        at = [value for value in event.quantities if np.isfinite(value)]
        tank = event.item.split(".")[0]
        if tank in result.tanks:
            at = [event.quantities[result.tanks.index(tank)]]
        height = to.litres(min(at, default=0.0))
        axes.plot(
            [event.time / 60.0],
            [height],
            mark,
            color="0.0",
            markerfacecolor="white",
            markersize=6,
            linestyle="none",
            label=None if event.what in used else event.what,
        )
        used.add(event.what)
    axes.set_ylabel("fuel in tank [L]")
    axes.set_ylim(bottom=0.0)
    axes.legend(fontsize=7, ncols=3, title="thin: declared unusable", title_fontsize=7)


def _flows(axes: Any, result: FlightResult) -> None:
    time, history = _minutes(result), result.history
    axes.plot(time, 3600.0 * history.demand, "--", color="0.5", label="demand of the engine")
    axes.plot(time, 3600.0 * history.delivered, "-", color="0.0", label="delivered")
    axes.axhline(to.kg_per_h(result.required), color="0.0", linestyle=":", label="required flow")
    if history.starved.any():
        axes.fill_between(
            time,
            3600.0 * history.delivered,
            3600.0 * history.demand,
            where=history.starved,
            color="0.85",
            hatch="///",
            edgecolor="0.4",
            label="starved",
        )
    axes.set_ylabel("flow [kg/h]")
    axes.set_ylim(bottom=0.0)
    axes.legend(fontsize=7, ncols=2)


def _pitch(axes: Any, system: FuelSystem, result: FlightResult) -> None:
    flight = system.flight
    times, pitches = [], []
    for item in result.phases:
        times += [item.begin / 60.0, item.end / 60.0]
        pitches += [to.degrees(item.phase.pitch)] * 2
    axes.plot(times, pitches, "-", color="0.0", label="pitch")
    axes.axhline(
        to.degrees(flight.climb_pitch + flight.test_margin),
        color="0.0",
        linestyle=":",
        label="test attitude",
    )
    axes.set_ylabel("pitch [deg]")
    axes.set_xlabel("time [min]")
    axes.legend(fontsize=7, ncols=2)


def _phases(panels: tuple[Any, ...], result: FlightResult) -> None:
    """Draw a thin line where each phase begins, and its name above."""
    for event in result.events:
        if event.what != PHASE:
            continue
        for axes in panels:
            axes.axvline(event.time / 60.0, color="0.8", lw=0.6, zorder=0)
        panels[0].annotate(
            _plain(event.phase)[:24],
            (event.time / 60.0, 1.0),
            xycoords=("data", "axes fraction"),
            xytext=(2, 2),
            textcoords="offset points",
            rotation=30,
            fontsize=6,
            annotation_clip=False,
        )

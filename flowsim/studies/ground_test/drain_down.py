"""A timed drain-down: its curve of flow against head, and what the curve says of the vent.

One tank, or several at once, run through the open line while the time at each mark of the container
is read. Each stretch from mark to mark is a run of its own for the fit (``reading_errors``). A vent
that closes lets the air over the fuel stretch, so that the flow falls faster than the level
explains: that bend is looked for, in head, beside everything else that is uncertain.
"""

import math
from dataclasses import dataclass, replace

import numpy as np

from flowsim.constants import STANDARD_GRAVITY
from flowsim.network.assembly import Assembly
from flowsim.physics.air.atmosphere import standard_pressure
from flowsim.physics.arrays import FloatArray, IntArray
from flowsim.physics.fuel.properties import vapour_pressure
from flowsim.physics.tank.surface import capacity_of
from flowsim.physics.tank.ullage import pressure_fall
from flowsim.studies.delivery.deliver import deliver
from flowsim.studies.ground_test.fit import SetUpErrors, StraightFit
from flowsim.studies.ground_test.predict import RunModel
from flowsim.studies.ground_test.reading_errors import drains_of
from flowsim.studies.ground_test.runs import Reading
from flowsim.studies.judged.scenarios import fed_tanks
from flowsim.studies.saying import NOTHING, Said, saying

SURE = 3.0
"""[-] Deviations from which on a bend is called one."""
BOUND = 2.0
"""[-] So many deviations above the measured suction lies the most that the curve allows."""
SMALL = 0.01
"""[-] Suction at the end, over the head there, with which the bend is worked out."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DrainStretch:
    """One stretch of a drain-down.

    ``drawn`` [m3] at its end; ``head`` [m] in its middle, from the lowest surface that feeds to the
    line's end; flows [kg/s]: as read, one deviation of it, by the case, by the corrected model.
    """

    drawn: float
    head: float
    flow: float
    flow_error: float
    expected: float
    after: float


@dataclass(frozen=True, slots=True, kw_only=True)
class VentSign:
    """What a curve says of one airspace.

    ``suction`` [m] of head by the end of the run beyond what the level explains, and its one
    deviation; NaN where the curve cannot tell. ``stops_after`` [m3]: drawn through a shut vent
    until its suction is the whole head. ``bends``: surely. ``words`` say it.
    """

    tanks: tuple[Said, ...]
    suction: float
    deviation: float
    stops_after: float
    bends: bool
    words: Said


@dataclass(frozen=True, slots=True, kw_only=True)
class DrainDown:
    """One drain-down as it was read, with its curve and its vents."""

    name: str
    stretches: tuple[DrainStretch, ...]
    vents: tuple[VentSign, ...]


def drain_downs(
    model: RunModel,
    readings: tuple[Reading, ...],
    after: FloatArray,
    line: StraightFit,
    errors: SetUpErrors,
    fitted: tuple[int, ...],
) -> tuple[DrainDown, ...]:
    """Give the curve of each drain-down and look for the bend of a closing vent.

    Parameters
    ----------
    model : RunModel
        Of all readings.
    readings : tuple of Reading
    after : FloatArray (run,)
        [s] Times by the corrected model.
    line : StraightFit
        Of the fitted readings, as straight lines.
    errors : SetUpErrors
        Of the fitted readings.
    fitted : tuple of int
        Which readings they are.

    Returns
    -------
    tuple of DrainDown
        In the order of the readings.
    """
    found = []
    for name, places in drains_of(readings).items():
        inside = [place for place in places if place in fitted]
        rows = np.array([fitted.index(place) for place in inside], dtype=np.intp)
        vents = tuple(
            _vent(model, readings, inside, rows, tanks, line, errors)
            for tanks in _airspaces(model, places[0])
        )
        stretches = tuple(_stretch(model, readings[place], place, after) for place in places)
        found.append(DrainDown(name=name, stretches=stretches, vents=vents))
    return tuple(found)


def _stretch(model: RunModel, reading: Reading, place: int, after: FloatArray) -> DrainStretch:
    setting = reading.setting
    mass = setting.volume * reading.density
    return DrainStretch(
        drawn=setting.drawn_before + setting.volume,
        head=float(_heads(model, place)[model.points // 2]),
        flow=reading.mass_flow,
        flow_error=reading.relative_error * reading.mass_flow,
        expected=mass / float(model.seconds()[0, place]),
        after=mass / float(after[place]),
    )


def _heads(model: RunModel, place: int) -> FloatArray:
    """Head [m] (point,) of one run: from the lowest surface that feeds to the line's end."""
    distinct = int(model.which[place])
    rows = slice(distinct * model.points, (distinct + 1) * model.points)
    fed = _fed(model.assembly, model.settings[place].position)
    surface = model.situation.surface[rows][:, fed]
    end = model.situation.elevation[rows, model.assembly.inlet] + model.settings[place].end_height
    heads: FloatArray = np.nanmin(surface, axis=1) - end
    return heads


def _fed(assembly: Assembly, position: str) -> list[int]:
    names = [one.name for one in assembly.positions]
    return sorted(fed_tanks(assembly, names.index(position)))


def _airspaces(model: RunModel, place: int) -> tuple[tuple[int, ...], ...]:
    """Give the tanks that feed a run, those with one vent together."""
    tanks = model.assembly.system.tanks
    groups: dict[str, list[int]] = {}
    for tank in _fed(model.assembly, model.settings[place].position):
        groups.setdefault(tanks[tank].vent.group, []).append(tank)
    return tuple(tuple(group) for group in groups.values())


def _vent(
    model: RunModel,
    readings: tuple[Reading, ...],
    places: list[int],
    rows: IntArray,
    tanks: tuple[int, ...],
    line: StraightFit,
    errors: SetUpErrors,
) -> VentSign:
    names = tuple(model.assembly.system.tanks[tank].name for tank in tanks)
    nothing = VentSign(
        tanks=names, suction=math.nan, deviation=math.nan, stops_after=math.nan, bends=False,
        words=NOTHING,
    )  # fmt: skip

    def because(why: Said) -> VentSign:
        words = saying("drain_down.curve_says_nothing_vent", names=names, why=why)
        return replace(nothing, words=words)

    if len(places) < 3:
        return because(saying("drain_down.fewer_than_three_stretches"))
    suction = _shut_suction(model, places, tanks)
    if suction is None:
        return because(saying("drain_down.what_tank_holds_not"))
    end, head = float(suction[-1, -1]), float(_heads(model, places[-1])[-1])
    if not (end > 0.0 and head > 0.0):
        return because(saying("drain_down.no_head_left_end"))
    bend = _bend(model, places, tanks, suction / end * SMALL * head) / (SMALL * head)
    estimate, deviation = _weighed(line, errors, rows, bend)
    stops = _stops_after(model, places, suction)
    bends = estimate > SURE * deviation
    drawn = readings[places[-1]].setting
    total = drawn.drawn_before + drawn.volume
    return VentSign(
        tanks=names,
        suction=estimate,
        deviation=deviation,
        stops_after=stops,
        bends=bends,
        words=_words(names, estimate, deviation, stops, total, head),
    )


def _shut_suction(model: RunModel, places: list[int], tanks: tuple[int, ...]) -> FloatArray | None:
    """Give the suction [m] (stretch, point) over the fuel if the vent were shut from the start."""
    system = model.assembly.system
    group = system.tanks[tanks[0]].vent.group
    chosen = [index for index, tank in enumerate(system.tanks) if tank.vent.group == group]
    capacities = [capacity_of(system.tanks[tank].shape) for tank in chosen]
    if any(capacity is None for capacity in capacities):
        return None
    setting = model.settings[places[0]]
    begun = sum(setting.quantities[tank] for tank in chosen)
    room = max(sum(float(capacity or 0.0) for capacity in capacities) - begun, 1e-6)
    left = model.quantities[model.which[places]][:, :, chosen].sum(axis=2)
    fall = pressure_fall(
        float(standard_pressure(0.0)),
        float(vapour_pressure(system.fuel, setting.temperature)),
        room,
        np.maximum(begun - left, 0.0),
    )
    weight = float(model.situation.density[0]) * STANDARD_GRAVITY
    suction: FloatArray = fall / weight
    return suction


def _bend(
    model: RunModel, places: list[int], tanks: tuple[int, ...], suction: FloatArray
) -> FloatArray:
    """Give what a suction [m] (stretch, point) over some tanks does to the log times (stretch,)."""
    heads = model.situation.conditions.fixed_head.copy()
    distinct = model.which[places]
    for row, index in enumerate(distinct):
        points = np.arange(model.points) + index * model.points
        for node, tank, _ in model.assembly.outlets:
            if tank in tanks:
                heads[points, node] -= suction[row]
    conditions = replace(model.situation.conditions, fixed_head=heads)
    pulled = replace(model, situation=replace(model.situation, conditions=conditions))
    slower = deliver(model.assembly, pulled.situation).deliverable
    flow = slower.reshape(len(model.distinct), model.points)[distinct]
    seconds = (1.0 / flow) @ model.weights * model.volume[distinct]
    change: FloatArray = np.log(seconds) - np.log(model.seconds()[0, places])
    return change


def _weighed(
    line: StraightFit, errors: SetUpErrors, rows: IntArray, bend: FloatArray
) -> tuple[float, float]:
    """Estimate the suction by generalised least squares, with its one deviation [m]."""
    pattern = np.zeros(len(line.values))
    pattern[rows] = bend
    covariance = (
        line.effects @ line.effects.T + errors.common @ errors.common.T + np.diag(errors.own**2)
    )
    weighed = np.linalg.solve(covariance, pattern)
    information = float(pattern @ weighed)
    if not information > 0.0:
        return math.nan, math.nan
    return float(weighed @ line.values) / information, information**-0.5


def _stops_after(model: RunModel, places: list[int], suction: FloatArray) -> float:
    """Give what is drawn [m3] until a shut vent's suction is the whole head; NaN if never."""
    drawn, over = [0.0], [-float(_heads(model, places[0])[0])]
    for row, place in enumerate(places):
        setting = model.settings[place]
        drawn.append(setting.drawn_before + setting.volume)
        over.append(float(suction[row, -1] - _heads(model, place)[-1]))
    for index in range(1, len(over)):
        if over[index] >= 0.0:
            step = over[index] - over[index - 1]
            return drawn[index - 1] - over[index - 1] * (drawn[index] - drawn[index - 1]) / step
    return math.nan


def _words(
    names: tuple[Said, ...],
    suction: float,
    deviation: float,
    stops: float,
    total: float,
    head: float,
) -> Said:
    who = names
    if not math.isfinite(suction):
        return saying("drain_down.curve_says_nothing", who=who)
    if suction > SURE * deviation:
        return saying(
            "drain_down.flow_falls_faster_than", suction=suction, deviation=deviation, who=who
        )
    most = max(suction, 0.0) + BOUND * deviation
    bound = saying("drain_down.end_took_most_head", most=most, head=head)
    if math.isfinite(stops):
        return saying(
            "drain_down.vent_not_shut_shut", who=who, stops=stops, total=total, bound=bound
        )
    return saying("drain_down.shut_vent_would_not", who=who, bound=bound)

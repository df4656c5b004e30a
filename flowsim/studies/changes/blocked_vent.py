"""A blocked vent: how much can be drawn before the flow is lost, and how long that takes.

The air over the fuel stretches (``flowsim.physics.tank.ullage``) and pulls against the head. A test
on the ground that draws less than that passes with the vent blocked. This is the one model of it:
what-if, unusable fuel, report and test card all show its rows.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product

import numpy as np

from flowsim.network.assembly import assemble
from flowsim.network.scenarios import CARBURETTOR, END_NAMES, OPEN_LINE
from flowsim.studies.changes.shut_airspaces import (
    FULL,
    LEAST,
    TEST,
    BlockedVentCase,
    ShutAirspaces,
    first_loss,
)
from flowsim.studies.judged.scenarios import fed_tanks
from flowsim.studies.saying import Said, saying
from flowsim.system.fuel_system import FuelSystem
from flowsim.system.tanks import StatedLevel

ASSUMED = saying("blocked_vent.tank_lines_rigid_tight")
"""What the model takes for granted, in the words that every page shows."""
NOTICE_FACTOR = 1.5
"""[-] A test that is to show a blocked vent draws this much more (common practice, no source)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BlockedVentRow:
    """One blocked airspace in one selector position; volumes [m3], pressures [Pa], times [s].

    ``blocked``: tanks that share the blocked vent, ``drawn_from`` those of them that feed.
    ``fuel_state``: one of the three above. ``ullage`` over the fuel of all blocked tanks.
    ``drawn_until_lost``: drawn when the flow asked for is lost; infinite where other tanks go on
    feeding, or where the fuel runs out first (``runs_out_first``: an open vent gives no more).
    ``drawn_until_stop``: when all flow has stopped, infinite in the same way. ``pressure_fall`` of
    the air when the flow is lost. ``time_until_lost`` at the flow asked for. ``test_draw_needed``:
    1.5 times ``drawn_until_stop``, because a container filled while the flow falls away is no clear
    sign. ``shown_by_test``: the stated draw of the ground test is enough.
    """

    selector: str
    blocked: tuple[str, ...]
    drawn_from: tuple[str, ...]
    fuel_state: str
    asked: str
    demand: float
    end: str
    pitch: float
    temperature: float
    ambient: float
    vapour_pressure: float
    ullage: float
    drawn_until_lost: float
    drawn_until_stop: float
    pressure_fall: float
    time_until_lost: float
    test_draw_needed: float
    runs_out_first: bool
    shown_by_test: bool
    failed: bool


def blocked_vents(
    system: FuelSystem, *, group: str = "", ground_only: bool = False
) -> tuple[BlockedVentRow, ...]:
    """Work out what a blocked vent does, in every judged selector position.

    Parameters
    ----------
    system : FuelSystem
    group : str
        Vent group that is blocked; each in turn if empty.
    ground_only : bool
        Leave the rows in flight out.

    Returns
    -------
    tuple of BlockedVentRow
        For each airspace (tanks with the same vent group share one) and each fuel temperature: on
        the ground, at sea level and test attitude, against the required flow, full, with the test
        quantity and with least take-off fuel; in flight, level, against the burn, full and with
        least take-off fuel. Other tanks keep their fuel and air.

    Raises
    ------
    DomainError
        Where the fuel boils at ambient pressure.

    Notes
    -----
    ``ASSUMED`` says what is taken for granted. A real tank gives a little, so a test must draw
    more, not less.
    """
    assembly = assemble(system)
    groups: dict[str, list[int]] = {}
    for index, tank in enumerate(system.tanks):
        if not isinstance(tank.shape, StatedLevel) and group in ("", tank.vent.group):
            groups.setdefault(tank.vent.group, []).append(index)
    cases = []
    for position, setting in enumerate(assembly.positions):
        fed = fed_tanks(assembly, position)
        for tanks in groups.values():
            feeding = tuple(tank for tank in tanks if tank in fed)
            if not setting.judged or not feeding:
                continue
            for state, temperature in product((FULL, TEST, LEAST), system.temperatures):
                both = _cases(system, position, (tuple(tanks), feeding), state, temperature)
                cases += both[:1] if ground_only or state == TEST else both
    if not cases:
        return ()
    trials = ShutAirspaces(assembly, cases)
    lost = first_loss(trials, "lost")
    stop = first_loss(trials, "stop")
    vented = first_loss(trials, "lost", vented=True), first_loss(trials, "stop", vented=True)
    return tuple(
        _row(
            trials,
            index,
            (float(lost[index]), float(stop[index])),
            (float(vented[0][index]), float(vented[1][index])),
        )
        for index in range(len(cases))
    )


def _cases(
    system: FuelSystem,
    position: int,
    tanks: tuple[tuple[int, ...], tuple[int, ...]],
    state: str,
    temperature: float,
) -> list[BlockedVentCase]:
    """Ground test at the open line, and level flight at full-power burn."""
    engine, flight = system.engine, system.flight
    test_pitch = flight.climb_pitch + flight.test_margin
    end = OPEN_LINE if engine.carburettor is None else CARBURETTOR
    required = engine.burn * engine.factor
    height, speed = flight.pressure_altitude, flight.top_speed
    level = flight.level_pitch
    return [
        BlockedVentCase(
            position, *tanks, state, OPEN_LINE, required, test_pitch, temperature, 0.0, 0.0
        ),
        BlockedVentCase(
            position, *tanks, state, end, engine.burn, level, temperature, height, speed
        ),
    ]


def _row(
    trials: ShutAirspaces, index: int, ends: tuple[float, float], vented: tuple[float, float]
) -> BlockedVentRow:
    """Put one case together: drawn until lost and until stopped, blocked and with an open vent."""
    case, system = trials.cases[index], trials.assembly.system
    lost, stop = ends
    runs_out_first = _runs_out(lost, vented[0])
    lost = math.inf if runs_out_first else lost
    stop = math.inf if _runs_out(stop, vented[1]) else stop
    if trials.failed[index]:
        lost = stop = math.nan
    place, one = np.array([index]), np.array([lost])
    known = math.isfinite(lost)
    return BlockedVentRow(
        selector=trials.assembly.positions[case.position].name,
        blocked=tuple(system.tanks[tank].name for tank in case.blocked),
        drawn_from=tuple(system.tanks[tank].name for tank in case.drawn_from),
        fuel_state=case.state,
        asked="burn" if case.demand == system.engine.burn else "required",
        demand=case.demand,
        end=END_NAMES[case.end],
        pitch=case.pitch,
        temperature=case.temperature,
        ambient=float(trials.ambient[index]),
        vapour_pressure=float(trials.vapour[index]),
        ullage=float(trials.ullage[index]),
        drawn_until_lost=lost,
        drawn_until_stop=stop,
        pressure_fall=float(trials.fall(place, one)[0]) if known else math.nan,
        time_until_lost=lost / (case.demand / float(trials.density[index])),
        test_draw_needed=NOTICE_FACTOR * stop,
        runs_out_first=runs_out_first,
        shown_by_test=NOTICE_FACTOR * stop <= system.test_draw,
        failed=bool(trials.failed[index]),
    )


def _runs_out(blocked: float, vented: float) -> bool:
    """Tell whether within 1 mL of it an open vent gives no more: then the vent does not end it."""
    return math.isfinite(vented) and blocked >= vented - 1e-6


def lost_words(rows: Sequence[BlockedVentRow]) -> tuple[Said, ...]:
    """Say of each fuel, on the ground and in flight, what is drawn until the flow is lost.

    Parameters
    ----------
    rows : sequence of BlockedVentRow
        Of one airspace.

    Returns
    -------
    tuple of str
        The soonest of each over positions and temperatures.
    """
    found: dict[tuple[str, str], list[BlockedVentRow]] = {}
    for row in rows:
        found.setdefault((row.asked, row.fuel_state), []).append(row)
    return tuple(
        _lost_words(asked, state, min(some, key=lambda row: row.drawn_until_lost))
        if not any(row.failed for row in some)
        else saying("blocked_vent.solve_failed_nothing_known", state=state)
        for (asked, state), some in found.items()
    )


def _lost_words(asked: str, state: str, row: BlockedVentRow) -> Said:
    where = (
        saying("blocked_vent.ground_required_flow")
        if asked == "required"
        else saying("blocked_vent.flight_burn")
    )
    if not math.isfinite(row.drawn_until_lost):
        return saying("blocked_vent.arrives_until_fuel_runs", state=state, where=where)
    return saying(
        "blocked_vent.lost_after_drawn_min",
        state=state,
        where=where,
        drawn_until_lost=row.drawn_until_lost,
        time_until_lost=row.time_until_lost,
    )

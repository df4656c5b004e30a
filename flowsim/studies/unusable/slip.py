"""The slips that a case flies: the fuel that they need, and how long the lines feed without it."""

import math
from dataclasses import dataclass

import numpy as np

from flowsim.network.assembly import Assembly
from flowsim.network.routes import paths
from flowsim.network.scenarios import (
    CARBURETTOR,
    OPEN_LINE,
    Scenarios,
    build_scenarios,
    situate,
)
from flowsim.physics.air.dips import DIP_CAUTIOUS, DIP_EXPECTED
from flowsim.physics.arrays import BoolArray, FloatArray
from flowsim.physics.attitude import height
from flowsim.physics.fuel.properties import density
from flowsim.physics.tank.surface import capacity_of
from flowsim.studies.delivery.pressures import at_drawn_flow
from flowsim.studies.judged.flight_attitudes import FLOWN_SLIP, Attitudes, flown_slips
from flowsim.studies.judged.flight_conditions import airspeed_at
from flowsim.studies.judged.scenarios import DIRTY_SCREEN, fed_tanks
from flowsim.studies.sampling.draws import Draws
from flowsim.studies.unusable.bands import limits_in_draws, slip_fuel
from flowsim.studies.unusable.drawn import HIGH, LOW, MIDDLE, DrawnTrials, band_of
from flowsim.studies.unusable.result import Extreme, QuantityBand, TimeBand
from flowsim.studies.unusable.rows import AIR, BURN, DOUBT, FLOW, drawn_situation, emptyings
from flowsim.studies.unusable.table import LimitTable


@dataclass(frozen=True, slots=True, kw_only=True)
class SlipRow:
    """One tank emptied in one judged selector position, in all slips that the case flies.

    ``expected`` and ``cautious``: the quantity [m3] below which the burn is lost, with the expected
    and with the cautious dip of the surface (air possibly drawn counts there). ``seconds`` [s] of
    the burn that the lines still hold once the outlets are bare: zero where even a full tank does
    not give it. ``drawn`` tells what the cautious quantity is in joint draws, and in how many the
    fuel with which the slip is flown is enough; None on nominal values, as ``seconds_drawn``, what
    the seconds are in the same draws.
    """

    selector: str
    tank: str
    expected: Extreme
    cautious: Extreme
    seconds: float
    drawn: QuantityBand | None = None
    seconds_drawn: TimeBand | None = None

    @property
    def surely(self) -> float:
        """Seconds that the lines hold in 95 % of the draws and on nominal values [s].

        NaN where a draw failed.
        """
        if self.seconds_drawn is None:
            return self.seconds
        return float(np.minimum(self.seconds, self.seconds_drawn.low))


def slip_rows(assembly: Assembly, draws: Draws | None = None) -> tuple[SlipRow, ...]:
    """Work out the slips that a case flies.

    Parameters
    ----------
    assembly : Assembly
    draws : Draws, optional
        Whose first ``drawn.DRAWN`` tell how often ``slip_fuel`` is enough.

    Returns
    -------
    tuple of SlipRow
        By judged position and tank; empty where no slip is stated, or no tank with a quantity
        feeds. Both sides, in level flight at full power and in the stated descent at its burn,
        other tanks at the test quantity, screens at 20 % clear.
    """
    attitudes = flown_slips(assembly.system)
    ways = tuple(way for way in emptyings(assembly) if assembly.positions[way.position].judged)
    if attitudes is None or not ways:
        return ()
    table = LimitTable(assembly, attitudes, ways, (BURN,))
    drawn = None if draws is None else DrawnTrials(table.trials, draws)
    rows = []
    for position in dict.fromkeys(way.position for way in ways):
        seconds = float(seconds_in_lines(assembly, attitudes, position)[0])
        in_draws = None
        if drawn is not None:
            in_draws = time_band(seconds_in_lines(assembly, attitudes, position, drawn.draws))
        here = np.array([way.position == position for way in ways])
        for index in sorted(
            {tank for way in ways if way.position == position for tank in way.tanks}
        ):
            chosen = [
                table.choose(index, BURN, (FLOWN_SLIP,), times=times) & here[table.rows.emptying]
                for times in (DIP_EXPECTED, DIP_CAUTIOUS)
            ]
            rows.append(
                SlipRow(
                    selector=assembly.positions[position].name,
                    tank=assembly.system.tanks[index].name,
                    expected=table.extreme(chosen[0], FLOW, AIR),
                    cautious=table.extreme(chosen[1], FLOW, DOUBT),
                    seconds=seconds,
                    drawn=None if drawn is None else _band(table, drawn, chosen[1], index),
                    seconds_drawn=in_draws,
                )
            )
    return tuple(rows)


def _band(
    table: LimitTable, drawn: DrawnTrials, chosen: BoolArray, tank: int
) -> QuantityBand | None:
    """Give the band of the cautious quantity of some rows that empty a tank; None without rows."""
    limits = limits_in_draws(table, drawn, chosen, DOUBT)
    system = table.assembly.system
    return None if limits is None else band_of(limits, slip_fuel(system, system.tanks[tank]))


def time_band(seconds: FloatArray) -> TimeBand:
    """Give 5th, 50th and 95th percentile of times in draws (draw,) [s].

    Each is a time that was found, the 5th and 50th no longer than the share says.
    """
    failed = int(np.isnan(seconds).sum())
    ordered = np.sort(seconds)
    count = len(ordered)
    places = (math.ceil(share * count - 1e-9) - 1 for share in (LOW, MIDDLE, HIGH))
    low, middle, high = (math.nan if failed else float(ordered[place]) for place in places)
    return TimeBand(low=low, middle=middle, high=high, draws=count, failed=failed)


def seconds_in_lines(
    assembly: Assembly, attitudes: Attitudes, position: int, draws: Draws | None = None
) -> FloatArray:
    """Give how long the lines alone give the burn after the outlets have gone bare.

    Parameters
    ----------
    assembly : Assembly
    attitudes : Attitudes
    position : int
        Of the selector.
    draws : Draws, optional
        Joint draws: heights, losses, bores, fuel and vents of each; nominal values without.

    Returns
    -------
    FloatArray (draw,)
        [s], the least over attitudes, ends and ways from an outlet to the engine: what stands in
        the way above the height at which the burn just arrives, over the burn, hottest fuel. Only
        down to the first place below that height: what lies beyond does not run out by itself.
        Bowls and the float chamber are left out. Zero where even full tanks do not give the burn;
        NaN in draws in which a solve failed.
    """
    nominal, burn = _full(assembly, attitudes, position)
    count, factors = (1, None) if draws is None else (draws.count, None)
    which = np.repeat(np.arange(count), len(burn))
    scenarios = nominal.take(np.tile(np.arange(len(burn)), count))
    burn = np.tile(burn, count)
    if draws is None:
        situation = situate(assembly, scenarios)
    else:
        each = draws.take(which)
        situation, factors = drawn_situation(assembly, scenarios, each), each.factors
    state = at_drawn_flow(assembly, situation, burn, factors=factors)
    solved = state.solution.converged & state.solution.supplied
    with np.errstate(invalid="ignore"):
        feeds = solved & (state.head_left >= 0.0)
    least = np.full(len(burn), np.inf)
    volume_burn = burn / density(assembly.system.fuel, scenarios.temperature)
    allowed = assembly.line_allowed[position]
    fed = fed_tanks(assembly, position)
    wider = None if factors is None else factors.bore
    for node, tank, _ in assembly.outlets:
        if tank not in fed:
            continue
        # Air follows at the tank's own pressure, so that the fuel's height alone counts.
        needed = situation.surface[:, tank] - state.head_left
        for way in paths(assembly, allowed, node):
            held = _held_above(assembly, way, scenarios.gravity, needed, wider)
            least = np.minimum(least, np.where(feeds, held / volume_burn, 0.0))
    least = np.where(np.isfinite(least), least, 0.0)
    least[~state.solution.converged] = np.nan
    found: FloatArray = least.reshape(count, -1).min(axis=1)
    return found


def _full(assembly: Assembly, attitudes: Attitudes, position: int) -> tuple[Scenarios, FloatArray]:
    """Scenarios of every attitude and end with full tanks, and the burn asked for [kg/s]."""
    system = assembly.system
    engine, flight = system.engine, system.flight
    ends = [OPEN_LINE] if engine.carburettor is None else [OPEN_LINE, CARBURETTOR]
    which = np.repeat(np.arange(attitudes.count), len(ends))
    end = np.tile(np.array(ends, dtype=np.intp), attitudes.count)
    pitch = attitudes.pitch[which]
    upward = pitch >= flight.level_pitch - 1e-12
    burn = np.where(upward, engine.burn, engine.descent_burn or engine.burn)
    full = np.array([capacity_of(tank.shape) or 0.0 for tank in system.tanks])
    scenarios = build_scenarios(
        assembly,
        gravity=attitudes.gravity[which],
        pitch=pitch,
        roll=attitudes.lean[which],
        position=position,
        quantity=full,
        temperature=max(system.temperatures),
        airspeed=np.where(end == CARBURETTOR, airspeed_at(flight, pitch), 0.0),
        end=end,
        screen_clear=DIRTY_SCREEN,
    )
    return scenarios, burn


def _held_above(
    assembly: Assembly,
    way: tuple[tuple[int, bool], ...],
    gravity: FloatArray,
    needed: FloatArray,
    wider: FloatArray | None,
) -> FloatArray:
    """Volume (scenario,) [m3] in a way from its outlet to where it first is below ``needed``.

    ``wider`` (scenario, pipe) are factors on the bores; None for all as stated.
    """
    held = np.zeros(len(gravity))
    going = np.ones(len(gravity), dtype=bool)
    for link, turned in way:
        points = assembly.stations[link][::-1] if turned else assembly.stations[link]
        elevation = height(points, gravity)
        lengths = np.linalg.norm(np.diff(points, axis=0), axis=1)
        whole = _volume(assembly, link, wider)
        total = float(lengths.sum())
        for step, length in enumerate(lengths):
            near, far = elevation[:, step], elevation[:, step + 1]
            going &= near > needed
            fall = near - far
            share = np.where(far >= needed, 1.0, (near - needed) / np.where(fall > 0, fall, 1.0))
            share = np.clip(share, 0.0, 1.0)
            part = whole * (length / total if total > 0.0 else 0.0)
            held = held + np.where(going, share * part, 0.0)
            going &= far >= needed
    return held


def _volume(assembly: Assembly, link: int, wider: FloatArray | None) -> FloatArray:
    """Volume (scenario,) or (1,) [m3] of a line's tube and hose."""
    pipes = assembly.network.pipes
    own = np.flatnonzero(pipes.link == link)
    volume = np.pi / 4.0 * pipes.bore[own] ** 2 * pipes.length[own]
    factor = np.ones((1, len(own))) if wider is None else wider[:, own]
    found: FloatArray = (volume * factor**2).sum(axis=1)
    return found

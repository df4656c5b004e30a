"""A header tank: whether it is refilled as fast as the engine burns, and how long it lasts alone.

In the network a header tank holds what is stated, so it feeds whatever is asked. Whether the wing
tanks keep it filled is judged here, and in ``flowsim.studies.verdict.decisions.header_refill``.
"""

import math
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from flowsim.network.assembly import Assembly, assemble, selector_words
from flowsim.network.scenarios import DEMAND, Scenarios, build_scenarios
from flowsim.physics.arrays import FloatArray
from flowsim.physics.fuel.properties import density
from flowsim.physics.tank.surface import capacity_of
from flowsim.studies.judged.flight_attitudes import LEVEL, TURN, Attitudes, attitudes_of
from flowsim.studies.judged.flight_conditions import airspeed_at
from flowsim.studies.judged.headers import Header, headers_of, refill_of, refill_states, solved
from flowsim.studies.judged.scenarios import DIRTY_SCREEN
from flowsim.studies.result import Verdict
from flowsim.studies.saying import saying
from flowsim.studies.unusable.study import UnusableResult
from flowsim.system.fuel_system import FuelSystem
from flowsim.system.tanks import StatedLevel


@dataclass(frozen=True, slots=True, kw_only=True)
class HeaderRow:
    """The least refill of one header tank in one selector position and fuel state.

    ``refill`` [kg/s] least flow from other tanks, into the header or past it to the engine, at
    full-power burn, in climb and descent, wings level and in turns; ``burn`` [kg/s]; ``pitch`` and
    ``lean`` [rad], ``temperature`` [K] where it is least. ``volume`` [m3] of the header, None where
    not known; ``time_alone`` [s] at full-power burn on what it holds, with no refill;
    ``time_until_empty`` [s] with that refill (infinite where it keeps up). NaN without a volume.
    """

    header: str
    selector: str
    judged: bool
    fuel_state: str
    burn: float
    refill: float
    pitch: float
    lean: float
    temperature: float
    volume: float | None
    time_alone: float
    time_until_empty: float
    failed: bool

    @property
    def keeps_up(self) -> bool:
        """Whether the refill is no less than the burn."""
        return self.refill >= self.burn


def header_tanks(system: FuelSystem) -> tuple[HeaderRow, ...]:
    """Work out the refill of every header tank (``flowsim.studies.judged.headers``).

    Parameters
    ----------
    system : FuelSystem

    Returns
    -------
    tuple of HeaderRow
        Empty where the case has no header tank. Least over pitch from descent to climb + test
        margin, wings level and in turns, and the stated temperatures; screens at 20 % clear.

    Notes
    -----
    A header of stated level stands there, any other holds its test quantity. One that has fallen
    takes in a little more; that is not credited.
    """
    assembly = assemble(system)
    headers = headers_of(assembly)
    if not headers:
        return ()
    attitudes = attitudes_of(system)
    keep = np.flatnonzero(np.isin(np.array(attitudes.kind), [LEVEL, TURN]))
    rows = []
    for header in headers:
        for name, quantity in refill_states(assembly, header):
            table = _table(assembly, attitudes, keep, header.position, quantity)
            situation, solution = solved(assembly, table)
            burn = table.demand / situation.density
            refill = refill_of(assembly, header, solution, burn) * situation.density
            failed = bool((~solution.converged).any())
            rows.append(_row(assembly, header, name, table, refill, failed))
    return tuple(rows)


def with_refill(result: UnusableResult, headers: tuple[HeaderRow, ...]) -> UnusableResult:
    """Let the refill of header tanks speak in the verdict on the declared figures.

    Parameters
    ----------
    result : UnusableResult
    headers : tuple of HeaderRow

    Returns
    -------
    UnusableResult
        Not adequate where, in a judged position, a header is not refilled as fast as full power
        burns; cannot tell where the refill is less than the required flow, or a solve failed.
        Where only a header of stated level feeds the engine its refill alone decides.
    """
    judged = [row for row in headers if row.judged]
    if not judged:
        return result
    verdict = Verdict.CANNOT_TELL if any(row.failed for row in judged) else Verdict.ADEQUATE
    short = tuple(
        saying(
            "unusable.header_tank_refill_falls",
            header=row.header,
            selector=selector_words(row.selector),
            fuel_state=row.fuel_state,
        )
        for row in judged
        if not row.failed and not row.keeps_up
    )
    tight = tuple(
        saying(
            "unusable.header_tank_refill_covers",
            header=row.header,
            selector=selector_words(row.selector),
            fuel_state=row.fuel_state,
        )
        for row in judged
        if not row.failed and row.keeps_up and row.refill < result.required
    )
    if tight:
        verdict = Verdict.CANNOT_TELL
    if short:
        verdict = Verdict.NOT_ADEQUATE
    order = (Verdict.NOT_ADEQUATE, Verdict.CANNOT_TELL, Verdict.ADEQUATE)
    both = (verdict, result.verdict) if result.tanks else (verdict,)
    worst = next(item for item in order if item in both)
    return replace(result, verdict=worst, reasons=(*result.reasons, *short, *tight))


def _table(
    assembly: Assembly,
    attitudes: Attitudes,
    keep: npt.NDArray[np.intp],
    position: int,
    quantity: tuple[float, ...],
) -> Scenarios:
    system = assembly.system
    chosen = np.tile(keep, len(system.temperatures))
    return build_scenarios(
        assembly,
        gravity=attitudes.gravity[chosen],
        pitch=attitudes.pitch[chosen],
        roll=attitudes.lean[chosen],
        position=position,
        quantity=np.array(quantity),
        temperature=np.repeat(system.temperatures, len(keep)),
        airspeed=airspeed_at(system.flight, attitudes.pitch[chosen]),
        end=DEMAND,
        demand=system.engine.burn,
        dip_flow=system.engine.burn,
        screen_clear=DIRTY_SCREEN,
    )


def _row(
    assembly: Assembly,
    header: Header,
    state: str,
    table: Scenarios,
    refill: FloatArray,
    failed: bool,
) -> HeaderRow:
    """Find where the refill is least, of the attitudes in which the header feeds the engine."""
    system = assembly.system
    tank, burn = system.tanks[header.tank], system.engine.burn
    failed = failed or bool(np.isnan(refill).all())
    worst = 0 if failed else int(np.nanargmin(refill))
    least = math.nan if failed else float(refill[worst])
    volume = tank.volume if isinstance(tank.shape, StatedLevel) else capacity_of(tank.shape)
    liquid = float(density(system.fuel, table.temperature[worst]))
    held = math.nan if volume is None else volume * liquid
    short = burn - least
    empty = held / short if short > 0.0 else (math.inf if short <= 0.0 else math.nan)
    setting = assembly.positions[header.position]
    return HeaderRow(
        header=tank.name,
        selector=setting.name,
        judged=setting.judged,
        fuel_state=state,
        burn=burn,
        refill=least,
        pitch=float(table.pitch[worst]),
        lean=float(table.roll[worst]),
        temperature=float(table.temperature[worst]),
        volume=volume,
        time_alone=held / burn,
        time_until_empty=empty if volume is not None or empty == math.inf else math.nan,
        failed=failed,
    )

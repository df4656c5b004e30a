"""A header tank: whether it is refilled as fast as the engine burns, and how long it lasts alone.

In the network a header tank stands at its stated level, so it feeds whatever is asked. Whether the
wing tanks keep it there is judged here.
"""

import math
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from flowsim.network.assembly import Assembly, assemble
from flowsim.network.scenarios import DEMAND, Scenarios, situate
from flowsim.network.solver import solve
from flowsim.physics.arrays import FloatArray
from flowsim.physics.fuel_properties import density
from flowsim.studies.flight_attitudes import LEVEL, TURN, Attitudes, attitudes_of
from flowsim.studies.judged_set import DIRTY_SCREEN, fuel_states
from flowsim.studies.result import Verdict
from flowsim.studies.unusable import UnusableResult
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
    """Work out the refill of every tank of stated level that others feed.

    Parameters
    ----------
    system : FuelSystem

    Returns
    -------
    tuple of HeaderRow
        Empty where the case has no tank of stated level. Least over pitch from descent to climb +
        test margin, wings level and in turns, and the stated temperatures; screens at 20 % clear.

    Notes
    -----
    The header stands at its stated level, vented to its own vent. A header that has fallen takes
    in a little more; that is not credited.
    """
    headers = [i for i, tank in enumerate(system.tanks) if isinstance(tank.shape, StatedLevel)]
    if not headers:
        return ()
    assembly = assemble(system)
    attitudes = attitudes_of(system)
    keep = np.flatnonzero(np.isin(np.array(attitudes.kind), [LEVEL, TURN]))
    states = [state for state in fuel_states(assembly) if state.emptied is None]
    rows = []
    for position in range(len(assembly.positions)):
        for state in states:
            table = _table(assembly, attitudes, keep, position, state.quantity)
            solution = solve(assembly.network, situate(assembly, table).conditions)
            for header in headers:
                net = _net_inflow(assembly, solution.flow, header)
                rows.append(_row(assembly, header, position, state.name, table, net))
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
        burns, down to the declared unusable fuel; cannot tell where a solve failed. Where only a
        header feeds the engine its refill alone decides.
    """
    judged = [row for row in headers if row.judged]
    if not judged:
        return result
    verdict = Verdict.CANNOT_TELL if any(row.failed for row in judged) else Verdict.ADEQUATE
    short = tuple(
        f'header tank "{row.header}": its refill falls short of the burn, selector {row.selector}, '
        f"{row.fuel_state}"
        for row in judged
        if not row.failed and not row.keeps_up
    )
    if short:
        verdict = Verdict.NOT_ADEQUATE
    order = (Verdict.NOT_ADEQUATE, Verdict.CANNOT_TELL, Verdict.ADEQUATE)
    both = (verdict, result.verdict) if result.tanks else (verdict,)
    worst = next(item for item in order if item in both)
    return replace(result, verdict=worst, reasons=(*result.reasons, *short))


def _table(
    assembly: Assembly,
    attitudes: Attitudes,
    keep: npt.NDArray[np.intp],
    position: int,
    quantity: tuple[float, ...],
) -> Scenarios:
    system = assembly.system
    chosen = np.tile(keep, len(system.temperatures))
    size = len(chosen)
    has_screen = bool((~np.isnan(assembly.network.coefficients.clear)).any())
    return Scenarios(
        gravity=attitudes.gravity[chosen],
        pitch=attitudes.pitch[chosen],
        roll=attitudes.lean[chosen],
        position=np.full(size, position),
        quantity=np.tile(quantity, (size, 1)),
        temperature=np.repeat(system.temperatures, len(keep)),
        airspeed=np.full(size, system.flight.climb_speed),
        altitude=np.full(size, system.flight.pressure_altitude),
        end=np.full(size, DEMAND),
        demand=np.full(size, system.engine.burn),
        dip_flow=np.full(size, system.engine.burn),
        screen_clear=np.full(size, DIRTY_SCREEN if has_screen else np.nan),
    )


def _net_inflow(assembly: Assembly, flow: FloatArray, header: int) -> FloatArray:
    """Net volume flow (scenario,) [m3/s] through all lines into one tank."""
    network = assembly.network
    net = np.zeros(len(flow))
    for node, tank, _ in assembly.outlets:
        if tank == header:
            net += flow[:, network.end == node].sum(axis=1)
            net -= flow[:, network.start == node].sum(axis=1)
    return net


def _row(
    assembly: Assembly, header: int, position: int, state: str, table: Scenarios, net: FloatArray
) -> HeaderRow:
    system = assembly.system
    tank, burn = system.tanks[header], system.engine.burn
    liquid = density(system.fuel, table.temperature)
    # While the engine draws its burn, the header changes by the refill less the burn.
    refill = net * liquid + burn
    failed = bool(np.isnan(refill).any())
    worst = int(np.argmin(np.where(np.isnan(refill), -np.inf, refill)))
    least = math.nan if failed else float(refill[worst])
    held = math.nan if tank.volume is None else tank.volume * float(liquid[worst])
    short = burn - least
    empty = held / short if short > 0.0 else (math.inf if short <= 0.0 else math.nan)
    setting = assembly.positions[position]
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
        volume=tank.volume,
        time_alone=held / burn,
        time_until_empty=empty if tank.volume is not None or empty == math.inf else math.nan,
        failed=failed,
    )

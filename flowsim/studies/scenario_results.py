"""From arrays to one record per scenario."""

import numpy as np

from flowsim.network.scenarios import END_NAMES
from flowsim.network.standing import STILL
from flowsim.physics.arrays import FloatArray
from flowsim.physics.atmosphere import standard_pressure
from flowsim.studies.joint import JointResult
from flowsim.studies.judged_set import DIRTY_SCREEN
from flowsim.studies.judging import HIGH, LOW, physical_verdict, ratio_verdict, worst
from flowsim.studies.result import ScenarioResult, Verdict
from flowsim.studies.sweep import Sweep


def scenario_results(sweep: Sweep, joint: JointResult | None) -> tuple[ScenarioResult, ...]:
    """Make one record for every scenario of the sweep, in the order of its table."""
    maker = _Maker(sweep, joint)
    return tuple(maker.record(row) for row in range(sweep.table.scenarios.count))


def scenario_result(sweep: Sweep, joint: JointResult | None, row: int) -> ScenarioResult:
    """Make the record of one row of the sweep's table."""
    return _Maker(sweep, joint).record(row)


class _Maker:
    """Holds what all records share, so that each of thousands is made quickly."""

    def __init__(self, sweep: Sweep, joint: JointResult | None) -> None:
        self.sweep = sweep
        self.judged = {int(row): index for index, row in enumerate(sweep.judged_rows)}
        self.bands = _bands(joint)
        self.spread = _spread(sweep, self.bands)
        tanks = sweep.assembly.system.tanks
        self.tank_names = [tank.name for tank in tanks]
        self.outlet_names = list(sweep.assembly.system.outlet_nodes())
        self.ambient = standard_pressure(sweep.table.scenarios.altitude)
        self.pressure = sweep.situation.tank_pressure + self.ambient[:, None]
        self.backflow = _backflow(sweep)
        self.forward = sweep.table.forward
        self.quantities = [
            tuple(zip(self.tank_names, state.quantity, strict=True)) for state in sweep.table.states
        ]
        self.ratio = sweep.ratio.tolist()
        self.trapped_ratio = sweep.trapped_ratio.tolist()
        self.held = sweep.trapped.held.tolist()
        self.uncovered = [
            tuple(name for name, bare in zip(self.outlet_names, row, strict=True) if bare)
            for row in sweep.situation.uncovered.tolist()
        ]
        self.screens = f"{100 * DIRTY_SCREEN:.0f} % clear"

    def record(self, row: int) -> ScenarioResult:
        """Make the record of one row of the table."""
        sweep = self.sweep
        scenarios, table, delivery = sweep.table.scenarios, sweep.table, sweep.delivery
        judged = self.judged.get(row)
        low, high = self.bands.get(row, (None, None))
        if low is not None and high is not None:
            low, high = low * table.required[row], high * table.required[row]
        uncovered = self.uncovered[row]
        verdict, reasons = self._verdict(row, judged)
        required = sweep.at_required
        held = 0.0 if judged is None else self.held[judged]
        density = float(sweep.situation.density[row])
        return ScenarioResult(
            index=row,
            selector=sweep.assembly.positions[scenarios.position[row]].name,
            pitch=float(scenarios.pitch[row]),
            roll=float(scenarios.roll[row]),
            airspeed=float(scenarios.airspeed[row]),
            altitude=float(scenarios.altitude[row]),
            fuel_state=table.states[table.state[row]].name,
            quantities=self.quantities[table.state[row]],
            temperature=float(scenarios.temperature[row]),
            tank_air_pressure=tuple(zip(self.tank_names, self.pressure[row].tolist(), strict=True)),
            end=END_NAMES[scenarios.end[row]],
            screens=self.screens if table.dirty[row] else "as stated",
            purpose=str(table.purpose[row]),
            judged=judged is not None,
            required=float(table.required[row]),
            flow=float(sweep.flow[row]),
            solved_flow=float(delivery.solved[row]) * density,
            volume_flow=float(delivery.deliverable[row]),
            flow_low=low,
            flow_high=high,
            inlet_pressure_at_required=_value(required.inlet_pressure, judged),
            head_left=_value(required.head_left, judged),
            uncovered=uncovered,
            air_drawn=_value(required.air_margin, judged) < 0
            or bool(delivery.air_limited[row] and self.ratio[row] < 1),
            air_margin=_value(required.air_margin, judged),
            vapour_margin=_value(required.vapour_margin, judged),
            lowest_pressure_margin=_value(required.tank_margin, judged),
            trapped_air_head=held,
            flow_trapped=(
                float(sweep.flow[row]) if judged is None else sweep.trapped.flow[judged] * density
            ),
            humps=() if judged is None else sweep.trapped.humps[judged],
            backflow=self.backflow[row],
            converged=bool(delivery.solution.converged[row]),
            residual=float(delivery.solution.residual[row]),
            flags=self._flags(row, judged, uncovered, reasons),
            verdict=verdict,
            forward_acceleration=float(self.forward[row]),
        )

    def _verdict(self, row: int, judged: int | None) -> tuple[Verdict, tuple[str, ...]]:
        """Judge one scenario; where it was not drawn, by the spread of one that was."""
        ratio = self.ratio[row]
        if judged is None:
            by_flow = ratio_verdict(ratio * self.spread[0], ratio * self.spread[1])
            return by_flow, ()
        trapped = self.trapped_ratio[judged]
        if row in self.bands:
            by_flow = ratio_verdict(*self.bands[row])
        else:
            by_flow = ratio_verdict(trapped * self.spread[0], ratio * self.spread[1])
        physical, reasons = physical_verdict(self.sweep, judged)
        return worst([by_flow, physical]), reasons

    def _flags(
        self,
        row: int,
        judged: int | None,
        uncovered: tuple[str, ...],
        reasons: tuple[str, ...],
    ) -> tuple[str, ...]:
        sweep = self.sweep
        flags = [f"uncovered: {name}" for name in uncovered]
        if sweep.delivery.air_limited[row]:
            flags.append("flow limited to where air begins to be drawn")
        flags += [f"flows back into {name}" for name in self.backflow[row]]
        flags += list(reasons)
        if judged is not None:
            flags += [f"hump: {words}" for words in sweep.trapped.humps[judged]]
            if sweep.at_required.tank_margin[judged] < 0:
                flags.append("pressure below the tank's air somewhere along a line")
        if not sweep.delivery.solution.converged[row]:
            flags.append("not solved")
        return tuple(flags)


def _value(values: FloatArray, index: int | None) -> float:
    return float("nan") if index is None else float(values[index])


def _bands(joint: JointResult | None) -> dict[int, tuple[float, float]]:
    """5th percentile (air in place) and 95th (full lines) of each drawn scenario's ratio."""
    if joint is None:
        return {}
    return {
        int(row): (
            float(np.percentile(joint.trapped[:, column], LOW)),
            float(np.percentile(joint.full[:, column], HIGH)),
        )
        for column, row in enumerate(joint.rows)
    }


def _spread(sweep: Sweep, bands: dict[int, tuple[float, float]]) -> tuple[float, float]:
    """Widest band over nominal among the drawn scenarios, to judge those that were not drawn."""
    low, high = 1.0, 1.0
    for row, (bottom, top) in bands.items():
        nominal = float(sweep.ratio[row])
        if nominal > 0 and bottom > 0 and np.isfinite(bottom) and np.isfinite(top):
            low, high = min(low, bottom / nominal), max(high, top / nominal)
    return low, high


def _backflow(sweep: Sweep) -> list[tuple[str, ...]]:
    """Tanks into which fuel flows, per scenario."""
    assembly = sweep.assembly
    flow = sweep.delivery.solution.flow
    found: list[list[str]] = [[] for _ in range(len(flow))]
    for node, tank, _ in assembly.outlets:
        for link in range(assembly.open_link):
            sign = 0
            if assembly.network.end[link] == node:
                sign = 1
            elif assembly.network.start[link] == node:
                sign = -1
            if sign:
                for row in np.flatnonzero(sign * flow[:, link] > STILL):
                    found[row].append(assembly.system.tanks[tank].name)
    return [tuple(dict.fromkeys(names)) for names in found]

"""From arrays to one record per scenario."""

from collections.abc import Iterable
from typing import Any

import numpy as np

from flowsim.measures import FAR_ENOUGH
from flowsim.network.scenarios import END_NAMES
from flowsim.network.standing import STILL
from flowsim.physics.air.atmosphere import standard_pressure
from flowsim.physics.arrays import BoolArray, FloatArray
from flowsim.studies.joint.study import JointResult
from flowsim.studies.judged.blocks import dirty_words
from flowsim.studies.judged.sweep import SUCTION_TOLD, Sweep
from flowsim.studies.result import AS_STATED, ScenarioResult, Verdict
from flowsim.studies.review.measured_words import below_words
from flowsim.studies.saying import Said, saying
from flowsim.studies.scenario_records import ScenarioRecords
from flowsim.studies.verdict.judging import (
    HIGH,
    LOW,
    percentile,
    physical_verdicts,
    ratio_verdict,
    worst,
)

_Told = list[tuple[Said, ...]]


def scenario_results(sweep: Sweep, joint: JointResult | None) -> ScenarioRecords:
    """Give a record for every scenario of the sweep, in the order of its table."""
    return ScenarioRecords(_Columns(sweep, joint).all())


def scenario_result(sweep: Sweep, joint: JointResult | None, row: int) -> ScenarioResult:
    """Make the record of one row of the sweep's table."""
    return ScenarioResult(**{name: c[row] for name, c in _Columns(sweep, joint).all().items()})


class _Columns:
    """Makes the records column by column: thousands of rows, some forty columns."""

    def __init__(self, sweep: Sweep, joint: JointResult | None) -> None:
        self.sweep = sweep
        self.count = sweep.table.scenarios.count
        self.bands = _bands(joint)
        self.spread = _spread(sweep, self.bands)
        self.floor = _floor(sweep, joint)
        self.uncovered = _named(sweep.situation.uncovered, sweep.assembly.system.outlet_nodes())
        self.backflow = _backflow(sweep)
        self.humps: list[tuple[Said, ...]] = [()] * self.count
        for row, words in zip(sweep.judged_rows.tolist(), sweep.trapped.humps, strict=True):
            self.humps[row] = words

    def all(self) -> dict[str, list[Any]]:
        """Give every column by the name of its field."""
        verdicts, reasons = self._verdicts()
        flags, remarks = self._flags(reasons)
        return {
            **self._asked(),
            **self._found(),
            "uncovered": self.uncovered,
            "humps": self.humps,
            "backflow": self.backflow,
            "flags": flags,
            "remarks": remarks,
            "verdict": verdicts,
        }

    def _asked(self) -> dict[str, list[Any]]:
        """Give what each scenario is."""
        table, system = self.sweep.table, self.sweep.assembly.system
        scenarios, names = table.scenarios, [tank.name for tank in system.tanks]
        ambient = standard_pressure(scenarios.altitude)
        air = (self.sweep.situation.tank_pressure + ambient[:, None]).tolist()
        selectors = [position.name for position in self.sweep.assembly.positions]
        quantities = [tuple(zip(names, each.quantity, strict=True)) for each in table.states]
        states = [state.name for state in table.states]
        screens = (AS_STATED, dirty_words(self.sweep.assembly))
        judged = np.zeros(self.count, dtype=bool)
        judged[self.sweep.judged_rows] = True
        return {
            "index": list(range(self.count)),
            "selector": [selectors[item] for item in scenarios.position.tolist()],
            "pitch": scenarios.pitch.tolist(),
            "roll": scenarios.roll.tolist(),
            "airspeed": scenarios.airspeed.tolist(),
            "altitude": scenarios.altitude.tolist(),
            "fuel_state": [states[item] for item in table.state.tolist()],
            "quantities": [quantities[item] for item in table.state.tolist()],
            "temperature": scenarios.temperature.tolist(),
            "tank_air_pressure": [tuple(zip(names, row, strict=True)) for row in air],
            "end": [END_NAMES[item] for item in scenarios.end.tolist()],
            "screens": [screens[item] for item in table.dirty.tolist()],
            "purpose": table.purpose.tolist(),
            "judged": judged.tolist(),
            "required": table.required.tolist(),
            "forward_acceleration": table.forward.tolist(),
        }

    def _found(self) -> dict[str, list[Any]]:
        """Give what came of it, as numbers."""
        sweep, rows = self.sweep, self.sweep.judged_rows
        delivery, state, density = sweep.delivery, sweep.at_required, sweep.situation.density
        held, flow_trapped = np.zeros(self.count), sweep.flow.copy()
        held[rows], flow_trapped[rows] = sweep.trapped.held, sweep.trapped.flow * density[rows]
        air_margin = self._judged_only(state.air_margin)
        low: list[float | None] = [None] * self.count
        high = low.copy()
        for row, (bottom, top) in self.bands.items():
            required = float(sweep.table.required[row])
            low[row], high[row] = bottom * required, top * required
        with np.errstate(invalid="ignore"):
            drawn = (air_margin < 0) | (delivery.air_limited & (sweep.ratio < 1))
        return {
            "flow": sweep.flow.tolist(),
            "solved_flow": (delivery.solved * density).tolist(),
            "volume_flow": delivery.deliverable.tolist(),
            "flow_low": low,
            "flow_high": high,
            "inlet_pressure_at_required": self._judged_only(state.inlet_pressure).tolist(),
            "head_left": self._judged_only(state.head_left).tolist(),
            "air_drawn": drawn.tolist(),
            "air_margin": air_margin.tolist(),
            "vapour_margin": self._judged_only(state.vapour_margin).tolist(),
            "lowest_pressure_margin": self._judged_only(state.tank_margin).tolist(),
            "trapped_air_head": held.tolist(),
            "flow_trapped": flow_trapped.tolist(),
            "converged": delivery.solution.converged.tolist(),
            "residual": delivery.solution.residual.tolist(),
        }

    def _judged_only(self, values: FloatArray) -> FloatArray:
        """Spread values of the judged scenarios over all; NaN for the others."""
        whole = np.full(self.count, np.nan)
        whole[self.sweep.judged_rows] = values
        return whole

    def _verdicts(self) -> tuple[list[Verdict], dict[int, tuple[Said, ...]]]:
        """Judge every scenario; where its band is not known, by the spread of one that is.

        No judged scenario lies lower than the least of its kind.
        """
        sweep = self.sweep
        low, high = sweep.ratio * self.spread[0], sweep.ratio * self.spread[1]
        low[sweep.judged_rows] = sweep.trapped_ratio * self.spread[0]
        low = np.fmax(low, self.floor)
        high = np.fmax(high, low)
        for row, band in self.bands.items():
            low[row], high[row] = band
        verdicts = [ratio_verdict(*band) for band in zip(low.tolist(), high.tolist(), strict=True)]
        reasons = {}
        rows = sweep.judged_rows.tolist()
        for row, (physical, words) in zip(rows, physical_verdicts(sweep), strict=True):
            if physical is not Verdict.ADEQUATE:
                verdicts[row] = worst([verdicts[row], physical])
            if words:
                reasons[row] = words
        return verdicts, reasons

    def _flags(self, reasons: dict[int, tuple[Said, ...]]) -> tuple[_Told, _Told]:
        """Words on what is notable, most often none; and those that no other field tells."""
        sweep = self.sweep
        limited = sweep.delivery.air_limited.tolist()
        unsolved = (~sweep.delivery.solution.converged).tolist()
        with np.errstate(invalid="ignore"):
            below = (self._judged_only(sweep.at_required.tank_margin) < -SUCTION_TOLD).tolist()
        read_below = {
            int(sweep.judged_rows[judged]): below_words(sweep, int(judged))
            for judged in np.flatnonzero(sweep.below.any(axis=1))
        }
        flags, remarks = [], []
        for row in range(self.count):
            words = [saying("scenario.uncovered", name=name) for name in self.uncovered[row]]
            if limited[row]:
                words.append(saying("scenario.flow_limited_where_air"))
            words += [saying("scenario.flows_back_into", name=name) for name in self.backflow[row]]
            own = (*reasons.get(row, ()), *read_below.get(row, ()))
            low = (saying("scenario.pressure_below_tank_air"),) if below[row] else ()
            humps = (saying("scenario.hump", item=item) for item in self.humps[row])
            failed = (saying("scenario.not_solved"),) if unsolved[row] else ()
            flags.append((*words, *own, *humps, *low, *failed))
            remarks.append((*own, *low))
        return flags, remarks


def _named(chosen: BoolArray, names: Iterable[str]) -> list[tuple[str, ...]]:
    """Give the names of the chosen columns, row by row; rows that are alike share them."""
    listed, known = list(names), dict[bytes, tuple[str, ...]]()
    found = []
    for row in np.packbits(chosen, axis=1):
        key = row.tobytes()
        if key not in known:
            bits = np.unpackbits(row, count=len(listed))
            known[key] = tuple(name for name, bit in zip(listed, bits, strict=True) if bit)
        found.append(known[key])
    return found


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
        if joint.complete[column]
    }


def _floor(sweep: Sweep, joint: JointResult | None) -> FloatArray:
    """5th percentile (scenario,) of the least of each one's end and purpose; NaN if unknown."""
    table = sweep.table
    floor = np.full(table.scenarios.count, np.nan)
    if joint is None:
        return floor
    ends, purposes = table.scenarios.end[joint.rows], table.purpose[joint.rows]
    drawn = zip(ends.tolist(), purposes.tolist(), strict=True)
    for end, purpose in joint.far.union(drawn):
        mine = (table.purpose == purpose) & (table.scenarios.end == end)
        least = percentile(joint.least_of(table, end, purpose, trapped=True), LOW)
        floor[mine] = min(least, FAR_ENOUGH) if (end, purpose) in joint.far else least
    return floor


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
    flow, tanks = sweep.delivery.solution.flow, assembly.system.tanks
    into = np.zeros((len(flow), len(tanks)), dtype=bool)
    with np.errstate(invalid="ignore"):
        for node, tank, _ in assembly.outlets:
            for link in range(assembly.open_link):
                if assembly.network.end[link] == node:
                    into[:, tank] |= flow[:, link] > STILL
                elif assembly.network.start[link] == node:
                    into[:, tank] |= -flow[:, link] > STILL
    return _named(into, [tank.name for tank in tanks])

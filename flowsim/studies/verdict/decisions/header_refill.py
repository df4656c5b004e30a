"""Header tanks: the burn must flow into them where they are judged, or their own fuel hides it."""

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from flowsim.network.assembly import Assembly, selector_words
from flowsim.network.scenarios import situate
from flowsim.network.solver import solve
from flowsim.physics.arrays import BoolArray, FloatArray
from flowsim.studies.judged.headers import (
    Header,
    air_behind,
    headers_of,
    lasts_alone,
    refill_of,
    refill_states,
    solved,
    with_demand_of,
)
from flowsim.studies.judged.scenarios import CLIMB, DESCENT, UNUSABLE, ScenarioTable, fuel_states
from flowsim.studies.result import UNSOLVED_REMEDY, Decision, Topic, Verdict
from flowsim.studies.sampling.draws import Draws
from flowsim.studies.saying import Said, Saying, each_of, run_on, saying
from flowsim.studies.verdict.decisions.evidence import Evidence
from flowsim.studies.verdict.judging import HIGH, LOW, pitch_said

NAME = saying("header_refill.refill_header_tank")
WIDER = saying("header_refill.wider_shorter_line_into")
WIDER_OR_FILLER = saying("header_refill.wider_or_filler")
FILLED = saying("header_refill.describe_tanks_lines_keep")


def header_refill(evidence: Evidence) -> tuple[Decision, ...]:
    """Decide whether every header tank is refilled as fast as the engine burns.

    Parameters
    ----------
    evidence : Evidence

    Returns
    -------
    tuple of Decision
        One for each header tank of a judged selector position. Judged in climb and descent, on the
        judged fuel states and with each tank behind the header dry where there are several. The
        header holds its test quantity: there the flow from it is judged too, and it takes in less
        when it is fuller. Not adequate below the burn; cannot tell below the required flow, which
        is asked of a line that leads to the engine without a header.
    """
    assembly = evidence.swept.assembly
    found: dict[int, list[Header]] = {}
    for header in headers_of(assembly):
        if assembly.positions[header.position].judged:
            found.setdefault(header.tank, []).append(header)
    return tuple(_decide(evidence, headers) for headers in found.values())


@dataclass(frozen=True, slots=True)
class _Looked:
    """Scenarios (row,) of one header in one position with their refill over burn [-].

    ``asked`` is what it must be: the factor, and 1 on the declared unusable fuel. NaN where the
    header gives nothing (``bare``) or the solve failed.
    """

    header: Header
    table: ScenarioTable
    ratio: FloatArray
    asked: FloatArray
    burn: FloatArray
    failed: BoolArray
    air: BoolArray


def _decide(evidence: Evidence, headers: list[Header]) -> Decision:
    """Decide on one header tank over all its judged positions."""
    assembly = evidence.swept.assembly
    name = saying("header_refill.header_tank", tank=assembly.system.tanks[headers[0].tank].name)
    if not all(header.behind for header in headers):
        return _decision(
            Verdict.CANNOT_TELL,
            saying("header_refill.nothing_case_describes_refills", name=name),
            FILLED,
        )
    looked = [_look(evidence, header) for header in headers]
    known = [item for item in looked if np.isfinite(item.ratio).any()]
    lost = [
        saying(
            "header_refill.unsolved",
            name=name,
            where=_where(assembly, item, int(np.argmax(item.failed))),
        )
        for item in looked
        if item.failed.any()
    ]
    if not known and lost:
        return _decision(Verdict.CANNOT_TELL, lost[0], UNSOLVED_REMEDY)
    if not known:
        words = saying("header_refill.gives_engine_no_fuel", name=name)
        return _decision(Verdict.CANNOT_TELL, words, saying("header_refill.see_flow_lines_above"))
    return _of_known(evidence, name, known, lost, any(item.air.any() for item in looked))


def _of_known(
    evidence: Evidence, name: Said, known: list[_Looked], lost: list[Saying], air: bool
) -> Decision:
    """Decide by the positions whose refill is known; ``lost`` tells where a solve failed."""
    assembly = evidence.swept.assembly
    worst = min(known, key=lambda item: float(np.nanmin(item.ratio / item.asked)))
    row = int(np.nanargmin(worst.ratio / worst.asked))
    margins = [item.ratio / item.asked for item in known]
    bands = [_drawn_margins(evidence, item) for item in known]
    low, high, how = _band(margins, bands)
    asked = float(worst.asked[row])
    where = _where(assembly, worst, row)
    words = saying(
        "header_refill.least_burn_flows_into",
        name=name,
        low=low * asked,
        how=how,
        where=where,
        asked=asked,
    )
    if np.isnan(low):
        words = saying("header_refill.refill_could_not_worked", name=name, how=how)
    if low * asked < 0.0:
        words = saying("header_refill.none_flows_into_runs", name=name, how=how, where=where)
    verdict = _verdict(low * asked, high * asked, asked)
    if air:
        verdict = max(verdict, Verdict.CANNOT_TELL, key=_gravity)
        words = run_on(words, saying("header_refill.air_may_drawn_empty"))
    if lost or np.isnan(low):
        verdict = max(verdict, Verdict.CANNOT_TELL, key=_gravity)
        return _decision(verdict, each_of([words, *lost[:1]]), UNSOLVED_REMEDY)
    large = lasts_alone(assembly, known[0].header.tank)
    remedy = WIDER_OR_FILLER if large else WIDER
    return _decision(verdict, words, "" if verdict is Verdict.ADEQUATE else remedy)


def _gravity(verdict: Verdict) -> int:
    return (Verdict.ADEQUATE, Verdict.CANNOT_TELL, Verdict.NOT_ADEQUATE).index(verdict)


def _verdict(low: float, high: float, asked: float) -> Verdict:
    """Judge a band of refill over burn: not adequate below one, adequate from ``asked`` up."""
    if high < 1.0:
        return Verdict.NOT_ADEQUATE
    return Verdict.ADEQUATE if low >= asked else Verdict.CANNOT_TELL


def _look(evidence: Evidence, header: Header) -> _Looked:
    """Solve every judged scenario of one header in one position with the burn drawn."""
    assembly = evidence.swept.assembly
    engine = assembly.system.engine
    table = _table(evidence, header)
    burn = np.where(table.purpose == DESCENT, engine.descent_burn or engine.burn, engine.burn)
    table = replace(table, scenarios=with_demand_of(table.scenarios, burn))
    situation, solution = solved(assembly, table.scenarios)
    flow = refill_of(assembly, header, solution, burn / situation.density)
    return _Looked(
        header=header,
        table=table,
        ratio=flow * situation.density / burn,
        asked=np.where(table.purpose == UNUSABLE, 1.0, engine.factor),
        burn=burn,
        failed=~solution.converged,
        air=air_behind(assembly, header, situation, solution),
    )


def _table(evidence: Evidence, header: Header) -> ScenarioTable:
    """Choose the judged scenarios of one position, and add those with a tank behind dry.

    One for each attitude, state, temperature and speed: both ends of the line are alike here.
    """
    swept = evidence.swept
    whole = swept.table
    scenarios = whole.scenarios
    chosen = np.isin(whole.purpose, [CLIMB, "flight", DESCENT, UNUSABLE])
    chosen &= scenarios.position == header.position
    rows = np.flatnonzero(chosen)
    kind = np.unique(whole.purpose[rows], return_inverse=True)[1].reshape(-1)
    keys = np.column_stack(
        [
            scenarios.gravity[rows], scenarios.quantity[rows], scenarios.temperature[rows],
            scenarios.airspeed[rows], scenarios.altitude[rows], kind, whole.dirty[rows],
        ]
    )  # fmt: skip
    rows = rows[np.sort(np.unique(keys, axis=0, return_index=True)[1])]
    test = np.array(fuel_states(swept.assembly)[0].quantity)
    filled = sorted({item.tank for item in headers_of(swept.assembly)})
    quantity = scenarios.quantity[rows].copy()
    quantity[:, filled] = test[filled]
    parts, quantities = [rows], [quantity]
    alike = rows[(scenarios.quantity[rows] == test).all(axis=1)]
    for _, held in refill_states(swept.assembly, header)[2:]:
        parts.append(alike)
        quantities.append(np.tile(held, (len(alike), 1)))
    table = whole.take(np.concatenate(parts))
    return replace(table, scenarios=replace(table.scenarios, quantity=np.concatenate(quantities)))


def _band(margins: list[FloatArray], bands: list[FloatArray | None]) -> tuple[float, float, Said]:
    """Least margin (refill over what is asked) [-]: its 5th and 95th percentile, and on what."""
    drawn = [band for band in bands if band is not None]
    if len(drawn) < len(bands):
        least = float(min(np.nanmin(margin) for margin in margins))
        return least, least, saying("header_refill.nominal_values")
    together = np.min(np.column_stack(drawn), axis=1)
    if np.isnan(together).any():
        return float("nan"), float("nan"), saying("header_refill.not_solved")
    return (
        float(np.percentile(together, LOW)),
        float(np.percentile(together, HIGH)),
        saying("header_refill.in_draws"),
    )


def _drawn_margins(evidence: Evidence, item: _Looked) -> FloatArray | None:
    """Least margin (draw,) of one header in one position; None where nothing is drawn.

    Scenarios are drawn from the least nominal margin up. One is left out where its margin with
    every input at its worst drawn value, all at once, is no less than the drawn least in any draw:
    refill only falls with losses, suction behind and the air pressure in the header.
    """
    if evidence.joint is None:
        return None
    draws = evidence.joint.draws
    assembly = evidence.swept.assembly
    rows = np.flatnonzero(np.isfinite(item.ratio))
    nominal = item.ratio[rows] / item.asked[rows]
    floor = _floor(assembly, item, rows, draws)
    least = np.full(draws.count, np.inf)
    for place in np.argsort(nominal, kind="stable"):
        if floor[place] >= least.max():
            continue
        row = int(rows[place])
        least = np.minimum(least, _ratio(assembly, item, row, draws) / item.asked[row])
    return least


def _ratio(assembly: Assembly, item: _Looked, row: int, draws: Draws) -> FloatArray:
    """Refill over burn (draw,) of one scenario in every draw."""
    return _drawn_ratio(assembly, item, np.full(draws.count, row), draws)


def _floor(
    assembly: Assembly, item: _Looked, rows: npt.NDArray[np.intp], draws: Draws
) -> FloatArray:
    """Margin (row,) with all that is uncertain at its worst drawn value at once."""
    worst = _worst_draw(item.header, draws, len(rows))
    found = _drawn_ratio(assembly, item, rows, worst) / item.asked[rows]
    return np.where(np.isnan(found), -np.inf, found)


def _drawn_ratio(
    assembly: Assembly, item: _Looked, rows: npt.NDArray[np.intp], draws: Draws
) -> FloatArray:
    """Refill over burn, of scenario ``rows[i]`` in draw i."""
    situation = situate(assembly, item.table.scenarios.take(rows), pressure_coefficient=draws.vent)
    conditions = situation.conditions
    heads = conditions.fixed_head.copy()
    # What counts is the height between the surfaces: the header's stands, the others move.
    others = [node for node, tank, _ in assembly.outlets if tank != item.header.tank]
    heads[:, others] += draws.height[:, None]
    viscosity = conditions.kinematic_viscosity * draws.viscosity
    conditions = replace(conditions, fixed_head=heads, kinematic_viscosity=viscosity)
    solution = solve(assembly.network, conditions, draws.factors)
    burn = item.burn[rows]
    flow = refill_of(assembly, item.header, solution, burn / situation.density)
    return np.asarray(flow * situation.density / burn)


def _worst_draw(header: Header, draws: Draws, count: int) -> Draws:
    """``count`` equal draws in which everything is as bad for the refill as it is in any draw."""
    factors = draws.factors

    def worst(values: FloatArray, choose: Callable[..., FloatArray]) -> FloatArray:
        return np.repeat(choose(values, axis=0, keepdims=True), count, axis=0)

    vent = worst(draws.vent, np.min)
    vent[:, header.tank] = draws.vent[:, header.tank].max()
    return replace(
        draws,
        factors=replace(
            factors,
            loss=worst(factors.loss, np.max),
            laminar=worst(factors.laminar, np.max),
            bore=worst(factors.bore, np.min),
            friction=worst(factors.friction, np.max),
        ),
        viscosity=worst(draws.viscosity, np.max),
        height=worst(draws.height, np.min),
        vent=vent,
        values=np.repeat(draws.values[:1], count, axis=0),
    )


def _where(assembly: Assembly, item: _Looked, row: int) -> Said:
    """Say in which scenario."""
    table = item.table
    pitch = pitch_said(float(table.scenarios.pitch[row]))
    test = fuel_states(assembly)[0].quantity
    names = [tank.name for tank in assembly.system.tanks]
    dry = [
        names[tank]
        for tank in item.header.behind
        if table.scenarios.quantity[row, tank] == 0.0 < test[tank]
    ]
    return saying(
        "header_refill.where",
        selector=selector_words(assembly.positions[item.header.position].name),
        pitch=pitch,
        state=table.states[table.state[row]].name,
        dry=run_on(*(saying("header_refill.dry", tank=tank) for tank in dry)),
        warm=table.scenarios.temperature[row],
    )


def _decision(verdict: Verdict, found: Said, remedy: Said) -> Decision:
    return Decision(
        topic=Topic.HEADER_REFILL, name=NAME, verdict=verdict, found=found, remedy=remedy
    )

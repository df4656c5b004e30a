"""What if: one thing goes wrong or is changed, and every result line is judged again."""

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from flowsim.errors import DomainError
from flowsim.measures import TEMPERATURE
from flowsim.network.assembly import Assembly, assemble
from flowsim.physics.losses.laws import loss_law
from flowsim.progress import Progress
from flowsim.studies.adequacy.brief import (
    Brief,
    judge_briefly,
    judge_table,
    judged_table,
    take_rows,
)
from flowsim.studies.changes.blocked_meters import meter_words, meters_in_use, with_blocked
from flowsim.studies.changes.blocked_vent import ASSUMED, blocked_vents, lost_words
from flowsim.studies.changes.changed_parts import changed_parts, loss_words, named_parts, with_part
from flowsim.studies.judged.blocks import DIRTY_SCREEN
from flowsim.studies.judged.scenarios import CLIMB, ScenarioTable, fed_tanks
from flowsim.studies.result import AS_STATED, ResultLine, Verdict
from flowsim.studies.review.remarks import assumptions, cautions
from flowsim.studies.saying import Said, run_on, saying
from flowsim.studies.verdict.decisions.flow_meter import MEASURE
from flowsim.studies.what_if.result import WhatIf, WhatIfCell, WhatIfKind, WhatIfResult, WhatIfRow
from flowsim.system.bands import Normal
from flowsim.system.fuel_system import FuelSystem
from flowsim.system.parts import FlowCoefficient, MinorLoss, Part, Screen
from flowsim.system.tanks import StatedLevel

DIRTY = 0.1
"""[-] Clear fraction of dirty screens: half of what the judged set takes (no source)."""
HOT = 316.48
"""[K] 43.3 degC (110 degF): 14 CFR 27.961 names it for all fuels (read)."""
COLD = 243.15
"""[K] -30 degC (no source)."""
HIGH = 3810.0
"""[m] 12 500 ft pressure altitude (no source; above it pilots need oxygen)."""
STATED = Normal(0.10)
"""Spread of a coefficient as stated (common practice, no source), as in the case reader."""


@dataclass(frozen=True, slots=True)
class _How:
    """How to judge."""

    nominal: bool
    draws: int
    seed: int


def usual_what_ifs(system: FuelSystem) -> tuple[WhatIf, ...]:
    """Give every what-if that fits a system, at its usual value."""
    kinds: list[WhatIfKind] = ["dirty-screens", "blocked-vent", "meter-blocked"]
    filled = [tank for tank in system.tanks if not isinstance(tank.shape, StatedLevel)]
    found = [WhatIf(word=kind, kind=kind) for kind in kinds]
    if len(filled) > 1:
        found.append(WhatIf(word="tank-empty", kind="tank-empty"))
    found += [WhatIf(word=kind, kind=kind) for kind in ("hot-fuel", "cold-fuel", "altitude")]
    return tuple(found)


def what_if(
    system: FuelSystem,
    asked: tuple[WhatIf, ...],
    *,
    nominal: bool,
    draws: int,
    seed: int,
    progress: Progress | None = None,
    stated: Brief | None = None,
) -> WhatIfResult:
    """Judge a system as stated and in every what-if.

    Parameters
    ----------
    system : FuelSystem
    asked : tuple of WhatIf
    nominal, draws, seed
        As in a check.
    progress : callable, optional
    stated : Brief, optional
        The system as stated, where it is judged already with the same draws and seed.

    Returns
    -------
    WhatIfResult

    Raises
    ------
    DomainError
        For a tank, vent group or part that is not there.
    """
    how = _How(nominal, draws, seed)
    single = [one for item in asked for one in _each(system, item)]
    if stated is None:
        stated = judge_briefly(system, nominal=nominal, draws=draws, seed=seed)
    rows = [_row(AS_STATED, saying("what_if.case"), stated)]
    for number, item in enumerate(single):
        if progress is not None:
            progress("what if", number, len(single))
        rows.append(_judged(system, item, stated, how))
    return WhatIfResult(
        title=system.title,
        columns=tuple(line.name for line in stated.lines),
        rows=tuple(rows),
        draws=0 if nominal else draws,
        seed=seed,
        assumptions=assumptions(system),
        cautions=cautions(stated.swept),
    )


def _each(system: FuelSystem, item: WhatIf) -> tuple[WhatIf, ...]:
    """Give a what-if once for every tank or vent group it is about; check its target."""
    if item.kind == "part":
        named_parts(system, item.target)
        return (item,)
    if item.kind == "tank-empty":
        known = [t.name for t in system.tanks if not isinstance(t.shape, StatedLevel)]
    elif item.kind == "blocked-vent":
        known = list(
            dict.fromkeys(
                t.vent.group for t in system.tanks if not isinstance(t.shape, StatedLevel)
            )
        )
    else:
        return (item,)
    if item.target and item.target not in known:
        listed = ", ".join(f'"{name}"' for name in known)
        raise DomainError(f'"{item.word}": there is no "{item.target}"; there are {listed}')
    chosen = [item.target] if item.target else known
    return tuple(replace(item, word=f"{item.kind}={name}", target=name) for name in chosen)


def _judged(system: FuelSystem, item: WhatIf, stated: Brief, how: _How) -> WhatIfRow:
    """Judge one what-if; what cannot be worked out is said, never left out."""
    try:
        return _KINDS[item.kind](system, item, stated, how)
    except DomainError as error:
        return WhatIfRow(
            word=item.word, words="", verdict=None, verdict_words="", cells=(), deciding=None,
            reasons=(), note=str(error),
        )  # fmt: skip


def _row(word: str, words: Said, brief: Brief, note: Said = "") -> WhatIfRow:
    return WhatIfRow(
        word=word,
        words=words,
        verdict=brief.overall.verdict,
        verdict_words=brief.overall.words,
        cells=tuple(_cell(line) for line in brief.lines),
        deciding=brief.deciding(),
        reasons=brief.overall.reasons,
        note=note,
    )


def _cell(line: ResultLine) -> WhatIfCell:
    return WhatIfCell(
        line=line.name,
        verdict=line.verdict,
        least=line.least_nominal,
        least_low=line.least_low,
    )


def _judge(system: FuelSystem, how: _How, change: Callable[[Assembly, ScenarioTable], ScenarioTable]
           | None = None) -> Brief:  # fmt: skip
    assembly = assemble(system)
    table = judged_table(assembly)
    if change is not None:
        table = change(assembly, table)
    return judge_table(assembly, table, how.nominal, how.draws, how.seed)


def _dirty_screens(system: FuelSystem, item: WhatIf, stated: Brief, how: _How) -> WhatIfRow:
    clear = DIRTY if item.value is None else item.value
    if (np.isnan(stated.swept.assembly.network.coefficients.clear)).all():
        raise DomainError("the case has no screens")

    def dirty(_: str, part: Part) -> Part:
        if not isinstance(part, Screen):
            return part
        return replace(part, clear_fraction=min(clear, part.clear_fraction))

    def as_stated(_: Assembly, table: ScenarioTable) -> ScenarioTable:
        # Where there are screens every combination is there with dirty ones.
        kept = take_rows(table, np.flatnonzero(table.dirty))
        clear_as_made = np.full(kept.scenarios.count, np.nan)
        return replace(
            kept,
            dirty=np.zeros_like(kept.dirty),
            scenarios=replace(kept.scenarios, screen_clear=clear_as_made),
        )

    brief = _judge(changed_parts(system, dirty), how, as_stated)
    words = saying("what_if.every_screen_most_clear", clear=clear)
    if clear > DIRTY_SCREEN:
        words = run_on(words, saying("what_if.cleaner_than_which_case", clear=DIRTY_SCREEN))
    return _row(item.word, words, brief)


def _temperature(system: FuelSystem, item: WhatIf, _: Brief, how: _How) -> WhatIfRow:
    hot = item.kind == "hot-fuel"
    # Never milder than the case by itself: a what-if is there to find what is worse.
    usual = max(HOT, *system.temperatures) if hot else min(COLD, *system.temperatures)
    kelvin = usual if item.value is None else item.value
    fuel = system.fuel
    if not fuel.lowest <= kelvin <= fuel.highest:
        raise DomainError(
            f"fuel at {TEMPERATURE.words(kelvin, 1)}: the properties of {fuel.name} are known from "
            f"{TEMPERATURE.span(fuel.lowest, fuel.highest, 0)}"
        )
    brief = _judge(replace(system, temperatures=(kelvin,)), how)
    words = saying("what_if.fuel", kelvin=kelvin)
    if kelvin < max(system.temperatures) if hot else kelvin > min(system.temperatures):
        words = run_on(words, saying("what_if.cooler" if hot else "what_if.warmer"))
    return _row(item.word, words, brief)


def _altitude(system: FuelSystem, item: WhatIf, _: Brief, how: _How) -> WhatIfRow:
    stated = system.flight.pressure_altitude
    height = max(HIGH, stated) if item.value is None else item.value
    flight = replace(system.flight, pressure_altitude=height)
    words = saying("what_if.pressure_altitude", height=height)
    if height < stated:
        words = run_on(words, saying("what_if.lower_than_case", stated=stated))
    return _row(item.word, words, _judge(replace(system, flight=flight), how))


def _tank_empty(system: FuelSystem, item: WhatIf, _: Brief, how: _How) -> WhatIfRow:
    index = [tank.name for tank in system.tanks].index(item.target)

    def empty(assembly: Assembly, table: ScenarioTable) -> ScenarioTable:
        fed = [fed_tanks(assembly, position) for position in range(len(assembly.positions))]
        others = np.array(
            [[bool(tanks - {index, *state.dry}) for state in table.states] for tanks in fed]
        )
        kept = take_rows(table, np.flatnonzero(others[table.scenarios.position, table.state]))
        if not kept.scenarios.count:
            raise DomainError(f'every judged position feeds from "{item.target}" alone: no fuel')
        quantity = kept.scenarios.quantity.copy()
        quantity[:, index] = 0.0
        return replace(kept, scenarios=replace(kept.scenarios, quantity=quantity))

    note = saying("what_if.positions_feed_tank_alone")
    brief = _judge(system, how, empty)
    return _row(item.word, saying("what_if.tank_empty", target=item.target), brief, note)


def _part(system: FuelSystem, item: WhatIf, _: Brief, how: _How) -> WhatIfRow:
    value = item.value
    if value is None or not value > 0.0:
        raise DomainError(f'"{item.word}": the loss of the new part is missing')

    def new(_: str, old: Part) -> Part:
        if not hasattr(old, "kind"):
            raise DomainError(f'"{old.name}" is tube, hose, screen or one-way valve: not by K')
        if item.coefficient == "kv":
            return FlowCoefficient(
                name=old.name, kind=old.kind, bore=loss_law(old).bore(old), kv=value, band=STATED,
                source="what if", blocked=getattr(old, "blocked", None),
            )  # fmt: skip
        return MinorLoss(
            name=old.name, kind=old.kind, bore=loss_law(old).bore(old), k_inf=value, band=STATED,
            source="what if", joins=getattr(old, "joins", None),
        )  # fmt: skip

    old_parts = named_parts(system, item.target)
    before = "; ".join(dict.fromkeys(loss_words(old) for _, old in old_parts))
    now = (
        saying("what_if.kv_m_h", value=value)
        if item.coefficient == "kv"
        else saying("what_if.k", value=value)
    )
    brief = _judge(with_part(system, item.target, new), how)
    return _row(
        item.word, saying("what_if.instead", target=item.target, now=now, before=before), brief
    )


def _meter_blocked(system: FuelSystem, item: WhatIf, stated: Brief, how: _How) -> WhatIfRow:
    meters = meters_in_use(stated.swept.assembly)
    if not meters:
        raise DomainError("the case has no flow meter")
    unknown = tuple(meter for meter in meters if not meter.is_known)
    words = saying("what_if.blocked", meter=meter_words(meters))
    if not unknown:
        return _row(item.word, words, _judge(with_blocked(system, meters), how))
    cells = tuple(
        WhatIfCell(line=line.name, verdict=Verdict.CANNOT_TELL, least=np.nan, least_low=None)
        for line in stated.lines
    )
    return WhatIfRow(
        word=item.word, words=words, verdict=Verdict.CANNOT_TELL,
        verdict_words=Verdict.CANNOT_TELL.value, cells=cells, deciding=None,
        reasons=(
            saying("what_if.what_still_passes_when", meter=meter_words(unknown), measure=MEASURE),
        ),
        note="",
    )  # fmt: skip


def _blocked_vent(system: FuelSystem, item: WhatIf, stated: Brief, _: _How) -> WhatIfRow:
    """Blocked vent: what can be drawn until the flow is lost, in the words of its own study."""
    assembly = stated.swept.assembly
    inside = {index for index, t in enumerate(system.tanks) if t.vent.group == item.target}
    alone = {
        position.name
        for index, position in enumerate(assembly.positions)
        if fed_tanks(assembly, index) <= inside
    }
    rows = [row for row in blocked_vents(system, group=item.target) if row.selector in alone]
    if not rows:
        raise DomainError("no judged position feeds only from tanks of this vent")
    lost = any(math.isfinite(row.drawn_until_lost) for row in rows)
    verdict = Verdict.NOT_ADEQUATE if lost else Verdict.CANNOT_TELL
    table = stated.swept.table
    cells = tuple(
        WhatIfCell(line=line.name, verdict=verdict, least=0.0 if lost else np.nan, least_low=None)
        for line in stated.lines
        if str(table.purpose[line.deciding]) == CLIMB
    )
    return WhatIfRow(
        word=item.word,
        words=saying("what_if.vent_blocked", target=item.target),
        verdict=verdict,
        verdict_words=verdict.value,
        cells=cells,
        deciding=None,
        reasons=lost_words(rows),
        note=ASSUMED,
    )


_KINDS: dict[str, Callable[[FuelSystem, WhatIf, Brief, _How], WhatIfRow]] = {
    "dirty-screens": _dirty_screens,
    "blocked-vent": _blocked_vent,
    "meter-blocked": _meter_blocked,
    "tank-empty": _tank_empty,
    "hot-fuel": _temperature,
    "cold-fuel": _temperature,
    "altitude": _altitude,
    "part": _part,
}

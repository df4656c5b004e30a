"""Run every study that the report shows; one that fails leaves its reason, not a gap."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Generic, TypeVar

from flowsim.errors import FlowsimError
from flowsim.network.assembly import Assembly
from flowsim.progress import Progress
from flowsim.studies.adequacy.brief import judge_swept
from flowsim.studies.adequacy.study import DRAWS, SEED, explained
from flowsim.studies.changes.blocked_vent import BlockedVentRow, blocked_vents
from flowsim.studies.flight.transfer import TransferRow, transfer
from flowsim.studies.ground_test.learn import learn
from flowsim.studies.ground_test.plan import plan
from flowsim.studies.ground_test.result import GroundTestFit, GroundTestPlan
from flowsim.studies.ground_test.runs import Reading
from flowsim.studies.judged.sweep import sweep
from flowsim.studies.report.flow_bands import PitchBand, flow_bands
from flowsim.studies.report.margin_map import MarginMap, margin_maps
from flowsim.studies.report.pressure_path import PressurePath, pressure_paths
from flowsim.studies.result import AdequacyResult
from flowsim.studies.routing.result import RoutingResult
from flowsim.studies.routing.study import route_study
from flowsim.studies.saying import NOTHING, Said, saying
from flowsim.studies.uncertainty.study import UncertaintyResult, uncertainty
from flowsim.studies.unusable.header_tank import HeaderRow, header_tanks
from flowsim.studies.unusable.study import UnusableResult, unusable_fuel
from flowsim.studies.what_if.result import WhatIfResult
from flowsim.studies.what_if.study import usual_what_ifs, what_if
from flowsim.system.fuel_system import FuelSystem

SPREAD_DRAWS = 4
"""The uncertainty study makes this many times the draws of the check."""

Result = TypeVar("Result")


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome(Generic[Result]):
    """What a study gave, or in ``why_not`` why there is nothing."""

    result: Result | None
    why_not: Said = NOTHING


@dataclass(frozen=True, slots=True, kw_only=True)
class ReportStudy:
    """All that the report is made from.

    ``tested`` has neither result nor reason where there were no readings.
    """

    system: FuelSystem
    assembly: Assembly
    check: AdequacyResult
    bands: Outcome[tuple[PitchBand, ...]]
    margins: Outcome[tuple[MarginMap, ...]]
    pressures: Outcome[tuple[PressurePath, ...]]
    unusable: Outcome[UnusableResult]
    headers: Outcome[tuple[HeaderRow, ...]]
    vents: Outcome[tuple[BlockedVentRow, ...]]
    routing: Outcome[RoutingResult]
    spread: Outcome[UncertaintyResult]
    what_ifs: Outcome[WhatIfResult]
    transfers: Outcome[tuple[TransferRow, ...]]
    plan: Outcome[GroundTestPlan]
    tested: Outcome[GroundTestFit]


def collect(
    system: FuelSystem,
    *,
    nominal: bool = False,
    draws: int = DRAWS,
    seed: int = SEED,
    readings: tuple[Reading, ...] = (),
    readings_remarks: tuple[str, ...] = (),
    readings_source: str = "ground test",
    progress: Progress | None = None,
) -> ReportStudy:
    """Work out everything that the report shows.

    Parameters
    ----------
    system : FuelSystem
    nominal, draws, seed
        As in a check.
    readings : tuple of Reading
        Of a ground test, if there was one.
    readings_remarks : tuple of str
        What their reader took for granted.
    readings_source : str
        Which test.
    progress : callable, optional
        Called with a word, how many are done, and how many there are.

    Returns
    -------
    ReportStudy
        Only a failed check raises; every other study that fails says why in its place.

    Raises
    ------
    FlowsimError
        What the check raises.
    """
    told = progress if progress is not None else _quiet
    told("checking", 0, 1)
    told("sweeping attitudes", 0, 1)
    swept = sweep(system)
    brief = judge_swept(swept, nominal=nominal, draws=draws, seed=seed, progress=progress)
    check = explained(
        swept, brief.joint, brief.lines, brief.decisions, draws=0 if nominal else draws, seed=seed
    )
    assembly = swept.assembly

    def asked(words: str, work: Callable[[], Result]) -> Outcome[Result]:
        told(words, 0, 1)
        return attempt(work)

    def bands() -> tuple[PitchBand, ...]:
        return flow_bands(assembly, seed=seed)

    def unusable() -> UnusableResult:
        return unusable_fuel(system, nominal=nominal, draws=draws, seed=seed)

    def spread() -> UncertaintyResult:
        return uncertainty(system, draws=SPREAD_DRAWS * draws, seed=seed, samples=0, stated=brief)

    def what_ifs() -> WhatIfResult:
        # With the draws of the check: what stands on both pages is one number.
        return what_if(
            system, usual_what_ifs(system), nominal=nominal, draws=draws, seed=seed, stated=brief
        )

    def tested() -> GroundTestFit:
        return learn(
            system,
            readings,
            source=readings_source,
            draws=draws,
            seed=seed,
            remarks=readings_remarks,
        )

    deciding = check.deciding_scenario
    return ReportStudy(
        system=system,
        assembly=assembly,
        check=check,
        bands=_not_nominal() if nominal else asked("bands", bands),
        margins=asked("mapping the margin", lambda: margin_maps(assembly)),
        pressures=asked("pressures", lambda: pressure_paths(assembly, deciding)),
        unusable=asked("unusable fuel", unusable),
        headers=asked("header tanks", lambda: tuple(header_tanks(system))),
        vents=asked("blocked vents", lambda: tuple(blocked_vents(system))),
        routing=asked("routing", lambda: route_study(system)),
        spread=_not_nominal() if nominal else asked("uncertainty", spread),
        what_ifs=asked("what if", what_ifs),
        transfers=asked("transfer between full tanks", lambda: transfer(system)),
        plan=asked("ground test", lambda: plan(system, draws=min(1024, draws), seed=seed)),
        tested=asked("readings", tested) if readings else Outcome(result=None),
    )


def attempt(work: Callable[[], Result]) -> Outcome[Result]:
    """Run a study; a failure becomes words.

    Parameters
    ----------
    work : callable
        Gives the result.

    Returns
    -------
    Outcome
    """
    try:
        return Outcome(result=work())
    except FlowsimError as error:
        return Outcome(result=None, why_not=str(error))
    except Exception as error:  # noqa: BLE001 - a fault in one study must not hide the others
        words = saying(
            "collect.fault_flowsim_please_report", kind=type(error).__name__, error=str(error)
        )
        return Outcome(result=None, why_not=words)


def _not_nominal() -> Outcome[Result]:
    return Outcome(result=None, why_not=saying("collect.single_values_were_asked"))


def _quiet(_words: str, _done: int, _total: int) -> None:
    """Tell nobody."""

"""The judgement of a system without its records: what studies that judge many systems need."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from flowsim.network.assembly import Assembly, assemble
from flowsim.progress import Progress
from flowsim.studies.adequacy.scenario_results import scenario_result
from flowsim.studies.joint.study import JointResult, joint_result
from flowsim.studies.judged.scenarios import ScenarioTable, scenario_table
from flowsim.studies.judged.sweep import Sweep, sweep_of
from flowsim.studies.result import Decision, ResultLine, ScenarioResult
from flowsim.studies.sampling.draws import draw
from flowsim.studies.verdict.decisions.evidence import Evidence
from flowsim.studies.verdict.decisions.gather import decisions_of
from flowsim.studies.verdict.judging import judge_lines
from flowsim.studies.verdict.overall import Overall, overall
from flowsim.system.fuel_system import FuelSystem


@dataclass(frozen=True, slots=True, kw_only=True)
class Brief:
    """A judged system: its sweep (judged scenarios only), draws, lines, decisions and verdict."""

    swept: Sweep
    joint: JointResult | None
    lines: tuple[ResultLine, ...]
    decisions: tuple[Decision, ...]
    overall: Overall

    @property
    def least(self) -> float:
        """Least ratio of flow to required over all lines [-], nominal values; NaN if one failed."""
        return float(np.min([line.least_nominal for line in self.lines]))

    @property
    def least_low(self) -> float | None:
        """5th percentile of the least ratio over all judged scenarios within each draw [-]."""
        return self._percentile(5.0)

    @property
    def least_high(self) -> float | None:
        """95th percentile of the same [-]."""
        return self._percentile(95.0)

    def _percentile(self, percent: float) -> float | None:
        if self.joint is None:
            return None
        everything = np.ones(len(self.joint.rows), dtype=bool)
        least = self.joint.least(everything, trapped=True)
        return float("nan") if np.isnan(least).any() else float(np.percentile(least, percent))

    def deciding(self) -> ScenarioResult:
        """Give the record of the scenario that decides."""
        return scenario_result(self.swept, self.joint, self.overall.deciding)


def judge_briefly(
    system: FuelSystem,
    *,
    nominal: bool,
    draws: int,
    seed: int,
    table: ScenarioTable | None = None,
) -> Brief:
    """Judge a system as ``check`` does, without the scenarios that are only drawn.

    Parameters
    ----------
    system : FuelSystem
    nominal : bool
        Judge on single values instead of the band.
    draws, seed : int
        As in a check.
    table : ScenarioTable, optional
        Scenarios to judge; a check's judged set if not given.

    Returns
    -------
    Brief
    """
    assembly = assemble(system)
    return judge_table(
        assembly, judged_table(assembly) if table is None else table, nominal, draws, seed
    )


def judge_table(
    assembly: Assembly, table: ScenarioTable, nominal: bool, draws: int, seed: int
) -> Brief:
    """Judge the scenarios of a table; see ``judge_briefly``."""
    return judge_swept(sweep_of(assembly, table), nominal=nominal, draws=draws, seed=seed)


def judge_swept(
    swept: Sweep, *, nominal: bool, draws: int, seed: int, progress: Progress | None = None
) -> Brief:
    """Draw and judge what was swept.

    Parameters
    ----------
    swept : Sweep
    nominal, draws, seed
        As in a check.
    progress : callable, optional
        Called between the scenarios that are drawn.

    Returns
    -------
    Brief
    """
    joint = None
    if not nominal:
        joint = joint_result(swept, draw(swept.assembly, draws, seed), progress)
    lines = judge_lines(swept, joint)
    decisions = decisions_of(Evidence(swept=swept, joint=joint, lines=lines))
    return Brief(
        swept=swept,
        joint=joint,
        lines=lines,
        decisions=decisions,
        overall=overall(swept, joint, lines, decisions),
    )


def judged_table(assembly: Assembly) -> ScenarioTable:
    """Give the judged scenarios of a check, without those that are only drawn."""
    table = scenario_table(assembly)
    return take_rows(table, np.flatnonzero(table.judged))


def take_rows(table: ScenarioTable, rows: npt.NDArray[np.intp]) -> ScenarioTable:
    """Give some rows of a table."""
    return table.take(rows)

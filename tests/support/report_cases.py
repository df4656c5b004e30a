"""Reports made quickly: the check is real, the slow studies beside it are left out."""

from functools import cache
from pathlib import Path

from flowsim.files.case.reader import read_case
from flowsim.files.results.report_model import FileUsed, Report
from flowsim.network.assembly import assemble
from flowsim.reports.sections.build import build_report
from flowsim.studies.adequacy.study import judge
from flowsim.studies.report.collect import Outcome, ReportStudy, attempt
from flowsim.studies.report.flow_bands import flow_bands
from flowsim.studies.report.margin_map import margin_maps
from flowsim.studies.report.pressure_path import pressure_paths
from flowsim.system.fuel_system import FuelSystem

CASES = Path(__file__).parents[2] / "cases"
LEFT_OUT = "left out of this test"
DATE = "2026-01-31"
CASE = FileUsed(file="case.toml", sha256="ab" * 32)


def quick_study(system: FuelSystem, *, draws: int = 100) -> ReportStudy:
    """Work out the check and what is drawn from it; every other study has a reason instead."""
    check = judge(system, draws=draws)
    assembly = assemble(system)
    nothing = Outcome(result=None, why_not=LEFT_OUT)
    return ReportStudy(
        system=system,
        assembly=assembly,
        check=check,
        bands=attempt(lambda: flow_bands(assembly, seed=1, draws=64)),
        margins=attempt(lambda: margin_maps(assembly)),
        pressures=attempt(lambda: pressure_paths(assembly, check.deciding_scenario)),
        unusable=nothing,
        headers=nothing,
        vents=nothing,
        routing=nothing,
        spread=nothing,
        what_ifs=nothing,
        transfers=nothing,
        plan=nothing,
        tested=Outcome(result=None),
    )


@cache
def study_of(name: str) -> ReportStudy:
    """Give the quick study of a bundled case."""
    return quick_study(read_case(CASES / name / "case.toml"))


@cache
def report_of(name: str) -> Report:
    """Give the report of a bundled case, with its slow sections left out."""
    return build_report(study_of(name), date=DATE, case=CASE)

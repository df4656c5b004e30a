"""The hand-check sheet: one scenario, every head and loss with formula, numbers and source."""

import math
import textwrap

from flowsim.constants import STANDARD_GRAVITY
from flowsim.files.results.check_json import path_object, scenario_object, versions
from flowsim.files.results.json_text import Json
from flowsim.files.units import shown as to
from flowsim.measures import BORE, LENGTH, TEMPERATURE, VOLUME_FLOW
from flowsim.network.assembly import assemble
from flowsim.network.elements import PlacedPart
from flowsim.network.scenarios import EndName
from flowsim.physics.fuel.properties import density, kinematic_viscosity
from flowsim.reports.pages.hand_formulas import HandLiquid, Worked, worked
from flowsim.reports.pages.second_opinion import (
    opinion_line,
    opinion_object,
    parts_by_key,
    second_opinion,
)
from flowsim.reports.words.scenarios import scenario_pairs
from flowsim.reports.words.units import clean, digits, number
from flowsim.studies.result import AdequacyResult, LossPath, LossRow, ScenarioResult
from flowsim.studies.review.remarks import ALWAYS
from flowsim.system.fuel_system import FuelSystem
from flowsim.system.points import Point

SCHEMA = "flowsim.hand-check/1"

AGREES = 1e-6
"""[-] Hand working and network may differ by this much of the loss, else the sheet says so."""
AGREES_HEAD = 1e-9
"""[m] ... or by this much, whichever is more."""

_NARROWEST, _WIDEST = 40, 120


def liquid_of(system: FuelSystem, scenario: ScenarioResult) -> HandLiquid:
    """Give density and viscosity of the fuel at a scenario's temperature.

    Raises
    ------
    DomainError
        When the temperature is outside the range of the fuel's laws.
    """
    temperature = scenario.temperature
    factor = 1.0 if system.calibration is None else system.calibration.viscosity
    return HandLiquid(
        density=float(density(system.fuel, temperature).item()),
        kinematic_viscosity=factor * float(kinematic_viscosity(system.fuel, temperature).item()),
    )


def hand_check_text(
    system: FuelSystem,
    result: AdequacyResult,
    scenario: ScenarioResult,
    paths: tuple[LossPath, ...],
    case_file: str,
    *,
    chosen: str = "",
    width: int = 80,
) -> str:
    """Give the sheet as text.

    Parameters
    ----------
    system : FuelSystem
        The system that was judged.
    result : AdequacyResult
        The answer that the scenario is from.
    scenario : ScenarioResult
        The scenario to work through.
    paths : tuple of LossPath
        Its losses, each path from a tank to the end.
    case_file : str
        The case file's name as it was given.
    chosen : str
        How the scenario was chosen, in words.
    width : int
        Columns, kept between 40 and 120.

    Returns
    -------
    str
        The sheet.

    Raises
    ------
    DomainError
        When the fuel has no properties at the scenario's temperature.
    """
    liquid = liquid_of(system, scenario)
    lines = [
        "Hand check",
        f"{clean(system.title)} ({clean(case_file)})",
        "",
        "Scenario" + (f": {clean(chosen)}" if chosen else ""),
        *_pairs(scenario_pairs(scenario, result, result.requirement.burn)),
        "",
        *_constants(system, scenario, liquid),
    ]
    if not paths:
        lines += ["", "Nothing flows to the end in this scenario, or its solve failed."]
    placed = _placed(system)
    for number_, path in enumerate(paths, start=1):
        lines += ["", *_path(system, scenario, number_, path, liquid, placed)]
    lines += ["", "Cautions", *(f"  - {caution}" for caution in ALWAYS)]
    return "\n".join(_wrapped(lines, max(_NARROWEST, min(_WIDEST, width)))) + "\n"


def hand_check_object(
    system: FuelSystem,
    result: AdequacyResult,
    scenario: ScenarioResult,
    paths: tuple[LossPath, ...],
    case_file: str,
    sha256: str,
) -> Json:
    """Give the sheet as plain dictionaries and lists, ready for JSON.

    Parameters
    ----------
    system, result, scenario, paths, case_file
        As for ``hand_check_text``.
    sha256 : str
        Digest of the case file's bytes, hexadecimal.

    Returns
    -------
    dict
        Paths as in ``flowsim.check/1``, each part with its ``working`` (list of lines)
        and its ``second_opinion`` (None where nothing is comparable).
    """
    liquid = liquid_of(system, scenario)
    placed = _placed(system)
    shown = []
    for path in paths:
        made = path_object(path)
        parts = made["parts"]
        assert isinstance(parts, list)
        for part, row in zip(parts, path.rows, strict=True):
            assert isinstance(part, dict)
            part["working"] = list(worked(row, liquid).lines)
            part["second_opinion"] = opinion_object(second_opinion(row, placed.get(row.key)))
        shown.append(made)
    return {
        "schema": SCHEMA,
        "case": {"title": system.title, "file": case_file, "sha256": sha256},
        "scenario": scenario_object(scenario, result.requirement.burn),
        "constants": {
            "standard_gravity_m_per_s2": STANDARD_GRAVITY,
            "density_kg_per_m3": liquid.density,
            "kinematic_viscosity_mm2_per_s": liquid.kinematic_viscosity * 1e6,
            "fuel_source": system.fuel.source,
        },
        "paths": list(shown),
        "cautions": list(ALWAYS),
        "versions": versions(),
    }


def _constants(system: FuelSystem, scenario: ScenarioResult, liquid: HandLiquid) -> list[str]:
    return [
        "Constants",
        f"  g0 = {digits(STANDARD_GRAVITY)} m/s2 (standard gravity, exact by definition, 3rd CGPM "
        "1901)",
        f"  rho = {digits(liquid.density)} kg/m3, nu = {digits(liquid.kinematic_viscosity)} m2/s: "
        f"{clean(system.fuel.name)} at {TEMPERATURE.words(scenario.temperature, 1)} "
        f"({clean(system.fuel.source)})",
        "  Heads are metres of this fuel along the effective gravity of the attitude; elevations "
        "are from the datum of the case.",
    ]


def _path(
    system: FuelSystem,
    scenario: ScenarioResult,
    index: int,
    path: LossPath,
    liquid: HandLiquid,
    placed: dict[str, PlacedPart],
) -> list[str]:
    title = f"Path {index}: tank {path.tank}, outlet {path.outlet}, to the {path.end}"
    lines = [
        clean(title),
        *_heads(system, scenario, path),
        "  Parts in the order in which fuel meets them:",
    ]
    total, off = 0.0, 0
    for place, row in enumerate(path.rows, start=1):
        total += row.loss
        work = worked(row, liquid)
        lines += _part_lines(place, row, work, total)
        opinion = second_opinion(row, placed.get(row.key))
        if opinion is not None:
            lines.append(f"     {opinion_line(opinion)}")
        off += not _agree(work.head, row.loss)
    lines += [
        f"  Sum of losses {_exact(total)}, head available {_exact(path.available)}, "
        f"difference {_exact(path.available - total)}",
    ]
    if off:
        lines.append(f"  {off} part(s) above DIFFER from the working by hand: report it as a bug")
    return lines


def _heads(system: FuelSystem, scenario: ScenarioResult, path: LossPath) -> list[str]:
    surface, end = path.surface_elevation, path.end_elevation
    tank, far = path.tank_pressure_head, path.end_pressure_head
    pull = scenario.forward_acceleration / STANDARD_GRAVITY
    lines = [
        "  Elevation of a point: z = W cos p cos r - S sin p - B cos p sin r (station S aft, "
        "buttline B right, waterline W up, pitch p nose-up, roll r right wing down)"
        + run_words(pull)
    ]
    outlet = system.places().get(f"{path.tank}.{path.outlet}")
    if outlet is not None:
        above, words = elevation(outlet, scenario.pitch, scenario.roll, pull)
        lines.append(f"  Outlet: zo = {words}; fuel stands {digits(surface - above)} m over it")
    _, words = elevation(_end_point(system, scenario.end), scenario.pitch, scenario.roll, pull)
    lines += [
        f"  End: ze = {words}",
        f"  Fuel surface: zs = {digits(surface)} m, from the quantity and the tank's shape",
        f"  Pressure heads above ambient, p/(rho g0): tank air ps = {digits(tank)} m; "
        f"end pe = {digits(far)} m",
        f"  Head available H = zs - ze + ps - pe = {digits(surface)} - ({digits(end)}) + "
        f"({digits(tank)}) - ({digits(far)}) = {digits(path.available)} m",
    ]
    return lines


def run_words(pull: float) -> str:
    """Say what the take-off run adds to an elevation; empty without acceleration [g0]."""
    if not pull:
        return ""
    return f"; the run at a/g0 = {digits(pull)} adds - (a/g0) (W sin p + S cos p)"


def elevation(point: Point, pitch: float, roll: float, pull: float = 0.0) -> tuple[float, str]:
    """Give a point's height along the effective gravity, and its working.

    Parameters
    ----------
    point : Point
        [m]
    pitch, roll : float
        [rad], nose-up and right wing down positive.
    pull : float
        Acceleration along the ground over g0 [-], in the take-off run (wings level).

    Returns
    -------
    float and str
        Elevation [m], and the formula with its numbers (angles in degrees).

    References
    ----------
    Rotation of the aircraft's axes by pitch, then roll (docs/nomenclature.md).
    """
    height = (
        point.waterline * math.cos(pitch) * math.cos(roll)
        - point.station * math.sin(pitch)
        - point.buttline * math.cos(pitch) * math.sin(roll)
        - pull * (point.waterline * math.sin(pitch) + point.station * math.cos(pitch))
    )
    p, r = digits(to.degrees(pitch)), digits(to.degrees(roll))
    run = (
        f" - {digits(pull)} x (({digits(point.waterline)}) x sin {p} + ({digits(point.station)}) "
        f"x cos {p})"
    )
    words = (
        f"{digits(point.waterline)} x cos {p} x cos {r} - ({digits(point.station)}) x sin {p} - "
        f"({digits(point.buttline)}) x cos {p} x sin {r}{run if pull else ''} = {digits(height)} m"
    )
    return height, words


def _end_point(system: FuelSystem, end: str) -> Point:
    carburettor = system.engine.carburettor
    if (
        end == EndName.CARBURETTOR
        and carburettor is not None
        and carburettor.float_level is not None
    ):
        return carburettor.float_level
    return system.engine.inlet_at


def _part_lines(place: int, row: LossRow, work: Worked, total: float) -> list[str]:
    bore = "no bore" if math.isnan(row.bore) else f"bore D {BORE.words(row.bore, 3)}"
    lines = [
        f"  {place}. {clean(row.line)}: {clean(row.part)} [{clean(row.law)}]",
        f"     Q {VOLUME_FLOW.words(row.flow, 2)} = {digits(row.flow)} m3/s, {bore}",
        *(f"     {clean(line)}" for line in work.lines),
        f"     loss {_exact(row.loss)} of fuel, "
        f"{number(to.percent(row.share), 1)} % of the head; sum so far {_exact(total)}",
    ]
    # Where the working has not come by it: the coefficient that the loss amounts to.
    if not math.isnan(row.coefficient) and digits(row.coefficient) not in " ".join(work.lines):
        name = "Darcy factor" if "friction" in row.law else "K on this bore"
        lines.insert(-1, f"     {name} {digits(row.coefficient)}")
    if not _agree(work.head, row.loss):
        lines.append(f"     DIFFERS: by hand {_exact(work.head)}")
    lines.append(f"     source: {clean(row.source) or 'not stated'}")
    return lines


def _agree(by_hand: float, loss: float) -> bool:
    """Tell whether the working ends at the loss; a table has no working to compare."""
    if math.isnan(by_hand):
        return True
    return abs(by_hand - loss) <= max(AGREES_HEAD, AGREES * abs(loss))


def _placed(system: FuelSystem) -> dict[str, PlacedPart]:
    """Give every part by its key: names may recur, or begin with one another."""
    return parts_by_key(assemble(system).network.placed)


def _exact(head: float) -> str:
    return LENGTH.words(head, 3)


def _pairs(rows: list[tuple[str, str]]) -> list[str]:
    return [f"  {name}: {clean(text)}" for name, text in rows]


def _wrapped(lines: list[str], width: int) -> list[str]:
    """Wrap each line with its own indent and two blanks more."""
    made: list[str] = []
    for line in lines:
        blank = " " * (len(line) - len(line.lstrip()))
        made += textwrap.wrap(
            line, width, subsequent_indent=f"{blank}    ", break_on_hyphens=False
        ) or [""]
    return made

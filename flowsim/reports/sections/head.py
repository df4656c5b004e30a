"""Where the head goes in the deciding scenario, the pressure along the way, and by hand."""

from flowsim.constants import STANDARD_GRAVITY
from flowsim.document.blocks import Block, Figure, HandStep, Heading, Pairs, Steps, Words
from flowsim.document.pictures import Head, HeadRow, Pressure, PressurePoint
from flowsim.files.results.json_text import Json
from flowsim.files.results.report_model import Section
from flowsim.files.units import shown as to
from flowsim.measures import BORE, LENGTH, PRESSURE, TEMPERATURE, VOLUME_FLOW
from flowsim.network.scenarios import EndName
from flowsim.reports.pages.hand_check import elevation, hand_check_object, liquid_of, run_words
from flowsim.reports.pages.loss_table import loss_tables
from flowsim.reports.sections.kit import gap, mm, section, table
from flowsim.reports.words.scenarios import scenario_pairs, short_name
from flowsim.reports.words.units import digits, head_words, mass_flow_words, number
from flowsim.studies.report.collect import ReportStudy
from flowsim.studies.report.pressure_path import PressurePath
from flowsim.studies.result import LossPath, LossRow


def head_section(study: ReportStudy) -> Section:
    """Draw and list every part's loss from each tank's surface to the end."""
    title = "Where the head goes"
    paths = study.check.losses
    if not paths:
        return gap("head", title, "nothing flows to the end in the deciding scenario, or its "
                   "solve failed")  # fmt: skip
    blocks: list[Block] = [
        Words(text=f"In the deciding scenario: {short_name(study.check.deciding_scenario)}.")
    ]
    for path in paths:
        blocks.append(head_figure(path))
        blocks += loss_tables((path,))
    return section("head", title, blocks)


def head_figure(path: LossPath) -> Figure:
    """Draw the head left after each part of one way."""
    dearest = max(path.rows, key=lambda row: row.loss)
    return Figure(
        caption=f"From the surface of tank {path.tank} through outlet {path.outlet} to the "
        f"{path.end}: head left after each part, {LENGTH.name} of fuel.",
        alt=f"{head_words(path.available)} of fuel is available; the costliest part is "
        f"{dearest.part} with {head_words(dearest.loss)}. The table below has every part.",
        picture=_head(path),
    )


def pressure_section(study: ReportStudy) -> Section:
    """Draw the pressure along the way while the required flow is drawn."""
    title = "Pressure along the way"
    paths = study.pressures.result
    if paths is None:
        return gap("pressure", title, study.pressures.why_not)
    if not paths:
        return gap("pressure", title, "the required flow cannot be supplied in the deciding "
                   "scenario")  # fmt: skip
    scenario = study.check.deciding_scenario
    blocks: list[Block] = [
        Words(
            text=f"While the required {mass_flow_words(scenario.required)} is drawn in the "
            f"deciding scenario ({short_name(scenario)}). Strong line: the level to which the "
            "pressure would lift the fuel; thin line: the fuel line itself. The distance between "
            "them is the pressure. A line's fittings count as lying at its upstream end, which "
            "gives the lower pressures."
        )
    ]
    for path in paths:
        blocks += [_pressure_figure(path), _pressure_table(path)]
    return section("pressure", title, blocks)


def hand_section(study: ReportStudy) -> Section:
    """Write out every head and loss of the deciding scenario with formula, numbers and source."""
    result, system = study.check, study.system
    scenario = result.deciding_scenario
    liquid = liquid_of(system, scenario)
    sheet = hand_check_object(system, result, scenario, result.losses, "", "")
    blocks: list[Block] = [
        Words(text="For a calculator: the deciding scenario again, worked out apart from the code "
              "that solved the network."),
        Pairs(rows=tuple(scenario_pairs(scenario, result, result.requirement.burn))),
        Pairs(rows=(
            ("g0", f"{digits(STANDARD_GRAVITY)} m/s2 (standard gravity, exact by definition, 3rd "
             "CGPM 1901)"),
            ("rho, nu", f"{digits(liquid.density)} kg/m3, {digits(liquid.kinematic_viscosity)} "
             f"m2/s: {system.fuel.name} at {TEMPERATURE.words(scenario.temperature, 1)} "
             f"({system.fuel.source})"),
            ("heads", "metres of this fuel along the effective gravity of the attitude; elevations "
             "are from the datum of the case"),
        )),
    ]  # fmt: skip
    if not result.losses:
        blocks.append(Words(text="Nothing flows to the end in this scenario, or its solve failed."))
    paths = sheet["paths"]
    assert isinstance(paths, list)
    for index, (path, made) in enumerate(zip(result.losses, paths, strict=True), 1):
        assert isinstance(made, dict)
        blocks += _path(study, index, path, made)
    return section("hand", "Hand-check sheet", blocks)


def _head(path: LossPath) -> Head:
    rows, gone = [], 0.0
    for row in path.rows:
        rows.append(HeadRow(part=row.part, line=row.line, before_mm=mm(gone), loss_mm=mm(row.loss)))
        gone += row.loss
    return Head(
        title=f"tank {path.tank}, outlet {path.outlet}, to the {path.end}",
        available_mm=mm(path.available),
        rows=tuple(rows),
    )


def _pressure_figure(path: PressurePath) -> Figure:
    points = tuple(
        PressurePoint(
            name=point.name,
            distance_mm=mm(point.distance),
            elevation_mm=mm(point.elevation),
            grade_mm=mm(point.elevation + point.pressure / path.weight),
        )
        for point in path.points
    )
    lowest = min(path.points, key=lambda point: point.pressure)
    last = path.points[-1]
    unknown = "" if path.known else " Where a line's course is not known only its ends are drawn."
    return Figure(
        caption=f"From tank {path.tank}, outlet {path.outlet}, to the inlet.{unknown}",
        alt=f"Pressure above ambient: lowest {_kpa(lowest.pressure)} at "
        f"{lowest.name or lowest.line}, {_kpa(last.pressure)} at the inlet.",
        picture=Pressure(title=f"tank {path.tank}, outlet {path.outlet}", points=points),
    )


def _pressure_table(path: PressurePath) -> Block:
    rows = [
        (
            point.name or f"along {point.line}",
            LENGTH.cell(point.distance, 0),
            LENGTH.cell(point.elevation, 0),
            PRESSURE.cell(point.pressure, 2),
            LENGTH.cell(point.pressure / path.weight, 0),
            PRESSURE.cell(point.above_vapour, 1),
        )
        for point in path.points
    ]
    return table(
        [
            "place",
            f"#along {LENGTH.name}",
            f"#height {LENGTH.name}",
            f"#{PRESSURE.name}",
            f"#{LENGTH.name} of fuel",
            f"#over vapour {PRESSURE.name}",
        ],
        rows,
        caption="Static pressure above ambient, and absolute pressure over the fuel's vapour "
        "pressure",
    )


def _kpa(pressure: float) -> str:
    return PRESSURE.words(pressure, 2)


def _path(study: ReportStudy, index: int, path: LossPath, made: Json) -> list[Block]:
    parts = made["parts"]
    assert isinstance(parts, list)
    steps, total = [], 0.0
    for row, part in zip(path.rows, parts, strict=True):
        assert isinstance(part, dict)
        working = part["working"]
        assert isinstance(working, list)
        total += row.loss
        steps.append(_step(row, [str(line) for line in working], total))
    closing = (
        f"Sum of losses {_exact(total)}, head available {_exact(path.available)}, difference "
        f"{_exact(path.available - total)}"
    )
    return [
        Heading(text=f"Path {index}: tank {path.tank}, outlet {path.outlet}, to the {path.end}"),
        Pairs(rows=tuple(_heads(study, path))),
        Steps(steps=tuple(steps)),
        Words(text=closing, tone="lead"),
    ]


def _heads(study: ReportStudy, path: LossPath) -> list[tuple[str, str]]:
    system, scenario = study.system, study.check.deciding_scenario
    surface, end = path.surface_elevation, path.end_elevation
    tank, far = path.tank_pressure_head, path.end_pressure_head
    carburettor = system.engine.carburettor
    point = system.engine.inlet_at
    pull = scenario.forward_acceleration / STANDARD_GRAVITY
    if scenario.end == EndName.CARBURETTOR and carburettor is not None and carburettor.float_level:
        point = carburettor.float_level
    rows = [
        ("elevation", "z = W cos p cos r - S sin p - B cos p sin r (station S aft, buttline B "
         f"right, waterline W up, pitch p nose-up, roll r right wing down){run_words(pull)}"),
    ]  # fmt: skip
    outlet = system.places().get(f"{path.tank}.{path.outlet}")
    if outlet is not None:
        above, words = elevation(outlet, scenario.pitch, scenario.roll, pull)
        rows.append(("outlet", f"zo = {words}; fuel stands {digits(surface - above)} m over it"))
    _, words = elevation(point, scenario.pitch, scenario.roll, pull)
    return [
        *rows,
        ("end", f"ze = {words}"),
        ("fuel surface", f"zs = {digits(surface)} m, from the quantity and the tank's shape"),
        ("pressure heads", f"above ambient, p/(rho g0): tank air ps = {digits(tank)} m; end pe = "
         f"{digits(far)} m"),
        ("head available", f"H = zs - ze + ps - pe = {digits(surface)} - ({digits(end)}) + "
         f"({digits(tank)}) - ({digits(far)}) = {digits(path.available)} m"),
    ]  # fmt: skip


def _step(row: LossRow, working: list[str], total: float) -> HandStep:
    bore = "" if row.bore != row.bore else f", bore D {BORE.words(row.bore, 3)}"
    flow = f"Q {VOLUME_FLOW.words(row.flow, 2)} = {digits(row.flow)} m3/s{bore}"
    return HandStep(
        title=f"{row.line}: {row.part} [{row.law}]",
        lines=(flow, *working),
        result=f"loss {_exact(row.loss)} of fuel, "
        f"{number(to.percent(row.share), 1)} % of the head; sum so far {_exact(total)}",
        source=row.source or "not stated",
    )


def _exact(head: float) -> str:
    return LENGTH.words(head, 3)

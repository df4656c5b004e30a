"""Where the head goes in the deciding scenario, the pressure along the way, and by hand."""

from flowsim.document.blocks import Block, Figure, Heading, Pairs, Steps, Words
from flowsim.document.pictures import Head, HeadRow, Pressure, PressurePoint
from flowsim.document.words.telling import told
from flowsim.files.results.report_model import Section
from flowsim.measures import LENGTH, PRESSURE
from flowsim.reports.pages.hand_steps import (
    HEADS,
    WORKED_IN,
    constants,
    heads,
    liquid_of,
    path_title,
    placed_parts,
    steps_of,
)
from flowsim.reports.pages.loss_table import loss_tables, no_losses
from flowsim.reports.sections.kit import gap, mm, section, table
from flowsim.reports.words.scenarios import scenario_pairs, short_name
from flowsim.reports.words.units import head_words, mass_flow_words
from flowsim.studies.report.collect import ReportStudy
from flowsim.studies.report.pressure_path import PressurePath
from flowsim.studies.result import LossPath


def head_section(study: ReportStudy) -> Section:
    """Draw and list every part's loss from each tank's surface to the end."""
    title = "Where the head goes"
    paths = study.check.losses
    if not paths:
        return gap("head", title, no_losses(study.check.deciding_scenario))
    blocks: list[Block] = [
        Words(text=f"In the deciding scenario: {short_name(study.check.deciding_scenario)}.")
    ]
    for path in paths:
        blocks.append(head_figure(path))
        blocks += loss_tables((path,), study.check.deciding_scenario)
    return section("head", title, blocks)


def head_figure(path: LossPath) -> Figure:
    """Draw the head left after each part of one way."""
    dearest = max(path.rows, key=lambda row: row.loss)
    return Figure(
        caption=f"From the surface of tank {path.tank} through outlet {path.outlet} to the "
        f"{path.end}: head left after each part, {LENGTH.name} of fuel.",
        alt=f"{head_words(path.available)} of fuel is available; the costliest part is "
        f"{told(dearest.part)} with {head_words(dearest.loss)}. The table below has every part.",
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
    liquid, placed = liquid_of(system, scenario), placed_parts(system)
    blocks: list[Block] = [
        Words(text="For a calculator: the deciding scenario again, worked out apart from the code "
              f"that solved the network. {WORKED_IN}"),
        Pairs(rows=tuple(scenario_pairs(scenario, result, result.requirement.burn))),
        Pairs(rows=tuple(constants(system, scenario, liquid))),
        Words(text=HEADS),
    ]  # fmt: skip
    if not result.losses:
        blocks.append(Words(text=no_losses(scenario)))
    for index, path in enumerate(result.losses, 1):
        steps, closing, _ = steps_of(path, liquid, placed)
        blocks += [
            Heading(text=path_title(index, path)),
            Pairs(rows=tuple(heads(system, scenario, path))),
            Steps(steps=steps),
            *(Words(text=words, tone="lead") for words in closing),
        ]
    return section("hand", "Hand-check sheet", blocks)


def _head(path: LossPath) -> Head:
    rows, gone = [], 0.0
    for row in path.rows:
        rows.append(
            HeadRow(part=told(row.part), line=row.line, before_mm=mm(gone), loss_mm=mm(row.loss))
        )
        gone += row.loss
    return Head(
        title=f"tank {path.tank}, outlet {path.outlet}, to the {path.end}",
        available_mm=mm(path.available),
        rows=tuple(rows),
    )


def _pressure_figure(path: PressurePath) -> Figure:
    points = tuple(
        PressurePoint(
            name=told(point.name),
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
        f"{told(lowest.name) or lowest.line}, {_kpa(last.pressure)} at the inlet.",
        picture=Pressure(title=f"tank {path.tank}, outlet {path.outlet}", points=points),
    )


def _pressure_table(path: PressurePath) -> Block:
    rows = [
        (
            told(point.name) or f"along {point.line}",
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

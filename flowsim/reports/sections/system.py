"""The system as the case describes it: scheme, lines with their fittings, places, devices."""

import math

from flowsim.document.blocks import Block, Figure, Heading, Words
from flowsim.files.results.report_model import Section
from flowsim.files.units import shown as to
from flowsim.measures import AREA, BORE, LENGTH, ROUGHNESS
from flowsim.network.outcome import part_description
from flowsim.reports.sections.kit import bullets, mm_in, section, table
from flowsim.reports.sections.scheme import scheme
from flowsim.reports.sections.views import side_view, top_view
from flowsim.reports.words.units import clean, number, volume_words
from flowsim.studies.changes.changed_parts import loss_words
from flowsim.studies.report.collect import ReportStudy
from flowsim.system.lines import Line
from flowsim.system.parts import Screen, is_tube
from flowsim.system.points import Point
from flowsim.system.tanks import DipTable, Solid, StatedLevel, Tank

STRAINER_RULE = (
    "Yardstick for a finger strainer: 8 to 16 meshes per inch, clear area at least five times that "
    "of the line (read in parallel rules, Parts 25 and 27; 14 CFR 23.977 itself from memory)."
)


def system_section(study: ReportStudy) -> Section:
    """Draw and list the system."""
    blocks: list[Block] = [
        Words(
            text="Drawn from the case, not to scale. Numbers stand at the lines and are those of "
            "the table below; small marks along a line are its fittings, in their number."
        ),
        Figure(
            caption="Scheme of the system: number of the line, bore, length.",
            alt=_scheme_words(study),
            picture=scheme(study),
        ),
        _lines_table(study),
        _fittings_table(study),
        Heading(text="In true proportion"),
        Words(
            text="Side views turn with the aeroplane; fuel stands level. Numbers are those of the "
            "table of places. Left and right lie over each other in the side view."
        ),
        side_view(study, study.check.level_pitch, "level"),
        side_view(study, study.check.test_pitch, "test attitude"),
        top_view(study),
        _places_table(study),
        Heading(text="Tanks, vents, strainers"),
        _tanks_table(study),
        *_screens(study),
        Heading(text="Selector and drains"),
        *_selectors(study),
        bullets(
            (f"drain {drain.name} at {drain.reaches}" for drain in study.system.drains),
            "No drain is stated.",
        ),
    ]
    return section("system", "The system", blocks)


def line_size(line: Line) -> str:
    """Give a line's size in words."""
    bore = f"bore {_fine(line.bore)}"
    if line.outside_diameter is None or line.wall is None:
        return bore
    return f"{_fine(line.outside_diameter)} outside, wall {_fine(line.wall)}, {bore}"


def _fine(length: float) -> str:
    """Give a small length [m] as it is sold."""
    return BORE.words(length, 2)


def _scheme_words(study: ReportStudy) -> str:
    said = [
        f"line {number_}, {line.name}, from {line.start} to {line.end}, bore "
        f"{BORE.words(line.bore, 1)}, length {LENGTH.words(line.length, 0)}"
        for number_, line in enumerate(study.system.lines, 1)
    ]
    return "; ".join(said) + "."


def _lines_table(study: ReportStudy) -> Block:
    rows = [
        (
            str(place),
            line.name + (" (closed)" if line.closed else ""),
            f"{line.start} to {line.end}",
            line_size(line),
            mm_in(line.length),
            line.material or "not stated",
            _course(line),
        )
        for place, line in enumerate(study.system.lines, 1)
    ]
    names = ["no.", "line", "from, to", "size", "length", "material", "course"]
    return table(names, rows, caption="Lines")


def _course(line: Line) -> str:
    radii = sorted({radius for radius in line.radii if radius})
    radii = radii or sorted({corner.radius for corner in line.corners})
    bend = f", bends of radius {', '.join(map(mm_in, radii))}" if radii else ""
    if line.route is None:
        return f"not known: length and rise only{bend}"
    return f"{len(line.route)} points{bend}"


def _fittings_table(study: ReportStudy) -> Block:
    network = study.assembly.network
    rows: list[tuple[str, ...]] = []
    for link, item in enumerate(network.links):
        rows.append((item.name,))
        for index in range(len(network.placed)):
            if network.part_link[index] != link:
                continue
            placed = network.placed[index]
            name, law, source = part_description(network, index)
            share = "" if placed.share == 1.0 else f" ({placed.share:g} of it on this flow)"
            against = {0: "", 1: "", -1: ", flowing back only"}[placed.direction]
            rows.append(
                (
                    f"{name}{share}",
                    _part_value(study, index),
                    law + against,
                    source or "not stated",
                )
            )
    return table(
        ["part", "value", "law", "source"],
        rows,
        caption="Every part along each line, in order from its start, with what it adds to it",
    )


def _part_value(study: ReportStudy, index: int) -> str:
    part = study.assembly.network.placed[index].part
    if is_tube(part):
        rough = f"roughness {ROUGHNESS.words(part.roughness, 2)}"
        return f"{LENGTH.words(part.length, 0)}, bore {BORE.words(part.bore, 3)}, {rough}"
    if isinstance(part, Screen):
        return _screen_words(part)
    return loss_words(part)


def _screen_words(part: Screen) -> str:
    mesh = number(part.wires_per_metre * 0.0254, 0)
    return (
        f"{AREA.words(part.area, 0)}, {mesh} meshes per inch, wire "
        f"{BORE.words(part.wire_diameter, 3)}, {number(100 * part.clear_fraction, 0)} % clear"
    )


def _places_table(study: ReportStudy) -> Block:
    places = list(study.system.places().items())
    carburettor = study.system.engine.carburettor
    if carburettor is not None and carburettor.float_level is not None:
        places.append(("float level", carburettor.float_level))
    names = [unit.name for unit in LENGTH.units()]
    rows = [(str(place), name, *_point(at)) for place, (name, at) in enumerate(places, 1)]
    return table(
        ["no.", "place", "#station", "#buttline", "#waterline"],
        rows,
        caption=f"Places, {' ('.join(names)}{')' * (len(names) - 1)}: station aft, buttline "
        f"right, waterline up, from the case's datum",
    )


def _point(at: Point) -> tuple[str, str, str]:
    shown = [_coordinate(value) for value in at]
    return shown[0], shown[1], shown[2]


def _coordinate(value: float) -> str:
    first, *second = [number(unit.of(value), 1 + unit.finer) for unit in LENGTH.units()]
    return f"{first} ({second[0]})" if second else first


def _tanks_table(study: ReportStudy) -> Block:
    rows = [_tank_row(tank) for tank in study.system.tanks]
    names = ["tank", "described by", "placarded", "declared unusable", "least take-off", "vent"]
    return table(names, rows, caption="Tanks")


def _tank_row(tank: Tank) -> tuple[str, ...]:
    shape = {Solid: "its shape", DipTable: "a dip table", StatedLevel: "a stated level"}
    vent = tank.vent
    pressure = (
        f"{vent.kind} vent, pressure coefficient {vent.pressure_coefficient:g} "
        f"({vent.coefficient_low:g} to {vent.coefficient_high:g}), airspace {vent.group}"
    )
    return (
        tank.name,
        shape[type(tank.shape)],
        _volume(tank.placarded_capacity),
        _volume(tank.unusable),
        _volume(tank.least_takeoff),
        pressure,
    )


def _volume(volume: float | None) -> str:
    return "not stated" if volume is None else volume_words(volume)


def _screens(study: ReportStudy) -> list[Block]:
    rows = []
    for tank in study.system.tanks:
        for outlet in tank.outlets:
            if outlet.screen is None:
                rows.append((f"{tank.name}.{outlet.name}", "none stated", "-", "-"))
                continue
            screen = outlet.screen
            opening = (1.0 - screen.wires_per_metre * screen.wire_diameter) ** 2
            clear = screen.area * opening * screen.clear_fraction
            bore = math.pi * outlet.bore**2 / 4
            rows.append(
                (
                    f"{tank.name}.{outlet.name}",
                    _screen_words(screen),
                    AREA.words(clear, 0),
                    f"{number(clear / bore, 1)} times",
                )
            )
    made = table(
        ["outlet", "strainer", "#clear area", "#of the outlet's bore"],
        rows,
        caption="Strainers at the outlets",
    )
    return [made, Words(text=STRAINER_RULE, tone="note")]


def _selectors(study: ReportStudy) -> list[Block]:
    if not study.system.selectors:
        return [Words(text="The case has no selector.")]
    rows = []
    for selector in study.system.selectors:
        for name, ports in selector.positions.items():
            judged = "take-off and climb" if name in selector.judged else "shown only, not judged"
            opens = ", ".join(f"{port} ({selector.ports[port]})" for port in ports)
            rows.append((clean(selector.name), name, opens or "nothing: off", judged))
    return [table(["selector", "position", "opens port (line)", "used for"], rows)]


def litres_label(volume: float) -> float:
    """Give a volume [m3] in litres, to a hundredth, for a picture."""
    return round(to.litres(volume), 2)

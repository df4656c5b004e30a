"""The tables of single values on the measuring sheet: flight, engine, fuel, carburettor, tanks."""

from collections.abc import Iterator
from itertools import chain

from flowsim.document.blocks import Heading
from flowsim.files.case.given import GivenPoint
from flowsim.files.case.models import CarburettorSection, PartSection
from flowsim.files.case.models_lines import CaseFile
from flowsim.files.case.models_tanks import OutletSection, TankSection
from flowsim.reports.pages.measuring_sheet_cells import (
    PARTS,
    PLACES,
    VALUES,
    Form,
    SheetCell,
    Value,
    accuracy_cell,
    blank,
    label,
    origin_cell,
    point_row,
    text_of,
    value_cell,
    value_row,
)
from flowsim.reports.pages.measuring_sheet_own import OwnValues

_FLIGHT = ("level_pitch", "climb_pitch", "climb_speed", "level_speed", "pressure_altitude",
           "descent_pitch", "acceleration")  # fmt: skip
_ENGINE = ("burn", "burn_density", "descent_burn")
_TANK = ("fill_factor", "capacity", "unusable", "least_takeoff")
_SECTIONS = (("root", "root"), ("tip", "tip"), ("corners", "corner"))
_TANK_PLACES = (("sump_at", "sump"), ("filler_at", "filler"), ("vent_at", "vent"),
                ("dip_at", "foot of the dip stick"), ("floor_at", "middle of the floor"),
                ("surface_at", "surface"))  # fmt: skip
_LOFTED = tuple(f"{end}, bottom and top, front and rear" for end in ("root", "tip"))
EMPTY_PARTS = 2


def words_of(key: str) -> str:
    """Give a key as words."""
    return key.replace("_", " ")


def flight_table(model: CaseFile | None) -> Form:
    """Give the table of attitudes and speeds."""
    flight = None if model is None else model.flight
    ground = None if model is None else model.ground
    rows = [value_row(words_of(key), getattr(flight, key, None), key) for key in _FLIGHT]
    for key in ("kind", "pitch"):
        value: Value = getattr(ground, key, None)
        rows.append(value_row(f"on the ground, {key}", value, f"ground {key}"))
    return Form("Attitudes and speeds", VALUES, tuple(rows))


def engine_table(model: CaseFile | None) -> Form:
    """Give the table of the engine's burn."""
    engine = None if model is None else model.engine
    keys = _ENGINE
    if engine is not None and engine.rated_power is not None:
        keys = ("rated_power", "specific_consumption", "descent_burn")
    rows = [value_row(_burn_words(key), getattr(engine, key, None), key) for key in keys]
    return Form("Engine", VALUES, tuple(rows))


def _burn_words(key: str) -> str:
    words = {"burn": "full-power burn", "burn_density": "density of that burn"}
    return words.get(key, words_of(key))


def fuel_table(model: CaseFile | None) -> Form:
    """Give the table of the fuel."""
    fuel = None if model is None else model.fuel
    rows = [value_row("kind of fuel", None if fuel is None else fuel.kind, "kind of fuel")]
    found: tuple[Value, ...] = () if fuel is None else fuel.temperatures
    for n in range(max(2, len(found))):
        value = found[n] if n < len(found) else None
        rows.append(value_row(f"temperature {n + 1}", value, "temperatures"))
    return Form("Fuel", VALUES, tuple(rows))


def carburettor_tables(model: CaseFile | None) -> Iterator[Form]:
    """Give the tables of inlet, float level and what lies between them."""
    engine = None if model is None else model.engine
    carburettor: CarburettorSection | None = None if engine is None else engine.carburettor
    inlet = None if engine is None else engine.inlet_at
    level = None if carburettor is None else carburettor.float_level_at
    rows = (
        point_row("1", "inlet, where the line ends", inlet, label("")),
        point_row("2", "fuel level in the float bowl", level, label("")),
    )
    yield Form("Places", PLACES, rows)
    parts = () if carburettor is None else carburettor.parts
    usual = () if parts else ("inlet screen", "needle and seat")
    yield parts_table("From the inlet to the bowl", parts, usual=usual)
    keys = [key for key in ("bowl_pressure", "least_inlet_pressure", "flow_at_least_pressure")
            if getattr(carburettor, key, None) is not None]  # fmt: skip
    keys = keys or ["least_inlet_pressure"]
    values = (value_row(words_of(key), getattr(carburettor, key, None), key) for key in keys)
    flow = (label("flow through the open needle, and the head over it"), blank(), blank(), blank(),
            label("bucket and stopwatch; far better than a bore"))  # fmt: skip
    yield Form("Better than a bore", VALUES, (*values, flow))


def tank_tables(model: CaseFile | None, own: OwnValues, empty: int) -> Iterator[Heading | Form]:
    """Give the tables of every tank, or of so many empty ones."""
    tanks: tuple[TankSection | None, ...] = (None,) * empty if model is None else model.tank
    for number, tank in enumerate(tanks, 1):
        name = "" if tank is None else tank.name
        yield Heading(text=f'Tank "{name}"' if name else f"Tank {number}: ____________")
        yield _tank_values(tank, own)
        yield _tank_places(tank, own)
        if tank is not None and tank.dips is not None:
            yield _dips(tank)
        outlets: tuple[OutletSection | None, ...] = (None, None) if tank is None else tank.outlet
        for place, outlet in enumerate(outlets, 1):
            yield _outlet(outlet, place, name, own)
            if outlet is not None and outlet.parts:
                caption = f'Fittings at the outlet "{outlet.name}", from the tank outward'
                mirrored = own.is_mirrored("tank", name, "parts", outlet.name)
                yield parts_table(caption, outlet.parts, empty=0, mirrored=mirrored)


def _tank_values(tank: TankSection | None, own: OwnValues) -> Form:
    name = "" if tank is None else tank.name

    def row(words: str, value: Value, key: str) -> tuple[SheetCell, ...]:
        is_mirrored = own.is_mirrored("tank", name, key.partition(" ")[0])
        return value_row(words, value, key, mirrored=is_mirrored)

    vent = None if tank is None else tank.vent
    rows = [
        row("shape", getattr(tank, "shape", None), "shape"),
        *(row(words_of(key), getattr(tank, key, None), key) for key in _TANK),
        row("vent, kind", getattr(vent, "kind", None), "vent kind"),
        row("vent, shared with", getattr(vent, "group", None), "vent group"),
    ]
    return Form("", VALUES, tuple(rows))


def _tank_places(tank: TankSection | None, own: OwnValues) -> Form:
    """Give the places of a tank: its outline, sump, filler and vent."""
    found: list[tuple[str, GivenPoint | None, str]] = []
    for key, words in _SECTIONS:
        points = getattr(tank, key, None) or ()
        found += [(f"{words} {n}", point, key) for n, point in enumerate(points, 1)]
    cells = () if tank is None or tank.cells is None else tank.cells
    for number, cell in enumerate(cells, 1):
        found += [(f"cell {number}, point {n}", p, "cells") for n, p in enumerate(cell, 1)]
    if not found and (tank is None or tank.shape not in ("dips", "level")):
        found = [(f"{end} {n}", None, end) for end in ("root", "tip") for n in range(1, 5)]
    for key, words in _TANK_PLACES:
        point = getattr(tank, key, None)
        if point is not None or key in ("sump_at", "filler_at", "vent_at"):
            found.append((words, point, key))
    name = "" if tank is None else tank.name
    rows = tuple(
        point_row(str(n), words, point, label(""), mirrored=own.is_mirrored("tank", name, key))
        for n, (words, point, key) in enumerate(found, 1)
    )
    return Form("Outline (inside), sump, filler, vent", PLACES, rows)


def _dips(tank: TankSection) -> Form:
    columns = (("no", 6.0), ("dip", 30.0), ("fuel in the tank", 34.0), ("remark", 30.0))
    dips = tank.dips or ()
    rows = [(label(str(n)), value_cell(dip.dip), value_cell(dip.quantity), blank())
            for n, dip in enumerate(dips, 1)]  # fmt: skip
    return Form("Dip table", columns, tuple(rows))


def _outlet(outlet: OutletSection | None, number: int, tank: str, own: OwnValues) -> Form:
    """Give the table of an outlet: its place is a row of values too, to keep it together."""
    name = "" if outlet is None else outlet.name
    caption = f'Outlet "{name}"' if name else f"Outlet {number}: ____________"

    def row(words: str, value: Value, key: str) -> tuple[SheetCell, ...]:
        is_mirrored = own.is_mirrored("tank", tank, key.partition(" ")[0], name)
        return value_row(words, value, key, mirrored=is_mirrored)

    at: tuple[Value, ...] = (None, None, None) if outlet is None else tuple(outlet.at)
    axes = zip(("station", "buttline", "waterline"), at, strict=True)
    screen = None if outlet is None else outlet.screen
    rows = [
        *(row(axis, value, "at") for axis, value in axes),
        row("bore of the port", getattr(outlet, "bore", None), "bore"),
        row("style", getattr(outlet, "style", None), "style"),
        *(
            row(f"strainer, {words_of(key)}", getattr(screen, key, None), f"screen {key}")
            for key in ("area", "mesh", "wire", "clear_fraction")
        ),
    ]
    return Form(caption, VALUES, tuple(rows))


def parts_table(
    caption: str,
    parts: tuple[PartSection, ...],
    *,
    usual: tuple[str, ...] = (),
    empty: int = EMPTY_PARTS,
    mirrored: bool = False,
) -> Form:
    """Give the table of fittings and devices, with rows left for more.

    Parameters
    ----------
    caption
        What they are of.
    parts
        Those of the case.
    usual
        Names of those to ask for where the case has none.
    empty
        Rows left for more.
    mirrored
        Whether they are the other side's.

    Returns
    -------
    Form
    """
    rows = [_part(n, part, mirrored) for n, part in enumerate(parts, 1)]
    for name in chain(usual, [""] * empty):
        first = label(name) if name else blank()
        bore = label("") if "screen" in name else blank()
        rows.append((label(str(len(rows) + 1)), first, bore, bore, blank(), blank()))
    return Form(caption, PARTS, tuple(rows))


_STATED = ("cv", "kv", "k", "coefficient", "discharge_coefficient", "area", "mesh", "wire",
         "clear_fraction", "length", "tube", "angle", "radius", "to")  # fmt: skip


def _said(key: str, value: Value) -> str:
    """Give a value of a part in words, with how well it is known."""
    sure = accuracy_cell([value]).text
    return f"{words_of(key)} {text_of(value)}{f' ± {sure}' if sure else ''}"


def _part(number: int, part: PartSection, mirrored: bool) -> tuple[SheetCell, ...]:
    """Give the row of a part."""
    name = part.part if part.name in (None, part.part) else f"{part.name} ({part.part})"
    count = f"{part.count} x " if part.count and part.count > 1 else ""
    values = {key: getattr(part, key) for key in _STATED}
    texts = [_said(key, value) for key, value in values.items() if text_of(value)]
    if part.measured:
        texts.append(f"{len(part.measured)} drops measured")
    said = ", ".join(texts)
    bore = value_cell(part.bore, mirrored=mirrored)
    if part.part == "screen":
        bore = label("")
    other = blank(f"({said})" if said else "") if mirrored or not said else SheetCell("known", said)
    first = next((v for v in (part.bore, *values.values()) if text_of(v)), None)
    origin = origin_cell([] if mirrored else [first])
    sure = accuracy_cell([part.bore]) if bore.kind == "known" else bore
    sure = blank() if sure.kind == "blank" else sure
    return label(str(number)), label(f"{count}{name}"), bore, sure, origin, other

"""What lies behind the engine's inlet: a float bowl with its parts, or a least pressure.

Suction that a case states for itself buys head without bound and is not there in the ground test:
it is refused, as ram at the vent is given no credit. What it would be worth is said.
"""

import math

from flowsim.constants import STANDARD_GRAVITY
from flowsim.files.case.given import Given
from flowsim.files.case.ledger import Ledger
from flowsim.files.case.models import CarburettorSection
from flowsim.files.case.parts import build_parts
from flowsim.files.case.places import is_readable, point_of
from flowsim.files.case.validate import example
from flowsim.files.toml.lines import KeyPath
from flowsim.files.units.kinds import MASS_FLOW
from flowsim.files.units.quantities import shown
from flowsim.measures import BORE, LENGTH
from flowsim.system.engine import Carburettor
from flowsim.system.parts import Part
from flowsim.system.points import Point

FURTHEST_FLOAT = 0.3
"""[m] Furthest that a float bowl's level may lie from the carburettor's inlet fitting. Tag: common
practice."""

NOTABLE_FLOAT = 0.1
"""[m] A float level so far below the inlet is cautioned about: it is worth that much head.
Tag: common practice."""

BOWL_PRESSURE = 0.0
"""[Pa] Air in the bowl above ambient where the case does not say it: vented to still air.
Tag: common practice."""

_INCH = 0.0254
_PATH: KeyPath = ("engine", "carburettor")


def build_carburettor(
    section: CarburettorSection, inlet: Point, fuel_density: float, ledger: Ledger
) -> Carburettor:
    """Build what lies behind the inlet.

    Parameters
    ----------
    section
        ``[engine.carburettor]`` of the file.
    inlet
        The carburettor's inlet [m].
    fuel_density
        [kg/m3] Density of the fuel at 15 degC.
    ledger
        Receives mistakes, origins and cautions.

    Returns
    -------
    Carburettor
        A float bowl, or a least pressure at the inlet.
    """
    if section.least_inlet_pressure is not None:
        return _by_pressure(section, section.least_inlet_pressure, fuel_density, ledger)
    if section.flow_at_least_pressure is not None:
        ledger.mistake(
            (*_PATH, "flow_at_least_pressure"),
            "belongs to least_inlet_pressure, which is not given",
            f"write {example(CarburettorSection, 'least_inlet_pressure')} as well, or delete it",
        )
    if section.float_level_at is None:
        ledger.mistake(
            (*_PATH, "float_level_at"),
            "the fuel level in the bowl is missing",
            f"write {example(CarburettorSection, 'float_level_at')} or "
            f"{example(CarburettorSection, 'least_inlet_pressure')}",
        )
    if not section.parts and not ledger.is_reported((*_PATH, "parts")):
        ledger.mistake(
            (*_PATH, "parts"),
            "the needle and seat is missing",
            f"write {example(CarburettorSection, 'parts')}",
        )
    if section.bowl_pressure is None:
        text = f"{BOWL_PRESSURE:g} Pa above ambient"
        ledger.default((*_PATH, "bowl_pressure"), text, "vented to still air")
    else:
        _refuse_suction("bowl_pressure", section.bowl_pressure, fuel_density, ledger)
    level = None if section.float_level_at is None else point_of(section.float_level_at)
    if level is not None:
        _check_float(level, inlet, ledger)
    return Carburettor(
        parts=build_parts(section.parts, (*_PATH, "parts"), None, fuel_density, ledger),
        float_level=level,
        bowl_pressure=BOWL_PRESSURE
        if section.bowl_pressure is None
        else section.bowl_pressure.value,
    )


def check_seat(parts: tuple[Part, ...], line_bore: float, ledger: Ledger) -> None:
    """Refuse a seat that is wider than the line at the inlet: it would cost nothing.

    Parameters
    ----------
    parts
        Of the carburettor, as built from all of its sections.
    line_bore
        [m] The narrowest bore with which lines end at the inlet, that of their last piece.
    ledger
        Receives mistakes.
    """
    for index, part in enumerate(parts):
        bore = getattr(part, "bore", math.nan)
        if getattr(part, "kind", "") == "needle and seat" and bore > line_bore:
            ledger.mistake(
                (*_PATH, "parts", index, "bore"),
                f"{BORE.significant(bore, 4)} is wider than the line at the inlet, "
                f"{BORE.significant(line_bore, 4)}",
                "write the bore of the seat under the needle, not of its fitting",
            )


def _by_pressure(
    section: CarburettorSection, least: Given, fuel_density: float, ledger: Ledger
) -> Carburettor:
    for key in ("float_level_at", "parts", "bowl_pressure"):
        if key in section.model_fields_set:
            problem = "least_inlet_pressure is given as well"
            ledger.mistake((*_PATH, key), problem, "keep one way of saying it")
    _refuse_suction("least_inlet_pressure", least, fuel_density, ledger)
    promised = section.flow_at_least_pressure
    flow = None
    if promised is not None:
        is_mass = promised.quantity is not None and promised.quantity.kind is MASS_FLOW
        flow = promised.value if is_mass else promised.value * fuel_density
    return Carburettor(
        parts=(),
        float_level=None,
        least_inlet_pressure=least.value,
        least_pressure_flow=flow,
    )


def _refuse_suction(key: str, given: Given, fuel_density: float, ledger: Ledger) -> None:
    """Refuse a pressure below ambient, which would draw fuel."""
    if not given.value < 0.0:
        return
    worth = head_words(-given.value / (fuel_density * STANDARD_GRAVITY))
    ledger.mistake(
        (*_PATH, key),
        f"{shown(given.text)} is suction: it would draw as much as {worth} of fuel. No ground "
        "test has it, and nothing here can check it",
        'write "0 Pa": no credit is taken for suction, nor for ram',
    )


def _check_float(level: Point, inlet: Point, ledger: Ledger) -> None:
    """Refuse a float level far from the inlet; caution about one well below it."""
    if not (is_readable(level) and is_readable(inlet)):
        return
    away = math.dist(level, inlet)
    below = inlet.waterline - level.waterline
    path = (*_PATH, "float_level_at")
    if away > FURTHEST_FLOAT:
        ledger.mistake(
            path,
            f"it lies {head_words(away)} from the inlet, {_height_words(below)}: no float bowl "
            "is so far away",
            "correct float_level_at, or inlet_at (the inlet fitting of the carburettor)",
        )
    elif below > NOTABLE_FLOAT:
        ledger.caution(
            path,
            f"it lies {head_words(below)} below the inlet, worth as much head at the carburettor: "
            "measure it again",
        )


def _height_words(below: float) -> str:
    """Say what the height is worth."""
    if below == 0.0:
        return "at its height"
    sign = "gains" if below > 0.0 else "costs"
    return f"which {sign} {head_words(abs(below))} of fuel in head"


def head_words(head: float) -> str:
    """Give a height [m] in mm, and in inches in brackets."""
    return f"{LENGTH.words(head, 0)}"

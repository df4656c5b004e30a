"""The engine and the ground test of a case."""

import math

from flowsim import measures
from flowsim.constants import (
    GRAVITY_FEED_FACTOR,
    STANDARD_TEMPERATURE,
    USUAL_CONSUMPTION,
    USUAL_CONSUMPTION_WORDS,
)
from flowsim.files.case.carburettor import build_carburettor
from flowsim.files.case.given import Given
from flowsim.files.case.ledger import Ledger
from flowsim.files.case.models import (
    EngineSection,
    GroundTestSection,
)
from flowsim.files.case.names import ENGINE
from flowsim.files.case.places import point_of
from flowsim.files.case.validate import example
from flowsim.files.toml.lines import KeyPath
from flowsim.files.units.kinds import MASS_FLOW
from flowsim.files.units.quantities import shown
from flowsim.physics.fuel.catalogue import HEAVIEST_FUEL
from flowsim.system.engine import Engine

BURN_DENSITY_REACH = 0.12
"""[-] How far the density of a burn in volume may lie from the fuel's: gasolines and their
temperatures spread by less, and a gallon of the wrong kind is off by 17 or 20 %.
Tag: common practice."""
LEAST_CONSUMPTION = 0.165 / 3.6e6
"""[kg/J] 165 g/kWh: half of the 43.5 MJ/kg that avgas gives (ASTM D910, read). No piston engine
turns more of its fuel into work. Tag: published."""
USUAL_HEIGHT_ACCURACY = 0.005
"""[m] One standard deviation of heights taken with tape and level (common practice, no source)."""

HEAT_PICKUP = 0.0
"""[K] What the fuel warms up forward of the firewall where the case does not say it: not modelled.
Tag: common practice."""

_AT: KeyPath = ("engine",)


def build_engine(section: EngineSection, fuel_density: float, ledger: Ledger) -> Engine:
    """Build the engine's side.

    Parameters
    ----------
    section
        ``[engine]`` of the file.
    fuel_density
        [kg/m3] Density of the fuel at 15 degC.
    ledger
        Receives mistakes and origins.

    Returns
    -------
    Engine
        Its burn is NaN where a mistake prevents it.
    """
    if section.feed == "pump":
        ledger.mistake(
            (*_AT, "feed"),
            "a system that depends on a pump cannot be judged: no pump curve is modelled",
            'write feed = "gravity" if it must also feed with the pump off '
            "(a backup pump never lowers the required flow)",
        )
    burn, basis = _burn(section, fuel_density, ledger)
    descent = None
    if section.descent_burn is not None:
        descent, _ = _mass_flow(section.descent_burn, section, fuel_density)
        if descent >= burn:
            ledger.mistake(
                (*_AT, "descent_burn"),
                f"{shown(section.descent_burn.text)} is not less than the full-power burn",
                f"write {example(EngineSection, 'descent_burn')}",
            )
    if section.heat_pickup is None:
        note = "heat picked up forward of the firewall is not modelled; a hot restart boils sooner"
        ledger.default((*_AT, "heat_pickup"), f"{HEAT_PICKUP:g} K", note)
    return Engine(
        inlet=ENGINE,
        inlet_at=point_of(section.inlet_at),
        burn=burn,
        basis=basis,
        factor=GRAVITY_FEED_FACTOR,
        descent_burn=descent,
        heat_pickup=HEAT_PICKUP if section.heat_pickup is None else section.heat_pickup.value,
        burn_by_volume=_is_by_volume(section),
        carburettor=None
        if section.carburettor is None
        else build_carburettor(
            section.carburettor, point_of(section.inlet_at), fuel_density, ledger
        ),
    )


def _is_by_volume(section: EngineSection) -> bool:
    """Tell whether the burn is a volume of an unknown density."""
    burn = section.burn
    if burn is None or burn.quantity is None or section.burn_density is not None:
        return False
    return burn.quantity.kind is not MASS_FLOW


def _burn(section: EngineSection, fuel_density: float, ledger: Ledger) -> tuple[float, str]:
    """Give the full-power burn [kg/s] and its working."""
    if section.burn is not None:
        for key in ("rated_power", "specific_consumption"):
            if getattr(section, key) is not None:
                ledger.mistake((*_AT, key), "burn is given as well", "keep one of them")
        return _stated_burn(section.burn, section, fuel_density, ledger)
    if section.burn_density is not None:
        problem = "belongs to burn, and none is given"
        ledger.mistake((*_AT, "burn_density"), problem, "delete it, or write burn")
    if section.rated_power is not None:
        return _burn_of_power(section.rated_power, section.specific_consumption, ledger)
    if not ledger.is_reported((*_AT, "burn")) and not ledger.is_reported(_AT):
        ledger.mistake(
            (*_AT, "burn"),
            "the full-power burn is missing",
            f"write {example(EngineSection, 'burn')} or {example(EngineSection, 'rated_power')}",
        )
    return math.nan, ""


def _stated_burn(
    burn: Given, section: EngineSection, fuel_density: float, ledger: Ledger
) -> tuple[float, str]:
    flow, density_text = _mass_flow(burn, section, fuel_density)
    hourly = measures.MASS_FLOW.significant(flow, 5)
    if burn.quantity is None or burn.quantity.kind is MASS_FLOW:
        if section.burn_density is not None and burn.quantity is not None:
            ledger.mistake((*_AT, "burn_density"), "the burn is a mass already", "delete it")
        return flow, f"{burn.text} as stated = {hourly}"
    _check_burn_density(section, fuel_density, ledger)
    if section.burn_density is None:
        ledger.default(
            (*_AT, "burn_density"),
            density_text,
            f"the fuel's at {measures.TEMPERATURE.words(STANDARD_TEMPERATURE, 0)}",
        )
    return flow, f"{burn.text} at {density_text} = {hourly}"


def _check_burn_density(section: EngineSection, fuel_density: float, ledger: Ledger) -> None:
    """Refuse a density that no engine maker took: a gallon of the wrong kind changes the burn."""
    if section.burn_density is None or not fuel_density < HEAVIEST_FUEL:
        return
    off = section.burn_density.value / fuel_density - 1.0
    if abs(off) > BURN_DENSITY_REACH:
        ledger.mistake(
            (*_AT, "burn_density"),
            f"{shown(section.burn_density.text)} is {100 * off:+.0f} % off the fuel's at 15 degC, "
            f"{measures.DENSITY.significant(fuel_density, 3)}",
            "check its unit (lb/US_gal or lb/imp_gal), or state the burn as a mass",
        )


def _mass_flow(given: Given, section: EngineSection, fuel_density: float) -> tuple[float, str]:
    """Turn a flow into mass flow [kg/s]; give the density used, in words."""
    if given.quantity is not None and given.quantity.kind is MASS_FLOW:
        return given.value, ""
    if section.burn_density is not None:
        return given.value * section.burn_density.value, section.burn_density.text
    return given.value * fuel_density, measures.DENSITY.significant(fuel_density, 4)


def _burn_of_power(power: Given, consumption: Given | None, ledger: Ledger) -> tuple[float, str]:
    if consumption is None:
        specific, text = USUAL_CONSUMPTION, USUAL_CONSUMPTION_WORDS
        ledger.default(
            (*_AT, "specific_consumption"), text, "AC 90-89A, 1995; later edition AC 90-89B"
        )
    else:
        specific, text = consumption.value, consumption.text
        if specific < LEAST_CONSUMPTION:
            ledger.mistake(
                (*_AT, "specific_consumption"),
                f"{shown(text)} would be more than half of the fuel's heat turned into work: no "
                "piston engine does that",
                f'check its unit and decimals; "{USUAL_CONSUMPTION_WORDS}" is usual',
            )
    flow = power.value * specific
    basis = f"{power.text} x {text} = {measures.MASS_FLOW.significant(flow, 5)}"
    ledger.assumed(
        (*_AT, "rated_power"), basis, "worked out from power; the maker's burn is better"
    )
    return flow, basis


def build_test(section: GroundTestSection, ledger: Ledger) -> tuple[float, float]:
    """Give what one test run draws from each tank [m3] and the deviation of heights [m].

    Parameters
    ----------
    section
        ``[test]`` of the file.
    ledger
        Receives defaults.

    Returns
    -------
    tuple of float
        Draw and deviation.
    """
    if section.draw.value == 0.0:
        ledger.mistake(("test", "draw"), "a test draws fuel", 'write draw = "2 L"')
    if section.height_accuracy is None:
        note = "one standard deviation, common practice, no source"
        ledger.default(
            ("test", "height_accuracy"), measures.LENGTH.words(USUAL_HEIGHT_ACCURACY, 0), note
        )
        return section.draw.value, USUAL_HEIGHT_ACCURACY
    return section.draw.value, section.height_accuracy.value

"""The fuel of a case: from its section to ``flowsim.system.fuel``."""

import math

from flowsim.errors import DomainError
from flowsim.files.case.given import Given
from flowsim.files.case.ledger import Ledger
from flowsim.files.case.models import DensityAt, FuelSection, VapourAt, ViscosityAt
from flowsim.files.case.words import did_you_mean
from flowsim.files.units.quantities import shown
from flowsim.measures import DENSITY, PRESSURE, TEMPERATURE
from flowsim.physics.fuel.catalogue import (
    CATALOGUE,
    MeasuredPoints,
    density_15_from,
    fuel_named,
    own_fuel,
    with_ethanol,
    with_measurements,
)
from flowsim.physics.fuel.properties import kinematic_viscosity, require_range
from flowsim.system.bands import Band, Normal
from flowsim.system.fuel import Fuel

OWN = "own"
DENSITY_REACH = 0.1
"""[-] How far a known fuel's density may lie from the catalogue's: those of one kind spread by 4 %
(EN 228 has 720 to 775 kg/m3), and a gallon of the wrong kind is off by 17 or 20 %.
Tag: common practice."""
_MEASURED_VISCOSITY = Normal(0.05)
"""[-] Spread of a viscosity that was read without an accuracy. Tag: common practice."""
LEAST_BOILING_RISE = 2000.0
"""[K] Of ln p = A - B/T the least B of any fuel: a heat of vaporisation of 17 kJ/mol, propane's is
19 and what gasoline is made of takes 25 and more. Tag: from memory."""
_SLOPE = 3.0
"""[degF per vol %] Distillation slope of a fuel of one's own. Tag: from memory."""
_AT = ("fuel",)
_Readings = tuple[DensityAt, ...] | tuple[ViscosityAt, ...] | tuple[VapourAt, ...]


def build_fuel(section: FuelSection, ledger: Ledger) -> Fuel | None:
    """Build the fuel.

    Parameters
    ----------
    section
        ``[fuel]`` of the file.
    ledger
        Receives mistakes and origins.

    Returns
    -------
    Fuel or None
        None where a mistake prevents it.
    """
    if not section.kind:
        return None
    readable = _check_readings(section, ledger)
    is_own = section.kind == OWN
    if not is_own and section.kind.strip().casefold() not in {n.casefold() for n in CATALOGUE}:
        known = (*CATALOGUE, OWN)
        remedy = did_you_mean(section.kind, known)
        ledger.mistake((*_AT, "kind"), f"{shown(section.kind)} is not a known fuel", remedy)
        return None
    if is_own and not _has_all(section, ledger):
        return None
    if not readable:
        return None
    try:
        fuel = _own(section, ledger) if is_own else _named(section, ledger)
    except DomainError as error:
        ledger.mistake(_AT, *split_message(error))
        return None
    _check_temperatures(section, fuel, ledger)
    return fuel


def split_message(error: DomainError) -> tuple[str, str]:
    """Split the message of a law's refusal into problem and remedy.

    Parameters
    ----------
    error
        Its text is ``problem; remedy`` or a problem alone.

    Returns
    -------
    tuple of str
        Problem and remedy.
    """
    problem, _, remedy = str(error).partition("; ")
    return problem, remedy or "check the value and its unit"


def _check_readings(section: FuelSection, ledger: Ledger) -> bool:
    """Check the number of readings of each property; tell whether all could be read."""
    sound = True
    for key in ("density", "viscosity", "vapour_pressure"):
        readings: _Readings = getattr(section, key)
        if len(readings) > 2:
            ledger.mistake((*_AT, key), f"{len(readings)} readings are given", "give one or two")
            sound = False
        sound &= not any(math.isnan(r.at.value + r.value.value) for r in readings)
    if section.vapour_pressure and section.reid_vapour_pressure is not None:
        ledger.mistake(
            (*_AT, "reid_vapour_pressure"), "vapour_pressure is given as well", "keep one of them"
        )
        sound = False
    for given in (section.reid_vapour_pressure, section.ethanol):
        sound &= given is None or not math.isnan(given.value)
    if sound and len(section.vapour_pressure) == 2:
        _check_rise(section, ledger)
    return sound


def _check_rise(section: FuelSection, ledger: Ledger) -> None:
    """Refuse vapour pressures that rise less than any fuel's: hotter fuel would seem not to boil.

    Readings that fall, or at one temperature, are refused with the law through them.
    """
    (cold, low), (hot, high) = sorted(_points(section.vapour_pressure))
    if hot <= cold or high <= low or low <= 0.0:
        return
    over = 1.0 / cold - 1.0 / hot
    if math.log(high / low) / over >= LEAST_BOILING_RISE:
        return
    least = math.exp(LEAST_BOILING_RISE * over)
    last = max(range(2), key=lambda index: section.vapour_pressure[index].at.value)
    given = section.vapour_pressure[last]
    ledger.mistake(
        (*_AT, "vapour_pressure", last, "value"),
        f"{shown(given.value.text)} is {high / low:.3f} times the other reading; any fuel's rises "
        f"at least {least:.3g} times between these temperatures",
        "check both readings and their units",
    )


def _has_all(section: FuelSection, ledger: Ledger) -> bool:
    """Check that a fuel of one's own has what it needs."""
    examples = {
        "density": '[{ at = "20 degC", value = "789 kg/m3" }]',
        "viscosity": '[{ at = "20 degC", value = "1.5 mm2/s" }]',
        "vapour_pressure": '[{ at = "20 degC", value = "5.9 kPa" }]',
    }
    missing = [
        key
        for key in examples
        if not getattr(section, key)
        and not ledger.is_reported((*_AT, key))
        and not (key == "vapour_pressure" and section.reid_vapour_pressure is not None)
    ]
    for key in missing:
        ledger.mistake((*_AT, key), 'is missing for fuel "own"', f"write {key} = {examples[key]}")
    return not missing and bool(section.density and section.viscosity)


def _points(readings: _Readings) -> MeasuredPoints:
    return tuple((reading.at.value, reading.value.value) for reading in readings)


def _viscosity_band(section: FuelSection, ledger: Ledger) -> Band:
    shares = [r.value.accuracy / r.value.value for r in section.viscosity if r.value.accuracy]
    if shares:
        return Normal(max(shares))
    note = "one standard deviation, common practice, no source"
    ledger.default((*_AT, "viscosity"), "accuracy 5 %", note)
    return _MEASURED_VISCOSITY


def _own(section: FuelSection, ledger: Ledger) -> Fuel:
    """Describe the liquid by its readings alone."""
    for key in ("density", "viscosity", "vapour_pressure"):
        readings: _Readings = getattr(section, key)
        if len(readings) == 1:
            what = f"{readings[0].value.text} at every temperature"
            ledger.assumed((*_AT, key), what, f"read at {readings[0].at.text} only")
    reid = None if section.reid_vapour_pressure is None else section.reid_vapour_pressure.value
    if reid is not None:
        ledger.default((*_AT, "reid_vapour_pressure"), "distillation slope 3", "motor gasoline")
    return own_fuel(
        OWN,
        density_points=_points(section.density),
        viscosity_points=_points(section.viscosity),
        vapour_points=_points(section.vapour_pressure),
        reid_pressure=reid,
        distillation_slope=None if reid is None else _SLOPE,
        ethanol=0.0 if section.ethanol is None else section.ethanol.value,
        band=_viscosity_band(section, ledger),
    )


def _named(section: FuelSection, ledger: Ledger) -> Fuel:
    """Take a known fuel and replace what was measured."""
    fuel = fuel_named(section.kind)
    reid = None if section.reid_vapour_pressure is None else section.reid_vapour_pressure.value
    if section.ethanol is not None:
        fuel = with_ethanol(fuel, section.ethanol.value, reid_pressure=reid)
    if len(section.vapour_pressure) == 1:
        raise DomainError(
            "the vapour pressure is given at one temperature only, and would be too low above it; "
            "give it at two temperatures, or give reid_vapour_pressure"
        )
    _note_catalogue_values(section, fuel, ledger)
    if section.density:
        usual, fuel = fuel, _with_density(section, fuel)
        _check_density(usual, fuel, ledger)
    if section.viscosity:
        band = _viscosity_band(section, ledger)
        points = _viscosity_points(section, fuel, ledger)
        fuel = with_measurements(fuel, viscosity_points=points, viscosity_band=band)
    if section.vapour_pressure:
        fuel = with_measurements(fuel, vapour_points=_points(section.vapour_pressure))
    elif reid is not None:
        fuel = with_measurements(fuel, reid_pressure=reid)
    return fuel


def _check_density(usual: Fuel, fuel: Fuel, ledger: Ledger) -> None:
    """Refuse a density that is no such fuel's: what arrives by mass goes with it."""
    off = fuel.density_15 / usual.density_15 - 1.0
    if abs(off) > DENSITY_REACH:
        ledger.mistake(
            (*_AT, "density", 0, "value"),
            f"{DENSITY.significant(fuel.density_15, 3)} at 15 degC is {100 * off:+.0f} % off "
            f"{usual.name}, {DENSITY.significant(usual.density_15, 3)}",
            'check its unit (lb/US_gal or lb/imp_gal), or describe the liquid as kind = "own"',
        )


def _with_density(section: FuelSection, fuel: Fuel) -> Fuel:
    if len(section.density) == 1 and fuel.density_law == "petroleum":
        reading = section.density[0]
        density = density_15_from(reading.value.value, reading.at.value)
        return with_measurements(fuel, density_15=density)
    return with_measurements(fuel, density_points=_points(section.density))


def _viscosity_points(section: FuelSection, fuel: Fuel, ledger: Ledger) -> MeasuredPoints:
    """Give two points; with one reading the named fuel's curve is moved through it."""
    points = _points(section.viscosity)
    if len(points) == 2 or fuel.viscosity_law != "d341":
        return points
    (temperature, value) = points[0]
    ratio = value / float(kinematic_viscosity(fuel, temperature))
    note = f"read at {section.viscosity[0].at.text} only"
    ledger.assumed((*_AT, "viscosity"), f"curve of {fuel.name} times {ratio:.3g}", note)
    return tuple((kelvin, ratio * nu) for kelvin, nu in fuel.viscosity_points)


def _note_catalogue_values(section: FuelSection, fuel: Fuel, ledger: Ledger) -> None:
    """List what is taken from the catalogue and not measured."""
    note = f"catalogue value of {fuel.name}, not measured"
    if not section.density:
        ledger.default(
            (*_AT, "density"),
            f"{DENSITY.significant(fuel.density_15, 4)} at {TEMPERATURE.words(288.15, 0)}",
            note,
        )
    if not section.viscosity:
        where = min(max(288.15, fuel.lowest), fuel.highest)
        nu = 1e6 * float(kinematic_viscosity(fuel, where))
        text = f"{nu:.3g} mm2/s at {TEMPERATURE.words(where, 0)}"
        ledger.default((*_AT, "viscosity"), text, note)
    if not section.vapour_pressure and section.reid_vapour_pressure is None:
        if fuel.reid_pressure is None:
            text = f"law of {fuel.vapour_law}"
        else:
            text = f"Reid {PRESSURE.significant(fuel.reid_pressure, 3)}"
        ledger.default((*_AT, "vapour_pressure"), text, note)


def _check_temperatures(section: FuelSection, fuel: Fuel, ledger: Ledger) -> None:
    for index, given in enumerate(section.temperatures):
        if math.isnan(given.value):
            continue
        try:
            require_range(fuel, given.value)
        except DomainError as error:
            ledger.mistake((*_AT, "temperatures", index), *split_message(error))


def build_temperatures(section: FuelSection, ledger: Ledger) -> tuple[float, ...]:
    """Give the fuel temperatures to judge [K].

    Parameters
    ----------
    section
        ``[fuel]`` of the file.
    ledger
        Receives mistakes and cautions.

    Returns
    -------
    tuple of float
        In file order.
    """
    kelvins = tuple(given.value for given in section.temperatures)
    if not kelvins and not ledger.is_reported((*_AT, "temperatures")):
        ledger.mistake(
            (*_AT, "temperatures"),
            "no temperature is given",
            'write temperatures = ["-10 degC", "38 degC"]',
        )
    if len(kelvins) == 1:
        ledger.caution((*_AT, "temperatures"), "only one fuel temperature is judged")
    return kelvins


def density_at_15(fuel: Fuel | None) -> float:
    """Give the density at 15 degC [kg/m3], NaN where the fuel could not be built.

    Parameters
    ----------
    fuel
        The fuel.

    Returns
    -------
    float
        [kg/m3].
    """
    return math.nan if fuel is None else fuel.density_15


def check_heat_pickup(
    section: FuelSection, pickup: Given | None, fuel: Fuel | None, ledger: Ledger
) -> None:
    """Check that the hottest fuel, warmed up at the engine, is still within the fuel's laws.

    Parameters
    ----------
    section
        ``[fuel]`` of the file.
    pickup
        The engine's ``heat_pickup``.
    fuel
        The fuel.
    ledger
        Receives mistakes.
    """
    if fuel is None or pickup is None or math.isnan(pickup.value):
        return
    kelvins = [given.value for given in section.temperatures if not math.isnan(given.value)]
    try:
        require_range(fuel, max(kelvins, default=fuel.lowest) + pickup.value)
    except DomainError as error:
        problem, _ = split_message(error)
        remedy = "state a smaller heat_pickup, or describe the fuel by points of your own"
        ledger.mistake(("engine", "heat_pickup"), problem, remedy)

"""How each kind of part loses head: from its keys to ``flowsim.system.parts``."""

import math
from dataclasses import dataclass, replace
from typing import TypeVar

from flowsim.files.case_bands import MEASURED, STATED, bore_band, factor_band
from flowsim.files.case_ledger import Ledger
from flowsim.files.case_materials import wall_of
from flowsim.files.case_models import PartSection
from flowsim.files.case_validate import example
from flowsim.files.case_values import Given
from flowsim.files.toml_lines import Path
from flowsim.physics import fitting_catalogue as catalogue
from flowsim.physics.losses import bend, hose_barb, sudden_change
from flowsim.system.bands import Band
from flowsim.system.parts import (
    FlowCoefficient,
    MeasuredDrop,
    MinorLoss,
    OneWayValve,
    Orifice,
    Part,
    Pipe,
    QuadraticLoss,
    Screen,
)

_BY_LINE = ("line bore", "line bore, or its port bore where that is known")

_T = TypeVar("_T")


@dataclass(frozen=True, slots=True)
class PartPlace:
    """Where a part sits: its path, the bore of its line [m] (None in a carburettor), the fuel.

    ``fuel_density`` [kg/m3] at 15 degC stands in where a table of drops does not say its liquid.
    """

    path: Path
    line_bore: float | None
    fuel_density: float
    ledger: Ledger


def needed(value: _T | None) -> _T:
    """Give a value that the part's rule needs and that was looked for before.

    Parameters
    ----------
    value
        The value.

    Returns
    -------
    T
        The same, known to be there.

    Raises
    ------
    AssertionError
        It is not there: a bug.
    """
    if value is None:
        raise AssertionError("a needed key was not looked for")
    return value


def _name(section: PartSection) -> str:
    return section.name or section.part


def own_bore(section: PartSection, place: PartPlace) -> float | None:
    """Give the part's own bore, or the line's where that is what the loss refers to."""
    if section.bore is not None:
        return section.bore.value
    is_fitting = section.part in catalogue.CATALOGUE and section.cv is None and section.kv is None
    is_fitting = is_fitting and section.measured is None
    on_line = not is_fitting or catalogue.CATALOGUE[section.part].reference in _BY_LINE
    if place.line_bore is None or not on_line:
        wanted = catalogue.CATALOGUE[section.part].reference if is_fitting else "its bore"
        place.ledger.mistake(
            (*place.path, "bore"), f"is missing ({wanted})", f"write {example(PartSection, 'bore')}"
        )
        return None
    if section.part in ("selector", "loss"):
        text = f"{1000.0 * place.line_bore:.4g} mm"
        place.ledger.default((*place.path, "bore"), text, "the line's bore")
    return place.line_bore


def _band(section: PartSection, key: str, usual: Band, place: PartPlace) -> Band:
    """Give the spread of the number at a key (or of a usual value, where it is not given)."""
    given: Given | None = _least_sure(section) if key == "measured" else getattr(section, key)
    places = (place.path, (*place.path, key))
    return factor_band(section.band, given, usual, places, place.ledger)


def _least_sure(section: PartSection) -> Given | None:
    """Give the measured drop with the widest stated accuracy, if any has one."""
    drops = [reading.drop for reading in section.measured or () if reading.drop.accuracy]
    return max(drops, key=lambda drop: (drop.accuracy or 0.0) / drop.value, default=None)


def _stated_kv(section: PartSection, place: PartPlace) -> tuple[float, Band]:
    """Give Kv of so many in a row: the drops add up, so Kv falls with the root of the count."""
    root = math.sqrt(section.count or 1)
    if section.kv is not None:
        return section.kv.value / root, _band(section, "kv", STATED, place)
    cv = needed(section.cv).value
    return catalogue.cv_to_kv(cv) / root, _band(section, "cv", STATED, place)


def stated_flow_coefficient(section: PartSection, bore: float, place: PartPlace) -> Part:
    """Build a part of a stated Cv or Kv."""
    kv, spread = _stated_kv(section, place)
    return FlowCoefficient(
        name=_name(section), kind=section.part, bore=bore, kv=kv, band=spread, source="stated"
    )


def stated_k(section: PartSection, bore: float, place: PartPlace) -> Part:
    """Build a part of a stated loss factor."""
    return MinorLoss(
        name=_name(section),
        kind=section.part,
        bore=bore,
        k_inf=needed(section.k).value,
        k_laminar=0.0 if section.k_laminar is None else section.k_laminar.value,
        count=section.count or 1,
        band=_band(section, "k", STATED, place),
        source="stated",
    )


def measured(section: PartSection, bore: float, place: PartPlace) -> Part | None:
    """Build a table of drops, which must rise."""
    readings = section.measured or ()
    flows = tuple(reading.flow.value for reading in readings)
    drops = tuple((section.count or 1) * reading.drop.value for reading in readings)
    if any(math.isnan(value) for value in (*flows, *drops)):
        return None
    for index in range(1, len(flows)):
        if flows[index] <= flows[index - 1] or drops[index] <= drops[index - 1]:
            place.ledger.mistake(
                (*place.path, "measured", index),
                "flow and drop do not both rise from row to row",
                "write the rows in rising order",
            )
            return None
    density = place.fuel_density
    if section.density is not None:
        density = section.density.value
    elif not math.isnan(density):
        place.ledger.default(
            (*place.path, "density"), f"{density:.4g} kg/m3", "the fuel's at 15 degC"
        )
    usual = catalogue.FILTER_BAND if section.part == "filter" else MEASURED
    return MeasuredDrop(
        name=_name(section),
        kind=section.part,
        bore=bore,
        flows=flows,
        drops=drops,
        density=density,
        band=_band(section, "measured", usual, place),
        source="measured",
    )


def device(section: PartSection, bore: float, place: PartPlace) -> Part | None:
    """Build a device whose loss is not stated by cv, kv, k or a table."""
    name, part, ledger = _name(section), section.part, place.ledger
    if part == "flow meter":
        ledger.default(
            (*place.path, "cv"), f"Cv {catalogue.FLOW_METER_CV:g}", "makers' data sheets"
        )
        return FlowCoefficient(
            name=name, kind=part, bore=bore, kv=catalogue.cv_to_kv(catalogue.FLOW_METER_CV),
            band=_band(section, "cv", catalogue.FLOW_METER_BAND, place),
            source="usual turbine flow sensor",
        )  # fmt: skip
    if part == "small ball valve":
        cv = catalogue.SMALL_BALL_VALVE_CV
        ledger.default((*place.path, "cv"), f"Cv {cv:g}", "a maker's table, 1/4 in full port")
        return FlowCoefficient(
            name=name, kind=part, bore=bore, kv=catalogue.cv_to_kv(cv),
            k_laminar=catalogue.SMALL_BALL_VALVE_K_LAMINAR,
            band=_band(section, "cv", catalogue.SMALL_BALL_VALVE_BAND, place),
            source="usual small ball valve",
        )  # fmt: skip
    if part in ("restrictor", "needle and seat"):
        return _orifice(section, bore, place)
    if part == "quadratic loss":
        return QuadraticLoss(
            name=name, kind=part, bore=bore, coefficient=needed(section.coefficient).value,
            band=_band(section, "coefficient", STATED, place),
            source="stated",
        )  # fmt: skip
    if part == "bend":
        made = bend(needed(section.angle).value, needed(section.radius).value, bore, name)
        return replace(made, count=section.count or 1)
    if part == "size change":
        made = sudden_change(bore, needed(section.to).value)
        return replace(made, name=section.name) if section.name else made
    remedy = f"write {example(PartSection, 'cv')}, kv or measured"
    ledger.mistake((*place.path, "cv"), f"a {part} needs its flow coefficient or drop", remedy)
    return None


def _orifice(section: PartSection, bore: float, place: PartPlace) -> Part:
    given = section.discharge_coefficient
    if given is None:
        value = catalogue.SEAT_DISCHARGE_COEFFICIENT
        place.ledger.default(
            (*place.path, "discharge_coefficient"), f"{value:g}", "sharp orifice, fully open"
        )
        usual: Band = catalogue.SEAT_BAND
    else:
        value = given.value
        usual = MEASURED
    return Orifice(
        name=_name(section), kind=section.part, bore=bore, discharge_coefficient=value,
        band=_band(section, "discharge_coefficient", usual, place),
        source="sharp orifice" if given is None else "stated",
    )  # fmt: skip


def fitting(section: PartSection, bore: float, place: PartPlace) -> Part:
    """Build a fitting of the catalogue; a barb by its step of bore where the hose is known."""
    made = catalogue.fitting(section.part, bore, _name(section), section.count or 1)
    if section.part == "hose barb" and place.line_bore is not None and bore != place.line_bore:
        barb = hose_barb(place.line_bore, bore, _name(section))
        made = replace(barb, count=section.count or 1)
    if section.band is not None:
        made = replace(made, band=_band(section, "k", made.band, place))
    return made


def screen(section: PartSection, place: PartPlace) -> Part | None:
    """Build a screen on a line."""
    area, mesh, wire = needed(section.area), needed(section.mesh), needed(section.wire)
    return build_screen(
        _name(section),
        (area, mesh, wire, section.clear_fraction),
        place.path,
        place.ledger,
        _band(section, "area", catalogue.SCREEN_BAND, place),
    )


def build_screen(
    name: str,
    size: tuple[Given, Given, Given, Given | None],
    path: Path,
    ledger: Ledger,
    band: Band = catalogue.SCREEN_BAND,
) -> Screen | None:
    """Build a woven screen.

    Parameters
    ----------
    name
        Its name.
    size
        Area, mesh, wire diameter, clear fraction (None: 0.9, which is listed).
    path
        Path of its table.
    ledger
        Receives mistakes and origins.
    band
        Spread of its loss.

    Returns
    -------
    Screen or None
        None where the wires would leave no opening.
    """
    area, mesh, wire, clear = size
    if mesh.value * wire.value >= 1.0:
        ledger.mistake(
            (*path, "wire"), f"{mesh.text} of wire {wire.text} leave no opening", "check both"
        )
        return None
    if clear is None:
        ledger.default((*path, "clear_fraction"), "0.9", "common practice, no source")
    return Screen(
        name=name,
        area=area.value,
        wires_per_metre=mesh.value,
        wire_diameter=wire.value,
        clear_fraction=0.9 if clear is None else clear.value,
        band=band,
        source="plain square woven screen",
    )


def one_way_valve(section: PartSection, place: PartPlace) -> Part | None:
    """Build a one-way valve."""
    if section.cv is None and section.kv is None:
        remedy = f"write {example(PartSection, 'cv')} or kv"
        place.ledger.mistake((*place.path, "cv"), "is missing for a one-way valve", remedy)
        return None
    bore = own_bore(section, place)
    if bore is None:
        return None
    kv, spread = _stated_kv(section, place)
    return OneWayValve(
        name=_name(section), bore=bore, cracking_pressure=needed(section.cracking).value, kv=kv,
        band=spread, source="stated",
    )  # fmt: skip


def piece(section: PartSection, place: PartPlace) -> Part | None:
    """Build a piece of tube or hose."""
    if section.bore is None and section.tube is None:
        place.ledger.mistake(
            (*place.path, "bore"), "is missing", f"write {example(PartSection, 'bore')} or tube"
        )
        return None
    if section.bore is not None:
        bore = section.bore.value
        if section.tube is not None:
            place.ledger.mistake((*place.path, "tube"), "bore is given as well", "keep one of them")
    else:
        tube = needed(section.tube)
        bore = tube.outside_diameter - 2.0 * tube.wall
    material, roughness = wall_of(section, section.part == "hose", place.path, place.ledger)
    factor = section.friction_factor
    return Pipe(
        name=_name(section),
        length=needed(section.length).value,
        bore=bore,
        roughness=roughness,
        friction_factor=None if factor is None else factor.value,
        material=material,
        bore_band=bore_band(section.bore, (*place.path, "bore"), place.ledger),
        source="stated piece",
    )

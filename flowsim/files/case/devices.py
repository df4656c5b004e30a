"""Devices on a line: valves, meters, seats, screens, pieces of other tube."""

from dataclasses import replace

from flowsim.files.case.bands import MEASURED, STATED, bore_band
from flowsim.files.case.given import Given
from flowsim.files.case.ledger import Ledger
from flowsim.files.case.materials import check_roughness, wall_of
from flowsim.files.case.models import PartSection
from flowsim.files.case.part_laws import (
    PartPlace,
    band_of,
    name_of,
    needed,
    own_bore,
    stated_kv,
    tag_of,
)
from flowsim.files.case.validate import example
from flowsim.files.toml.lines import KeyPath
from flowsim.files.units.plausible import LARGEST_CRACKING
from flowsim.physics.losses import fitting_catalogue as catalogue
from flowsim.physics.losses.formed_fittings import bend, sudden_change
from flowsim.system.bands import Band
from flowsim.system.parts import (
    FINE_BOWL,
    FlowCoefficient,
    OneWayValve,
    Orifice,
    Part,
    Pipe,
    QuadraticLoss,
    Screen,
)
from flowsim.system.tags import Tag

CLEAR_FRACTION = 0.9
"""[-] Clear share of a screen as fitted, where the case does not say it. Tag: common practice."""


KNOWN_MESH = (30.0 / 0.0254, 2400.0 / 0.0254)
"""[1/m] Meshes that Armour and Cannon's law of woven screens was fitted to, 30 to 2400 wires an
inch (abstract read); outside it the law is an estimate. Tag: published."""

KNOWN_PORE = (5e-6, 550e-6)
"""[m] Openings between the wires that it was fitted to (abstract read); outside them the law is an
estimate. Tag: published."""

COARSE = "plain square woven screen, outside the meshes and openings that the law was fitted to"


def device(section: PartSection, bore: float, place: PartPlace) -> Part | None:
    """Build a device whose loss is not stated by cv, kv, k or a table.

    Parameters
    ----------
    section
        The part's table, its keys checked.
    bore
        [m] Its bore.
    place
        Where it sits; its ledger receives mistakes and origins.

    Returns
    -------
    Part or None
        None where a mistake prevents it.
    """
    name, part, ledger = name_of(section), section.part, place.ledger
    if part == "flow meter":
        ledger.default(
            (*place.path, "cv"), f"Cv {catalogue.FLOW_METER_CV:g}", "makers' data sheets"
        )
        return FlowCoefficient(
            name=name, kind=part, bore=bore, kv=catalogue.cv_to_kv(catalogue.FLOW_METER_CV),
            band=band_of(section, "cv", catalogue.FLOW_METER_BAND, place),
            source="usual turbine flow sensor", tag=Tag.PUBLISHED,
        )  # fmt: skip
    if part == "small ball valve":
        cv = catalogue.SMALL_BALL_VALVE_CV
        ledger.default((*place.path, "cv"), f"Cv {cv:g}", "a maker's table, 1/4 in full port")
        return FlowCoefficient(
            name=name, kind=part, bore=bore, kv=catalogue.cv_to_kv(cv),
            k_laminar=catalogue.SMALL_BALL_VALVE_K_LAMINAR,
            band=band_of(section, "cv", catalogue.SMALL_BALL_VALVE_BAND, place),
            source="usual small ball valve", tag=Tag.PUBLISHED,
        )  # fmt: skip
    if part == FINE_BOWL:
        cv = catalogue.FINE_BOWL_CV
        note = "most that A-A-52472A lets a new one lose; measure the drop at your flow"
        ledger.default((*place.path, "cv"), f"Cv {cv:g}", note)
        return FlowCoefficient(
            name=name, kind=part, bore=bore, kv=catalogue.cv_to_kv(cv),
            band=band_of(section, "cv", catalogue.FINE_BOWL_BAND, place),
            source="limit of a commercial specification for a bowl with a fine element",
            tag=Tag.ESTIMATE,
        )  # fmt: skip
    if part in ("restrictor", "needle and seat"):
        return _orifice(section, bore, place)
    if part == "quadratic loss":
        return QuadraticLoss(
            name=name, kind=part, bore=bore, coefficient=needed(section.coefficient).value,
            band=band_of(section, "coefficient", STATED, place),
            source="stated", tag=tag_of(section.coefficient),
        )  # fmt: skip
    if part == "bend":
        angle, radius = needed(section.angle).value, needed(section.radius).value
        made = bend(angle, radius, bore, name, section.count or 1)
        return replace(made, joins=place.joins)
    if part == "size change":
        made = sudden_change(bore, needed(section.to).value)
        return replace(made, name=section.name) if section.name else made
    remedy = f"write {example(PartSection, 'cv')}, kv or measured"
    ledger.mistake((*place.path, "cv"), f"a {part} needs its flow coefficient or drop", remedy)
    return None


def _orifice(section: PartSection, bore: float, place: PartPlace) -> Part:
    given = section.discharge_coefficient
    # 0.61 was published for a sharp edge, not for a needle and seat.
    usual_tag = Tag.PUBLISHED if section.part == "restrictor" else Tag.ESTIMATE
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
        name=name_of(section), kind=section.part, bore=bore, discharge_coefficient=value,
        band=band_of(section, "discharge_coefficient", usual, place),
        source="sharp orifice" if given is None else "stated",
        tag=usual_tag if given is None else tag_of(given),
    )  # fmt: skip


def screen(section: PartSection, place: PartPlace) -> Part | None:
    """Build a screen on a line.

    Parameters
    ----------
    section
        The part's table, its keys checked.
    place
        Where it sits; its ledger receives mistakes and origins.

    Returns
    -------
    Part or None
        None where a mistake prevents it.
    """
    area, mesh, wire = needed(section.area), needed(section.mesh), needed(section.wire)
    return build_screen(
        name_of(section),
        (area, mesh, wire, section.clear_fraction),
        place.path,
        place.ledger,
        band_of(section, "k", catalogue.SCREEN_BAND, place),
    )


def build_screen(
    name: str,
    size: tuple[Given, Given, Given, Given | None],
    path: KeyPath,
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
        note = "common practice, no source"
        ledger.default((*path, "clear_fraction"), f"{CLEAR_FRACTION:g}", note)
    pore = 1.0 / mesh.value - wire.value
    is_known = (
        KNOWN_MESH[0] <= mesh.value <= KNOWN_MESH[1] and KNOWN_PORE[0] <= pore <= KNOWN_PORE[1]
    )
    return Screen(
        name=name,
        area=area.value,
        wires_per_metre=mesh.value,
        wire_diameter=wire.value,
        clear_fraction=CLEAR_FRACTION if clear is None else clear.value,
        band=band,
        source="plain square woven screen" if is_known else COARSE,
        tag=Tag.PUBLISHED if is_known else Tag.ESTIMATE,
    )


def one_way_valve(section: PartSection, place: PartPlace) -> Part | None:
    """Build a one-way valve.

    Parameters
    ----------
    section
        The part's table, its keys checked.
    place
        Where it sits; its ledger receives mistakes and origins.

    Returns
    -------
    Part or None
        None where a mistake prevents it.
    """
    if section.cv is None and section.kv is None:
        remedy = f"write {example(PartSection, 'cv')} or kv"
        place.ledger.mistake((*place.path, "cv"), "is missing for a one-way valve", remedy)
        return None
    bore = own_bore(section, place)
    if bore is None:
        return None
    kv, spread = stated_kv(section, place)
    cracking = needed(section.cracking).value
    if cracking > LARGEST_CRACKING:
        place.ledger.mistake(
            (*place.path, "cracking"),
            f"{cracking / 1000.0:.4g} kPa is not plausible: no head in an aeroplane opens it",
            f"write {example(PartSection, 'cracking')}",
        )
    return OneWayValve(
        name=name_of(section), bore=bore, cracking_pressure=cracking, kv=kv,
        band=spread, source="stated", tag=tag_of(section.cv or section.kv),
    )  # fmt: skip


def piece(section: PartSection, place: PartPlace) -> Part | None:
    """Build a piece of tube or hose.

    Parameters
    ----------
    section
        The part's table, its keys checked.
    place
        Where it sits; its ledger receives mistakes and origins.

    Returns
    -------
    Part or None
        None where a mistake prevents it.
    """
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
    check_roughness(roughness, bore, section.roughness, place.path, place.ledger)
    factor = section.friction_factor
    return Pipe(
        name=name_of(section),
        length=needed(section.length).value,
        bore=bore,
        roughness=roughness,
        friction_factor=None if factor is None else factor.value,
        material=material,
        bore_band=bore_band(section.bore, (*place.path, "bore"), place.ledger),
        source="stated piece",
        tag=Tag.HANDBOOK if section.bore is None else tag_of(section.bore),
    )

"""The parts of a line: from ``parts = [...]`` to ``flowsim.system.parts``."""

import math

from flowsim.errors import DomainError
from flowsim.files.case import devices as case_devices
from flowsim.files.case import part_laws as laws
from flowsim.files.case.fuel import split_message
from flowsim.files.case.given import Given
from flowsim.files.case.ledger import Ledger
from flowsim.files.case.models import PartSection
from flowsim.files.case.part_laws import PartPlace
from flowsim.files.case.part_rules import BLOCKED, DEVICES, EXCLUSIVE, known_parts, rule_of
from flowsim.files.case.seat import refuse_generous
from flowsim.files.case.validate import example
from flowsim.files.case.words import did_you_mean
from flowsim.files.toml.lines import KeyPath
from flowsim.files.units.quantities import shown
from flowsim.physics.losses.fitting_catalogue import traits_of
from flowsim.physics.losses.laws import loss_law
from flowsim.system.parts import Part, is_tube


def build_parts(
    sections: tuple[PartSection, ...],
    path: KeyPath,
    line_bore: float | None,
    fuel_density: float,
    ledger: Ledger,
) -> tuple[Part, ...]:
    """Build the parts of a line or a carburettor.

    Parameters
    ----------
    sections
        In order from start to end.
    path
        Path of the list.
    line_bore
        [m] Bore of the line, or None.
    fuel_density
        [kg/m3] Density of the fuel at 15 degC.
    ledger
        Receives mistakes and origins.

    Returns
    -------
    tuple of Part
        Those that could be built.
    """
    parts = []
    tube_bore = line_bore
    for index, section in enumerate(sections):
        place = PartPlace((*path, index), line_bore, fuel_density, ledger, tube_bore)
        part = build_part(section, place)
        if part is None:
            continue
        parts.append(part)
        if is_tube(part) or traits_of(loss_law(part).kind(part)).is_size_change:
            ends = loss_law(part).ends(part)
            tube_bore = tube_bore if ends is None else ends[1]
    return tuple(parts)


def build_part(section: PartSection, place: PartPlace) -> Part | None:
    """Build one part.

    Parameters
    ----------
    section
        The part's table.
    place
        Where it sits.

    Returns
    -------
    Part or None
        None where a mistake prevents it.
    """
    if not _keys_fit(section, place):
        return None
    try:
        part = _build(section, place)
        refuse_generous(part, section, place)
        return laws.with_blocked(part, section, place)
    except DomainError as error:
        place.ledger.mistake(place.path, *split_message(error))
        return None


def _keys_fit(section: PartSection, place: PartPlace) -> bool:
    """Check the part's name and keys."""
    ledger, path, part = place.ledger, place.path, section.part
    if not part:
        return False
    if part not in known_parts():
        remedy = did_you_mean(part, known_parts())
        ledger.mistake((*path, "part"), f"{shown(part)} is not a known part", remedy)
        return False
    rule = rule_of(part)
    given = section.model_fields_set - {"part", "name"}
    fits = True
    for key in rule.needs:
        if key not in given:
            ledger.mistake((*path, key), "is missing", f"write {example(PartSection, key)}")
            fits = False
    for key in sorted(given - {*rule.needs, *rule.takes}):
        keys = ", ".join(sorted((*rule.needs, *rule.takes)))
        remedy = f"delete it (its keys: {keys})"
        ledger.mistake((*path, key), f"is not a key of {shown(part)}", remedy)
        fits = False
    for key in ("density", "viscosity"):
        if key in given and key in rule.takes and not given & {"measured", "measured_blocked"}:
            problem = "belongs to measured pressure drops, and none are given"
            ledger.mistake((*path, key), problem, f"write {example(PartSection, 'measured')}")
            fits = False
    for group in (EXCLUSIVE, BLOCKED):
        ways = [key for key in group if key in given and key in (*rule.needs, *rule.takes)]
        if len(ways) > 1:
            listed, both = " and ".join(ways), "both" if len(ways) == 2 else "all"
            ledger.mistake((*path, ways[-1]), f"{listed} are {both} given", "keep one of them")
            fits = False
    return fits and not any(_is_unreadable(getattr(section, key)) for key in given)


def _is_unreadable(value: object) -> bool:
    if isinstance(value, Given):
        return math.isnan(value.value)
    return isinstance(value, tuple) and not value


def _build(section: PartSection, place: PartPlace) -> Part | None:
    """Choose how the part's loss is stated."""
    if section.part in ("tube", "hose"):
        return case_devices.piece(section, place)
    if section.k_laminar is not None and section.k is None:
        place.ledger.mistake((*place.path, "k_laminar"), "is given without k", "write k as well")
    if section.part == "screen":
        return case_devices.screen(section, place)
    if section.part == "one-way valve":
        return case_devices.one_way_valve(section, place)
    bore = laws.own_bore(section, place)
    if bore is None:
        return None
    if section.measured is not None:
        return laws.measured(section, bore, place)
    if section.cv is not None or section.kv is not None:
        return laws.stated_flow_coefficient(section, bore, place)
    if section.k is not None:
        return laws.stated_k(section, bore, place)
    if section.part in DEVICES and section.part != "insert":
        return case_devices.device(section, bore, place)
    return laws.fitting(section, bore, place)

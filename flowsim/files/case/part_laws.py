"""Parts whose loss is stated or stands in the catalogue: from their keys to SI data."""

import math
from dataclasses import dataclass, replace
from typing import TypeVar

from flowsim.constants import STANDARD_TEMPERATURE
from flowsim.files.case.bands import MEASURED, STATED, factor_band
from flowsim.files.case.given import Given
from flowsim.files.case.ledger import Ledger
from flowsim.files.case.models import DropReading, PartSection
from flowsim.files.case.validate import example
from flowsim.files.toml.lines import KeyPath
from flowsim.measures import BORE, DENSITY, TEMPERATURE
from flowsim.physics.losses import fitting_catalogue as catalogue
from flowsim.physics.losses.formed_fittings import hose_barb
from flowsim.system.bands import Band
from flowsim.system.parts import (
    BLOCKED_METER,
    FINE_BOWL,
    FlowCoefficient,
    MeasuredDrop,
    MinorLoss,
    Part,
)
from flowsim.system.tags import Tag

_T = TypeVar("_T")


@dataclass(frozen=True, slots=True)
class PartPlace:
    """Where a part sits: its path, the bore of its line [m], the fuel.

    The bore is None in a carburettor and NaN where it could not be read.

    ``tube_bore`` [m] is that of the tube or hose listed before it, of the line if none is; None
    where it is known by what it is screwed to.
    ``fuel_density`` [kg/m3] at 15 degC stands in where a table of drops does not say its liquid.
    """

    path: KeyPath
    line_bore: float | None
    fuel_density: float
    ledger: Ledger
    tube_bore: float | None = None

    @property
    def joins(self) -> tuple[float, float] | None:
        """Bores on both sides of a fitting that sits in a tube."""
        return None if self.tube_bore is None else (self.tube_bore, self.tube_bore)


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


def name_of(section: PartSection) -> str:
    """Give what the builder calls a part.

    Parameters
    ----------
    section
        The part's table.

    Returns
    -------
    str
        Its name, or what it is.
    """
    return section.name or section.part


def tag_of(given: Given | None) -> Tag:
    """Give the tag of a stated number: what the case says with ``from``, or "not said".

    Parameters
    ----------
    given
        The number.

    Returns
    -------
    Tag
        One of the builder's.
    """
    return Tag.NOT_SAID if given is None or given.origin is None else Tag(given.origin)


def own_bore(section: PartSection, place: PartPlace) -> float | None:
    """Give the part's own bore, or the line's where that is what the loss refers to.

    Parameters
    ----------
    section
        The part's table, its keys checked.
    place
        Where it sits; its ledger receives mistakes and origins.

    Returns
    -------
    float or None
        [m]; None where it is missing, which is reported.
    """
    if section.bore is not None:
        return section.bore.value
    is_fitting = section.part in catalogue.CATALOGUE and section.cv is None and section.kv is None
    is_fitting = is_fitting and section.measured is None
    on_line = not is_fitting or catalogue.traits_of(section.part).on_line_bore
    if place.line_bore is None or not on_line:
        wanted = catalogue.CATALOGUE[section.part].reference if is_fitting else "its bore"
        place.ledger.mistake(
            (*place.path, "bore"), f"is missing ({wanted})", f"write {example(PartSection, 'bore')}"
        )
        return None
    if math.isnan(place.line_bore):
        return None
    if section.part in ("selector", "loss"):
        text = f"{BORE.significant(place.line_bore, 4)}"
        place.ledger.default((*place.path, "bore"), text, "the line's bore")
    if place.tube_bore is not None and catalogue.traits_of(section.part).divides_line:
        return place.tube_bore  # a union is bought with the tube that it joins
    return place.line_bore


def band_of(section: PartSection, key: str, usual: Band, place: PartPlace) -> Band:
    """Give the spread of the number at a key (or of a usual value, where it is not given).

    Parameters
    ----------
    section
        The part's table.
    key
        The number's key; "measured" or "measured_blocked" for a table of drops. What ``band``
        states is of the meter that turns, not of the blocked one.
    usual
        The spread if none is stated.
    place
        Where it sits.

    Returns
    -------
    Band
        Of a factor about one.
    """
    table = key in ("measured", "measured_blocked")
    given: Given | None = _least_sure(section, key) if table else getattr(section, key)
    places = (place.path, (*place.path, key))
    stated = None if key == "measured_blocked" else section.band
    return factor_band(stated, given, usual, places, place.ledger)


def _least_sure(section: PartSection, key: str) -> Given | None:
    """Give the measured drop with the widest stated accuracy, if any has one."""
    readings: tuple[DropReading, ...] = getattr(section, key) or ()
    drops = [reading.drop for reading in readings if reading.drop.accuracy]
    return max(drops, key=lambda drop: (drop.accuracy or 0.0) / drop.value, default=None)


def stated_kv(section: PartSection, place: PartPlace) -> tuple[float, Band]:
    """Give Kv of so many in a row: the drops add up, so Kv falls with the root of the count.

    Parameters
    ----------
    section
        The part's table.
    place
        Where it sits.

    Returns
    -------
    tuple of float and Band
        Kv [m3/h at 1 bar of water] and its spread.
    """
    root = math.sqrt(section.count or 1)
    if section.kv is not None:
        return section.kv.value / root, band_of(section, "kv", STATED, place)
    cv = needed(section.cv).value
    return catalogue.cv_to_kv(cv) / root, band_of(section, "cv", STATED, place)


def with_blocked(part: Part | None, section: PartSection, place: PartPlace) -> Part | None:
    """Give a meter what it passes when it is blocked, where that is stated.

    Parameters
    ----------
    part
        As built.
    section
        The part's table, its keys checked.
    place
        Where it sits; its ledger receives mistakes.

    Returns
    -------
    Part or None
        The same part where nothing is stated; None where a mistake prevents it.
    """
    if not isinstance(part, FlowCoefficient | MeasuredDrop):
        return part
    if section.measured_blocked is not None:
        found = _drops(section, "measured_blocked", part.bore, place)
        return None if found is None else replace(part, blocked=found)
    key = "bypass_kv" if section.bypass_kv is not None else "bypass_cv"
    given: Given | None = getattr(section, key)
    if given is None:
        return part
    kv = given.value if key == "bypass_kv" else catalogue.cv_to_kv(given.value)
    path = (*place.path, key)
    return replace(
        part,
        blocked=FlowCoefficient(
            name=f"{part.name}, blocked", kind=BLOCKED_METER, bore=part.bore, kv=kv,
            band=factor_band(None, given, STATED, (path, path), place.ledger), source="stated",
            tag=tag_of(given),
        ),
    )  # fmt: skip


def stated_flow_coefficient(section: PartSection, bore: float, place: PartPlace) -> Part:
    """Build a part of a stated Cv or Kv.

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
    Part
        The part.
    """
    kv, spread = stated_kv(section, place)
    return FlowCoefficient(
        name=name_of(section), kind=section.part, bore=bore, kv=kv, band=spread, source="stated",
        tag=tag_of(section.kv or section.cv),
    )  # fmt: skip


def stated_k(section: PartSection, bore: float, place: PartPlace) -> Part:
    """Build a part of a stated loss factor.

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
    Part
        The part.
    """
    return MinorLoss(
        name=name_of(section),
        kind=section.part,
        bore=bore,
        k_inf=needed(section.k).value,
        k_laminar=0.0 if section.k_laminar is None else section.k_laminar.value,
        count=section.count or 1,
        joins=place.joins,
        band=band_of(section, "k", STATED, place),
        source="stated",
        tag=tag_of(section.k),
    )


def measured(section: PartSection, bore: float, place: PartPlace) -> Part | None:
    """Build a table of drops, which must rise.

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
    return _drops(section, "measured", bore, place)


def _drops(section: PartSection, key: str, bore: float, place: PartPlace) -> MeasuredDrop | None:
    """Build a table of drops from one of the two keys that hold one."""
    readings: tuple[DropReading, ...] = getattr(section, key) or ()
    flows = tuple(reading.flow.value for reading in readings)
    drops = tuple((section.count or 1) * reading.drop.value for reading in readings)
    if any(math.isnan(value) for value in (*flows, *drops)):
        return None
    for index in range(1, len(flows)):
        if flows[index] <= flows[index - 1] or drops[index] <= drops[index - 1]:
            place.ledger.mistake(
                (*place.path, key, index),
                "flow and drop do not both rise from row to row",
                "write the rows in rising order",
            )
            return None
    density = place.fuel_density
    if section.density is not None:
        density = section.density.value
    elif not math.isnan(density):
        place.ledger.default(
            (*place.path, "density"),
            DENSITY.significant(density, 4),
            f"the fuel's at {TEMPERATURE.words(STANDARD_TEMPERATURE, 0)}",
        )
    free = key == "measured"
    usual = catalogue.FILTER_BAND if section.part in ("filter", FINE_BOWL) else MEASURED
    return MeasuredDrop(
        name=name_of(section) if free else f"{name_of(section)}, blocked",
        kind=section.part if free else BLOCKED_METER,
        bore=bore,
        flows=flows,
        drops=drops,
        density=density,
        viscosity=None if section.viscosity is None else section.viscosity.value,
        band=band_of(section, key, usual, place),
        source="measured",
        tag=Tag.MEASURED,
    )


def fitting(section: PartSection, bore: float, place: PartPlace) -> Part:
    """Build a fitting of the catalogue; a barb or insert by its step of bore where that is known.

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
    Part
        The part.
    """
    kind = "hose barb" if section.part == "insert" else section.part
    made = catalogue.fitting(kind, bore, name_of(section), section.count or 1)
    hose = math.nan if place.line_bore is None else place.line_bore
    if kind == "hose barb" and not math.isnan(hose) and bore != hose:
        barb = hose_barb(hose, bore, name_of(section))
        made = replace(barb, count=section.count or 1)
    made = replace(made, joins=place.joins)
    if section.band is not None:
        made = replace(made, band=band_of(section, "k", made.band, place))
    return made

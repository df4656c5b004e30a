"""Fittings at a tank outlet, which count with the line that begins or ends there."""

from collections.abc import Mapping
from dataclasses import dataclass

from flowsim.files.case.ledger import Ledger
from flowsim.files.case.line_ends import lines_at
from flowsim.files.case.models import PartSection
from flowsim.files.case.models_lines import CaseFile
from flowsim.files.case.part_laws import PartPlace
from flowsim.files.case.parts import build_part
from flowsim.files.toml.lines import KeyPath
from flowsim.files.units.quantities import shown
from flowsim.system.parts import Part

ONE_WAY = ("one-way valve", "size change")
"""Parts that have a direction along their line, which an outlet does not tell."""


@dataclass(frozen=True, slots=True)
class OutletFittings:
    """The fittings at an outlet from the tank outward, and the path of their list."""

    sections: tuple[PartSection, ...]
    path: KeyPath


NONE = OutletFittings((), ())

Outlets = Mapping[str, OutletFittings]
"""By node name ``tank.outlet``; outlets without fittings are left out."""


def outlet_fittings(case: CaseFile, ledger: Ledger) -> Outlets:
    """Collect the fittings at tank outlets.

    Parameters
    ----------
    case
        The file's model.
    ledger
        Receives fittings that no line, or more than one, would carry.

    Returns
    -------
    Outlets
        With those that are in order.
    """
    found = {}
    for number, tank in enumerate(case.tank):
        for index, outlet in enumerate(tank.outlet):
            if not outlet.parts:
                continue
            path: KeyPath = ("tank", number, "outlet", index, "parts")
            there = lines_at(f"{tank.name}.{outlet.name}", case)
            if len(there) != 1:
                lines = "no line begins" if not there else f"{len(there)} lines begin"
                problem = f"{lines} or end at the outlet"
                ledger.mistake(path, problem, "write the fittings in the parts of a line")
                continue
            for place, part in enumerate(outlet.parts):
                if part.part in ONE_WAY:
                    problem = f"{shown(part.part)} has a direction"
                    ledger.mistake((*path, place), problem, "write it in the parts of the line")
            found[f"{tank.name}.{outlet.name}"] = OutletFittings(outlet.parts, path)
    return found


def build_outlet_parts(
    node: str, outlets: Outlets, bore: float, fuel_density: float, ledger: Ledger
) -> tuple[Part, ...]:
    """Build the fittings at an end of a line.

    Parameters
    ----------
    node
        The end.
    outlets
        See ``outlet_fittings``.
    bore
        [m] Bore of the line.
    fuel_density
        [kg/m3] Density of the fuel at 15 degC.
    ledger
        Receives mistakes and origins.

    Returns
    -------
    tuple of Part
        From the tank outward; none where the end is no outlet with fittings.
    """
    there = outlets.get(node, NONE)
    made = [
        build_part(section, PartPlace((*there.path, index), bore, fuel_density, ledger, bore))
        for index, section in enumerate(there.sections)
        if section.part not in ONE_WAY
    ]
    return tuple(part for part in made if part is not None)

"""The wall of a tube or hose: its material and its roughness."""

import math
from typing import Protocol

from flowsim import measures
from flowsim.errors import DomainError
from flowsim.files.case.fuel import split_message
from flowsim.files.case.given import Given
from flowsim.files.case.ledger import Ledger
from flowsim.files.case.words import closest, one_of, spelled_as
from flowsim.files.toml.lines import KeyPath
from flowsim.files.units.plausible import ROUGHEST
from flowsim.physics.losses.roughness import ROUGHNESS, roughness

TUBE = "aluminium tube"
HOSE = "rubber hose"


class _Walled(Protocol):
    """Any section that may state a material or a roughness."""

    @property
    def material(self) -> str | None: ...

    @property
    def roughness(self) -> Given | None: ...


def wall_of(section: _Walled, is_hose: bool, path: KeyPath, ledger: Ledger) -> tuple[str, float]:
    """Give material and roughness [m] of a tube or hose.

    Parameters
    ----------
    section
        States material, roughness, both or neither.
    is_hose
        Whether it is hose, for the default.
    path
        Path of the section.
    ledger
        Receives mistakes and origins.

    Returns
    -------
    tuple of str and float
        Material in words and roughness [m], NaN where a mistake prevents it.
    """
    if section.roughness is not None:
        return section.material or ("hose" if is_hose else "tube"), section.roughness.value
    material = section.material
    if material is None:
        material = HOSE if is_hose else TUBE
        text = f"{material}, roughness {measures.ROUGHNESS.significant(ROUGHNESS[material], 3)}"
        ledger.default((*path, "material"), text)
    material = spelled_as(material, ROUGHNESS)
    if material == "":
        return "", math.nan
    try:
        return material, roughness(material)
    except DomainError as error:
        problem, remedy = split_message(error)
        near = closest(material, tuple(ROUGHNESS)) or _with_word(material)
        if near is not None and "loses" not in problem:
            remedy = f'did you mean "{near}"?'
        elif "loses" not in problem:
            problem, remedy = "no roughness is known for it", one_of(tuple(ROUGHNESS))
        ledger.mistake((*path, "material"), problem, remedy)
        return material, math.nan


def check_roughness(
    roughness: float, bore: float, stated: Given | None, path: KeyPath, ledger: Ledger
) -> None:
    """Refuse a wall that is too rough for its bore: no law of friction is known for it.

    Parameters
    ----------
    roughness, bore
        [m] NaN where a mistake was found before.
    stated
        The roughness as it is written, None where the material gives it.
    path
        Of the line or part.
    ledger
        Receives the mistake.
    """
    if not roughness > ROUGHEST * bore:
        return
    ledger.mistake(
        (*path, "material" if stated is None else "roughness"),
        f"a roughness of {1000.0 * roughness:.3g} mm is more than a twentieth of the bore of "
        f"{1000.0 * bore:.3g} mm, which is not plausible",
        "write the roughness of the wall (1.5 um for drawn tube), or correct the bore",
    )


def _with_word(material: str) -> str | None:
    """Find a material by one of its words (``aluminium`` for ``aluminium tube``)."""
    words = material.replace("aluminum", "aluminium").split()
    return next((known for known in ROUGHNESS if words and words[0] in known.split()), None)

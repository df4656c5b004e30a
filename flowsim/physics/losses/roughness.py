"""Absolute roughness of the walls of tube and hose, by material."""

from collections.abc import Mapping
from types import MappingProxyType

from flowsim.errors import DomainError

ROUGHNESS: Mapping[str, float] = MappingProxyType(
    {
        "aluminium tube": 1.5e-6,
        "copper tube": 1.5e-6,
        "brass tube": 1.5e-6,
        "stainless steel tube": 2.0e-6,
        "steel tube": 45.0e-6,
        "plastic tube": 1.5e-6,
        "nylon tube": 1.5e-6,
        "polyurethane tube": 1.5e-6,
        "rubber hose": 30.0e-6,
        "plastic-lined hose": 1.5e-6,
    }
)
"""[m] Absolute roughness by material.

Drawn tube and smooth plastic 1.5 um (handbooks 1-2 for new drawn aluminium, brass and copper, 1.5-7
for plastic; used tube reaches 30) and commercial steel 45 um: read. Stainless 2 um: from memory.
Rubber hose 30 um (handbooks 6-70, read). A 7.75 mm bore at Re 5000 loses 10 % more at 30 um than
smooth. Tag: published (stainless steel from memory)."""


def roughness(material: str) -> float:
    """Give the absolute roughness of a material, by exact name only.

    Parameters
    ----------
    material : str
        A name of ``ROUGHNESS``.

    Returns
    -------
    float
        Roughness [m].

    Raises
    ------
    DomainError
        For a convoluted or corrugated hose, which no roughness describes, and for an unknown name.

    References
    ----------
    See ``ROUGHNESS``.

    Examples
    --------
    Commercial steel 0.045 mm, as on the Moody chart.

    >>> roughness("steel tube")
    4.5e-05
    """
    if material in ROUGHNESS:
        return ROUGHNESS[material]
    if any(word in material for word in ("convoluted", "corrugated")):
        raise DomainError(
            f'"{material}" loses 3 to 10 times the friction of a smooth bore (estimate) and no '
            "roughness describes that; enter a measured pressure drop, or fit a smooth-bore hose"
        )
    known = ", ".join(f'"{known}"' for known in ROUGHNESS)
    raise DomainError(f'no roughness is known for "{material}"; known are {known}')

"""What refers to a thing by its mirror: the key itself, and the names that follow from it."""

from collections.abc import Iterator
from typing import Any

from flowsim.files.case.mirror import KEY, MIRRORED
from flowsim.files.case.sides import names_side, other_side
from flowsim.files.toml.spans import KeyPath

NODES = ("junction", "tee", "selector")
"""Sections whose names share one space."""


def rows_of(data: dict[str, Any], kind: str) -> Iterator[tuple[KeyPath, dict[str, Any]]]:
    """Give the sections of a kind with their paths.

    Parameters
    ----------
    data
        The case's plain data, in whatever state.
    kind
        Such as ``line``.

    Yields
    ------
    tuple
        Path and section.
    """
    rows = data.get(kind)
    for index, row in enumerate(rows if isinstance(rows, list) else ()):
        if isinstance(row, dict):
            yield (kind, index), row


def mirrors_of(data: dict[str, Any], kind: str, name: str) -> Iterator[KeyPath]:
    """Find every key ``mirror`` that names a thing.

    Parameters
    ----------
    data
        The case's plain data.
    kind
        Its section; ``outlet`` for one that is named ``tank.outlet``.
    name
        Its name.

    Yields
    ------
    Path
        Of the key.
    """
    if kind != "outlet":
        yield from ((*at, KEY) for at, row in rows_of(data, kind) if row.get(KEY) == name)
        return
    for at, tank in rows_of(data, "tank"):
        for inner, outlet in rows_of(tank, "outlet"):
            if outlet.get(KEY) == name:
                yield (*at, *inner, KEY)


def mirrored_name(data: dict[str, Any], kind: str, name: str) -> str | None:
    """Give the name of the mirror of a thing, where it follows from the thing's own name.

    Parameters
    ----------
    data
        The case's plain data.
    kind
        Its section.
    name
        Its name.

    Returns
    -------
    str or None
        None where it has no mirror, or one with a name of its own.
    """
    other = other_side(name)
    kinds = NODES if kind in NODES else (kind,)
    written = {row.get("name") for one in kinds for _, row in rows_of(data, one)}
    if kind not in MIRRORED or other == name or other in written:
        return None
    if any(row.get(KEY) == name and "name" not in row for _, row in rows_of(data, kind)):
        return other
    usual = data.get("defaults")
    side = usual.get(KEY) if isinstance(usual, dict) else None
    return other if isinstance(side, str) and names_side(name, side.casefold()) else None

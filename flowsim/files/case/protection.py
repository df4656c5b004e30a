"""Sleeves and anti-chafe wraps of a line."""

from typing import cast

from flowsim.files.case.ledger import Ledger
from flowsim.files.case.models_routing import InstallationSection, ProtectionSection
from flowsim.files.case.validate import example
from flowsim.files.toml.lines import KeyPath
from flowsim.files.units.examples import example_words
from flowsim.files.units.quantities import shown
from flowsim.physics.course.centre_line import Straight, centre_line
from flowsim.system.lines import Line
from flowsim.system.routing import Protection, ProtectionKind


def protections(
    laid: InstallationSection, line: Line | None, path: KeyPath, ledger: Ledger
) -> tuple[Protection, ...]:
    """Build what protects a line.

    Parameters
    ----------
    laid
        ``installation`` of the line.
    line
        The line, None where it could not be built.
    path
        Path of the installation.
    ledger
        Receives mistakes.

    Returns
    -------
    tuple of Protection
        In file order.
    """
    found = []
    for index, section in enumerate(laid.protection):
        at: KeyPath = (*path, "protection", index)
        if not section.kind or not _keys_fit(section, at, ledger):
            continue
        if line is not None:
            _check_place(section, line, at, ledger)
        found.append(
            Protection(
                kind=cast(ProtectionKind, section.kind),
                run=section.run,
                along=None if section.along is None else section.along.value,
                length=None if section.length is None else section.length.value,
                note=section.note or "",
            )
        )
    return tuple(found)


def _keys_fit(section: ProtectionSection, at: KeyPath, ledger: Ledger) -> bool:
    """Check that it says where it is, once."""
    if any(ledger.is_reported((*at, key)) for key in ("run", "along", "length")):
        return False
    if section.run is not None:
        for key in ("along", "length"):
            if getattr(section, key) is not None:
                ledger.mistake((*at, key), "run is given as well", "keep one of them")
                return False
        return True
    for key in ("along", "length"):
        if getattr(section, key) is None:
            remedy = f"write run = 2, or {example(ProtectionSection, key)}"
            ledger.mistake((*at, key), "does not say where it is", remedy)
            return False
    return True


def _check_place(section: ProtectionSection, line: Line, at: KeyPath, ledger: Ledger) -> None:
    """Check that it lies on its line."""
    if section.run is not None:
        if line.route is None:
            problem = "the line has no points, so its runs are not known"
            remedy = example_words('write along = "12 in" and length = "6 in"')
            ledger.mistake((*at, "run"), problem, remedy)
            return
        pieces = centre_line(line.route, line.radii).pieces
        runs = sum(isinstance(piece, Straight) for piece in pieces)
        if section.run > runs:
            problem = f"the line has {runs} straight piece{'' if runs == 1 else 's'}"
            ledger.mistake((*at, "run"), problem, f"write run = {runs} or less")
        return
    assert section.along is not None
    assert section.length is not None
    if section.along.value + section.length.value > line.length * 1.01:
        problem = (
            f"{shown(section.along.text)} and {shown(section.length.text)} reach beyond the "
            f"line's end, {line.length:.4g} m"
        )
        ledger.mistake((*at, "length"), problem, "correct one of them")

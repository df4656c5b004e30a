"""How the tanks of a case breathe: pressure coefficients, their bands, shared airspaces."""

import math
from collections.abc import Sequence
from typing import NamedTuple

from flowsim.files.case.given import Given
from flowsim.files.case.ledger import Ledger
from flowsim.files.case.models_tanks import TankSection, VentSection
from flowsim.files.toml.lines import KeyPath
from flowsim.system.tanks import Tank, Vent, VentKind


class _Coefficient(NamedTuple):
    """Pressure coefficient [-] at the vent: nominal value and its band."""

    nominal: float
    low: float
    high: float

    @property
    def words(self) -> str:
        return f"{self.nominal:g}, band {self.low:g} to {self.high:g}"


_FORWARD = _Coefficient(0.0, -0.3, 0.6)
"""[-] A tube in the wake of a strut, or oblique to the flow, sucks; one in the open rams.
No source. Tag: estimate."""
_OTHER = _Coefficient(-0.5, -1.0, 0.0)
"""[-] A cap on the upper side of a wing, a flush opening, or nobody knows. Tag: common practice."""
_USUAL: dict[VentKind, tuple[_Coefficient, str]] = {
    "forward": (_FORWARD, "no credit above 0; no source"),
    "flush": (_OTHER, "common practice, no source"),
    "cap": (_OTHER, "common practice, no source"),
    "unknown": (_OTHER, "common practice, no source"),
}
_REACH = 0.25
"""[-] Half the band of a stated coefficient without accuracy (common practice, no source)."""


def build_vent(section: TankSection, path: KeyPath, ledger: Ledger) -> Vent | None:
    """Build the vent of a tank; what is not stated counts against the flow.

    Parameters
    ----------
    section
        ``[[tank]]`` of the file.
    path
        Where it stands.
    ledger
        Receives mistakes and what was filled in.

    Returns
    -------
    Vent or None
        None where a mistake prevents it.
    """
    given = section.vent
    at: KeyPath = (*path, "vent")
    if given is None:
        if ledger.is_reported(at):
            return None
        usual, why = _USUAL["unknown"]
        ledger.default(at, f"unknown: pressure coefficient {usual.words}", why)
        return _made(section, VentSection.model_construct(kind="unknown"), "unknown", usual)
    kind = next((kind for kind in _USUAL if kind == given.kind), None)
    if kind is None:
        return None
    return _made(section, given, kind, _coefficient(given, kind, at, ledger))


def _coefficient(given: VentSection, kind: VentKind, at: KeyPath, ledger: Ledger) -> _Coefficient:
    """Give the coefficient of a vent as stated, or the usual one of its kind."""
    stated, band = given.pressure_coefficient, given.band
    if band is not None:
        _check_band(band, at, ledger)
    if stated is None and band is None:
        usual, why = _USUAL[kind]
        if not ledger.is_reported(at):
            ledger.default((*at, "pressure_coefficient"), usual.words, why)
        return usual
    if stated is None:
        low, high = band or (math.nan, math.nan)
        middle = 0.5 * (low + high)
        ledger.default((*at, "pressure_coefficient"), f"{middle:g}", "middle of the band")
    else:
        middle = stated.value
        low, high = band or _usual_band(stated, at, ledger)
    if not low <= middle <= high and not math.isnan(middle):
        problem = f"{middle:g} is outside its band"
        ledger.mistake((*at, "pressure_coefficient"), problem, "correct one of them")
    return _Coefficient(middle, low, high)


def _check_band(band: tuple[float, float], at: KeyPath, ledger: Ledger) -> None:
    """Refuse a band that credits ram, or that claims to know the vent exactly."""
    low, high = band
    if high > 0.0:
        problem = "a pressure coefficient above zero would credit ram"
        ledger.mistake((*at, "band"), problem, "write for example [-0.6, 0.0]")
    elif low == high:
        problem = "a band without width would mean that the vent is known exactly"
        ledger.mistake((*at, "band"), problem, "write for example [-0.6, 0.0]")


def _usual_band(stated: Given, at: KeyPath, ledger: Ledger) -> tuple[float, float]:
    """Give the band of a stated coefficient: two deviations, or the usual quarter."""
    if stated.accuracy is None:
        ledger.default((*at, "band"), f"{_REACH:g} to each side", "common practice, no source")
    reach = _REACH if stated.accuracy is None else 2.0 * stated.accuracy
    return stated.value - reach, min(stated.value + reach, 0.0)


def _made(
    section: TankSection, given: VentSection, kind: VentKind, coefficient: _Coefficient
) -> Vent:
    return Vent(
        kind=kind,
        pressure_coefficient=coefficient.nominal,
        coefficient_low=coefficient.low,
        coefficient_high=coefficient.high,
        group=given.group or section.name,
    )


def check_vent_groups(tanks: Sequence[Tank | None], ledger: Ledger) -> None:
    """Refuse tanks that share an airspace and are said to breathe differently.

    Parameters
    ----------
    tanks
        All tanks in file order; None where one could not be built.
    ledger
        Receives mistakes.
    """
    first: dict[str, Tank] = {}
    for index, tank in enumerate(tanks):
        if tank is None or ledger.is_reported(("tank", index, "vent")):
            continue
        other = first.setdefault(tank.vent.group, tank)
        if other.vent != tank.vent:
            ledger.mistake(
                ("tank", index, "vent"),
                f'{_words(tank.vent)}, but tank "{other.name}" in the same group '
                f'"{tank.vent.group}" has {_words(other.vent)}: one airspace has one pressure',
                "write the same vent for both, that with the lower coefficient, or a group for "
                "each if their airspaces are not joined",
            )


def _words(vent: Vent) -> str:
    low, high = vent.coefficient_low, vent.coefficient_high
    return f"{vent.kind} {vent.pressure_coefficient:g} ({low:g} to {high:g})"

"""Losses that follow from a shape: tube bends of any angle, steps of bore, hose on a barb."""

import math

from flowsim.errors import DomainError
from flowsim.measures import BORE
from flowsim.physics.checks import require_positive
from flowsim.physics.losses.fitting_catalogue import CATALOGUE
from flowsim.system.bands import LognormalEnds
from flowsim.system.parts import MinorLoss
from flowsim.system.tags import Tag

_SMOOTH_F = 0.031
"""[-] Darcy factor of a smooth bore at Re 1e4 (Colebrook). Tag: published (transcribed)."""
_CATALOGUED_RADIUS = 3.0
"""[bores] From here up the catalogue's bend holds; beyond it Rennels' bend changes little.
Tag: estimate."""


def bend(angle: float, radius: float, bore: float, name: str, count: int = 1) -> MinorLoss:
    """Give the loss of a formed tube bend, without the friction of its arc.

    The arc's length belongs to the tube. From a radius of 3 bores the catalogue's 90 degree bend
    (K 0.25, K1 300) is used; tighter bends grow as Rennels' bend does (0.32 at 2 bores, 0.70 at 1).
    Both constants go with sin(angle) up to 90 degrees and with the angle above, which is the upper
    envelope of Idelchik's angle factor (0.9 sin to 70 degrees, 1.4 at 180 degrees); in proportion
    to the angle alone, shallow bends would come out up to a third too low.

    Parameters
    ----------
    angle : float
        Change of direction [rad], above 0 to pi.
    radius : float
        Bend radius to the centre-line [m], at least one bore.
    bore : float
        Bore of the tube [m], > 0.
    name : str
        What the builder calls it.
    count : int
        How many in a row, >= 1.

    Returns
    -------
    MinorLoss
        On the tube's bore.

    Raises
    ------
    DomainError
        For an angle outside 0 to pi, or a radius below one bore (a kink or a mitre: no bend law).

    References
    ----------
    Rennels and Hudson, Pipe Flow, 2012, as coded in the fluids library, without the arc term and
    with f = 0.031. Idelchik, Handbook of Hydraulic Resistance, angle factor, from memory.
    """
    require_positive(name, "bore [m]", bore)
    if not 0.0 < angle <= math.pi:
        raise DomainError(
            f'bend "{name}": angle {math.degrees(angle):g} deg must be above 0 and at most 180'
        )
    if not bore <= radius < math.inf:
        raise DomainError(
            f'bend "{name}": radius {1e3 * radius:g} mm is below one bore ({1e3 * bore:g} mm); no '
            "bend law holds there, so enter it as a drilled elbow or by a measured loss"
        )
    row = CATALOGUE["tube bend 90"]
    tight = max(1.0, _rennels(radius / bore) / _rennels(_CATALOGUED_RADIUS))
    turn = math.sin(angle) if angle < 0.5 * math.pi else angle / (0.5 * math.pi)
    return MinorLoss(
        name=name,
        kind=row.name,
        bore=bore,
        k_inf=row.k_inf * tight * turn,
        k_laminar=row.k_laminar * tight * turn,
        band=row.band,
        laminar_band=row.laminar_band,
        source=bend_source(angle, radius, bore),
        tag=row.tag,
        count=count,
        bend_radius=radius,
        bend_angle=angle,
    )


def bend_source(angle: float, radius: float, bore: float) -> str:
    """Say which bend a formed bend's loss is of.

    Parameters
    ----------
    angle : float
        Change of direction [rad].
    radius : float
        To the centre-line [m].
    bore : float
        Of the tube [m].

    Returns
    -------
    str
        Its angle, and its radius in bores.
    """
    return f"tube bend {math.degrees(angle):.0f} deg, radius {radius / bore:.1f} bores"


def sudden_change(bore_from: float, bore_to: float) -> MinorLoss:
    """Give the loss of a square step of bore, on the smaller bore.

    Parameters
    ----------
    bore_from : float
        Bore before the step [m], > 0.
    bore_to : float
        Bore after the step [m], > 0; larger is an expansion, smaller a contraction, equal loses
        nothing.

    Returns
    -------
    MinorLoss
        Its ``bore`` is the smaller of the two, ``joins`` both. K + K1/Re, as a barb is made of; in
        a network the step is charged by ``bore_steps``, each way of flow by its own law.

    Raises
    ------
    DomainError
        When a bore is not positive.

    References
    ----------
    Expansion (1 - beta^2)^2: Borda-Carnot. Contraction: Rennels and Hudson, Pipe Flow, 2012, as
    coded in the fluids library. K1 = 270 (1 - beta^2) and 200 (1 - beta^2): fits to M. F. Edwards,
    M. S. M. Jadallah and R. Smith, Chem. Eng. Res. Des. 63 (1985) 43 (88 and 139 at area ratios
    1.52 and 1.97; 59 and 110 at 0.66 and 0.445), from memory. Laminar flow with a full parabola
    can lose up to four times that K1 at an expansion, so its band reaches there.
    """
    for bore in (bore_from, bore_to):
        require_positive("step of bore", "bore [m]", bore)
    small, large = min(bore_from, bore_to), max(bore_from, bore_to)
    widens = bore_to > bore_from
    name = f"step of bore {BORE.change(bore_from, bore_to, 2)}"
    beta = small / large
    return MinorLoss(
        name=name,
        kind="expansion" if widens else "contraction",
        bore=small,
        k_inf=_expansion(beta) if widens else sharp_contraction(beta),
        k_laminar=(270.0 if widens else 200.0) * (1.0 - beta**2),
        band=LognormalEnds(0.9, 1.1) if widens else LognormalEnds(0.8, 1.2),
        laminar_band=LognormalEnds(0.3, 4.0),
        joins=(bore_from, bore_to),
        source="Borda-Carnot" if widens else "Rennels and Hudson 2012",
        tag=Tag.PUBLISHED,
    )


def sharp_contraction(bore_ratio: float) -> float:
    """Give K of a sharp-edged contraction in turbulent flow, on the smaller bore.

    Parameters
    ----------
    bore_ratio : float
        Smaller over larger bore [-], 0 to 1.

    Returns
    -------
    float
        K [-]: 0.57 out of a tank, 0 for equal bores.

    References
    ----------
    Rennels and Hudson, Pipe Flow, 2012, as coded in the fluids library.

    Examples
    --------
    Out of a tank the fluids library has 0.57; a step of no size loses nothing.

    >>> round(sharp_contraction(0.0), 2), round(sharp_contraction(1.0), 9)
    (0.57, 0.0)
    """
    jet = 1.0 + 0.622 * (1.0 - 0.215 * bore_ratio**2 - 0.785 * bore_ratio**5)
    return 0.0696 * (1.0 - bore_ratio**5) * jet**2 + (jet - 1.0) ** 2


def hose_barb(hose_bore: float, barb_bore: float, name: str) -> MinorLoss:
    """Give the loss of one hose end on a barb: a contraction into it and an expansion out of it.

    Parameters
    ----------
    hose_bore : float
        Bore of the hose [m], not smaller than the barb's.
    barb_bore : float
        Bore through the barb [m], > 0.
    name : str
        What the builder calls it.

    Returns
    -------
    MinorLoss
        On the barb's bore.

    Raises
    ------
    DomainError
        When a bore is not positive, or the barb is wider than the hose.

    References
    ----------
    The two of ``sudden_change``, added. Band: the catalogue's "hose barb".
    """
    enter, leave = sudden_change(hose_bore, barb_bore), sudden_change(barb_bore, hose_bore)
    if barb_bore > hose_bore:
        raise DomainError(
            f'"{name}": barb bore {1e3 * barb_bore:g} mm is wider than the hose '
            f"({1e3 * hose_bore:g} mm); give the two steps of bore one by one"
        )
    row = CATALOGUE["hose barb"]
    return MinorLoss(
        name=name,
        kind=row.name,
        bore=barb_bore,
        k_inf=enter.k_inf + leave.k_inf,
        k_laminar=enter.k_laminar + leave.k_laminar,
        band=row.band,
        laminar_band=row.laminar_band,
        source=f"{enter.source} and {leave.source}",
        tag=row.tag,
    )


def _rennels(bores: float) -> float:
    """Give Rennels' K of a 90 degree bend of so many bores' radius, without the arc's friction.

    Tag: published (transcribed in the fluids library).
    """
    half = math.sin(0.25 * math.pi)
    f = _SMOOTH_F
    return (0.10 + 2.4 * f) * half + 6.6 * f * (math.sqrt(half) + half) / bores**2


def _expansion(beta: float) -> float:
    """Give Borda-Carnot's K on the small bore."""
    return (1.0 - beta**2) ** 2

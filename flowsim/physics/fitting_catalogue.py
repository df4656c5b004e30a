"""What fittings of small fuel lines lose: default values, how far they may be off, and from where.

A fitting loses (k_inf + k_laminar/Re) velocity heads at its own bore. No published loss data were
found for flared aircraft fittings, sediment bowls or fuel selectors: those rows stand on the
nearest pipe fitting, and their bands are wide and skewed to the high side on purpose. Measured
small welded tees lose clearly more than design charts say (Water 12(3), 2020, 895, abstract).

Sources named in the rows. Hooper: W. B. Hooper, Chem. Eng. 88 (24 Aug 1981) 96; Darby: R. Darby,
Chem. Eng. 106 (Jul 1999) 101; Crane: Crane TP-410; Rennels: Rennels and Hudson, Pipe Flow, 2012;
Miller: D. S. Miller, Internal Flow Systems, 1990 (all five as coded in the fluids library);
Idelchik: Handbook of Hydraulic Resistance, from memory. "Estimate" means that no value was found.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from flowsim.errors import DomainError
from flowsim.system.bands import Band, Exact, Lognormal, Normal, Triangular
from flowsim.system.lines import Tee
from flowsim.system.parts import MinorLoss

ReynoldsRange = tuple[float, float]

FITTING_RANGE: ReynoldsRange = (0.0, 1.0e6)
"""[-] Reynolds numbers for which K_inf + K1/Re is used. The data behind it run from about 1 to 1e6
(Hooper, Darby); below that the law tends to the creeping-flow limit, K1/Re, as real fittings do."""

COMMON_FITTING_BAND: Band = Lognormal(1.15)
"""One factor on every fitting of an aeroplane at once: burrs, make, workmanship (estimate)."""

BORE_BAND: Band = Normal(0.01)
"""Spread of a bore, 1 % (estimate: drawing tolerance and out-of-round tube)."""

FRICTION_BAND: Band = Triangular(0.95, 1.0, 1.05)
"""Spread of pipe friction: +-5 % for smooth pipe (L. F. Moody, Trans. ASME 66 (1944) 671)."""

EXIT_BAND: Band = Triangular(0.95, 1.0, 1.05)
"""Spread of the exit coefficient (estimate)."""

FLOW_METER_CV = 0.35
"""[US gal/min at 1 psi] Turbine flow sensor; makers' data sheets give 0.27 to 0.48 by size."""

FLOW_METER_BAND: Band = Triangular(0.26 / 0.35, 1.0, 0.48 / 0.35)
"""Spread of a flow sensor's coefficient (makers' data sheets)."""

SMALL_BALL_VALVE_CV = 3.2
"""[US gal/min at 1 psi] 1/4 inch full-port ball valve (a maker's table)."""

SMALL_BALL_VALVE_BAND: Band = Lognormal(1.4)
"""Spread of a small ball valve's coefficient (estimate)."""

SMALL_BALL_VALVE_K_LAMINAR = 500.0
"""[-] Laminar constant of a small ball valve (estimate between Hooper's gate and plug valves)."""

SEAT_DISCHARGE_COEFFICIENT = 0.65
"""[-] Needle and seat as a sharp orifice, fully open (literature on orifices)."""

SEAT_BAND: Band = Triangular(0.55 / 0.65, 1.0, 0.80 / 0.65)
"""Spread of the seat's coefficient: lift and edge are unknown; a measured Cv is better."""

SCREEN_BAND: Band = Triangular(0.7, 1.0, 1.3)
"""Spread of a woven screen's loss: published correlations reach +-30 % (Azizi 2019)."""

FILTER_BAND: Band = Lognormal(2.0)
"""Spread of a paper or sintered filter's measured drop as it ages (estimate)."""


@dataclass(frozen=True, slots=True)
class FittingKind:
    """One kind of fitting: its loss, how far that may be off, and from where it is.

    ``k_inf`` [-] and ``k_laminar`` [-] of K = k_inf + k_laminar/Re, on the velocity in the bore
    that ``reference`` names; ``band`` and ``laminar_band`` spread them; ``reynolds_range`` [-].
    """

    name: str
    k_inf: float
    k_laminar: float
    band: Band
    laminar_band: Band
    reference: str
    reynolds_range: ReynoldsRange
    source: str


def _spread(low: float, mode: float, high: float) -> Triangular:
    """Turn a range of values about ``mode`` into a factor about one."""
    return Triangular(low / mode, 1.0, high / mode)


_TURN = _spread(500.0, 800.0, 1000.0)
_UNSURE = Triangular(0.0, 1.0, 3.0)
_WIDE = FITTING_RANGE

# fmt: off
_ROWS = (
    FittingKind("flush outlet", 0.5, 100.0, _spread(0.4, 0.5, 0.6), _UNSURE, "outlet bore", _WIDE,
                "Miller, Idelchik, Crane 0.50 to Rennels 0.57; K1 estimate"),
    FittingKind("standpipe outlet", 0.8, 150.0, _spread(0.5, 0.8, 1.0), _UNSURE, "spigot bore",
                _WIDE, "Crane 0.78, others 0.47 to 0.57; K1 estimate"),
    FittingKind("straight union", 0.10, 50.0, _spread(0.03, 0.10, 0.30), _UNSURE, "line bore",
                _WIDE, "two square steps of bore 0.02 to 0.16, plus flare gap (estimate)"),
    FittingKind("bulkhead union", 0.10, 50.0, _spread(0.03, 0.10, 0.30), _UNSURE, "line bore",
                _WIDE, "as the straight union"),
    FittingKind("hose barb", 0.7, 200.0, _spread(0.3, 0.7, 1.6), _UNSURE, "barb bore", _WIDE,
                "Rennels contraction and Borda-Carnot expansion, hose/barb 1.5; K1 estimate"),
    FittingKind("elbow 45", 0.5, 500.0, _spread(0.3, 0.5, 0.8), _spread(200.0, 500.0, 700.0),
                "fitting bore", _WIDE, "drilled elbow: Darby, Hooper, mitre 45"),
    FittingKind("elbow 90", 1.5, 800.0, _spread(0.9, 1.5, 2.1), _spread(300.0, 800.0, 1000.0),
                "fitting bore", _WIDE,
                "drilled elbow as a mitre: Rennels 1.20, Miller 1.42, Crane 1.88"),
    FittingKind("tube bend 90", 0.25, 300.0, _spread(0.1, 0.25, 0.4), _spread(100.0, 300.0, 500.0),
                "line bore", _WIDE,
                "radius 3 to 5 bores, net of the arc's friction: Rennels 0.31-0.34 with arc 0.20"),
    FittingKind("tee run", 0.5, 200.0, _spread(0.1, 0.5, 1.0), _spread(100.0, 200.0, 400.0),
                "leg bore", _WIDE, "Crane 0.63, Darby 0.62, Hooper 0.44"),
    FittingKind("tee turn", 1.8, 800.0, _spread(1.2, 1.8, 3.0), _TURN, "leg bore", _WIDE,
                "Crane 1.88, Darby 1.87, Hooper 3.0"),
    FittingKind("tee runs to branch", 1.3, 800.0, _spread(1.0, 1.3, 2.5), _TURN,
                "branch bore, on the combined flow", _WIDE,
                "Idelchik symmetric tee 1.25 at equal flows, threaded 1.375 (from memory)"),
    FittingKind("tee leg to branch", 0.7, 0.0, _spread(0.4, 0.7, 1.3), Exact(),
                "leg bore, on the leg's own flow", _WIDE,
                "lifts the row above to Idelchik's 2.0 when one leg carries all (from memory)"),
    FittingKind("ball valve", 0.15, 300.0, _spread(0.05, 0.15, 0.4), Triangular(0.3, 1.0, 2.0),
                "line bore", _WIDE,
                "full bore: Darby 0.12-0.16; a maker's Cv 6.8 at 3/8 inch is 0.17"),
    FittingKind("selector", 2.5, 500.0, Lognormal(1.8), _spread(300.0, 500.0, 1000.0),
                "line bore, or its port bore where that is known", _WIDE,
                "Darby plug valve through branch 2.8, three-way 0.97; ports by Cv 1.9-15.7"),
    FittingKind("sediment bowl", 4.0, 1500.0, Lognormal(1.6), _spread(500.0, 1500.0, 2500.0),
                "port bore", _WIDE, "estimate; nearest kin the angle valve: Darby 4.7, another 8"),
)
# fmt: on

CATALOGUE: Mapping[str, FittingKind] = MappingProxyType({kind.name: kind for kind in _ROWS})
"""Every kind of fitting by its trade name."""


def fitting(kind: str, bore: float, name: str | None = None, count: int = 1) -> MinorLoss:
    """Make a fitting of a catalogued kind.

    Parameters
    ----------
    kind : str
        A trade name of ``CATALOGUE``.
    bore : float
        The bore [m] that the kind's ``reference`` names, > 0.
    name : str, optional
        What the builder calls it; the kind's name if not given.
    count : int
        How many in a row, >= 1.

    Returns
    -------
    MinorLoss
        With the catalogue's values, bands and source.

    Raises
    ------
    DomainError
        For a kind that is not in the catalogue, a bore that is not positive or a count below one.

    References
    ----------
    The row's ``source``.
    """
    if kind not in CATALOGUE:
        known = ", ".join(f'"{known}"' for known in CATALOGUE)
        raise DomainError(f'"{kind}" is not a catalogued fitting; known are {known}')
    if not 0.0 < bore < 1.0:
        raise DomainError(f"bore {bore} m of {name or kind} must be above 0 and below 1 m")
    if count < 1:
        raise DomainError(f"count {count} of {name or kind} must be at least 1")
    row = CATALOGUE[kind]
    return MinorLoss(
        name=kind if name is None else name,
        kind=kind,
        bore=bore,
        k_inf=row.k_inf,
        k_laminar=row.k_laminar,
        count=count,
        band=row.band,
        laminar_band=row.laminar_band,
        source=row.source,
    )


def tee_losses(tee: Tee) -> tuple[tuple[str, MinorLoss], ...]:
    """Place a tee's losses on its legs, by geometry and never by flow split.

    So each loss depends on one line's flow only, and the network keeps one solution. Common leg on
    the run: the other run leg gets "tee run", the branch "tee turn", each on its own flow. Common
    leg on the branch: one loss on the combined flow, because the turn is lost by the whole stream
    (a K on each leg's own flow alone would miss most of a combined velocity head), and a smaller
    one on each leg, so that a leg that carries all is charged as a full turn. That pair dissipates
    1.3 + 0.7 (1 - 3q + 3q^2) combined heads at a split q: 1.475 at equal flows, 2.0 at one-sided.

    Parameters
    ----------
    tee : Tee
        Names two lines on the run, one on the branch, and which of them is common.

    Returns
    -------
    tuple of (str, MinorLoss)
        Name of a line and the loss that sits at its end at this tee.

    Raises
    ------
    DomainError
        When the common line is none of the three.

    References
    ----------
    Leg values: the catalogue. Symmetric tee 2 + 3 (q^2 - q): Idelchik, from memory.
    """
    if tee.common == tee.branch:
        legs = [(leg, "tee leg to branch") for leg in tee.run]
        legs.insert(0, (tee.branch, "tee runs to branch"))
    elif tee.common in tee.run:
        other = tee.run[1] if tee.common == tee.run[0] else tee.run[0]
        legs = [(other, "tee run"), (tee.branch, "tee turn")]
    else:
        raise DomainError(f'tee "{tee.name}": common line "{tee.common}" is none of its legs')
    return tuple((leg, fitting(kind, tee.bore, f"{tee.name}, {kind}")) for leg, kind in legs)


def cv_to_kv(cv: float) -> float:
    """Turn a US flow coefficient into the metric one.

    Parameters
    ----------
    cv : float
        Flow coefficient Cv [US gal/min of water at 1 psi], > 0.

    Returns
    -------
    float
        Flow coefficient Kv [m3/h of water at 1 bar].

    Raises
    ------
    DomainError
        When ``cv`` is not positive.

    References
    ----------
    IEC 60534-1 (Kv = 0.865 Cv); here from the exact US gallon and pound-force.
    """
    if not cv > 0.0:
        raise DomainError(f"flow coefficient Cv {cv} must be above 0")
    gallon_per_minute = 3.785411784e-3 * 60.0  # m3/h
    pound_per_square_inch = 6894.757293168  # Pa
    return float(cv * gallon_per_minute * (1.0e5 / pound_per_square_inch) ** 0.5)


ROUGHNESS: Mapping[str, float] = MappingProxyType(
    {
        "aluminium tube": 1.5e-6,
        "copper tube": 1.5e-6,
        "brass tube": 1.5e-6,
        "stainless steel tube": 2.0e-6,
        "steel tube": 45.0e-6,
        "plastic tube": 1.5e-6,
        "rubber hose": 30.0e-6,
        "plastic-lined hose": 1.5e-6,
    }
)
"""[m] Absolute roughness by material.

Drawn tube and smooth plastic 1.5 um (handbooks 1-2 for new drawn aluminium, brass and copper, 1.5-7
for plastic; used tube reaches 30). Stainless 2 um and commercial steel 45 um: from memory of common
textbook tables. Rubber hose 30 um (handbooks 6-70). A 7.75 mm bore at Re 5000 loses 10 % more at
30 um than smooth."""


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

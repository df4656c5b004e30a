"""What fittings of small fuel lines lose: default values, how far they may be off, and from where.

A fitting loses (k_inf + k_laminar/Re) velocity heads at its own bore. No published loss data were
found for flared aircraft fittings, sediment bowls or fuel selectors: those rows stand on the
nearest pipe fitting, are tagged "estimate", and their bands are wide and skewed to the high side on
purpose. Measured small welded tees lose clearly more than design charts say (Water 12(3), 2020,
895, abstract read). Bands are known by their ends: 5 % of what is built is taken to lie below, 5 %
above. The Hydraulic Institute lets K vary by 10 to 50 % (Engineering Data Book, read): all rows are
at least as wide.

Sources named in the rows. Hooper: W. B. Hooper, Chem. Eng. 88 (24 Aug 1981) 96; Darby: R. Darby,
Chem. Eng. 106 (Jul 1999) 101; Crane: Crane TP-410; Rennels: Rennels and Hudson, Pipe Flow, 2012;
Miller: D. S. Miller, Internal Flow Systems, 1990; Blevins: Applied Fluid Dynamics Handbook, 1984
(all six transcribed: as coded in the fluids library, here at 7.75 mm). Threaded and screwed
fittings of "a textbook": tables on public pages, read. Idelchik: Handbook of Hydraulic Resistance,
from memory. "Estimate" means that no value of that very part was found.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from flowsim.errors import DomainError
from flowsim.physics.losses import traits
from flowsim.physics.losses.traits import NO_TRAITS, Traits
from flowsim.system.bands import Band, Exact, LognormalEnds, Normal
from flowsim.system.lines import Tee
from flowsim.system.parts import MinorLoss
from flowsim.system.tags import Tag

ReynoldsRange = tuple[float, float]

FITTING_RANGE: ReynoldsRange = (0.0, 1.0e6)
"""[-] Reynolds numbers for which K_inf + K1/Re is used. The data behind it run from about 1 to 1e6
(Hooper, Darby); below that the law tends to the creeping-flow limit, K1/Re, as real fittings do.
Tag: published (transcribed)."""

COMMON_FITTING_BAND: Band = LognormalEnds(0.80, 1.25)
"""[-] One factor on every fitting of an aeroplane at once: burrs, make, workmanship. No source; the
Hydraulic Institute lets single fittings vary by 10 to 50 % (Engineering Data Book, read).
Tag: estimate."""

BORE_BAND: Band = Normal(0.01)
"""[-] Spread of a bore, one standard deviation: drawing tolerance and out-of-round tube.
Tag: estimate."""

FRICTION_BAND: Band = LognormalEnds(0.95, 1.12, middle=1.02)
"""[-] Pipe friction over the cautious law, all regimes. Measured in smooth bores of 3.6 to 12.6 mm
(Stanton and Pannell 1914) and in a small tube (Oregon data, 2004), both transcribed: turbulent mean
+2 %, all within -4 and +7 %; laminar flow that is not yet developed up to +12 %. Polyethylene pipe
lay 2.5 to 5 % below (BIOENG 19, abstract read). Where measured flow stayed laminar above Re 1900
the law lies above it on purpose, and the band is not widened for that. Tag: published."""

EXIT_BAND: Band = LognormalEnds(1.0, 1.11, middle=1.05)
"""[-] Spread of the exit's kinetic energy: a turbulent profile carries 1.04 to 1.11 velocity heads
(a university's course page, read), the law takes 1. Tag: published."""

STEP_BAND: Band = LognormalEnds(0.5, 1.5)
"""[-] Spread of a step of bore: how sharp its edge is and how square it sits. The Hydraulic
Institute lets reducers and couplings vary by 50 % (Engineering Data Book, read). Tag: published."""

FLOW_METER_CV = 0.35
"""[US gal/min at 1 psi] Turbine flow sensor; makers' data sheets give 0.27 to 0.48 by size (read;
the liquid of the test is not said). Band: FLOW_METER_BAND. Tag: published."""

FLOW_METER_BAND: Band = LognormalEnds(0.26 / 0.35, 0.48 / 0.35)
"""[-] Spread of a flow sensor's coefficient (makers' data sheets, read). Tag: published."""

SMALL_BALL_VALVE_CV = 3.2
"""[US gal/min at 1 psi] 1/4 inch full-port ball valve (a maker's table, read).
Band: SMALL_BALL_VALVE_BAND. Tag: published."""

SMALL_BALL_VALVE_BAND: Band = LognormalEnds(1.8 / 3.2, 5.6 / 3.2)
"""[-] Spread of a small ball valve's coefficient: makers of one size differ by a factor of two
(tables read for 1/4 to 1/2 inch). Tag: estimate."""

SMALL_BALL_VALVE_K_LAMINAR = 500.0
"""[-] Laminar constant of a small ball valve: Hooper's and Darby's ball valves 500 and 300
(transcribed). Tag: published."""

SEAT_DISCHARGE_COEFFICIENT = 0.61
"""[-] Needle and seat, fully open, or a restrictor, as a sharp orifice: 0.61 (worked examples of
Cengel and Cimbala, transcribed). No value of a needle and seat by its lift was found.
Band: SEAT_BAND. Tag: estimate."""

SEAT_BAND: Band = LognormalEnds(0.50 / 0.61, 0.70 / 0.61)
"""[-] Spread of the seat's coefficient: lift and edge are unknown; a measured flow is better.
Tag: estimate."""

SCREEN_BAND: Band = LognormalEnds(0.7, 1.3)
"""[-] Spread of a woven screen's loss: published correlations reach +-30 % (Azizi 2019, abstract
read). Tag: published."""

FILTER_BAND: Band = LognormalEnds(0.32, 3.1)
"""[-] Spread of a paper or sintered filter's measured drop as it ages. Tag: estimate."""

FINE_BOWL_CV = 0.39
"""[US gal/min at 1 psi] Bowl with a fine element, unmeasured: what a commercial item description
lets a new one lose, 4 in of water at 10 US gal/h of mineral spirits (A-A-52472A, read; density 775
kg/m3 assumed): a pass limit, so most new ones lose less. Two others allow 27 and 41 kPa and only
make sense with a pump (A-A-52461, A-A-52460, read). Band: FINE_BOWL_BAND. Tag: estimate."""

FINE_BOWL_BAND: Band = LognormalEnds(0.57, 1.77)
"""[-] Spread of that coefficient: the drop as a filter's, from a third to three times, for the
element ages. Tag: estimate."""


@dataclass(frozen=True, slots=True)
class FittingKind:
    """One kind of fitting: its loss, how far that may be off, and from where it is.

    ``k_inf`` [-] and ``k_laminar`` [-] of K = k_inf + k_laminar/Re, on the velocity in the bore
    that ``reference`` names; ``band`` and ``laminar_band`` spread them; ``reynolds_range`` [-].
    ``tag`` is of k_inf: "published" only where a value of that very part was read or transcribed.
    ``traits`` are what else is to be known of the kind.
    """

    name: str
    k_inf: float
    k_laminar: float
    band: Band
    laminar_band: Band
    reference: str
    tag: Tag
    source: str
    reynolds_range: ReynoldsRange = FITTING_RANGE
    traits: Traits = NO_TRAITS


def _ends(low: float, value: float, high: float) -> LognormalEnds:
    """Turn the 5 and 95 % points of a value into a factor about one."""
    return LognormalEnds(low / value, high / value)


_UNSURE = LognormalEnds(1.0 / 3.0, 3.0)
"""[-] Spread of a laminar constant that nobody measured. Tag: estimate."""
_PUBLISHED, _ESTIMATE, _MEMORY = Tag.PUBLISHED, Tag.ESTIMATE, Tag.FROM_MEMORY

# fmt: off
_ROWS = (
    FittingKind("flush outlet", 0.5, 100.0, _ends(0.4, 0.5, 0.6), _UNSURE, "outlet bore",
                _PUBLISHED, "sharp edge: Miller, Idelchik, Crane 0.50 to Rennels 0.57; K1 "
                "estimate"),
    FittingKind("standpipe outlet", 0.8, 150.0, _ends(0.45, 0.8, 1.05), _UNSURE, "spigot bore",
                _PUBLISHED, "pipe that stands into the tank: Crane 0.78, others 0.47 to 0.57, thin "
                "wall 1.0; K1 estimate"),
    FittingKind("straight union", 0.10, 50.0, _ends(0.02, 0.10, 0.30), _UNSURE, "line bore",
                _ESTIMATE, "two square steps of bore 0.02 to 0.16, plus flare gap; a handout on "
                "small hydraulic lines 0.10 to 0.15",
                traits=traits.UNION),
    FittingKind("bulkhead union", 0.10, 50.0, _ends(0.02, 0.10, 0.30), _UNSURE, "line bore",
                _ESTIMATE, "as the straight union",
                traits=traits.UNION),
    FittingKind("hose barb", 0.7, 200.0, _ends(0.3, 0.7, 2.5), _UNSURE, "barb bore", _ESTIMATE,
                "Rennels contraction and Borda-Carnot expansion, hose/barb 1.5; plastic inserts "
                "measured 2.7 and more on the pipe (2019, abstract), so the band leans high",
                traits=traits.BARB),
    FittingKind("elbow 45", 0.9, 500.0, _ends(0.4, 0.9, 1.6), _ends(200.0, 500.0, 1000.0),
                "fitting bore", _ESTIMATE, "drilled elbow: Hooper 0.86 at this size, Darby 0.45, "
                "screwed 0.30-0.42, mitre 0.30-0.69; K1 Hooper, Darby 500",
                traits=traits.ELBOW_45),
    FittingKind("elbow 90", 1.5, 1000.0, _ends(0.9, 1.5, 2.4), _ends(500.0, 1000.0, 1500.0),
                "fitting bore", _ESTIMATE, "drilled elbow as a mitre: Rennels 1.20, Miller 1.42, "
                "Darby 1.72, Crane 1.88, Blevins 2.0 at Re 1e4; threaded 0.9-1.5; K1 of a mitre: "
                "Hooper, Darby 1000",
                traits=traits.ELBOW_90),
    FittingKind("tube bend 90", 0.25, 300.0, _ends(0.1, 0.25, 0.4), _ends(100.0, 300.0, 500.0),
                "line bore", _PUBLISHED, "radius 3 to 5 bores, net of the arc's friction: Rennels "
                "0.31-0.34 with arc 0.20; K1 estimate",
                traits=traits.BEND),
    FittingKind("tee run", 0.5, 200.0, _ends(0.1, 0.5, 1.0), _ends(100.0, 200.0, 400.0),
                "leg bore", _ESTIMATE, "threaded: Crane 0.63, Darby 0.62, Hooper 0.44, a textbook "
                "0.9",
                traits=traits.TEE),
    FittingKind("tee turn", 1.8, 800.0, _ends(1.2, 1.8, 3.0), _ends(500.0, 800.0, 1000.0),
                "leg bore", _ESTIMATE, "threaded: Crane 1.88, Darby 1.87, a textbook 2.0, Hooper "
                "3.0; small welded tees were measured above charts",
                traits=traits.TEE),
    FittingKind("tee runs to branch", 1.3, 800.0, _ends(1.0, 1.3, 2.5), _ends(500.0, 800.0, 1000.0),
                "branch bore, on the combined flow", _MEMORY,
                "Idelchik symmetric tee 1.25 at equal flows, threaded 1.375"),
    FittingKind("tee leg to branch", 0.7, 0.0, _ends(0.4, 0.7, 1.3), Exact(),
                "leg bore, on the leg's own flow", _MEMORY,
                "lifts the row above to Idelchik's 2.0 when one leg carries all"),
    FittingKind("ball valve", 0.15, 300.0, _ends(0.05, 0.15, 0.4), _ends(90.0, 300.0, 600.0),
                "line bore", _PUBLISHED,
                "full bore: Darby 0.12-0.16; a maker's Cv 6.8 at 3/8 inch is 0.17",
                traits=traits.BALL_VALVE),
    FittingKind("selector", 5.5, 500.0, _ends(2.5, 5.5, 16.0), _ends(300.0, 500.0, 1000.0),
                "line bore, or its port bore where that is known", _ESTIMATE,
                "plug valve through its branch: Darby 2.8; valve ports by Cv 1.9 to 15.7",
                traits=traits.ON_LINE),
    FittingKind("sediment bowl", 6.0, 1500.0, _ends(3.0, 6.0, 12.0), _ends(500.0, 1500.0, 2500.0),
                "port bore", _ESTIMATE,
                "body without a fine element; nearest kin the angle valve: Darby 4.7, another 8",
                traits=traits.STRAINER),
)
# fmt: on

CATALOGUE: Mapping[str, FittingKind] = MappingProxyType({kind.name: kind for kind in _ROWS})
"""Every kind of fitting by its trade name."""


def traits_of(kind: str) -> Traits:
    """Give the traits of a kind of part.

    Parameters
    ----------
    kind : str
        A trade name of ``CATALOGUE``, or another kind.

    Returns
    -------
    Traits
        None of them for a kind that nothing more is known of.
    """
    row = CATALOGUE.get(kind)
    return traits.DEVICES.get(kind, NO_TRAITS) if row is None else row.traits


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
        tag=row.tag,
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

    Examples
    --------
    >>> round(cv_to_kv(1.0), 3)
    0.865
    """
    if not cv > 0.0:
        raise DomainError(f"flow coefficient Cv {cv} must be above 0")
    gallon_per_minute = 3.785411784e-3 * 60.0  # m3/h
    pound_per_square_inch = 6894.757293168  # Pa
    return float(cv * gallon_per_minute * (1.0e5 / pound_per_square_inch) ** 0.5)

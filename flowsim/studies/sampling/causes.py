"""What is uncertain: the causes, each drawn once however many parts it acts on.

What is not known of one elbow is not known of the next: both stand on one number of the catalogue,
one maker's drawing tolerance, one gauge. So all parts of a kind share one draw, each with its own
band, and all bores share one. Writing a line as five pieces, or four elbows one by one, then
changes nothing, and no size comes out alike or different by a hair (docs/decisions/
shared-causes.md).
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np

from flowsim.network.assembly import Assembly
from flowsim.network.elements import PlacedPart
from flowsim.physics.arrays import FloatArray
from flowsim.physics.losses.fitting_catalogue import COMMON_FITTING_BAND, FRICTION_BAND
from flowsim.physics.losses.law_shape import BandActs
from flowsim.physics.losses.laws import loss_law
from flowsim.physics.losses.step_laws import STEPS
from flowsim.studies.sampling.normal_quantile import normal_quantile
from flowsim.studies.saying import Said, saying
from flowsim.system.bands import Band, Exact, Lognormal, LognormalEnds, Normal, Triangular
from flowsim.system.fuel_system import FuelSystem
from flowsim.system.tanks import Vent

END_SCORE = float(normal_quantile(0.95))
"""[-] Normal score of the upper end of a band that is known by its ends (5 and 95 %)."""

MOST_NAMED = 3
"""Parts named one by one in what is to be measured."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Uncertain:
    """One uncertain input: ``key`` identifies it, ``name`` says it, ``measurement`` settles it.

    ``band`` is that of its part that is known least well. ``of_vent`` marks the pressure at a vent,
    whatever the key begins with. ``stream`` tells its draws from those of the others; it holds no
    name that the builder chose, so that another name gives the same draws.
    """

    key: str
    name: Said
    measurement: Said
    band: Band
    of_vent: bool = False
    stream: str = ""


def quantile(band: Band, probability: FloatArray) -> FloatArray:
    """Value of a band's factor below which it lies with ``probability`` (0-1), any shape."""
    if isinstance(band, Exact):
        return np.ones_like(probability)
    if isinstance(band, Triangular):
        low, mode, high = band.low, band.mode, band.high
        if high <= low:
            return np.full_like(probability, mode)
        split = (mode - low) / (high - low)
        rising = low + np.sqrt(probability * (high - low) * (mode - low))
        falling = high - np.sqrt((1 - probability) * (high - low) * (high - mode))
        return np.where(probability <= split, rising, falling)
    return at_score(band, normal_quantile(probability))


def at_score(band: Lognormal | LognormalEnds | Normal, score: FloatArray) -> FloatArray:
    """Value of a band's factor at a normal score, any shape."""
    if isinstance(band, Lognormal):
        return np.asarray(band.factor**score)
    if isinstance(band, LognormalEnds):
        end = np.where(score < 0.0, band.low / band.middle, band.high / band.middle)
        return np.asarray(band.middle * end ** np.abs(score / END_SCORE))
    return np.asarray(1.0 + band.deviation * score)


def cause_of(placed: PlacedPart) -> str:
    """Give the cause that a placed part's factor is drawn from.

    Parameters
    ----------
    placed : PlacedPart

    Returns
    -------
    str
        By what kind of thing it is and whether its band is of a loss or of a coefficient; never by
        its name, size or value, which another way of writing may change.
    """
    law = loss_law(placed.part)
    if law.cause is not None:
        return law.cause
    of_what = "coefficient" if law.acts is BandActs.COEFFICIENT else "loss"
    return f"{law.kind(placed.part)} {of_what}"


def uncertain_inputs(assembly: Assembly) -> tuple[Uncertain, ...]:
    """List every uncertain input of a system, common causes first.

    Parameters
    ----------
    assembly : Assembly

    Returns
    -------
    tuple of Uncertain
        One for each cause that has a spread, in the order of their parts, and one for each
        airspace's vent.
    """
    return (*_everywhere(assembly.system), *_of_parts(assembly), *_of_vents(assembly.system))


def has_spread(system: FuelSystem, item: Uncertain) -> bool:
    """Tell whether an input can change anything at all."""
    if item.key == "height":
        return system.height_deviation > 0.0
    vents = [tank.vent for tank in system.tanks if item.key == f"vent {tank.vent.group}"]
    if any(vent.coefficient_high > vent.coefficient_low for vent in vents):
        return True
    return not isinstance(item.band, Exact)


def _everywhere(system: FuelSystem) -> tuple[Uncertain, ...]:
    return (
        Uncertain(
            key="friction",
            name=saying("causes.friction_tube_hose"),
            measurement=saying("causes.time_flow_through_one"),
            band=FRICTION_BAND,
            stream="friction",
        ),
        Uncertain(
            key="fittings",
            name=saying("causes.all_fittings_together_make"),
            measurement=saying("causes.run_bucket_test_line"),
            band=COMMON_FITTING_BAND,
            stream="fittings",
        ),
        Uncertain(
            key="viscosity",
            name=saying("causes.viscosity_fuel"),
            measurement=saying("causes.measure_fuel_viscosity_test"),
            band=system.fuel.viscosity_band,
            stream="viscosity",
        ),
        Uncertain(
            key="height",
            name=saying("causes.height_fuel_surface_line"),
            measurement=saying("causes.measure_height_again_water"),
            band=Normal(1.0),
            stream="height",
        ),
    )


def _of_parts(assembly: Assembly) -> Iterator[Uncertain]:
    together: dict[str, list[PlacedPart]] = {}
    for placed in assembly.network.placed:
        together.setdefault(cause_of(placed), []).append(placed)
    for cause, members in together.items():
        uncertain = [(placed, band) for placed in members if (band := _spread_of(placed))]
        if not uncertain:
            continue
        parts = {placed.key: placed for placed, _ in uncertain}
        name, measurement = _words(tuple(parts.values()))
        band = max((band for _, band in uncertain), key=_width)
        yield Uncertain(key=cause, name=name, measurement=measurement, band=band, stream=cause)


def _spread_of(placed: PlacedPart) -> Band | None:
    """Give the band that says how far a part may be off, None for one that is exact."""
    law = loss_law(placed.part)
    for band in (law.band(placed.part), law.laminar_band(placed.part)):
        if band is not None and not isinstance(band, Exact):
            return band
    return None


@cache
def _width(band: Band) -> float:
    """Give the ratio of a band's ends at 95 and 5 %."""
    low, high = quantile(band, np.array([0.05, 0.95]))
    return float(high / low)


def _of_vents(system: FuelSystem) -> Iterator[Uncertain]:
    seen: dict[tuple[float, float], int] = {}
    groups: dict[str, Vent] = {}
    for tank in system.tanks:
        groups.setdefault(tank.vent.group, tank.vent)
    for group, vent in groups.items():
        limits = (vent.coefficient_low, vent.coefficient_high)
        number = seen[limits] = seen.get(limits, -1) + 1
        yield Uncertain(
            key=f"vent {group}",
            name=saying("causes.pressure_vent", group=group),
            measurement=saying("causes.measure_tank_air_pressure"),
            band=Exact(),
            of_vent=True,
            stream=f"vent {limits} {number}",
        )


def _words(members: Sequence[PlacedPart]) -> tuple[Said, Said]:
    """Say what a cause is, and what measures it."""
    first = members[0].part
    law = loss_law(first)
    names = tuple(dict.fromkeys(placed.part.name for placed in members))
    listed = _listed(names)
    if law.acts is BandActs.BORE:
        name = saying("causes.bore_of_all")
        if len(members) == 1:
            name = saying("causes.bore", listed=listed)
        return name, saying("causes.measure_bore", listed=listed)
    if law.cause == STEPS:
        return saying("causes.loss", what=STEPS), law.measurement(first)
    on_bench = saying("causes.measure_drop", listed=listed)
    if len(members) == 1:
        return saying("causes.loss", what=members[0].called), on_bench
    kind = law.kind(first)
    name = saying("causes.loss_all_one_kind", members=len(members), kind=kind)
    return name, on_bench if len(names) <= MOST_NAMED else saying("causes.measure_one", kind=kind)


def _listed(names: Sequence[str]) -> Said:
    """List names, the first few one by one."""
    if len(names) > MOST_NAMED:
        first, more = tuple(names[: MOST_NAMED - 1]), len(names) - MOST_NAMED + 1
        return saying("causes.names_and_more", names=first, more=more)
    if len(names) == 1:
        return names[0]
    return saying("causes.names", names=tuple(names[:-1]), last=names[-1])

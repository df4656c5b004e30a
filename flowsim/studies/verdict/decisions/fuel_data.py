"""What is known of the fuel: a property that was read once says little of another temperature.

A fuel of one's own with one reading keeps it at every temperature. That is cautious only on one
side: colder fuel is thicker, hotter fuel is lighter and boils sooner. With a second reading the
answer could be worse, so the first alone does not settle it; nor do two close together, whose
errors grow with the distance from them. A liquid that no engine burns settles nothing of its fuel.
"""

from dataclasses import dataclass

from flowsim.measures import DENSITY, TEMPERATURE
from flowsim.physics.fuel.catalogue import HEAVIEST_FUEL
from flowsim.studies.result import Decision, Topic, Verdict
from flowsim.studies.verdict.decisions.evidence import Evidence
from flowsim.system.fuel import Fuel
from flowsim.system.fuel_system import FuelSystem

VISCOSITY_REACH = 2.0
"""[K] So much colder than its one reading the viscosity is taken as read: it rises by one to three
in a hundred per kelvin, within the band of a reading. Tag: common practice."""
DENSITY_REACH = 5.0
"""[K] So much hotter than its one reading the density is taken as read: it falls by 0.12 % per
kelvin. Tag: common practice."""
VAPOUR_REACH = 0.5
"""[K] So much hotter than its one reading the vapour pressure is taken as read: it rises by three
or four in a hundred per kelvin. Tag: common practice."""
SPANS = 2.0
"""[-] How far beyond two readings a property is followed, over how far they lie apart: there an
error of either has grown threefold. Tag: common practice."""


@dataclass(frozen=True, slots=True)
class _Reading:
    """One property, its points, the worst temperature [K], how far off it is known, what is there.

    ``off`` is 1 where it gets worse with heat, -1 where it does with cold.
    """

    name: str
    points: tuple[tuple[float, float], ...]
    worst: float
    off: float
    reach: float
    beyond: str


def fuel_data(evidence: Evidence) -> tuple[Decision, ...]:
    """Decide on the liquid, and on every property that was read at one temperature or two close by.

    Parameters
    ----------
    evidence : Evidence

    Returns
    -------
    tuple of Decision
        Cannot tell for each that the judged temperatures leave on the side where it gets worse,
        for a density that nobody measured where a line of flow is met by less than that of the
        lightest such fuel takes away (or the heaviest adds to a burn in volume), and for a liquid
        that is none to burn.
    """
    system = evidence.swept.assembly.system
    found = [_far(one) for one in _readings(system) if one.points and _is_far(one)]
    return (*_not_burnt(system), *_guessed_densities(evidence), *found)


def _is_far(one: _Reading) -> bool:
    """Tell whether a property is judged too far from where it was read."""
    at = sorted(kelvin for kelvin, _ in one.points)
    beyond = one.off * (one.worst - at[-1 if one.off > 0.0 else 0])
    return beyond > max(one.reach, SPANS * (at[-1] - at[0]))


def _far(one: _Reading) -> Decision:
    where = TEMPERATURE.words(one.worst, 0)
    read = " and ".join(TEMPERATURE.words(kelvin, 0) for kelvin, _ in sorted(one.points))
    again = "a second temperature, best" if len(one.points) == 1 else "a temperature"
    return Decision(
        topic=Topic.FUEL_DATA,
        name=f"{one.name} of the fuel",
        verdict=Verdict.CANNOT_TELL,
        found=f"it was read at {read} only and is judged at {where}, where {one.beyond}",
        remedy=f"measure it at {again} near {where}, and state two readings in [fuel]",
        figure=f"read at {read} only",
    )


def _not_burnt(system: FuelSystem) -> tuple[Decision, ...]:
    """Refuse to tell of the fuel by another liquid: more of it arrives by mass."""
    heavy = system.fuel.density_15
    if heavy <= HEAVIEST_FUEL:
        return ()
    return (
        Decision(
            topic=Topic.FUEL_DATA,
            name="liquid of the case",
            verdict=Verdict.CANNOT_TELL,
            found=f"{system.fuel.name}, {DENSITY.significant(heavy, 3)} at 15 degC, is heavier "
            "than what an engine burns: the figures hold for a bench test with it",
            remedy="write in [fuel] the kind that the engine burns",
            figure="no fuel",
        ),
    )


def _guessed_densities(evidence: Evidence) -> list[Decision]:
    """Decide on densities from the catalogue: what arrives by mass, and what burns, go with them.

    A burn in volume was measured with another fuel than the one in the tank, so that both densities
    may lie at their bad ends at once.
    """
    fuel, engine = evidence.swept.assembly.system.fuel, evidence.swept.assembly.system.engine
    light = 1.0 if fuel.lightest is None else fuel.lightest / fuel.density_15
    heavy = 1.0
    if engine.burn_by_volume and fuel.heaviest is not None:
        heavy = min(1.0, fuel.density_15 / fuel.heaviest)
    share = light * heavy
    close = []
    for line in evidence.lines:
        least = line.least_nominal if line.least_low is None else line.least_low
        if share * least < 1.0 <= least and line.flow_verdict is Verdict.ADEQUATE:
            close.append(line.name)
    if not close:
        return []
    met = f"{', '.join(close)} {'is' if len(close) == 1 else 'are'} met by less than that"
    together = "" if 1.0 in (light, heavy) else f" ({100.0 * (1.0 - share):.1f} % with both)"
    found = []
    if light < 1.0:
        found.append(_unmeasured_density(fuel, light, together, met))
    if heavy < 1.0:
        found.append(_unstated_density(fuel, heavy, together, met))
    return found


def _unmeasured_density(fuel: Fuel, share: float, together: str, met: str) -> Decision:
    return Decision(
        topic=Topic.FUEL_DATA,
        name="density of the fuel",
        verdict=Verdict.CANNOT_TELL,
        found=f"it was not measured: {DENSITY.significant(fuel.density_15, 3)} at 15 degC is "
        f"taken, fuels of this name go down to {DENSITY.significant(fuel.lightest or 0.0, 3)}, "
        f"{100.0 * (1.0 - share):.1f} % less by mass{together}, and {met}",
        remedy="measure it with a hydrometer and state it in [fuel] (density, with the "
        "temperature at which it was read)",
        figure="not measured",
    )


def _unstated_density(fuel: Fuel, share: float, together: str, met: str) -> Decision:
    return Decision(
        topic=Topic.FUEL_DATA,
        name="density of the burn",
        verdict=Verdict.CANNOT_TELL,
        found=f"the burn is a volume without its density: {DENSITY.significant(fuel.density_15, 3)}"
        f" is taken, fuels of this name go up to {DENSITY.significant(fuel.heaviest or 0.0, 3)}, "
        f"{100.0 * (1.0 / share - 1.0):.1f} % more burn by mass{together}, and {met}",
        remedy="state the burn as a mass, or burn_density in [engine] as the engine's maker "
        "measured it",
        figure="burn_density not stated",
    )


def _readings(system: FuelSystem) -> tuple[_Reading, ...]:
    """List the properties that may stand on one reading."""
    fuel = system.fuel
    cold, hot = min(system.temperatures), max(system.temperatures)
    density = fuel.density_points if fuel.density_law == "points" else ()
    viscosity = fuel.viscosity_points if fuel.viscosity_law != "water" else ()
    vapour = fuel.vapour_points if fuel.vapour_law == "points" else ()
    boiling = hot + system.engine.heat_pickup
    return (
        _Reading("density", density, hot, 1.0, DENSITY_REACH, "the fuel is lighter"),
        _Reading("viscosity", viscosity, cold, -1.0, VISCOSITY_REACH, "the fuel is thicker"),
        _Reading("vapour pressure", vapour, boiling, 1.0, VAPOUR_REACH, "the fuel boils sooner"),
    )

"""What is known of the fuel: a property that was read once says little of another temperature.

A fuel of one's own with one reading keeps it at every temperature. That is cautious only on one
side: colder fuel is thicker, hotter fuel is lighter and boils sooner. With a second reading the
answer could be worse, so the first alone does not settle it; nor do two close together, whose
errors grow with the distance from them. A liquid that no engine burns settles nothing of its fuel,
nor does a viscosity that no fuel has.
"""

from flowsim.constants import ZERO_CELSIUS
from flowsim.physics.fuel.catalogue import HEAVIEST_FUEL, THINNEST_FUEL
from flowsim.physics.fuel.properties import kinematic_viscosity
from flowsim.studies.judged.fuel_readings import far_readings
from flowsim.studies.result import Decision, Topic, Verdict
from flowsim.studies.saying import Said, Saying, saying
from flowsim.studies.verdict.decisions.evidence import Evidence
from flowsim.system.fuel import Fuel
from flowsim.system.fuel_system import FuelSystem


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
        that is none to burn, or thinner than any.
    """
    system = evidence.swept.assembly.system
    far = far_readings(system, min(system.temperatures), max(system.temperatures))
    found = [
        Decision(
            topic=Topic.FUEL_DATA,
            name=one.name,
            verdict=Verdict.CANNOT_TELL,
            found=one.found,
            remedy=one.remedy,
            figure=one.figure,
        )
        for one in far
    ]
    return (*_not_burnt(system), *_too_thin(system), *_guessed_densities(evidence), *found)


def _not_burnt(system: FuelSystem) -> tuple[Decision, ...]:
    """Refuse to tell of the fuel by another liquid: more of it arrives by mass."""
    heavy = system.fuel.density_15
    if heavy <= HEAVIEST_FUEL:
        return ()
    return (
        Decision(
            topic=Topic.FUEL_DATA,
            name=saying("fuel_data.liquid_case"),
            verdict=Verdict.CANNOT_TELL,
            found=saying("fuel_data.degc_heavier_than_what", fuel=system.fuel.name, heavy=heavy),
            remedy=saying("fuel_data.write_fuel_kind_engine"),
            figure=saying("fuel_data.no_fuel"),
        ),
    )


def _too_thin(system: FuelSystem) -> tuple[Decision, ...]:
    """Refuse to tell of the fuel by one so thin that the reading, or its unit, is wrong."""
    thin = float(kinematic_viscosity(system.fuel, ZERO_CELSIUS + 20.0))
    if not thin < THINNEST_FUEL:
        return ()
    return (
        Decision(
            topic=Topic.FUEL_DATA,
            name=saying("fuel_data.fuel", one=saying("fuel_data.viscosity")),
            verdict=Verdict.CANNOT_TELL,
            found=saying("fuel_data.thinner_than_fuels", thin=thin, least=THINNEST_FUEL),
            remedy=saying("fuel_data.read_viscosity_again"),
            figure=saying("fuel_data.too_thin"),
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
    met = saying("fuel_data.met" if len(close) == 1 else "fuel_data.all_met", close=tuple(close))
    together = None
    if 1.0 not in (light, heavy):
        together = saying("fuel_data.together", share=1.0 - share)
    found = []
    if light < 1.0:
        found.append(_unmeasured_density(fuel, light, together, met))
    if heavy < 1.0:
        found.append(_unstated_density(fuel, heavy, together, met))
    return found


def _unmeasured_density(fuel: Fuel, share: float, together: Saying | None, met: Said) -> Decision:
    return Decision(
        topic=Topic.FUEL_DATA,
        name=saying("fuel_data.density_fuel"),
        verdict=Verdict.CANNOT_TELL,
        found=saying(
            "fuel_data.density_not_measured",
            taken=fuel.density_15,
            lightest=fuel.lightest or 0.0,
            less=1.0 - share,
            together=together,
            met=met,
        ),
        remedy=saying("fuel_data.measure_hydrometer_state_fuel"),
        figure=saying("fuel_data.not_measured"),
    )


def _unstated_density(fuel: Fuel, share: float, together: Saying | None, met: Said) -> Decision:
    return Decision(
        topic=Topic.FUEL_DATA,
        name=saying("fuel_data.density_burn"),
        verdict=Verdict.CANNOT_TELL,
        found=saying(
            "fuel_data.burn_density_not_stated",
            taken=fuel.density_15,
            heaviest=fuel.heaviest or 0.0,
            more=1.0 / share - 1.0,
            together=together,
            met=met,
        ),
        remedy=saying("fuel_data.state_burn_mass"),
        figure=saying("fuel_data.burn_density_missing"),
    )

"""Hot fuel: at which fuel temperature the margin over boiling is gone, in the judged scenarios."""

from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from flowsim.network.scenarios import situate
from flowsim.physics.arrays import FloatArray
from flowsim.physics.fuel.properties import vapour_pressure
from flowsim.studies.delivery.deliver import take
from flowsim.studies.delivery.pressures import at_required_flow
from flowsim.studies.judged.sweep import Sweep
from flowsim.studies.result import Decision, Topic, Verdict
from flowsim.studies.saying import NOTHING, Said, Saying, each_of, saying
from flowsim.studies.verdict.decisions.vapour import ABOVE
from flowsim.system.fuel import Fuel

TRIED = 3
"""Judged scenarios that are looked at: those with the least margin at the hottest fuel."""

STEPS = 16
"""Temperatures tried for each, twice: over the fuel's range, then about the zero."""

EDGE = 1e-6
"""[K] Kept from the ends of the fuel's range, against rounding."""


@dataclass(frozen=True, slots=True, kw_only=True)
class HotFuel:
    """``boils_from`` [K]: fuel in the tank from which it boils somewhere in the judged scenarios.

    Infinite where it does not boil within the fuel's laws, NaN where no judged scenario has a
    margin.
    """

    boils_from: float
    decision: Decision

    def beside(self, decisions: tuple[Decision, ...]) -> tuple[Decision, ...]:
        """Give the decisions with its own, and the temperature beside the margin of vapour."""
        told = tuple(
            replace(decision, figure=_together(decision.figure, self.decision.figure))
            if decision.topic is Topic.VAPOUR and decision.figure and self.decision.figure
            else decision
            for decision in decisions
        )
        return (*told, self.decision)


def hot_fuel(swept: Sweep) -> HotFuel:
    """Find the fuel temperature at which the margin over boiling is gone.

    Parameters
    ----------
    swept : Sweep

    Returns
    -------
    HotFuel
        With its words, for information: the verdict rests on the margin at the judged temperatures.
    """
    boils = _boils_from(swept)
    return HotFuel(boils_from=boils, decision=_decision(swept, boils))


def boiling_temperature(fuel: Fuel, pressure: FloatArray) -> FloatArray:
    """Give the temperature at which the fuel boils.

    Parameters
    ----------
    fuel : Fuel
    pressure : FloatArray
        Absolute pressure [Pa], any shape.

    Returns
    -------
    FloatArray
        [K], to 0.02 K; infinite above the fuel's range, minus infinite below it, NaN for NaN.
    """
    kelvin = np.linspace(fuel.lowest + EDGE, fuel.highest - EDGE, 400)
    known = np.log(vapour_pressure(fuel, kelvin))
    with np.errstate(invalid="ignore", divide="ignore"):
        wanted = np.log(pressure)
    found = np.interp(wanted, known, kelvin, left=-np.inf, right=np.inf)
    return np.where(np.isnan(wanted), np.nan, found)


def _together(margin: Said, boils: Said) -> Said:
    """Put margin and temperature into one short figure: 19.0 kPa; boils from 44 degC."""
    if isinstance(margin, Saying) and margin.key == ABOVE:
        return saying("hot_fuel.margin_and_boils", margin=margin.get("margin"), boils=boils)
    return each_of([margin, boils])


def _boils_from(swept: Sweep) -> float:
    system = swept.assembly.system
    margin = swept.at_required.vapour_margin
    temperature = swept.table.scenarios.temperature[swept.judged_rows]
    known = np.flatnonzero(np.isfinite(margin) & (temperature == temperature.max()))
    if not len(known):
        return float("nan")
    tried = known[np.argsort(margin[known], kind="stable")][:TRIED]
    low = system.fuel.lowest + EDGE
    high = system.fuel.highest - system.engine.heat_pickup - EDGE
    kelvin = np.linspace(low, high, STEPS)
    for _ in range(2):
        margins = _margins(swept, tried, kelvin)
        gone = np.flatnonzero(margins < 0.0)
        if not len(gone):
            return float("inf")
        first = max(int(gone[0]), 1)
        kelvin = np.linspace(kelvin[first - 1], kelvin[first], STEPS)
    margins = _margins(swept, tried, kelvin)
    return float(np.interp(0.0, -margins, kelvin))


def _margins(swept: Sweep, judged: npt.NDArray[np.intp], kelvin: FloatArray) -> FloatArray:
    """Least margin (temperature,) [Pa] of some judged scenarios, each with fuel so warm."""
    assembly, table = swept.assembly, swept.table
    rows = np.repeat(swept.judged_rows[judged], len(kelvin))
    scenarios = replace(
        take(swept.situation, rows).scenarios, temperature=np.tile(kelvin, len(judged))
    )
    state = at_required_flow(assembly, situate(assembly, scenarios), table.required[rows])
    by_scenario = state.vapour_margin.reshape(len(judged), len(kelvin))
    # Thick cold fuel may not come at the required flow at all: that is no boiling.
    least: FloatArray = np.where(np.isnan(by_scenario), np.inf, by_scenario).min(axis=0)
    return least


def _decision(swept: Sweep, boils: float) -> Decision:
    system = swept.assembly.system
    hottest = max(system.temperatures)
    pickup = system.engine.heat_pickup
    heat = (
        saying("hot_fuel.k_picked_up_line", pickup=pickup)
        if pickup
        else (saying("hot_fuel.no_heat_picked_up"))
    )
    figure: Said = NOTHING
    judged = saying("hot_fuel.judged_up", hottest=hottest, heat=heat)
    if np.isnan(boils):
        words = saying("hot_fuel.nothing_arrives")
        if not swept.at_required.solution.converged.any():
            words = saying("hot_fuel.nothing_solved")
    elif np.isinf(boils):
        highest = system.fuel.highest - pickup
        words = saying("hot_fuel.fuel_does_not_boil", highest=highest, judged=judged)
        figure = saying("hot_fuel.none_up", highest=highest)
    else:
        words = saying("hot_fuel.fuel_boils_about_tank", boils=boils, judged=judged)
        figure = saying("hot_fuel.boils", boils=boils)
    return Decision(
        topic=Topic.VAPOUR,
        name=saying("hot_fuel.hot_fuel"),
        verdict=Verdict.ADEQUATE,
        found=words,
        remedy=saying("hot_fuel.measure_fuel_temperature_carburettor"),
        informs=True,
        figure=figure,
    )

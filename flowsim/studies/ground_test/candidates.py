"""Which runs there are to choose from, and how each is set up."""

from dataclasses import dataclass, replace

import numpy as np

from flowsim.network.assembly import Assembly
from flowsim.studies.ground_test.needed import needed_runs
from flowsim.studies.ground_test.runs import Setting
from flowsim.studies.judged.scenarios import fed_tanks, fuel_states
from flowsim.studies.saying import Said, saying

RAISED_SHARE = 1.0 / 3.0
"""[-] A run with the line end raised takes away about this share of the head."""
USUAL_TEMPERATURE = 288.15
"""[K] 15 degC, if the case's temperatures allow it: the day of the test is not known."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Candidate:
    """A run that could be made: its setting, what it is called, whether it is needed."""

    name: Said
    setting: Setting
    needed: bool


def candidates(assembly: Assembly, volume: float, head: float) -> tuple[Candidate, ...]:
    """List the runs to choose from.

    Parameters
    ----------
    assembly : Assembly
    volume : float
        [m3] Drawn in a run.
    head : float
        [m] Head at the least favourable run, for how far the end is raised.

    Returns
    -------
    tuple of Candidate
        Needed for the mark (``needed``): each position meant for take-off and climb, at the test
        attitude on the test quantity, with each of several tanks at its unusable, and at the
        attitude of the least flow. To learn from: the same positions level, with the line end
        raised, on the least take-off fuel.
    """
    flight = assembly.system.flight
    takeoff = np.array(fuel_states(assembly)[1].quantity)
    needed = needed_runs(assembly, volume, _temperature(assembly))
    raised = round(max(RAISED_SHARE * head, 0.05), 2)
    found: list[Candidate] = []
    for index, position in enumerate(assembly.positions):
        here = [run for run in needed if run.setting.position == position.name]
        if not here:
            continue
        label = saying("candidates.tank_engine")
        if assembly.system.selectors:
            label = saying("candidates.selector", position=position.name)
        found += [
            _made(saying("candidates.needed", label=label, run=run.short), run.setting, needed=True)
            for run in here
        ]
        base = here[0].setting
        test = np.array(base.quantities)
        level = replace(base, pitch=flight.level_pitch)
        if all(run.setting != level for run in here):
            found.append(_made(saying("candidates.level", label=label), level))
        name = saying("candidates.level_raised", label=label, raised=raised)
        found.append(_made(name, replace(level, end_height=raised)))
        fed = sorted(fed_tanks(assembly, index))
        if (takeoff[fed] > test[fed]).any():
            full = replace(base, quantities=tuple(np.maximum(takeoff, test)))
            found.append(_made(saying("candidates.test_attitude_least_take", label=label), full))
    return tuple(found)


def _made(name: Said, setting: Setting, *, needed: bool = False) -> Candidate:
    quantities = tuple(float(quantity) for quantity in setting.quantities)
    return Candidate(name=name, setting=replace(setting, quantities=quantities), needed=needed)


def _temperature(assembly: Assembly) -> float:
    temperatures = assembly.system.temperatures
    return float(np.clip(USUAL_TEMPERATURE, min(temperatures), max(temperatures)))

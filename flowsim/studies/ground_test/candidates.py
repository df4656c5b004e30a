"""Which runs there are to choose from, and how each is set up."""

from dataclasses import dataclass, replace

import numpy as np

from flowsim.measures import LENGTH
from flowsim.network.assembly import Assembly
from flowsim.studies.ground_test.runs import Setting
from flowsim.studies.judged.scenarios import fed_tanks, fuel_states

RAISED_SHARE = 1.0 / 3.0
"""[-] A run with the line end raised takes away about this share of the head."""
USUAL_TEMPERATURE = 288.15
"""[K] 15 degC, if the case's temperatures allow it: the day of the test is not known."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Candidate:
    """A run that could be made: its setting, what it is called, whether it is needed."""

    name: str
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
        Needed: each position meant for take-off and climb, at the test attitude, on the test
        quantity, and those that feed from several tanks with each of them at its unusable. To
        learn from: the same positions level, with the line end raised, on the least take-off fuel.
    """
    flight = assembly.system.flight
    steepest = flight.climb_pitch + flight.test_margin
    states = fuel_states(assembly)
    test = np.array(states[0].quantity)
    takeoff = np.array(states[1].quantity)
    base = Setting(
        position="",
        pitch=steepest,
        end_height=0.0,
        quantities=tuple(test),
        volume=volume,
        temperature=_temperature(assembly),
    )
    raised = round(max(RAISED_SHARE * head, 0.05), 2)
    found: list[Candidate] = []
    for index, position in enumerate(assembly.positions):
        fed = fed_tanks(assembly, index)
        if not position.judged or not fed:
            continue
        here = replace(base, position=position.name)
        label = f"selector {position.name}" if assembly.system.selectors else "tank to engine"
        found.append(_made(f"{label}, test attitude", here, needed=True))
        for state in states:
            if state.emptied in fed and len(fed) > 1:
                name = f"{label}, test attitude, {state.name}"
                one = replace(here, quantities=state.quantity)
                found.append(_made(name, one, needed=True))
        level = replace(here, pitch=flight.level_pitch)
        found.append(_made(f"{label}, level", level))
        up = f"line end {LENGTH.words(raised, 0)} above the inlet"
        found.append(_made(f"{label}, level, {up}", replace(level, end_height=raised)))
        if (takeoff[sorted(fed)] > test[sorted(fed)]).any():
            full = replace(here, quantities=tuple(np.maximum(takeoff, test)))
            found.append(_made(f"{label}, test attitude, least take-off fuel", full))
    return tuple(found)


def _made(name: str, setting: Setting, *, needed: bool = False) -> Candidate:
    quantities = tuple(float(quantity) for quantity in setting.quantities)
    return Candidate(name=name, setting=replace(setting, quantities=quantities), needed=needed)


def _temperature(assembly: Assembly) -> float:
    temperatures = assembly.system.temperatures
    return float(np.clip(USUAL_TEMPERATURE, min(temperatures), max(temperatures)))

"""Which runs the mark needs: positions, fuel and attitudes that the judged set asks for."""

from dataclasses import dataclass, replace

import numpy as np

from flowsim.network.assembly import Assembly
from flowsim.physics.arrays import FloatArray
from flowsim.studies.ground_test.predict import run_model
from flowsim.studies.ground_test.runs import QUANTITY, Setting
from flowsim.studies.judged.scenarios import fed_tanks, fuel_states
from flowsim.studies.saying import Said, saying

ATTITUDE = np.radians(0.5)
"""[rad] A run that is this much less steep still counts as made at the attitude that is wanted.
Tag: common practice."""
PITCHES = 9
"""Attitudes from level to the test attitude at which the flow is compared."""
CLEARLY_LESS = 1.01
"""[-] A run at another attitude is needed where it takes longer than at the test attitude by this.
Tag: common practice."""


@dataclass(frozen=True, slots=True, kw_only=True)
class NeededRun:
    """A run that the mark needs.

    ``low`` to ``high`` [rad] are the pitches that count for it. ``emptied`` is the tank (index)
    that must be at its unusable. ``slowest``: at the attitude of the least flow, which is not the
    test attitude. ``words`` say how it is made,
    ``short`` what the card calls it.
    """

    setting: Setting
    low: float
    high: float
    emptied: int | None
    slowest: bool
    words: Said
    short: Said

    def counts(self, made: Setting, quantities: FloatArray) -> bool:
        """Tell whether a run with ``quantities`` (tank,) [m3] where it begins is one of these."""
        if made.position != self.setting.position or not self.low <= made.pitch <= self.high:
            return False
        if self.emptied is None:
            return True
        most = self.setting.quantities[self.emptied] + 3 * QUANTITY
        return bool(quantities[self.emptied] <= most)


def needed_runs(assembly: Assembly, volume: float, temperature: float) -> tuple[NeededRun, ...]:
    """List the runs that the mark needs.

    Parameters
    ----------
    assembly : Assembly
    volume : float
        [m3] Drawn in a run.
    temperature : float
        [K] Of the fuel.

    Returns
    -------
    tuple of NeededRun
        For each position meant for take-off and climb: at the test attitude on the test quantity;
        where several tanks feed, with each of them at its unusable; and, where the flow is clearly
        less at another attitude between level and the test attitude (an engine behind its tanks,
        an outlet that uncovers), at that of the least flow: 14 CFR 23.955 before amendment 23-64
        asks for the attitude that is most critical (read).
    """
    flight = assembly.system.flight
    steepest = flight.climb_pitch + flight.test_margin
    states = fuel_states(assembly)
    found: list[NeededRun] = []
    for index, position in enumerate(assembly.positions):
        fed = fed_tanks(assembly, index)
        if not position.judged or not fed:
            continue
        base = NeededRun(
            setting=Setting(
                position=position.name,
                pitch=steepest,
                end_height=0.0,
                quantities=tuple(float(value) for value in states[0].quantity),
                volume=volume,
                temperature=temperature,
            ),
            low=steepest - ATTITUDE,
            high=np.inf,
            emptied=None,
            slowest=False,
            words=saying("needed.test_attitude_test_quantity"),
            short=saying("needed.test_attitude"),
        )
        found.append(base)
        for state in states:
            if state.emptied in fed and len(fed) > 1:
                quantities = tuple(float(value) for value in state.quantity)
                found.append(
                    replace(
                        base,
                        setting=replace(base.setting, quantities=quantities),
                        emptied=state.emptied,
                        words=saying("needed.test_attitude_with", state=state.name),
                        short=saying("needed.test_attitude_state", state=state.name),
                    )
                )
    bases = [run for run in found if run.emptied is None]
    return (*found, *_at_the_least_flow(assembly, bases))


def _at_the_least_flow(assembly: Assembly, bases: list[NeededRun]) -> list[NeededRun]:
    """Give the runs at the attitude of the least flow, where that is not the test attitude."""
    flight = assembly.system.flight
    if not bases or not flight.level_pitch < bases[0].setting.pitch:
        return []
    pitches = np.linspace(flight.level_pitch, bases[0].setting.pitch, PITCHES)
    settings = [replace(b.setting, pitch=float(pitch)) for b in bases for pitch in pitches]
    seconds = run_model(assembly, tuple(settings)).seconds()[0].reshape(len(bases), PITCHES)
    found = []
    for base, times in zip(bases, seconds, strict=True):
        if np.isnan(times).any() or not np.max(times) > CLEARLY_LESS * times[-1]:
            continue
        pitch = float(pitches[int(np.argmax(times))])
        level = pitch <= flight.level_pitch
        where = saying("needed.deg_nose_up", pitch=pitch)
        if level:
            where = saying("needed.level")
        found.append(
            replace(
                base,
                setting=replace(base.setting, pitch=pitch),
                low=-np.inf if level else pitch - ATTITUDE,
                high=pitch + ATTITUDE,
                slowest=True,
                words=saying("needed.test_quantity_where_flow", where=where),
                short=saying("needed.where_flow_least", where=where),
            )
        )
    return found

"""The test card: which runs, in which order, how long each should take, and why."""

import numpy as np

from flowsim.errors import DomainError
from flowsim.measures import VOLUME
from flowsim.physics.arrays import FloatArray
from flowsim.physics.fuel.properties import density
from flowsim.progress import Progress
from flowsim.studies.adequacy.study import SEED, judge
from flowsim.studies.ground_test.candidates import Candidate, candidates
from flowsim.studies.ground_test.fit import SetUpErrors, set_up_errors
from flowsim.studies.ground_test.information import RunChoice, choose, shared_causes
from flowsim.studies.ground_test.plan_drain import plan_drain
from flowsim.studies.ground_test.predict import RunModel, run_model
from flowsim.studies.ground_test.reading_errors import time_band
from flowsim.studies.ground_test.result import GroundTestPlan, PlannedRun
from flowsim.studies.ground_test.runs import CONTAINER, TIMING
from flowsim.studies.ground_test.vents import leak_test, vent_tests
from flowsim.studies.joint.study import joint_ratios
from flowsim.studies.judged.joined import never_parted
from flowsim.studies.judged.sweep import Sweep, sweep
from flowsim.studies.sampling.draws import Draws, draw
from flowsim.studies.saying import Said, run_on, saying
from flowsim.system.fuel_system import FuelSystem

DRAWS = 1024
REPEATS = 3
WORTH = 0.01
"""[-] A run that is not needed is worth its trouble if it takes away this share of the variance."""
MOST_EXTRA = 4
NOTHING = 0.005
"""[-] Share of variance below which a run is said to tell nothing new."""
UNSEEN = 0.1
"""[-] Correlation below which a run cannot see an input, and above twice which it matters."""


def plan(
    system: FuelSystem,
    *,
    container: float | None = None,
    repeats: int = REPEATS,
    draws: int = DRAWS,
    seed: int = SEED,
    progress: Progress | None = None,
) -> GroundTestPlan:
    """Plan a ground test.

    Parameters
    ----------
    system : FuelSystem
    container : float, optional
        [m3] What is drawn in a run; the case's test draw if not given.
    repeats : int
        Runs of each setting.
    draws, seed : int
        Monte Carlo draws of what is uncertain.
    progress : callable, optional
        Called with a word, how many are done, and how many there are.

    Returns
    -------
    GroundTestPlan

    Raises
    ------
    DomainError
        A container that is zero or more than the test quantity gives, or no position to test.
    """
    volume = _container(system, container)
    result = judge(system, draws=draws, seed=seed, progress=progress)
    swept = sweep(system)
    drawn = draw(swept.assembly, draws, seed)
    answer = joint_ratios(swept, np.array([result.deciding]), drawn).trapped[:, 0]
    listed = candidates(swept.assembly, volume, _least_head(swept))
    if not listed:
        raise DomainError("no selector position meant for take-off and climb leads to the engine")
    model = run_model(swept.assembly, tuple(item.setting for item in listed))
    runs = _order(model, listed, drawn, answer, _errors(model), repeats, seed)
    head, pressure = leak_test(swept.assembly)
    flight, engine = system.flight, system.engine
    return GroundTestPlan(
        title=system.title,
        required=engine.burn * engine.factor,
        burn=engine.burn,
        factor=engine.factor,
        container=volume,
        repeats=repeats,
        climb_pitch=flight.climb_pitch,
        test_pitch=flight.climb_pitch + flight.test_margin,
        level_pitch=flight.level_pitch,
        runs=runs,
        drain=plan_drain(swept.assembly, runs, drawn, answer, repeats, seed) if runs else None,
        vents=vent_tests(swept.assembly),
        drain_out=tuple(
            (tank.name, tank.unusable) for tank in system.tanks if tank.unusable is not None
        ),
        fuel_name=system.fuel.name,
        densities=_densities(system, listed[0].setting.temperature),
        deciding=result.deciding_scenario,
        lines=result.lines,
        unseen=_unseen(model, drawn, answer),
        never_parted=tuple(
            (system.tanks[first].name, system.tanks[second].name)
            for first, second in never_parted(swept.assembly)
        ),
        leak_pressure=pressure,
        leak_head=head,
        assumptions=result.assumptions,
        cautions=result.cautions,
    )


def _container(system: FuelSystem, asked: float | None) -> float:
    """Give what is drawn in a run [m3], the case's test draw if nothing is asked."""
    volume = system.test_draw if asked is None else asked
    if not 0.0 < volume <= system.test_draw * (1.0 + 1e-9):
        raise DomainError(
            f"a container of {VOLUME.words(volume, 2)} does not fit the case's test draw of "
            f"{VOLUME.words(system.test_draw, 2)}; choose a smaller one or raise draw in [test]"
        )
    return volume


def _errors(model: RunModel) -> SetUpErrors:
    """Give the errors of runs into the container, each timed by hand."""
    times = _finite_times(model)
    container = np.full(len(times), CONTAINER)
    return set_up_errors(model, ("container",) * len(times), container, TIMING / times)


def _densities(system: FuelSystem, ground: float) -> tuple[tuple[float, float], ...]:
    """Give density [kg/m3] at each temperature [K] of the case, and at that of the ground test."""
    return tuple(
        (kelvin, float(density(system.fuel, kelvin)))
        for kelvin in sorted({*system.temperatures, ground})
    )


def _least_head(swept: Sweep) -> float:
    """Give the least head [m] from a fuel surface to the inlet, level, on the test quantity."""
    assembly = swept.assembly
    scenarios = swept.table.scenarios
    level = np.abs(scenarios.pitch - assembly.system.flight.level_pitch) < 1e-9
    rows = np.flatnonzero(level & (swept.table.state == 0))
    heads = swept.situation.surface[rows] - swept.situation.elevation[rows, assembly.inlet, None]
    usable = heads[np.isfinite(heads)]
    return float(usable.min()) if len(usable) else 0.0


def _finite_times(model: RunModel) -> FloatArray:
    """Give the times of the runs [s]; an hour where one never fills."""
    times = model.seconds()[0]
    return np.where(np.isfinite(times), times, 3600.0)


def _order(
    model: RunModel,
    listed: tuple[Candidate, ...],
    drawn: Draws,
    answer: FloatArray,
    errors: SetUpErrors,
    repeats: int,
    seed: int,
) -> tuple[PlannedRun, ...]:
    """Order the runs by what they tell, and keep the needed and the worthwhile ones."""
    seconds = model.seconds(drawn)
    with np.errstate(divide="ignore"):
        times = np.log(seconds)
    mean_error = np.sqrt((errors.common**2).sum(axis=1) + errors.own**2 / repeats)
    chosen = choose(answer, times, mean_error, np.array([item.needed for item in listed]))
    if not chosen:
        chosen = tuple(
            RunChoice(index=index, alone=np.nan, gain=np.nan, left=np.nan)
            for index in range(len(listed))
        )
    low, high = time_band(seconds, errors, seed)
    expected = model.seconds()[0]
    runs, extra = [], 0
    for choice in chosen:
        item = listed[choice.index]
        if not item.needed:
            if not choice.gain >= WORTH or extra >= MOST_EXTRA:
                continue
            extra += 1
        runs.append(
            PlannedRun(
                name=item.name,
                setting=item.setting,
                needed=item.needed,
                expected=float(expected[choice.index]),
                low=float(low[choice.index]),
                high=float(high[choice.index]),
                mark=_mark(model.assembly.system, item) if item.needed else np.nan,
                alone=choice.alone,
                gain=choice.gain,
                left=choice.left,
                reason=_reason(item, choice, times[:, choice.index], answer, drawn),
            )
        )
    return tuple(runs)


def _mark(system: FuelSystem, item: Candidate) -> float:
    """Give the longest time [s] that a run may take at its temperature."""
    liquid = float(density(system.fuel, item.setting.temperature))
    return item.setting.volume * liquid / (system.engine.burn * system.engine.factor)


def _reason(
    item: Candidate, choice: RunChoice, time: FloatArray, answer: FloatArray, drawn: Draws
) -> Said:
    """Say why a run is there and stands where it stands."""
    why = saying("plan.part_test" if item.needed else "plan.not_needed_mark_only")
    if not np.isfinite(choice.gain):
        return saying("plan.deciding_answer_has_no", why=why)
    if not np.isfinite(time).all():
        return saying("plan.some_draws_container_never", why=why)
    if choice.gain < NOTHING:
        return saying("plan.tells_next_nothing_after", why=why, alone=choice.alone)
    words = saying(
        "plan.takes_away_variance_deciding", why=why, gain=choice.gain, alone=choice.alone
    )
    causes = shared_causes(answer, time, drawn.values)
    if causes:
        names = tuple(drawn.inputs[index].name for index in causes)
        words = run_on(words, saying("plan.mostly_through", names=names))
    return words


def _unseen(model: RunModel, drawn: Draws, answer: FloatArray) -> tuple[tuple[Said, Said], ...]:
    """List inputs that matter for the deciding answer and that no run can see."""
    with np.errstate(divide="ignore"):
        times = np.log(model.seconds(drawn))
    usable = times[:, np.isfinite(times).all(axis=0)]
    if np.ptp(answer) == 0.0 or not np.isfinite(answer).all():
        return ()
    found = []
    for column, item in enumerate(drawn.inputs):
        values = drawn.values[:, column]
        matters = abs(np.corrcoef(values, answer)[0, 1])
        seen = max(
            (abs(np.corrcoef(values, usable[:, run])[0, 1]) for run in range(usable.shape[1])),
            default=0.0,
        )
        if matters > 2 * UNSEEN and seen < UNSEEN:
            found.append((matters, item.name, item.measurement))
    found.sort(key=lambda one: one[0], reverse=True)
    return tuple((name, measurement) for _, name, measurement in found)

"""The study: a whole profile flown, its balance, its summary."""

import math

import numpy as np

from flowsim.errors import DomainError
from flowsim.measures import VOLUME
from flowsim.network.assembly import Assembly, assemble
from flowsim.physics.arrays import BoolArray
from flowsim.physics.fuel.properties import density
from flowsim.physics.tank.surface import capacity_of
from flowsim.progress import Progress
from flowsim.studies.flight.bands import flight_bands
from flowsim.studies.flight.integrate import FlightState, PhaseRun, Track
from flowsim.studies.flight.modes import Modes
from flowsim.studies.flight.result import (
    STOPPED,
    Balance,
    FlightBands,
    FlightEvent,
    FlightResult,
    History,
    PhaseSummary,
)
from flowsim.studies.judged.fuel_readings import FarReading, far_readings
from flowsim.studies.review.remarks import assumptions
from flowsim.studies.sampling.draws import Draws
from flowsim.studies.saying import NOTHING, Said, saying
from flowsim.system.fuel_system import FuelSystem
from flowsim.system.profile import Phase, Profile
from flowsim.system.tanks import StatedLevel

OVER_FULL = 1e-9
"""[-] A start above capacity by more than this share is refused."""


def fly(
    system: FuelSystem,
    profile: Profile,
    progress: Progress | None = None,
    *,
    draws: Draws | None = None,
) -> FlightResult:
    """Follow the fuel in the tanks through a profile.

    Parameters
    ----------
    system : FuelSystem
    profile : Profile
        At least one phase; a start quantity for every tank that has one.
    progress : callable, optional
        Called with a word, how many phases are done, and how many there are.
    draws : Draws, optional
        In which the time to starvation is worked out too.

    Returns
    -------
    FlightResult
        Quasi-steady: at every instant the flows are those of the network at the present levels,
        attitude and burn. Where a solve fails the flight ends there (``stopped``).

    Raises
    ------
    DomainError
        No phase, a duration not above zero, an unknown selector position, an unknown tank, or more
        fuel than a tank holds.
    """
    assembly = assemble(system)
    _check(assembly, profile)
    first = density(system.fuel, profile.phases[0].temperature)
    given = dict(profile.start)
    volume = np.array([given.get(tank.name, 0.0) for tank in system.tanks])
    state = FlightState(mass=volume * float(first), overflow=np.zeros(len(volume)), burned=0.0)
    track, stopped = Track(), ""
    summaries: list[PhaseSummary] = []
    modes: Modes | None = None
    begin, start = 0.0, state
    for number, phase in enumerate(profile.phases):
        before = state
        if progress is not None:
            progress("flying", number, len(profile.phases))
        run = PhaseRun(assembly, phase, number, begin, track)
        try:
            state, modes = run.run(state, modes)
        except DomainError as error:
            stopped = str(error)
            # Burned fuel is not sampled, so the balance ends with the last whole phase.
            state = before
            track.events.append(
                FlightEvent(time=begin, phase=phase.name, what=STOPPED, item=stopped, quantities=())
            )
            break
        begin += phase.duration
        summaries.append(_summary(track, number, phase, before, state, run))
    bands = None if draws is None else flight_bands(assembly, profile, draws, progress)
    return _result(assembly, profile, track, (start, state), summaries, stopped, bands)


def _check(assembly: Assembly, profile: Profile) -> None:
    """Refuse what the reader should have refused; studies may be asked without a file."""
    system = assembly.system
    if not profile.phases:
        raise DomainError("the profile has no phase; write at least one")
    for phase in profile.phases:
        if not 0.0 < phase.duration < math.inf:
            raise DomainError(
                f'phase "{phase.name}": the duration must be above zero; write how long it lasts'
            )
        if not phase.burn >= 0.0:
            raise DomainError(f'phase "{phase.name}": the burn must not be negative')
    given = dict(profile.start)
    for tank in system.tanks:
        if isinstance(tank.shape, StatedLevel):
            continue
        capacity = capacity_of(tank.shape) or 0.0
        held = given.pop(tank.name, math.nan)
        if not 0.0 <= held <= capacity * (1.0 + OVER_FULL):
            raise DomainError(
                f'tank "{tank.name}": {VOLUME.significant(held, 4)} at the start is not between '
                f"nothing and the {VOLUME.significant(capacity, 4)} that it holds; correct the "
                f"start"
            )
    if given:
        names = ", ".join(f'"{name}"' for name in given)
        raise DomainError(f"the start names tanks without a quantity: {names}; leave them out")


def _summary(
    track: Track, number: int, phase: Phase, before: FlightState, after: FlightState, run: PhaseRun
) -> PhaseSummary:
    volumes = np.where(run.model.stated, np.nan, after.mass / run.model.density)
    return PhaseSummary(
        phase=phase,
        begin=run.begin,
        end=run.begin + phase.duration,
        burned=after.burned - before.burned,
        asked=phase.burn * phase.duration,
        overflowed=float((after.overflow - before.overflow).sum()),
        starved_for=track.starved_for.get(number, 0.0),
        runs_back=run.model.runs_back,
        vapour_margin=run.vapour_margin,
        blind=run.model.blind(),
        quantities=tuple(float(value) for value in volumes),
    )


def _result(
    assembly: Assembly,
    profile: Profile,
    track: Track,
    ends: tuple[FlightState, FlightState],
    summaries: list[PhaseSummary],
    stopped: Said,
    bands: FlightBands | None,
) -> FlightResult:
    system = assembly.system
    stated = np.array([isinstance(tank.shape, StatedLevel) for tank in system.tanks])
    burns = np.array([phase.burn for phase in profile.phases])
    tanks = len(system.tanks)
    phases = np.array(track.phase, dtype=np.intp)
    history = History(
        time=np.array(track.time),
        phase=phases.astype(np.float64),
        quantity=np.array(track.volume).reshape(-1, tanks),
        from_tank=np.array(track.from_tank).reshape(-1, tanks),
        overflow=np.array(track.overflow).reshape(-1, tanks),
        delivered=np.array(track.delivered),
        demand=burns[phases],
        head_left=np.array(track.head_left),
        starved=np.array(track.starved, dtype=bool),
    )
    start, end = ends
    headers, emptied, unfilled = _headers(
        system, end, float(density(system.fuel, profile.phases[0].temperature))
    )
    return FlightResult(
        title=system.title,
        profile=profile.title,
        tanks=tuple(tank.name for tank in system.tanks),
        stated_level=tuple(bool(value) for value in stated),
        capacities=tuple(
            math.nan if flag else float(capacity_of(tank.shape) or 0.0)
            for tank, flag in zip(system.tanks, stated, strict=True)
        ),
        unusable=tuple(
            math.nan if tank.unusable is None else tank.unusable for tank in system.tanks
        ),
        end="open line" if system.engine.carburettor is None else "carburettor",
        required=system.engine.burn * system.engine.factor,
        history=history,
        events=tuple(track.events),
        phases=tuple(summaries),
        balance=_balance(start, end, stated),
        overflow=tuple(float(value) for value in end.overflow),
        stopped=stopped or emptied,
        unfilled=unfilled,
        unread=_unread(system, profile),
        bands=bands,
        assumptions=tuple(dict.fromkeys((*profile.assumptions, *assumptions(system)))),
        cautions=(*_cautions(system, bands), *headers),
        of_the_case=assumptions(system),
        cautions_of_the_case=tuple(system.cautions),
    )


def _unread(system: FuelSystem, profile: Profile) -> tuple[FarReading, ...]:
    """Find the properties of the fuel that were read too far from the phases' temperatures."""
    used = [phase.temperature for phase in profile.phases if phase.burn > 0.0]
    return far_readings(system, min(used), max(used)) if used else ()


def _headers(system: FuelSystem, end: FlightState, liquid: float) -> tuple[list[Said], Said, Said]:
    """Say what tanks of stated level gave on balance; which would be empty, and which may be."""
    words: list[Said] = []
    emptied: Said = NOTHING
    unfilled: Said = NOTHING
    for tank, mass in zip(system.tanks, end.mass, strict=True):
        if not isinstance(tank.shape, StatedLevel) or -mass < 1e-6:
            continue
        more = -mass
        words.append(saying("flight.tank_stated_level_gives", tank=tank.name, more=more))
        if tank.volume is None:
            unfilled = saying("flight.tank_gives_more_than", tank=tank.name, more=more)
        elif -mass > tank.volume * liquid:
            holds = tank.volume * liquid
            emptied = saying(
                "flight.tank_would_empty_before", tank=tank.name, more=more, holds=holds
            )
    return words, emptied, unfilled


def _balance(start: FlightState, end: FlightState, stated: BoolArray) -> Balance:
    begin_mass, end_mass = float(start.mass[~stated].sum()), float(end.mass[~stated].sum())
    given = -float(end.mass[stated].sum())
    overflowed = float(end.overflow.sum())
    scale = max(begin_mass, abs(given), 1e-9)
    misfit = begin_mass + given - end_mass - end.burned - overflowed
    return Balance(
        start=begin_mass,
        end=end_mass,
        burned=end.burned,
        overflowed=overflowed,
        from_stated_level=given,
        misfit=misfit / scale,
    )


def _cautions(system: FuelSystem, bands: FlightBands | None) -> tuple[Said, ...]:
    words: list[Said] = [
        saying("flight.flows_those_steady_state"),
        saying("flight.single_values_only_nothing")
        if bands is None
        else saying("flight.bands_joint_draws_first", draws=bands.draws),
        *system.cautions,
    ]
    if any(tank.vent_at is None for tank in system.tanks):
        words.append(saying("flight.where_tank_vent_not"))
    if any(tank.vent_at is not None for tank in system.tanks):
        words.append(saying("flight.fuel_stands_above_vent"))
    if any(isinstance(tank.shape, StatedLevel) for tank in system.tanks):
        words.append(saying("flight.tank_stated_level_taken"))
    return tuple(dict.fromkeys(words))

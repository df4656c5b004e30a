"""The flight in joint draws, summed up: bands of the time to starvation and of what is left."""

import math

import numpy as np

from flowsim.network.assembly import Assembly
from flowsim.physics.arrays import FloatArray
from flowsim.physics.fuel.properties import density
from flowsim.progress import Progress
from flowsim.studies.flight.drawn import DrawnPhase, DrawnRun, FlownDraws
from flowsim.studies.flight.result import FlightBands, Percentiles
from flowsim.studies.sampling.draws import Draws
from flowsim.system.profile import Profile

LOW, MIDDLE, HIGH = 0.05, 0.50, 0.95
"""[-] Shares of the draws that lie at or below the percentiles. Tag: common practice."""


def flight_bands(
    assembly: Assembly, profile: Profile, draws: Draws, progress: Progress | None = None
) -> FlightBands:
    """Follow a profile in every draw up to where the burn is lost.

    Parameters
    ----------
    assembly : Assembly
    profile : Profile
        As for ``fly``, which refuses what is wrong with it.
    draws : Draws
    progress : callable, optional
        Called with a word, how many phases are done, and how many there are.

    Returns
    -------
    FlightBands
    """
    state = followed(assembly, profile, draws, progress)
    return summed_up(state)


def followed(
    assembly: Assembly, profile: Profile, draws: Draws, progress: Progress | None = None
) -> FlownDraws:
    """Follow a profile in every draw; see ``flight_bands``."""
    given = dict(profile.start)
    volume = np.array([given.get(tank.name, 0.0) for tank in assembly.system.tanks])
    first = float(density(assembly.system.fuel, profile.phases[0].temperature))
    count = draws.count
    state = FlownDraws(
        mass=np.tile(volume * first, (count, 1)),
        lost=np.full(count, np.inf),
        left=np.full((count, len(volume)), np.nan),
        failed=np.zeros(count, dtype=bool),
    )
    begin = 0.0
    for number, phase in enumerate(profile.phases):
        if not len(state.goes_on):
            break
        if progress is not None:
            progress("flying the draws", number, len(profile.phases))
        DrawnRun(DrawnPhase(assembly, phase, draws), state, begin).run()
        begin += phase.duration
    return state


def summed_up(state: FlownDraws) -> FlightBands:
    """Give the bands; one draw that failed gives no result at all.

    Parameters
    ----------
    state : FlownDraws
        At the end of the flight.

    Returns
    -------
    FlightBands
    """
    count, failed = len(state.lost), int(state.failed.sum())
    none = Percentiles(low=math.nan, middle=math.nan, high=math.nan)
    tanks = state.left.shape[1]
    if failed:
        return FlightBands(
            draws=count, failed=failed, starved=math.nan, time=none, left=(none,) * tanks,
            left_in_all=none,
        )  # fmt: skip
    starved = np.isfinite(state.lost)
    left = state.left[starved]
    return FlightBands(
        draws=count,
        failed=0,
        starved=float(starved.mean()),
        time=_band(state.lost),
        left=tuple(_band(left[:, tank]) for tank in range(tanks)),
        left_in_all=_band(np.nansum(left, axis=1)),
    )


def _band(values: FloatArray) -> Percentiles:
    """Percentiles that are values found; NaN where there is none, or none is known."""
    if not len(values) or np.isnan(values).any():
        return Percentiles(low=math.nan, middle=math.nan, high=math.nan)
    ordered = np.sort(values)
    low, middle, high = (
        float(ordered[math.ceil(share * len(ordered) - 1e-9) - 1]) for share in (LOW, MIDDLE, HIGH)
    )
    return Percentiles(low=low, middle=middle, high=high)

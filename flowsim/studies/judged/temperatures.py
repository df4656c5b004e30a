"""The fuel temperatures that are judged between the stated ones.

Cold fuel is thick, hot fuel takes more volume for the same mass; between them friction jumps up
where a line's flow turns turbulent. At a fixed mass flow that happens at one temperature for each
bore, and it is the worst one for that line.
"""

from itertools import combinations

import numpy as np

from flowsim.constants import ZERO_CELSIUS
from flowsim.network.assembly import Assembly
from flowsim.network.solver import Solution
from flowsim.physics.arrays import FloatArray
from flowsim.physics.fuel.properties import density, kinematic_viscosity
from flowsim.physics.losses.friction import TURBULENT_START

EVENLY = (0.25, 0.5, 0.75)
"""[-] Where the evenly spaced temperatures lie between two stated ones."""
_DIVIDED_STEP = 5.0
"""[K] Legs that share the flow turn turbulent at temperatures that change with pitch. They are
judged at the next multiple of this above, where they are turbulent: their friction is then below
its peak by no more than 1.5 % (f falls as Re^-1/4, Re rises by about 1 % per kelvin). Fixed
multiples, so that a further position or state never takes a temperature away."""
_ALL = 1e-6
"""[-] A pipe whose share is this close to one takes all of the flow."""
_SAME = 0.05
"""[K] Temperatures closer than this are one."""
_STEP = 1.0
"""[K] Of the table in which viscosity is looked up; log viscosity is nearly straight over it."""


def evenly_spaced(stated: tuple[float, ...]) -> FloatArray:
    """Give three temperatures between any two stated ones [K].

    Any two, not neighbours only: so a further stated temperature never takes one away.

    Parameters
    ----------
    stated : tuple of float
        [K]

    Returns
    -------
    FloatArray
        [K], rising; empty where one temperature alone is stated.
    """
    pairs = combinations(sorted(set(stated)), 2)
    return np.array(sorted({low + share * (high - low) for low, high in pairs for share in EVENLY}))


def flow_shares(assembly: Assembly, solution: Solution, flow: FloatArray) -> FloatArray:
    """Share of the flow drawn that runs through each pipe (scenario, pipe) [-].

    ``flow`` (scenario,) [m3/s] is what was drawn; NaN where it could not be supplied.
    """
    network = assembly.network
    link = network.part_link[network.pipes.part]
    good = solution.converged & solution.supplied
    share = np.abs(solution.flow[:, link]) / flow[:, None]
    found: FloatArray = np.where(good[:, None], share, np.nan)
    return found


def temperatures_between(
    assembly: Assembly, mass_flow: float, shares: FloatArray
) -> tuple[float, ...]:
    """Give the fuel temperatures that are judged between the stated ones of a system.

    Parameters
    ----------
    assembly : Assembly
    mass_flow : float
        Drawn by the engine [kg/s].
    shares : FloatArray (scenario, pipe)
        Of it in each pipe [-]; NaN rows are left out.

    Returns
    -------
    tuple of float
        [K], rising: three between any two stated ones, and where a pipe's flow turns turbulent.
        None where one temperature alone is stated.
    """
    stated = np.array(assembly.system.temperatures)
    if stated.max() - stated.min() <= _SAME:
        return ()
    evenly = _apart(evenly_spaced(assembly.system.temperatures), stated)
    turning = turning_temperatures(assembly, mass_flow, shares)
    return tuple(sorted([*evenly, *_apart(turning, np.concatenate([stated, evenly]))]))


def turning_temperatures(assembly: Assembly, mass_flow: float, shares: FloatArray) -> FloatArray:
    """Give the temperatures between the stated ones at which a pipe's flow turns turbulent.

    Parameters
    ----------
    assembly, mass_flow, shares
        As for ``temperatures_between``.

    Returns
    -------
    FloatArray
        [K]: where Re is 2300 on the pipe's own bore, Re = 4 m/(pi D mu). Re 1900, where laminar
        friction ends, is where friction at a fixed flow is least: it is no worst case.
    """
    system, pipes = assembly.system, assembly.network.pipes
    low, high = min(system.temperatures), max(system.temperatures)
    if high - low <= _SAME or not len(pipes.part) or not len(shares):
        return np.zeros(0)
    table = np.linspace(low, high, int(np.ceil((high - low) / _STEP)) + 1)
    viscosity = kinematic_viscosity(system.fuel, table) * density(system.fuel, table)
    bore = pipes.bore.copy()
    if system.calibration is not None:
        viscosity = viscosity * system.calibration.viscosity
        bore *= np.array([assembly.network.placed[part].bore_factor for part in pipes.part])
    if not (np.diff(viscosity) < 0.0).all():
        return np.zeros(0)  # of one viscosity at every temperature: nothing turns
    with np.errstate(invalid="ignore"):
        whole = np.asarray(np.abs(shares - 1.0) < _ALL)
        part = np.asarray((shares > 0.0) & (shares < 1.0 - _ALL))
    wanted = 4.0 * mass_flow / (np.pi * bore * TURBULENT_START)
    turning = _turning(wanted[whole.any(axis=0)], viscosity, table)
    divided = _turning((shares * wanted)[part], viscosity, table)
    steps = np.unique(np.ceil((divided - ZERO_CELSIUS) / _DIVIDED_STEP))
    above = ZERO_CELSIUS + _DIVIDED_STEP * steps
    return np.concatenate([turning, above[above < high]])


def _turning(wanted: FloatArray, viscosity: FloatArray, table: FloatArray) -> FloatArray:
    """Look up temperatures [K] of dynamic viscosities [Pa s]; those outside are left out."""
    inside = wanted[(wanted > viscosity[-1]) & (wanted < viscosity[0])]
    found: FloatArray = np.interp(np.log(inside), np.log(viscosity[::-1]), table[::-1])
    return found


def _apart(values: FloatArray, others: FloatArray) -> FloatArray:
    """Sort temperatures [K], leaving out what is one of ``others`` or of its own neighbours."""
    kept: list[float] = []
    for value in np.sort(values):
        taken = np.concatenate([others, kept])
        if not len(taken) or np.abs(taken - value).min() > _SAME:
            kept.append(float(value))
    return np.array(kept)

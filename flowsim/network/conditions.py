"""What is imposed on a network in each scenario, and how far its laws are varied."""

from dataclasses import dataclass, fields, replace
from weakref import WeakKeyDictionary

import numpy as np
import numpy.typing as npt

from flowsim.network.elements import Network
from flowsim.physics.arrays import FloatArray

FORWARD, BACKWARD = 1, 2
"""Bits of ``Conditions.allowed``: flow from a link's start to its end, and the other way."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Conditions:
    """Arrays over scenarios; the first axis may be 1 where all scenarios share a row.

    ``fixed_head`` (scenario, node) [m of liquid]: height of the column, elevation plus pressure
    above ambient; only fixed nodes are read. ``demand`` (scenario, node) [m3/s] drawn from free
    nodes. ``allowed`` (scenario, link): bits FORWARD and BACKWARD, 0 closed.
    ``kinematic_viscosity`` [m2/s] and ``density`` [kg/m3] (scenario,). ``held_head``
    (scenario, link) [m]: head that a link must be given before it flows (trapped air), positive
    for flow from its start to its end, negative for flow back: where it is not zero the link is
    taken as one-way in that direction. ``screen_clear`` (scenario,): clear fraction that no
    screen exceeds, NaN for the stated ones.
    """

    fixed_head: FloatArray
    demand: FloatArray
    allowed: npt.NDArray[np.int8]
    kinematic_viscosity: FloatArray
    density: FloatArray
    held_head: FloatArray
    screen_clear: FloatArray

    @property
    def count(self) -> int:
        """Number of scenarios."""
        return max(len(getattr(self, item.name)) for item in fields(self))

    def take(self, rows: npt.NDArray[np.intp] | slice) -> "Conditions":
        """Give the named rows; shared rows stay shared.

        Parameters
        ----------
        rows : IntArray (chosen,) or slice
            Which scenarios.

        Returns
        -------
        Conditions
        """
        chosen = {
            item.name: value if len(value) == 1 else value[rows]
            for item in fields(self)
            for value in [getattr(self, item.name)]
        }
        return replace(self, **chosen)


@dataclass(frozen=True, slots=True, kw_only=True)
class Factors:
    """Factors [-] on the laws (1 = as stated); the first axis is 1 or one row per scenario.

    ``loss`` (scenario, part) on quadratic terms, tables and exits; ``laminar`` (scenario, part) on
    linear terms; ``bore`` (scenario, pipe); ``friction`` (scenario,) on all friction.
    """

    loss: FloatArray
    laminar: FloatArray
    bore: FloatArray
    friction: FloatArray

    @property
    def count(self) -> int:
        """Number of scenarios; 1 where all share the factors."""
        return max(len(getattr(self, item.name)) for item in fields(self))

    def take(self, rows: npt.NDArray[np.intp] | slice) -> "Factors":
        """Give the named rows; shared rows stay shared.

        Parameters
        ----------
        rows : IntArray (chosen,) or slice
            Which scenarios.

        Returns
        -------
        Factors
            A part's factors lie side by side.
        """
        if self.count == 1:
            return self
        chosen = {}
        for item in fields(self):
            value = getattr(self, item.name)
            chosen[item.name] = value if len(value) == 1 else value.T[..., rows].T
        return replace(self, **chosen)


_NOMINAL: WeakKeyDictionary[Network, Factors] = WeakKeyDictionary()


def nominal_factors(network: Network) -> Factors:
    """Give the nominal factors of every law: one, or what a ground test gave. Always the same.

    Parameters
    ----------
    network : Network
        Whose placed parts carry them.

    Returns
    -------
    Factors
        For all scenarios, and not to be written to.
    """
    if network not in _NOMINAL:
        placed = network.placed
        made = Factors(
            loss=np.array([[part.loss_factor for part in placed]]),
            laminar=np.array([[part.laminar_factor for part in placed]]),
            bore=np.array([[placed[part].bore_factor for part in network.pipes.part]]),
            friction=np.array([network.friction]),
        )
        for item in fields(made):
            getattr(made, item.name).flags.writeable = False
        _NOMINAL[network] = made
    return _NOMINAL[network]

"""The law of every link, for many scenarios at once: head loss and its slope against flow.

Inside, the scenario axis is last, so that one law for all scenarios is one run of memory.
"""

from dataclasses import dataclass, replace
from weakref import WeakKeyDictionary

import numpy as np
import numpy.typing as npt

from flowsim.constants import STANDARD_GRAVITY
from flowsim.network.conditions import Conditions, Factors, nominal_factors
from flowsim.network.elements import Network
from flowsim.network.form_laws import ExitLaws, PipeLaws, SingleLaws, take_columns
from flowsim.network.reach import Reach
from flowsim.physics.arrays import FloatArray, FloatLike, IntArray
from flowsim.physics.losses.bore_steps import step_change


@dataclass(frozen=True, slots=True, kw_only=True)
class LinkLaws:
    """The laws of some links in some scenarios; all arrays (link, scenario).

    ``forward`` and ``backward`` quadratic coefficients [s2/m5], one and the same array where they
    are equal; ``linear`` [s/m2]; ``threshold`` [m] lost by a link that flows (only links that may
    flow one way have one; negative back). ``alive`` tells in which scenarios a link takes part.
    Links of a ``direction`` (1 from start to end, -1 back, 0 both) have a law as steep as ``leak``
    [s/m2] against it, where a leak is given.
    """

    forward: FloatArray
    backward: FloatArray
    linear: FloatArray
    threshold: FloatArray
    alive: npt.NDArray[np.bool_]
    direction: npt.NDArray[np.int8]
    pipes: PipeLaws
    exits: ExitLaws
    singles: SingleLaws
    leak: float = np.inf

    def take(self, columns: npt.NDArray[np.intp]) -> "LinkLaws":
        """Give the same laws for fewer scenarios.

        Parameters
        ----------
        columns : IntArray (chosen,)
            Which scenarios.

        Returns
        -------
        LinkLaws
        """
        forward = take_columns(self.forward, columns)
        same = self.backward is self.forward
        return LinkLaws(
            forward=forward,
            backward=forward if same else take_columns(self.backward, columns),
            linear=take_columns(self.linear, columns),
            threshold=take_columns(self.threshold, columns),
            alive=take_columns(self.alive, columns),
            direction=take_columns(self.direction, columns),
            pipes=self.pipes.take(columns),
            exits=self.exits.take(columns),
            singles=self.singles.take(columns),
            leak=self.leak,
        )

    def of_viscosity(self, ratio: float) -> "LinkLaws | None":
        """Give the same laws for a more or less viscous liquid, of any density.

        Parameters
        ----------
        ratio : float
            How many times as viscous it is [-], > 0.

        Returns
        -------
        LinkLaws or None
            None where a law hangs on the liquid in another way (measured tables, cracking
            pressures).
        """
        if len(self.singles.row) or self.threshold.any():
            return None
        pipes, exits = self.pipes, self.exits
        return replace(
            self,
            linear=self.linear * ratio,
            pipes=replace(pipes, scale=pipes.scale * ratio, reynolds=pipes.reynolds / ratio),
            exits=replace(exits, reynolds=exits.reynolds / ratio),
        )

    def stands(self, flow: FloatArray) -> npt.NDArray[np.bool_]:
        """Tell which links leak: those that are one-way, and do not flow that way.

        Parameters
        ----------
        flow : FloatArray (link, scenario)
            [m3/s]

        Returns
        -------
        array of bool (link, scenario)
            (link, 1) where nothing leaks.
        """
        if not np.isfinite(self.leak):
            return np.zeros((len(flow), 1), dtype=bool)
        return self.against(flow)

    def against(self, flow: FloatArray) -> npt.NDArray[np.bool_]:
        """Tell which links are one-way and do not flow that way.

        Parameters
        ----------
        flow : FloatArray (link, scenario)
            [m3/s]

        Returns
        -------
        array of bool (link, scenario)
        """
        wrong: npt.NDArray[np.bool_] = (self.direction != 0) & (flow * self.direction <= 0)
        return wrong

    def quadratic_size(self) -> FloatArray:
        """Size of the quadratic terms of each link (link, scenario) [s2/m5], for the step."""
        size = self.forward + self.backward
        exits = self.exits
        if len(exits.row):
            width = max(size.shape[1], exits.scale.shape[1])
            size = np.array(np.broadcast_to(size, (len(size), width)))
            np.add.at(size, exits.row, exits.turbulent[:, None] * exits.scale)
        return size

    def head_loss(self, flow: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Give the head that each link loses, and its slope.

        Parameters
        ----------
        flow : FloatArray (link, scenario)
            [m3/s]

        Returns
        -------
        tuple of FloatArray (link, scenario)
            Head [m] and slope [s/m2].
        """
        slope = np.abs(flow)
        slope *= self._quadratic(flow)
        loss = slope + self.linear
        loss *= flow
        slope *= 2
        slope += self.linear
        self.pipes.add(flow, loss, slope)
        self.exits.add(flow, loss, slope)
        self.singles.add(flow, loss, slope)
        if np.isfinite(self.leak):
            shut = self.against(flow)
            loss = np.where(shut, self.leak * flow, loss)
            slope = np.where(shut, self.leak, slope)
        loss += self.threshold
        return loss, slope

    def loss_alone(self, flow: FloatArray) -> FloatArray:
        """Give the head that each link loses, where nothing leaks.

        Parameters
        ----------
        flow : FloatArray (link, scenario)
            [m3/s]

        Returns
        -------
        FloatArray (link, scenario)
            [m]
        """
        loss = np.abs(flow)
        loss *= self._quadratic(flow)
        loss += self.linear
        loss *= flow
        self.pipes.add(flow, loss, None)
        self.exits.add(flow, loss, None)
        self.singles.add(flow, loss, None)
        loss += self.threshold
        return loss

    def _quadratic(self, flow: FloatArray) -> FloatArray:
        if self.backward is self.forward:
            return self.forward
        return np.where(flow >= 0, self.forward, self.backward)


def link_laws(
    network: Network,
    reached: Reach,
    direction: npt.NDArray[np.int8],
    conditions: Conditions,
    factors: Factors,
    sums: "LinkSums | None" = None,
) -> LinkLaws:
    """Assemble the laws of the links of ``reached`` for all scenarios of ``conditions``.

    ``direction`` (link, scenario): 1 where flow may only pass from start to end, -1 only back.

    Parameters
    ----------
    network : Network
        With the laws of its parts.
    reached : Reach
        Which links take part.
    direction : array (link, scenario)
        1 where flow may only pass from start to end, -1 only back, else 0.
    conditions : Conditions
        Liquid, held heads and screens.
    factors : Factors
        On the laws.
    sums : LinkSums, optional
        ``link_sums`` of the same conditions and factors, where they are known.

    Returns
    -------
    LinkLaws
        Of the links of ``reached``, in their order.
    """
    links = reached.links
    row_of_link = np.full(len(network.links), -1, dtype=np.intp)
    row_of_link[links] = np.arange(len(links))
    if sums is None:
        sums = link_sums(network, conditions, factors)
    forward = sums.forward[links]
    held = np.ascontiguousarray(conditions.held_head.T[links])
    cracking = network.cracking_pressure[links, None] / (conditions.density * STANDARD_GRAVITY)
    return LinkLaws(
        forward=forward,
        backward=forward if sums.backward is sums.forward else sums.backward[links],
        linear=sums.viscous[links] * conditions.kinematic_viscosity,
        threshold=np.where(direction < 0, np.minimum(held, 0.0), cracking + np.maximum(held, 0.0)),
        alive=reached.alive,
        direction=direction,
        pipes=_pipe_laws(network, row_of_link, conditions, factors),
        exits=_exit_laws(network, row_of_link, conditions, factors),
        singles=_single_laws(network, row_of_link, conditions, factors),
    )


@dataclass(frozen=True, slots=True)
class LinkSums:
    """Terms of every link of a network (link, scenario or 1).

    Quadratic ``forward`` and ``backward`` [s2/m5], ``viscous`` [s2/m4] times the viscosity.
    """

    forward: FloatArray
    backward: FloatArray
    viscous: FloatArray


_STATED: WeakKeyDictionary[Network, LinkSums] = WeakKeyDictionary()
"""Sums with nominal factors and screens as stated; studies in time ask for them thousandfold."""


def link_sums(network: Network, conditions: Conditions, factors: Factors) -> LinkSums:
    """Give the sums of every link, remembered where everything is as stated.

    Parameters
    ----------
    network : Network
        With the laws of its parts.
    conditions : Conditions
        Of which the screens count.
    factors : Factors
        On the laws.

    Returns
    -------
    LinkSums
    """
    if factors is not nominal_factors(network) or not np.isnan(conditions.screen_clear).all():
        return _part_sums(network, conditions, factors)
    if network not in _STATED:
        _STATED[network] = _part_sums(network, conditions.take(np.zeros(1, dtype=int)), factors)
    return _STATED[network]


def _part_sums(network: Network, conditions: Conditions, factors: Factors) -> LinkSums:
    """Sum the quadratic terms each way and the linear terms of every link.

    Parts are added one by one: a matrix product would start threads for no gain.
    """
    parts, count = network.coefficients, len(network.links)
    chosen = np.flatnonzero((parts.quadratic > 0) | (parts.linear > 0))
    loss, laminar = (np.ascontiguousarray(some.T) for some in (factors.loss, factors.laminar))
    screens = not np.isnan(parts.clear[chosen]).all()
    most = len(conditions.screen_clear) if screens else 1
    forward = np.zeros((count, max(most, loss.shape[1])))
    backward = np.zeros_like(forward)
    viscous = np.zeros((count, max(most, laminar.shape[1])))
    for part in chosen.tolist():
        row = network.part_link[part]
        clear = clear_fraction(parts.clear[part], conditions)
        if parts.quadratic[part] > 0:
            quadratic = parts.quadratic[part] * loss[part] / clear**2
            if parts.forward[part]:
                forward[row] += quadratic
            if parts.backward[part]:
                backward[row] += quadratic
        if parts.linear[part] > 0:
            viscous[row] += parts.linear[part] * laminar[part] / clear
    uneven = (parts.forward != parts.backward)[chosen] & (parts.quadratic[chosen] > 0)
    return LinkSums(forward, backward if uneven.any() else forward, viscous)


def clear_fraction(stated: float, conditions: Conditions) -> FloatLike:
    """Clear fraction [-] of a part: ``stated``, NaN for what is no screen, which gives 1.

    Screens are scaled by it: velocity through what is left rises with 1/clear. A scenario with
    dirty screens (scenario,) never cleans one that is stated dirtier.

    Parameters
    ----------
    stated : float
        Of the part [-], NaN for what is no screen.
    conditions : Conditions
        Their ``screen_clear`` (scenario,) [-] is NaN for the stated one.

    Returns
    -------
    FloatLike
        [-] 1, or of each scenario (scenario,).
    """
    if np.isnan(stated):
        return 1.0
    return np.fmin(conditions.screen_clear, stated)


def _pipe_laws(
    network: Network, row_of_link: IntArray, conditions: Conditions, factors: Factors
) -> PipeLaws:
    pipes = network.pipes
    chosen = np.flatnonzero(row_of_link[pipes.link] >= 0)
    bore = np.ascontiguousarray((pipes.bore * factors.bore).T[chosen])
    area = np.pi * bore**2 / 4
    viscosity = conditions.kinematic_viscosity
    scale = pipes.length[chosen, None] / (2 * STANDARD_GRAVITY * bore**2 * area)
    row = row_of_link[pipes.link[chosen]]
    in_a_row = len(row) > 0 and bool((np.diff(row) == 1).all())
    return PipeLaws(
        row=row,
        rows=slice(int(row[0]), int(row[-1]) + 1) if in_a_row else row,
        scale=scale * viscosity * factors.friction,
        reynolds=bore / (area * viscosity),
        roughness=pipes.roughness[chosen, None] / bore,
    )


def _exit_laws(
    network: Network,
    row_of_link: IntArray,
    conditions: Conditions,
    factors: Factors,
) -> ExitLaws:
    exits = network.exits
    chosen = np.flatnonzero(row_of_link[exits.link] >= 0)
    loss = np.ascontiguousarray(factors.loss.T[exits.part[chosen]])
    # Alike steps of one link differ by a factor only, and those add up.
    _, first, which = np.unique(exits.alike[chosen], return_index=True, return_inverse=True)
    together = np.zeros((len(first), loss.shape[1]))
    for index, group in enumerate(which.reshape(-1).tolist()):
        together[group] += exits.turbulent[chosen[index]] * loss[index]
    # Those that lose in the same direction lie side by side: mostly they act together.
    order = np.argsort(-exits.sign[chosen[first]], kind="stable")
    chosen, together = chosen[first[order]], together[order]
    bore = exits.bore[chosen, None]
    area = np.pi * bore**2 / 4
    unit = np.ones(len(chosen))
    ratio = exits.laminar[chosen] / exits.turbulent[chosen]
    return ExitLaws(
        row=row_of_link[exits.link[chosen]],
        sign=exits.sign[chosen],
        turbulent=unit,
        laminar=ratio,
        change=step_change(unit, ratio),
        scale=together / (2 * STANDARD_GRAVITY * area**2),
        reynolds=bore / (area * conditions.kinematic_viscosity),
    )


def _single_laws(
    network: Network, row_of_link: IntArray, conditions: Conditions, factors: Factors
) -> SingleLaws:
    rows = [int(row_of_link[network.part_link[index]]) for index, _ in network.singles]
    chosen = [entry for entry, row in zip(network.singles, rows, strict=True) if row >= 0]
    factor = [factors.loss[:, index] for index, _ in chosen]
    return SingleLaws(
        row=tuple(row for row in rows if row >= 0),
        law=tuple(law for _, law in chosen),
        factor=np.array(factor) if factor else np.zeros((0, 1)),
        viscosity=conditions.kinematic_viscosity,
    )

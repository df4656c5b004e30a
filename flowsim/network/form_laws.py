"""The laws of parts of one form, for many scenarios at once: pipes, exits and steps, single ones.

Inside, the scenario axis is last, so that one law for all scenarios is one run of memory.
"""

from dataclasses import dataclass
from typing import TypeVar

import numpy as np
import numpy.typing as npt

from flowsim.physics.arrays import FloatArray, IntArray
from flowsim.physics.losses import friction
from flowsim.physics.losses.bore_steps import StepChange, bridge
from flowsim.physics.losses.law_shape import Ready

_Kind = TypeVar("_Kind", bound=np.generic)


def as_slice(rows: IntArray) -> IntArray | slice:
    """Give consecutive rows as a slice: arrays are then looked at, not copied.

    Parameters
    ----------
    rows : IntArray (chosen,)
        Any rows.

    Returns
    -------
    IntArray or slice
        The same rows.
    """
    if len(rows) and rows[-1] - rows[0] + 1 == len(rows) and (np.diff(rows) == 1).all():
        return slice(int(rows[0]), int(rows[-1]) + 1)
    return rows


def take_columns(values: npt.NDArray[_Kind], columns: npt.NDArray[np.intp]) -> npt.NDArray[_Kind]:
    """Take some scenarios of an array; a last axis of 1 is shared by all.

    Indexing the last axis would turn the memory's order round, and all that is done later with it.

    Parameters
    ----------
    values : array (..., scenario)
        Of any kind; a last axis of 1 is shared.
    columns : array (chosen,)
        Which scenarios.

    Returns
    -------
    array (..., chosen)
        The same where it is shared.
    """
    return values if values.shape[-1] == 1 else np.take(values, columns, axis=-1)


@dataclass(frozen=True, slots=True, kw_only=True)
class PipeLaws:
    """Friction of pipes (pipe, scenario): h = ``scale`` (f Re) Q with Re = ``reynolds`` |Q|.

    ``scale`` [s/m2], ``reynolds`` [s/m3], ``roughness`` over bore [-]. ``row`` (pipe,) tells which
    link each pipe belongs to, ``rows`` the same as a slice where the pipes belong to links one
    after the other.
    """

    row: IntArray
    rows: IntArray | slice
    scale: FloatArray
    reynolds: FloatArray
    roughness: FloatArray

    def take(self, columns: npt.NDArray[np.intp]) -> "PipeLaws":
        """Give the same laws for fewer scenarios.

        Parameters
        ----------
        columns : IntArray (chosen,)
            Which scenarios.

        Returns
        -------
        PipeLaws
        """
        return PipeLaws(
            row=self.row,
            rows=self.rows,
            scale=take_columns(self.scale, columns),
            reynolds=take_columns(self.reynolds, columns),
            roughness=take_columns(self.roughness, columns),
        )

    def add(self, flow: FloatArray, loss: FloatArray, slope: FloatArray | None) -> None:
        """Add each pipe's loss and slope to its link's.

        Parameters
        ----------
        flow : FloatArray (link, scenario)
            [m3/s]
        loss : FloatArray (link, scenario)
            [m] To be added to.
        slope : FloatArray (link, scenario) or None
            [s/m2] To be added to, where it is asked for.
        """
        if not len(self.row):
            return
        rows = self.rows
        through = flow[rows]
        reynolds = np.abs(through)
        reynolds *= self.reynolds
        factor, steepness = friction.cautious(reynolds, self.roughness)
        if slope is not None:
            steepness *= reynolds
            steepness += factor
            steepness *= self.scale
        factor *= self.scale
        factor *= through
        if isinstance(rows, slice):
            loss[rows] += factor
            if slope is not None:
                slope[rows] += steepness
            return
        for pipe, row in enumerate(self.row.tolist()):
            loss[row] += factor[pipe]
            if slope is not None:
                slope[row] += steepness[pipe]


@dataclass(frozen=True, slots=True, kw_only=True)
class ExitLaws:
    """Kinetic energy at exits and steps (exit, scenario), lost by flow where ``sign`` Q > 0.

    ``turbulent`` and ``laminar`` (exit,) are their coefficients [-], ``change`` how one becomes the
    other; a coefficient times ``scale`` [s2/m5] Q^2 is the head, Re is ``reynolds`` [s/m3] Q.
    """

    row: IntArray
    sign: FloatArray
    turbulent: FloatArray
    laminar: FloatArray
    change: StepChange
    scale: FloatArray
    reynolds: FloatArray

    def take(self, columns: npt.NDArray[np.intp]) -> "ExitLaws":
        """Give the same laws for fewer scenarios.

        Parameters
        ----------
        columns : IntArray (chosen,)
            Which scenarios.

        Returns
        -------
        ExitLaws
        """
        return ExitLaws(
            row=self.row,
            sign=self.sign,
            turbulent=self.turbulent,
            laminar=self.laminar,
            change=self.change,
            scale=take_columns(self.scale, columns),
            reynolds=take_columns(self.reynolds, columns),
        )

    def add(self, flow: FloatArray, loss: FloatArray, slope: FloatArray | None) -> None:
        """Add each exit's loss and slope to its link's.

        Parameters
        ----------
        flow : FloatArray (link, scenario)
            [m3/s]
        loss : FloatArray (link, scenario)
            [m] To be added to.
        slope : FloatArray (link, scenario) or None
            [s/m2] To be added to, where it is asked for.
        """
        most = np.fmax.reduce(flow, axis=1, initial=0.0)[self.row]  # NaN or not
        least = np.fmin.reduce(flow, axis=1, initial=0.0)[self.row]
        acting = np.flatnonzero(np.where(self.sign > 0, most, -least) > 0.0)
        if not len(acting):
            return
        some, row, sign = as_slice(acting), self.row[acting], self.sign[acting]
        leaving = flow[row]
        if (sign < 0).any():
            leaving *= sign[:, None]
        np.maximum(leaving, 0.0, out=leaving)
        reynolds = leaving * self.reynolds[some]
        coefficient, steepness = self._coefficients(acting, reynolds)
        leaving_scale = leaving * self.scale[some]
        if slope is not None:
            # d(K Q^2)/dQ = Q (2 K + Re dK/dRe)
            steepness *= reynolds
            steepness += coefficient
            steepness += coefficient
            steepness *= leaving_scale
            for index, link in enumerate(row.tolist()):
                slope[link] += steepness[index]
        coefficient *= leaving
        coefficient *= leaving_scale
        for index, (link, along) in enumerate(zip(row.tolist(), sign.tolist(), strict=True)):
            if along > 0:
                loss[link] += coefficient[index]
            else:
                loss[link] -= coefficient[index]

    def _coefficients(
        self, acting: IntArray, reynolds: FloatArray
    ) -> tuple[FloatArray, FloatArray]:
        """Give K of some exits and its slope by the Reynolds number."""
        change, turbulent = self.change, self.turbulent[acting, None]
        short = np.fmin.reduce(reynolds, axis=1) < change.until[acting]
        if short.all():
            return bridge(reynolds, turbulent, change.fall[acting, None], change.span[acting, None])
        k = np.repeat(turbulent, reynolds.shape[1], axis=1)
        slope = np.zeros(k.shape)
        if short.any():
            which = acting[short]
            fall, span = change.fall[which, None], change.span[which, None]
            k[short], slope[short] = bridge(reynolds[short], turbulent[short], fall, span)
        return k, slope


@dataclass(frozen=True, slots=True, kw_only=True)
class SingleLaws:
    """Laws that are asked one by one (measured tables), ``factor`` (law, scenario) times each.

    ``viscosity`` (scenario,) [m2/s] kinematic.
    """

    row: tuple[int, ...]
    law: tuple[Ready, ...]
    factor: FloatArray
    viscosity: FloatArray

    def take(self, columns: npt.NDArray[np.intp]) -> "SingleLaws":
        """Give the same laws for fewer scenarios.

        Parameters
        ----------
        columns : IntArray (chosen,)
            Which scenarios.

        Returns
        -------
        SingleLaws
        """
        return SingleLaws(
            row=self.row,
            law=self.law,
            factor=take_columns(self.factor, columns),
            viscosity=take_columns(self.viscosity, columns),
        )

    def add(self, flow: FloatArray, loss: FloatArray, slope: FloatArray | None) -> None:
        """Add each law's loss and slope to its link's.

        Parameters
        ----------
        flow : FloatArray (link, scenario)
            [m3/s]
        loss : FloatArray (link, scenario)
            [m] To be added to.
        slope : FloatArray (link, scenario) or None
            [s/m2] To be added to, where it is asked for.
        """
        for index, (row, law) in enumerate(zip(self.row, self.law, strict=True)):
            head, steepness = law.head(flow[row], self.viscosity, self.factor[index])
            loss[row] += head
            if slope is not None:
                slope[row] += steepness

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
from flowsim.physics.losses.friction import LAMINAR_END
from flowsim.physics.losses.law_shape import Ready

_Kind = TypeVar("_Kind", bound=np.generic)


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
        along = flow[self.row] * self.sign[:, None]
        acting = np.flatnonzero(np.fmax.reduce(along, axis=1, initial=0.0) > 0.0)  # NaN or not
        if not len(acting):
            return
        leaving = np.maximum(along[acting], 0.0)
        reynolds = leaving * self.reynolds[acting]
        coefficient, steepness = self._coefficients(acting, reynolds)
        rows, scale = self.row[acting].tolist(), self.scale[acting] * leaving
        if slope is not None:
            steepness *= reynolds
            steepness += coefficient
            steepness += coefficient
            steepness *= scale
            for index, row in enumerate(rows):
                slope[row] += steepness[index]
        coefficient *= leaving
        coefficient *= scale
        signs = self.sign[acting].tolist()
        for index, row in enumerate(rows):
            if signs[index] > 0:
                loss[row] += coefficient[index]
            else:
                loss[row] -= coefficient[index]

    def _coefficients(
        self, acting: IntArray, reynolds: FloatArray
    ) -> tuple[FloatArray, FloatArray]:
        """Give K of some exits and its slope by the Reynolds number, as ``step_coefficient``."""
        turbulent = self.turbulent[acting]
        k = np.where(reynolds <= LAMINAR_END, self.laminar[acting, None], turbulent[:, None])
        slope = np.zeros(k.shape)
        between = (reynolds > LAMINAR_END) & (reynolds < self.change.until[acting, None])
        some = np.flatnonzero(between)
        if len(some):
            exits = some // k.shape[1]
            fall, span = self.change.fall[acting], self.change.span[acting]
            found = bridge(reynolds.reshape(-1)[some], turbulent[exits], fall[exits], span[exits])
            k.reshape(-1)[some], slope.reshape(-1)[some] = found
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

"""Triangles (simplices) cut by a level plane: the closed form behind the volume of a tank."""

from dataclasses import dataclass
from typing import Self

import numpy as np

from flowsim.physics.arrays import FloatArray

# Stands for a zero width, so that nothing is divided by zero; a depth over it is cut back to 1.
_NO_WIDTH = 1e-300


@dataclass(frozen=True, slots=True, kw_only=True)
class LevelledTriangles:
    """Triangles known by the elevations of their corners, sorted, with the widths inverted.

    Parameters
    ----------
    lowest, middle, highest : FloatArray (triangle, scenario)
        Elevations of the corners [m], rising.
    per_lower, per_upper, per_whole : FloatArray (triangle, scenario)
        1 / (middle - lowest), 1 / (highest - middle), 1 / (highest - lowest) [1/m].
    """

    lowest: FloatArray
    middle: FloatArray
    highest: FloatArray
    per_lower: FloatArray
    per_upper: FloatArray
    per_whole: FloatArray

    def take(self, scenarios: np.ndarray) -> Self:
        """Keep only the scenarios given by index or mask.

        Parameters
        ----------
        scenarios : numpy.ndarray
            Indices or mask over the last axis [-].

        Returns
        -------
        LevelledTriangles
            The same triangles in fewer scenarios.
        """
        return type(self)(
            lowest=self.lowest[:, scenarios],
            middle=self.middle[:, scenarios],
            highest=self.highest[:, scenarios],
            per_lower=self.per_lower[:, scenarios],
            per_upper=self.per_upper[:, scenarios],
            per_whole=self.per_whole[:, scenarios],
        )


def level_triangles(first: FloatArray, second: FloatArray, third: FloatArray) -> LevelledTriangles:
    """Sort the corners of each triangle by elevation and invert the widths.

    Parameters
    ----------
    first, second, third : FloatArray (triangle, scenario)
        Elevations of the three corners [m]; equal elevations are allowed, NaN gives NaN.

    Returns
    -------
    LevelledTriangles
        What ``submerged`` needs, made once for many surfaces.
    """
    low, high = np.minimum(first, second), np.maximum(first, second)
    lowest, rest = np.minimum(low, third), np.maximum(low, third)
    middle, highest = np.minimum(rest, high), np.maximum(rest, high)
    return LevelledTriangles(
        lowest=lowest,
        middle=middle,
        highest=highest,
        per_lower=1.0 / np.maximum(middle - lowest, _NO_WIDTH),
        per_upper=1.0 / np.maximum(highest - middle, _NO_WIDTH),
        per_whole=1.0 / np.maximum(highest - lowest, _NO_WIDTH),
    )


def submerged(triangles: LevelledTriangles, surface: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Give the mean depth and the submerged share of triangles under a level surface.

    With the elevations a <= b <= c of the corners and the surface at s, the share of the triangle
    below s is the integral of the linear B-spline on the knots a, b, c, and the mean over the
    triangle of max(s - z, 0) is the divided difference [a, b, c] of (s - z)+**3 / 3. Both are
    written by the recursion of the B-spline: sums of positive terms and averages of numbers
    between 0 and 1. Nothing cancels, so equal and nearly equal elevations do no harm.

    Parameters
    ----------
    triangles : LevelledTriangles (triangle, scenario)
        From ``level_triangles``.
    surface : FloatArray (scenario,)
        Elevation of the surface [m]; finite (NaN gives NaN).

    Returns
    -------
    mean_depth : FloatArray (triangle, scenario)
        Mean over the whole triangle of the depth below the surface, dry parts counting zero [m].
    share : FloatArray (triangle, scenario)
        Part of the triangle's area below the surface, 0 to 1 [-].

    Notes
    -----
    Recursion: C. de Boor, A Practical Guide to Splines (Springer, 1978), chapters IX and X; that
    a cut simplex is a B-spline: H. B. Curry and I. J. Schoenberg, J. Analyse Math. 17 (1966)
    71-107. Both from memory; the tests check the result by other means.

    Examples
    --------
    A triangle that stands on its tip, corners at 0, 1 and 1 m. Filled to the top the mean depth is
    that of its middle, 1/3 m; to half, a quarter of it is wet to a third of 0.5 m.

    >>> one = np.ones((1, 2))
    >>> depth, share = submerged(level_triangles(0.0 * one, one, one), np.array([1.0, 0.5]))
    >>> depth.round(9).tolist(), share.tolist()
    ([[0.333333333, 0.041666667]], [[1.0, 0.25]])
    """
    above_lowest, above_middle, above_highest = (
        _not_below_zero(surface - corner)
        for corner in (triangles.lowest, triangles.middle, triangles.highest)
    )
    lower = _at_most_one(above_lowest * triangles.per_lower)
    upper = _at_most_one(above_middle * triangles.per_upper)
    whole = _at_most_one(above_lowest * triangles.per_whole)
    # whole * lower + (1 - whole) * upper, in place: this is where the time goes.
    share = whole * lower
    share += np.multiply(np.subtract(1.0, whole, out=whole), upper, out=whole)
    above_lowest *= share
    above_middle *= upper
    above_lowest += above_middle
    above_lowest += above_highest
    above_lowest /= 3.0
    return above_lowest, share


def _not_below_zero(values: FloatArray) -> FloatArray:
    return np.maximum(values, 0.0, out=values)


def _at_most_one(values: FloatArray) -> FloatArray:
    return np.minimum(values, 1.0, out=values)

"""Centre-lines of tube and hose in space: straight pieces joined by bends of a radius, exactly.

A line is given by the points where its straight pieces would meet. At each of them the corner is
rounded by an arc that touches both pieces. Lengths, points and directions are closed forms.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import accumulate, pairwise

import numpy as np

from flowsim.errors import DomainError
from flowsim.physics.arrays import FloatArray

STRAIGHT_WITHIN = math.radians(5.0)
"""[rad] A smaller change of direction is no bend: it stays a corner (as the case reader counts)."""

SAME_POINT = 1e-4
"""[m] Neighbouring points nearer than this are one point."""

DOUBLES_BACK = math.radians(170.0)
"""[rad] A turn by more is a line that doubles back: no bend of any radius is meant by it."""


@dataclass(frozen=True, slots=True, eq=False)
class Straight:
    """A straight piece: ``origin`` (3,) [m], unit ``direction`` (3,), ``length`` [m].

    ``number`` is the index of its leg among the legs between the given points.
    """

    origin: FloatArray
    direction: FloatArray
    length: float
    number: int

    def point(self, along: float) -> FloatArray:
        """Give a point of the piece.

        Parameters
        ----------
        along : float
            How far from its start [m].

        Returns
        -------
        FloatArray (3,)
            [m].
        """
        return np.asarray(self.origin + along * self.direction)

    def tangent(self, along: float) -> FloatArray:  # noqa: ARG002 - the same all along
        """Give the direction, the same all along.

        Parameters
        ----------
        along : float
            How far from its start [m].

        Returns
        -------
        FloatArray (3,)
            Unit vector [-].
        """
        return self.direction


@dataclass(frozen=True, slots=True, eq=False)
class Arc:
    """A bend: ``centre`` (3,) [m], ``radius`` [m], ``angle`` [rad] that it turns by.

    ``outward`` (3,) points from the centre to its start, ``forward`` (3,) along the line there;
    both are unit vectors. ``number`` is the index of its corner among the given points.
    """

    centre: FloatArray
    outward: FloatArray
    forward: FloatArray
    radius: float
    angle: float
    number: int

    @property
    def length(self) -> float:
        """Length of the arc [m]."""
        return self.radius * self.angle

    def point(self, along: float) -> FloatArray:
        """Give a point of the bend.

        Parameters
        ----------
        along : float
            How far from its start [m].

        Returns
        -------
        FloatArray (3,)
            [m].
        """
        turned = along / self.radius
        radial = math.cos(turned) * self.outward + math.sin(turned) * self.forward
        return np.asarray(self.centre + self.radius * radial)

    def tangent(self, along: float) -> FloatArray:
        """Give the direction at a point of the bend.

        Parameters
        ----------
        along : float
            How far from its start [m].

        Returns
        -------
        FloatArray (3,)
            Unit vector [-].
        """
        turned = along / self.radius
        return np.asarray(math.cos(turned) * self.forward - math.sin(turned) * self.outward)


Piece = Straight | Arc


@dataclass(frozen=True, slots=True, eq=False)
class CentreLine:
    """A centre-line: its ``pieces`` in order; ``starts`` [m] from its start where each begins.

    ``points`` (point, 3) [m] are those it was made from.
    """

    points: FloatArray
    pieces: tuple[Piece, ...]
    starts: tuple[float, ...]

    @property
    def length(self) -> float:
        """Whole length [m]."""
        return self.starts[-1] + self.pieces[-1].length

    def point(self, along: float) -> FloatArray:
        """Give a point of the line.

        Parameters
        ----------
        along : float
            How far from the start [m]; beyond an end, that end.

        Returns
        -------
        FloatArray (3,)
            [m].

        Raises
        ------
        DomainError
            When ``along`` is not finite.
        """
        piece, within = self._at(along)
        return piece.point(within)

    def tangent(self, along: float) -> FloatArray:
        """Give the direction at a point of the line.

        Parameters
        ----------
        along : float
            How far from the start [m]; beyond an end, that end.

        Returns
        -------
        FloatArray (3,)
            Unit vector [-].

        Raises
        ------
        DomainError
            When ``along`` is not finite.
        """
        piece, within = self._at(along)
        return piece.tangent(within)

    def _at(self, along: float) -> tuple[Piece, float]:
        if not math.isfinite(along):
            raise DomainError("a place along a line is not a finite number; state a length")
        index = max(0, int(np.searchsorted(self.starts, along, side="right")) - 1)
        piece = self.pieces[index]
        return piece, min(max(along - self.starts[index], 0.0), piece.length)

    def chords(self, sagitta: float = 2e-5) -> FloatArray:
        """Give points whose chords lie near the line, for pictures and distances.

        Parameters
        ----------
        sagitta : float
            How far a chord may lie off the line [m], > 0.

        Returns
        -------
        FloatArray (point, 3)
            [m]
        """
        rows = [self.pieces[0].point(0.0)]
        for piece in self.pieces:
            count = 1
            if isinstance(piece, Arc):
                step = 2.0 * math.acos(max(-1.0, 1.0 - sagitta / piece.radius))
                count = max(1, math.ceil(piece.angle / max(step, 1e-3)))
            rows += [piece.point(piece.length * (i + 1) / count) for i in range(count)]
        return np.array(rows)

    def nearest(self, point: Sequence[float] | FloatArray) -> tuple[float, float]:
        """Give the place of the line that is nearest to a point.

        Parameters
        ----------
        point : sequence of float
            Shape (3,) [m].

        Returns
        -------
        tuple of float
            How far along the line that place lies, and how far off the point is [m].

        Raises
        ------
        DomainError
            For a point that is not finite.
        """
        target = np.asarray(point, dtype=np.float64)
        if not np.isfinite(target).all():
            raise DomainError(f"a point {target} that is not finite has no nearest place")
        best = (math.inf, 0.0)
        for start, piece in zip(self.starts, self.pieces, strict=True):
            for within in _candidates(piece, target):
                off = float(np.linalg.norm(piece.point(within) - target))
                best = min(best, (off, start + within))
        return best[1], best[0]


def centre_line(
    points: Sequence[Sequence[float]] | FloatArray,
    bend_radius: float | Sequence[float | None] | None,
) -> CentreLine:
    """Round the corners of a chain of points with bend radii.

    Parameters
    ----------
    points : sequence of points
        Shape (point, 3), two or more [m]: both ends, and where straight pieces would meet.
    bend_radius : float, sequence of float, or None
        Radius to the centre-line [m], > 0; None leaves every corner sharp. A sequence holds one for
        each point between the ends, where zero leaves a corner sharp as well.

    Returns
    -------
    CentreLine
        Turns of up to 5 deg stay corners, as the case reader counts bends.

    Raises
    ------
    DomainError
        Too few points, one that is not finite, neighbours nearer than 0.1 mm, a turn of more than
        170 deg, a radius that is not positive, or bends that do not fit on a straight between them.

    Notes
    -----
    A bend of angle a takes R tan(a/2) of both legs and is R a long; exact geometry.

    Examples
    --------
    A corner of 90 deg with 0.1 m of radius between two legs of 1 m: each leg loses the radius, the
    quarter circle adds pi/2 of it.

    >>> line = centre_line([[0, 0, 0], [1, 0, 0], [1, 1, 0]], 0.1)
    >>> round(line.length, 6), round(1.8 + 0.1 * math.pi / 2, 6)
    (1.95708, 1.95708)
    >>> line.point(line.length / 2).round(6).tolist()  # 1 - 0.1 + 0.1 sin 45, 0.1 - 0.1 cos 45
    [0.970711, 0.029289, 0.0]
    """
    given = np.asarray(points, dtype=np.float64)
    legs, directions = _legs(given)
    radii = _radii(bend_radius, len(given) - 2)
    turns = [_turn(a, b) for a, b in pairwise(directions)]
    for index, turn in enumerate(turns):
        if turn > DOUBLES_BACK:
            raise DomainError(
                f"the line doubles back at point {index + 1} (it turns by "
                f"{math.degrees(turn):.0f} deg); correct the points"
            )
    bent = [r if turn > STRAIGHT_WITHIN else 0.0 for turn, r in zip(turns, radii, strict=True)]
    cuts = [radius * math.tan(0.5 * turn) for turn, radius in zip(turns, bent, strict=True)]
    before, after = [0.0, *cuts], [*cuts, 0.0]
    pieces: list[Piece] = []
    for leg, length in enumerate(legs):
        left = float(length) - before[leg] - after[leg]
        if left < -1e-9 * float(length):
            there = {radius for radius in bent[max(0, leg - 1) : leg + 1] if radius > 0.0}
            words = " and ".join(f"{1e3 * radius:g} mm" for radius in sorted(there))
            raise DomainError(
                f"bends of radius {words} do not fit on leg {leg + 1}, which is "
                f"{1e3 * float(length):.4g} mm long; correct the radius or the points"
            )
        if left > 1e-9 * float(length):
            origin = given[leg] + before[leg] * directions[leg]
            pieces.append(Straight(origin, directions[leg], left, leg))
        if leg < len(turns) and bent[leg] > 0.0:
            corner, around = given[leg + 1], directions[leg : leg + 2]
            pieces.append(_arc(corner, around, turns[leg], bent[leg], leg))
    starts = tuple(accumulate((piece.length for piece in pieces[:-1]), initial=0.0))
    return CentreLine(given, tuple(pieces), starts)


def _radii(bend_radius: float | Sequence[float | None] | None, inner: int) -> list[float]:
    """Give a radius for each point between the ends, zero for a sharp corner."""
    if bend_radius is None:
        return [0.0] * inner
    if isinstance(bend_radius, int | float):
        if not bend_radius > 0.0:
            raise DomainError(
                f"a bend radius of {bend_radius:g} m is not above zero; state the radius"
            )
        return [float(bend_radius)] * inner
    radii = [radius or 0.0 for radius in bend_radius]
    if len(radii) != inner or not all(radius >= 0.0 for radius in radii):
        raise DomainError(
            f"{len(radii)} radii for {inner} points between the ends; state one for each, not "
            "below zero"
        )
    return radii


def _legs(given: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Give length (leg,) and direction (leg, 3) of each leg, refusing what is none."""
    if given.ndim != 2 or given.shape[-1] != 3 or len(given) < 2:
        raise DomainError(f"points have shape {given.shape}; a line needs two or more points of 3")
    if not bool(np.isfinite(given).all()):
        raise DomainError("a point of a line is not a finite number; state its coordinates")
    vectors = np.diff(given, axis=0)
    legs = np.linalg.norm(vectors, axis=1)
    if bool((legs < SAME_POINT).any()):
        index = int(np.argmin(legs))
        raise DomainError(
            f"points {index + 1} and {index + 2} of a line coincide; delete one of them"
        )
    return legs, vectors / legs[:, None]


def _turn(before: FloatArray, after: FloatArray) -> float:
    """Give the angle between two directions; exact for small and for large angles."""
    return math.atan2(float(np.linalg.norm(np.cross(before, after))), float(before @ after))


def _arc(corner: FloatArray, legs: FloatArray, turn: float, radius: float, leg: int) -> Arc:
    before, after = legs
    inward = (after - math.cos(turn) * before) / math.sin(turn)
    first = corner - radius * math.tan(0.5 * turn) * before
    return Arc(first + radius * inward, -inward, before, radius, turn, leg + 1)


def _candidates(piece: Piece, target: FloatArray) -> tuple[float, ...]:
    """Give the places on a piece [m along it] at which it may be nearest to a point."""
    if isinstance(piece, Straight):
        foot = float((target - piece.origin) @ piece.direction)
        return (min(max(foot, 0.0), piece.length),)
    off = target - piece.centre
    turned = math.atan2(float(off @ piece.forward), float(off @ piece.outward))
    inside = [turned * piece.radius] if 0.0 <= turned <= piece.angle else []
    return (0.0, piece.length, *inside)

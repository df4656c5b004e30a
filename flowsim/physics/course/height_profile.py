"""Height along a centre-line in an attitude: where it rises and falls, and what lies below a level.

The profile is a chain of spans that rise or fall all the way. Each knows its heights in closed
form, so that crests and dips inside a bend, and lengths below a level, are exact.
"""

import math
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from flowsim.errors import DomainError
from flowsim.physics.arrays import FloatArray
from flowsim.physics.course.centre_line import Arc, CentreLine, Piece, Straight


@dataclass(frozen=True, slots=True, eq=False)
class Span:
    """A stretch of a centre-line that rises or falls all the way.

    ``start`` and ``end`` [m] along the line, ``start_height`` and ``end_height`` [m]; ``piece``
    and ``offset`` [m], where the piece begins, give what is between. ``up`` (3,) is the unit
    vector [-] against gravity.
    """

    start: float
    end: float
    start_height: float
    end_height: float
    piece: Piece
    offset: float
    up: FloatArray

    @property
    def length(self) -> float:
        """Length along the line [m]."""
        return self.end - self.start

    def place(self, height: float) -> float:
        """Give where along the line it passes a height.

        Parameters
        ----------
        height : float
            [m], between those of its ends.

        Returns
        -------
        float
            From the start of the line [m].

        Raises
        ------
        DomainError
            For a height that is not on the span.
        """
        low, high = sorted((self.start_height, self.end_height))
        if not low <= height <= high:
            raise DomainError(f"height {height:g} m is not on the span from {low:g} to {high:g} m")
        if high - low < 1e-12:
            return self.start
        if isinstance(self.piece, Straight):
            share = (height - self.start_height) / (self.end_height - self.start_height)
            return self.start + share * self.length
        return self._on_arc(self.piece, height)

    def _on_arc(self, arc: Arc, height: float) -> float:
        """Invert height = base + R A cos(t - t0) on the half wave that the span lies on."""
        base, size, crest = _wave(arc, self.up)
        middle = (0.5 * (self.start + self.end) - self.offset) / arc.radius
        half = math.floor((middle - crest) / math.pi)
        cosine = min(1.0, max(-1.0, (height - base) / (arc.radius * size)))
        turned = crest + half * math.pi + math.acos(cosine if half % 2 == 0 else -cosine)
        return min(max(self.offset + turned * arc.radius, self.start), self.end)

    def length_below(self, level: float) -> float:
        """Give how much of it lies below a level.

        Parameters
        ----------
        level : float
            [m]

        Returns
        -------
        float
            Length [m], 0 to its own.
        """
        low, high = sorted((self.start_height, self.end_height))
        if high <= level:
            return self.length
        if low >= level:
            return 0.0
        place = self.place(level)
        return place - self.start if self.start_height < self.end_height else self.end - place


def upward(gravity: FloatArray) -> FloatArray:
    """Give the unit vector (3,) that points up in an attitude.

    Parameters
    ----------
    gravity : array
        Shape (3,): effective gravity over g0 [-], parts (aft, right, up).

    Returns
    -------
    array
        Shape (3,) [-], against the effective gravity.

    Raises
    ------
    DomainError
        When nothing pulls.

    Examples
    --------
    >>> (upward(np.array([0.0, 0.0, -2.0])) + 0.0).tolist()
    [0.0, 0.0, 1.0]
    """
    pull = np.asarray(gravity, dtype=np.float64)
    size = float(np.linalg.norm(pull))
    if not (math.isfinite(size) and size > 1e-6):
        raise DomainError("no direction is up without gravity; check the attitude")
    return np.asarray(-pull / size)


def profile(line: CentreLine, up: FloatArray, cuts: Iterable[float] = ()) -> tuple[Span, ...]:
    """Divide a centre-line into spans that rise or fall all the way.

    Parameters
    ----------
    line : CentreLine
    up : array
        Shape (3,): unit vector that points up.
    cuts : iterable of float
        Further places [m] along the line at which a span shall end.

    Returns
    -------
    tuple of Span
        In order; each piece of the line gives at least one, an arc up to three.

    Examples
    --------
    Up by 1 m and down by 1 m, on legs of sqrt(2) m: half of each is below half a metre.

    >>> from flowsim.physics.course.centre_line import centre_line
    >>> hump = centre_line([[0, 0, 0], [1, 0, 1], [2, 0, 0]], None)
    >>> spans = profile(hump, np.array([0.0, 0.0, 1.0]))
    >>> [(span.start_height, span.end_height) for span in spans]
    [(0.0, 1.0), (1.0, 0.0)]
    >>> [round(span.length_below(0.5) / math.sqrt(2.0), 9) for span in spans]
    [0.5, 0.5]
    """
    wanted = tuple(cuts)
    spans = []
    for offset, piece in zip(line.starts, line.pieces, strict=True):
        inside = [offset, offset + piece.length, *_turning_places(piece, up, offset)]
        inside += [cut for cut in wanted if offset < cut < offset + piece.length]
        places = sorted(set(inside))
        heights = [float(up @ piece.point(place - offset)) for place in places]
        pairs = zip(pairwise(places), pairwise(heights), strict=True)
        spans += [
            Span(start, end, low, high, piece, offset, up) for (start, end), (low, high) in pairs
        ]
    return tuple(spans)


def slope(direction: FloatArray, up: FloatArray) -> float:
    """Give the angle [rad] at which a unit direction (3,) rises above level; negative: it falls.

    Parameters
    ----------
    direction : FloatArray (3,)
        Of a line, a unit vector in (aft, right, up) [-].
    up : FloatArray (3,)
        Against gravity, a unit vector [-].

    Returns
    -------
    float
        [rad]

    Examples
    --------
    >>> up = np.array([0.0, 0.0, 1.0])
    >>> round(math.degrees(slope(np.array([0.8660254, 0.0, -0.5]), up)), 6)
    -30.0
    """
    return math.asin(min(1.0, max(-1.0, float(direction @ up))))


def _turning_places(piece: Piece, up: FloatArray, offset: float) -> list[float]:
    """Give the places at which an arc has its crest or its lowest point, if they are on it."""
    if isinstance(piece, Straight):
        return []
    _, size, crest = _wave(piece, up)
    if size < 1e-9:
        return []
    turns = [crest + half * math.pi for half in range(-2, 3)]
    return [offset + turn * piece.radius for turn in turns if 0.0 < turn < piece.angle]


def _wave(arc: Arc, up: FloatArray) -> tuple[float, float, float]:
    """Give base [m], size [-] and crest [rad] of height = base + R size cos(t - crest)."""
    outward, forward = float(up @ arc.outward), float(up @ arc.forward)
    return float(up @ arc.centre), math.hypot(outward, forward), math.atan2(forward, outward)

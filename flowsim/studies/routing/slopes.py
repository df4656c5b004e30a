"""The slope of every straight run in every attitude, and its margin over the band of pitch."""

import math
from collections.abc import Sequence

import numpy as np

from flowsim.physics.arrays import FloatArray
from flowsim.physics.course.centre_line import Straight
from flowsim.physics.course.height_profile import slope, upward
from flowsim.studies.routing.courses import LaidLine
from flowsim.studies.routing.result import AttitudeView, Run, Sense
from flowsim.system.points import Point


def runs_of(
    lines: Sequence[LaidLine],
    views: Sequence[AttitudeView],
    band: tuple[float, float],
    wanted: float,
    level_pitch: float,
) -> tuple[Run, ...]:
    """Give the slopes of all straight runs.

    Parameters
    ----------
    lines : sequence of LaidLine
    views : sequence of AttitudeView
    band : tuple of float
        Lowest and highest pitch [rad].
    wanted : float
        Wanted margin [rad].
    level_pitch : float
        [rad] A run that changes its sense is measured by the one that it has here.

    Returns
    -------
    tuple of Run
        For a line of unknown course one run, the mean from end to end over its stated length.
    """
    runs = []
    for line in lines:
        pieces = [piece for piece in line.centre.pieces if isinstance(piece, Straight)]
        for number, piece in enumerate(pieces, start=1):
            # Over a longer stated length the same rise makes a gentler mean slope.
            share = 1.0 if line.known else line.centre.length / line.length
            direction = share * piece.direction
            least, sense = _least(direction, band, level_pitch)
            runs.append(
                Run(
                    line=line.name,
                    number=number,
                    start=Point(*(float(x) for x in piece.point(0.0))),
                    end=Point(*(float(x) for x in piece.point(piece.length))),
                    length=piece.length if line.known else line.length,
                    falls=tuple(-slope(direction, upward(view.gravity)) for view in views),
                    least=least,
                    margin=least - wanted,
                    sense=sense,
                    is_mean=not line.known,
                )
            )
    return tuple(runs)


def _least(direction: FloatArray, band: tuple[float, float], level: float) -> tuple[float, Sense]:
    """Give the least slope in the run's own sense over the band, wings level, and that sense.

    The sine of the fall is sin(p) aft - cos(p) up: extreme at the ends of the band, or where the
    run points straight up or down.
    """
    turning = math.atan2(-float(direction[0]), float(direction[2]))
    inside = [turning + half * math.pi for half in (-1, 0, 1)]
    pitches = [*band, *(pitch for pitch in inside if band[0] < pitch < band[1])]
    falls = [_fall(direction, pitch) for pitch in pitches]
    if min(falls) > 0.0:
        return min(falls), Sense.FALLS
    if max(falls) < 0.0:
        return -max(falls), Sense.RISES
    return (min(falls) if _fall(direction, level) >= 0.0 else -max(falls)), Sense.CHANGES


def _fall(direction: FloatArray, pitch: float) -> float:
    up = np.array([-math.sin(pitch), 0.0, math.cos(pitch)])
    return -slope(direction, up)

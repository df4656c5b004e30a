"""The attitudes in which the lines are looked at."""

from collections.abc import Iterator
from typing import NamedTuple

import numpy as np

from flowsim.physics.attitude import coordinated_turn, effective_gravity, in_datum_axes
from flowsim.studies.routing.result import AttitudeView
from flowsim.studies.saying import Said, saying
from flowsim.system.fuel_system import FuelSystem

GROUND, LEVEL, CLIMB, STEEPEST = "ground", "level", "climb", "climb+5"
DESCENT, BANKED, SLIP_LEFT, SLIP_RIGHT = "descent", "banked", "slip left", "slip right"
STAYING = (GROUND, LEVEL)
"""Attitudes in which water settles and is drained; a dip there needs a drain."""


class MissingAttitude(NamedTuple):
    """An attitude of which nothing can be said, what it is called, and what to write."""

    name: str
    called: Said
    remedy: Said

    @property
    def words(self) -> Said:
        """Say it in one line."""
        return saying("of", what=self.called, said=self.remedy)


def attitudes_of(
    system: FuelSystem,
) -> tuple[tuple[AttitudeView, ...], tuple[MissingAttitude, ...]]:
    """Give the attitudes of a case, and what is missing for the others.

    Parameters
    ----------
    system : FuelSystem

    Returns
    -------
    tuple of AttitudeView, tuple of MissingAttitude
        Ground, level, climb, climb + 5, descent, banked, and slips where stated. A turn without
        slip has no sideways part, so left and right are alike.
    """
    flight, routing = system.flight, system.routing
    views: list[AttitudeView] = []
    ground = ground_view(system)
    if ground is not None:
        views.append(ground)
    views.append(_rolled(LEVEL, flight.level_pitch, 0.0, saying("attitudes.stated_level_attitude")))
    views.append(_rolled(CLIMB, flight.climb_pitch, 0.0, flight.pitch_working))
    steepest = flight.climb_pitch + flight.test_margin
    more = saying("attitudes.climb_deg_more", test_margin=flight.test_margin)
    views.append(_rolled(STEEPEST, steepest, 0.0, more))
    if flight.descent_pitch is not None:
        views.append(
            _rolled(DESCENT, flight.descent_pitch, 0.0, saying("attitudes.stated_descent"))
        )
    views.append(
        AttitudeView(
            name=BANKED,
            pitch=flight.level_pitch,
            roll=routing.bank,
            gravity=in_datum_axes(coordinated_turn(0.0, routing.bank), flight.level_pitch),
            on_ground=False,
            words=saying("attitudes.level_turn_without_slip"),
        )
    )
    if routing.slip is not None:
        for name, side in ((SLIP_LEFT, -1.0), (SLIP_RIGHT, 1.0)):
            roll = side * routing.slip
            views.append(_slipped(name, flight.level_pitch, roll))
    return tuple(views), tuple(_missing(system))


def _missing(system: FuelSystem) -> Iterator[MissingAttitude]:
    """Give the attitudes that the case does not state, with what to write."""
    if system.routing.ground is None:
        yield MissingAttitude(
            "ground",
            saying("attitudes.ground_attitude"),
            saying("attitudes.write_ground_kind_pitch"),
        )
    if system.flight.descent_pitch is None:
        yield MissingAttitude(
            "descent",
            saying("attitudes.descent"),
            saying("attitudes.write_descent_pitch_flight"),
        )


def ground_view(system: FuelSystem) -> AttitudeView | None:
    """Give the attitude in which the aeroplane stands, None where it is not stated."""
    ground = system.routing.ground
    if ground is None:
        return None
    words = saying("attitudes.stated", gear=ground.gear)
    return _rolled(GROUND, ground.pitch, 0.0, words, on_ground=True)


def _slipped(name: str, level_pitch: float, roll: float) -> AttitudeView:
    """Give a slip: a roll about the axis of level flight, whatever the datum."""
    return AttitudeView(
        name=name,
        pitch=level_pitch,
        roll=roll,
        gravity=in_datum_axes(effective_gravity(0.0, roll), level_pitch),
        on_ground=False,
        words=saying("attitudes.stated_slip_level_pitch"),
    )


def pitch_band(views: tuple[AttitudeView, ...]) -> tuple[float, float]:
    """Give the lowest and the highest pitch [rad] of the attitudes with wings level."""
    pitches = [view.pitch for view in views if view.roll == 0.0]
    return min(pitches), max(pitches)


def _rolled(
    name: str, pitch: float, roll: float, words: Said, *, on_ground: bool = False
) -> AttitudeView:
    gravity = np.asarray(effective_gravity(pitch, roll))
    return AttitudeView(
        name=name, pitch=pitch, roll=roll, gravity=gravity, on_ground=on_ground, words=words
    )

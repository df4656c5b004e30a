"""The engine's side: burn, inlet, carburettor; and how the aeroplane is flown."""

from dataclasses import dataclass

from flowsim.constants import STANDARD_GRAVITY
from flowsim.system.parts import Part
from flowsim.system.points import Point

LEVEL_SPEED_FACTOR = 2.0
"""[-] Top level speed over climb speed where it is not stated (assumption, no source)."""
USUAL_ACCELERATION = 0.3 * STANDARD_GRAVITY
"""[m/s2] Along the take-off run where it is not stated (common practice, no source)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Carburettor:
    """What lies behind the carburettor's inlet.

    Either ``parts`` (inlet screen, needle and seat) down to a float bowl whose fuel level is at
    ``float_level``, its air ``bowl_pressure`` [Pa] above ambient; or, with ``least_inlet_pressure``
    [Pa] above ambient, the pressure at the inlet below which the maker gives no promise, and
    ``least_pressure_flow`` [kg/s] what the maker says passes at it (None: nothing is said).
    """

    parts: tuple[Part, ...]
    float_level: Point | None
    bowl_pressure: float = 0.0
    least_inlet_pressure: float | None = None
    least_pressure_flow: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Engine:
    """``burn`` [kg/s] at full power, ``basis`` its working in words; ``inlet`` is a node name.

    ``factor`` [-] is required flow over burn; ``descent_burn`` [kg/s] is None where not stated.
    ``heat_pickup`` [K] is what the fuel warms up on the lines that end at the inlet.
    ``burn_by_volume`` tells that the burn was stated as a volume without a density, so that its
    mass is a guess.
    """

    inlet: str
    inlet_at: Point
    burn: float
    basis: str
    factor: float
    descent_burn: float | None = None
    heat_pickup: float = 0.0
    burn_by_volume: bool = False
    carburettor: Carburettor | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Flight:
    """Attitudes and conditions. Angles [rad], nose-up positive; speeds [m/s], altitude [m].

    ``climb_pitch`` is the steepest climb pitch of the fuel system's datum; ``pitch_working`` says
    in words where it is from. ``test_margin`` is added to it for the test attitude. ``level_pitch``
    is that of level flight, ``descent_pitch`` that of the steepest descent. Speeds are calibrated
    airspeeds: ``climb_speed`` in that climb, ``level_speed`` the top speed in level flight.
    ``pressure_altitude`` is the highest of such a climb. ``acceleration`` [m/s2] is that along the
    take-off run. None: not stated.
    """

    level_pitch: float
    climb_pitch: float
    pitch_working: str
    test_margin: float
    climb_speed: float
    pressure_altitude: float
    level_speed: float | None = None
    descent_pitch: float | None = None
    acceleration: float | None = None

    @property
    def top_speed(self) -> float:
        """Top level speed [m/s], never below the climb speed; assumed where it is not stated."""
        if self.level_speed is None:
            return LEVEL_SPEED_FACTOR * self.climb_speed
        return max(self.level_speed, self.climb_speed)

    @property
    def run_acceleration(self) -> float:
        """Acceleration along the take-off run [m/s2]; the usual one where it is not stated."""
        return USUAL_ACCELERATION if self.acceleration is None else self.acceleration

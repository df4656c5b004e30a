"""What is flown: phases one after the other, and the fuel at the start."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Phase:
    """A stretch of flight, or of standing, in which nothing is changed.

    ``duration`` [s]; ``pitch`` [rad] nose-up; ``lean`` [rad] right wing down, of a turn without
    slip where ``turning``, else a slip or a slope; ``burn`` [kg/s], 0 with the engine off;
    ``selector`` a setting of the selectors by name; ``altitude`` [m] pressure altitude;
    ``airspeed`` [m/s], 0 on the ground; ``temperature`` [K] of the fuel.
    """

    name: str
    duration: float
    pitch: float
    lean: float
    turning: bool
    burn: float
    selector: str
    altitude: float
    airspeed: float
    temperature: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Profile:
    """Phases in order, and fuel at the start [m3] by tank name, for tanks with a quantity.

    ``assumptions`` are what the reader filled in, in words.
    """

    title: str
    start: tuple[tuple[str, float], ...]
    phases: tuple[Phase, ...]
    assumptions: tuple[str, ...] = ()

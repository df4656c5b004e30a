"""What a flight over time answers: frozen, in SI units."""

from dataclasses import dataclass

from flowsim.physics.arrays import BoolArray, FloatArray
from flowsim.studies.judged.fuel_readings import FarReading
from flowsim.studies.judged.sweep import VAPOUR_DOUBT
from flowsim.studies.saying import Said
from flowsim.system.profile import Phase

UNCOVERS, COVERED = "outlet uncovers", "outlet covered again"
EMPTY = "tank gives no more"
REQUIRED_LOST, REQUIRED_BACK = "required flow lost", "required flow back"
STARVED, FED = "burn lost", "burn back"
INFLOW, INFLOW_ENDS = "fuel runs into tank", "fuel no longer runs into tank"
OVERFLOW, OVERFLOW_ENDS = "vent overflows", "vent no longer overflows"
ALLOWED = 0.05
"""[-] Share of the draws in which the burn may be lost, as in a check. Tag: common practice."""
PHASE = "phase begins"
STOPPED = "cannot go on"


@dataclass(frozen=True, slots=True, kw_only=True)
class FlightEvent:
    """Something that happens at ``time`` [s] after the start; ``item`` names tank or outlet.

    ``quantities`` [m3] in every tank then; NaN for tanks of stated level.
    """

    time: float
    phase: str
    what: str
    item: str
    quantities: tuple[float, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class History:
    """Samples (sample,), both ends of each phase and every event among them.

    ``time`` [s]; ``phase`` index; ``quantity`` (sample, tank) [m3]; ``from_tank`` (sample, tank)
    [kg/s] net flow out of each tank through its lines; ``overflow`` (sample, tank) [kg/s];
    ``delivered`` and ``demand`` [kg/s]; ``head_left`` [m] at the inlet over what its end needs
    while the demand is drawn; ``starved`` tells that the demand is not met.
    """

    time: FloatArray
    phase: FloatArray
    quantity: FloatArray
    from_tank: FloatArray
    overflow: FloatArray
    delivered: FloatArray
    demand: FloatArray
    head_left: FloatArray
    starved: BoolArray


@dataclass(frozen=True, slots=True, kw_only=True)
class PhaseSummary:
    """Fuel over one phase [kg]: ``burned``, ``asked``; ``starved_for`` [s]; masses at its end.

    ``runs_back``: while starved, fuel would run out of the float bowl towards the tanks.
    ``vapour_margin`` [Pa]: least pressure in tanks and lines over the fuel's vapour pressure.
    ``blind``: tanks in use of which it is not known which outlets are covered (dips alone).
    """

    phase: Phase
    begin: float
    end: float
    burned: float
    asked: float
    overflowed: float
    starved_for: float
    runs_back: bool
    vapour_margin: float
    blind: tuple[str, ...]
    quantities: tuple[float, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Balance:
    """Fuel of the whole flight [kg]: start + from tanks of stated level = end + burned + overflow.

    ``misfit`` [-] is what does not close, over the fuel at the start (or what was drawn).
    """

    start: float
    end: float
    burned: float
    overflowed: float
    from_stated_level: float
    misfit: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Percentiles:
    """5th, 50th and 95th percentile over the draws, each a value that was found."""

    low: float
    middle: float
    high: float


@dataclass(frozen=True, slots=True, kw_only=True)
class FlightBands:
    """The flight in ``draws`` joint draws; no result (NaN) where one of them ``failed``.

    ``starved`` [-] share of the draws in which the burn is lost at some time; ``time`` [s] to
    that, infinite where it is not; of the draws in which it is, what is then ``left`` [m3] in each
    tank (NaN for tanks of stated level) and ``left_in_all``.
    """

    draws: int
    failed: int
    starved: float
    time: Percentiles
    left: tuple[Percentiles, ...]
    left_in_all: Percentiles


@dataclass(frozen=True, slots=True, kw_only=True)
class FlightResult:
    """The whole answer; ``bands`` None where nothing was drawn.

    ``overflow`` [kg] by tank, in the order of ``tanks``. ``stopped`` is empty, or says why the
    flight could not be followed to its end; then the balance covers what was followed.
    ``unfilled`` is empty, or says which tank of stated level may have run dry meanwhile; ``unread``
    which properties of the fuel were read too far from the temperatures of the phases.
    ``of_the_case`` and ``cautions_of_the_case`` are those among ``assumptions`` and ``cautions``
    that every study of the case takes over.
    """

    title: str
    profile: str
    tanks: tuple[str, ...]
    stated_level: tuple[bool, ...]
    capacities: tuple[float, ...]
    unusable: tuple[float, ...]
    end: str
    required: float
    history: History
    events: tuple[FlightEvent, ...]
    phases: tuple[PhaseSummary, ...]
    balance: Balance
    overflow: tuple[float, ...]
    stopped: Said
    unfilled: Said
    unread: tuple[FarReading, ...]
    bands: FlightBands | None
    assumptions: tuple[Said, ...]
    cautions: tuple[Said, ...]
    of_the_case: tuple[Said, ...]
    cautions_of_the_case: tuple[Said, ...]

    @property
    def starved(self) -> bool:
        """Whether the burn was not met at some time."""
        return any(event.what == STARVED for event in self.events)

    @property
    def boils(self) -> bool:
        """Whether the fuel boils in some phase; its flows are none that hold."""
        return any(phase.vapour_margin < 0.0 for phase in self.phases)

    @property
    def doubtful(self) -> bool:
        """Whether the burn may be lost: in over 5 % of the draws, by vapour, header or dips."""
        near = any(not phase.vapour_margin >= VAPOUR_DOUBT for phase in self.phases)
        lost = self.bands is not None and not self.bands.starved <= ALLOWED
        return near or lost or self.unsettled

    @property
    def unsettled(self) -> bool:
        """Whether its figures rest on what is not known, so that no draw settles them."""
        blind = any(phase.blind for phase in self.phases)
        return self.unfilled != "" or blind or bool(self.unread)

    @property
    def overflowed(self) -> bool:
        """Whether a vent overflowed by more than a rounding."""
        return self.balance.overflowed > 1e-6

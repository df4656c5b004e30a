"""Runs of the ground test: how each is set up, and what was read."""

from dataclasses import dataclass

TIMING = 0.5
"""[s] One standard deviation of a hand-held stopwatch, start and stop together (common practice,
no source)."""
CONTAINER = 0.01
"""[-] One standard deviation of an unmarked container's volume (common practice, no source)."""
PITCH = 0.0035
"""[rad] One standard deviation of an inclinometer set by hand, 0.2 deg (common practice, no
source)."""
END_HEIGHT = 0.003
"""[m] One standard deviation of the line end's height (common practice, no source)."""
QUANTITY = 2e-4
"""[m3] One standard deviation of what is put into a tank, 0.2 L (common practice, no source)."""
DENSITY = 0.01
"""[-] One standard deviation of a density that was not measured: fuels of one name differ by about
1 % (common practice, no source)."""
MEASURED_DENSITY = 0.002
"""[-] One standard deviation of a density read on a hydrometer (common practice, no source)."""
PRESS = 0.35
"""[s] One standard deviation of one split of a stopwatch, at one mark: half the variance of
``TIMING``. Tag: common practice."""
MARK_VOLUME = 1e-5
"""[m3] One standard deviation of where a mark is read on a container, 10 mL. Tag: common
practice."""
MARK_MASS = 0.005
"""[kg] The same of a scale, 5 g. Tag: common practice."""
STRETCH = 0.003
"""[-] One standard deviation of what else differs from stretch to stretch of a drain-down: waves,
swirl, the shape of the law. Tag: common practice."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Setting:
    """How a run is set up.

    ``position`` names the selector's; ``pitch`` and ``roll`` [rad] of the fuel system's datum;
    ``end_height`` [m] of the line's open end above the carburettor inlet; ``quantities`` [m3] in
    each tank at the start, in file order (a tank of stated level: 0); ``volume`` [m3] that is
    drawn; ``temperature`` [K] of the fuel. ``drawn_before`` [m3] what the same run drew before: a
    stretch of a drain-down begins there.
    """

    position: str
    pitch: float
    end_height: float
    quantities: tuple[float, ...]
    volume: float
    temperature: float
    roll: float = 0.0
    drawn_before: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """One run as it was read.

    ``name`` and ``line`` (of the readings file) tell which. ``seconds`` [s] to draw the volume.
    ``density`` [kg/m3] as used, ``density_measured`` whether it was measured in the test.
    ``container_error`` [-] one standard deviation of the container or scale over what was read on
    it; ``container`` names it: its error is common to all runs with it. ``weighed``: a mass was
    read, which the density turns into the volume. ``timing`` [s] one standard deviation. ``used``
    is False for a run that is not to correct the model (it counts for the least flow all the same).

    ``drain``: the drain-down whose stretch this is, from one mark to the next; empty: a run of its
    own. Of a stretch ``timing`` is of one split, and ``mark`` [m3] one deviation of one mark; both
    are common to the two stretches that meet there.
    """

    name: str
    line: int
    setting: Setting
    seconds: float
    density: float
    density_measured: bool
    container: str
    container_error: float
    timing: float = TIMING
    used: bool = True
    remarks: str = ""
    drain: str = ""
    mark: float = 0.0
    weighed: bool = False

    @property
    def density_error(self) -> float:
        """One standard deviation of the density over the density [-]."""
        return MEASURED_DENSITY if self.density_measured else DENSITY

    @property
    def volume_error(self) -> float:
        """One standard deviation of the volume drawn over the volume [-], without its marks."""
        density = self.density_error if self.weighed else 0.0
        return float((self.container_error**2 + density**2) ** 0.5)

    @property
    def run(self) -> str:
        """Name of the run: of a stretch that of its drain-down."""
        return self.drain or self.name

    @property
    def mass_flow(self) -> float:
        """Mean flow of the run [kg/s]."""
        return self.setting.volume * self.density / self.seconds

    @property
    def relative_error(self) -> float:
        """One standard deviation of the mass flow over the flow [-]."""
        density = 0.0 if self.weighed else self.density_error
        # A stretch has a split and a mark at either end.
        ends = 2.0 if self.drain else 1.0
        reading = (self.timing / self.seconds) ** 2 + (self.mark / self.setting.volume) ** 2
        return float((self.container_error**2 + ends * reading + density**2) ** 0.5)

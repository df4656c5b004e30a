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


@dataclass(frozen=True, slots=True, kw_only=True)
class Setting:
    """How a run is set up.

    ``position`` names the selector's; ``pitch`` and ``roll`` [rad] of the fuel system's datum;
    ``end_height`` [m] of the line's open end above the carburettor inlet; ``quantities`` [m3] in
    each tank at the start, in file order (a tank of stated level: 0); ``volume`` [m3] that is
    drawn; ``temperature`` [K] of the fuel.
    """

    position: str
    pitch: float
    end_height: float
    quantities: tuple[float, ...]
    volume: float
    temperature: float
    roll: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """One run as it was read.

    ``name`` and ``line`` (of the readings file) tell which. ``seconds`` [s] to draw the volume.
    ``density`` [kg/m3] as used, ``density_measured`` whether it was measured in the test.
    ``container_error`` [-] one standard deviation of the volume over the volume; ``container``
    names the container: its error is common to all runs with it. ``timing`` [s] one standard
    deviation. ``used`` is False for a run that is not to correct the model (it counts for the least
    flow all the same).
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

    @property
    def mass_flow(self) -> float:
        """Mean flow of the run [kg/s]."""
        return self.setting.volume * self.density / self.seconds

    @property
    def relative_error(self) -> float:
        """One standard deviation of the mass flow over the flow [-]."""
        density = MEASURED_DENSITY if self.density_measured else DENSITY
        return float(
            (self.container_error**2 + (self.timing / self.seconds) ** 2 + density**2) ** 0.5
        )

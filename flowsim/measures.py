"""Figures as text: each kind of quantity in metric or US units, and the choice between them.

Words are made in all rooms (a finding of a study, a name of a step of bore, a cell of a table), so
this stands below them all. The choice is set once, at the edge (a command, the page), and held in a
context variable: a frozen value that no function has to pass on. Where nothing was chosen,
sentences give both and tables metric.

What is the same in both systems stays: degrees, seconds, percent, and viscosity in mm2/s.
"""

import math
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from enum import StrEnum

POUND = 0.45359237
"""[kg] Avoirdupois pound (international agreement of 1959)."""

INCH = 0.0254
"""[m] International inch."""

US_GALLON = 231.0 * INCH**3
"""[m3] US liquid gallon: 231 cubic inches."""

KNOT = 1852.0 / 3600.0
"""[m/s] Nautical mile in an hour."""

HOUR = 3600.0
"""[s]"""

BACK_FROM = 5e-4
"""[-] A flow over another less than minus this runs back; nearer zero it rounds to nothing."""

FAR_ENOUGH = 2.0
"""[-] Flow over required up to which a band is worked out where the burn alone is asked for. More
than that is told as such, and is infinite in a result: what lies beyond decides nothing.

Tag: common practice (a convention of this program, no source).
"""

NO_RESULT = "no result"
"""What stands where a number does not exist."""


class Units(StrEnum):
    """Which units figures are shown in."""

    US = "us"
    METRIC = "metric"
    BOTH = "both"


@dataclass(frozen=True, slots=True)
class UnitChoice:
    """What is shown: ``sentences`` in one system or both, ``tables`` and pictures in one.

    ``speed`` is the unit of airspeeds, as the case writes them: kt, mph or km/h.
    """

    sentences: Units = Units.BOTH
    tables: Units = Units.METRIC
    speed: str = "kt"


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit: its name, what one of it is worth in SI, the SI value at its zero.

    ``finer`` is how many more decimals a figure needs in it than in the metric unit.
    """

    name: str
    worth: float
    zero: float = 0.0
    finer: int = 0

    def of(self, value: float) -> float:
        """Convert an SI value."""
        return (value - self.zero) / self.worth


@dataclass(frozen=True, slots=True)
class Measure:
    """A kind of quantity, in both systems."""

    metric: Unit
    us: Unit
    most: int = 0
    """Significant digits that the band of such a figure carries at most; 0 for as many as asked."""

    def figure(self, unit: Unit, value: float, decimals: int) -> str:
        """Give a figure in a unit: the one place where digits beyond the band are left out.

        Parameters
        ----------
        unit : Unit
            One of the two.
        value : float
            [SI]
        decimals : int
            Those in metric; the unit adds its own, and ``most`` takes away.

        Returns
        -------
        str
        """
        shown = unit.of(value)
        decimals += unit.finer
        if self.most and math.isfinite(shown) and shown != 0.0:
            ahead = math.floor(math.log10(abs(shown))) + 1
            # Of a rounding up to the next power of ten (99.96) too.
            ahead += float(f"{abs(shown):.{self.most}g}") >= 10.0**ahead
            decimals = min(decimals, max(self.most - ahead, 0))
        return number(shown, decimals)

    def units(self) -> tuple[Unit, ...]:
        """Give the units of a sentence, the first one first."""
        sentences = _CHOICE.get().sentences
        if sentences is Units.BOTH:
            return (self.metric, self.us)
        return (self.us,) if sentences is Units.US else (self.metric,)

    @property
    def unit(self) -> Unit:
        """The unit of tables and pictures."""
        return self.us if _CHOICE.get().tables is Units.US else self.metric

    @property
    def name(self) -> str:
        """The name of the unit of tables and pictures."""
        return self.unit.name

    def of(self, value: float) -> float:
        """Convert an SI value to the unit of tables and pictures."""
        return self.unit.of(value)

    def cell(self, value: float | None, decimals: int) -> str:
        """Give a figure without its unit, for a table; ``decimals`` are those in metric."""
        if value is None:
            return NO_RESULT
        return self.figure(self.unit, value, decimals)

    def cell_with_unit(self, value: float | None, decimals: int) -> str:
        """Give a figure with the one unit of tables."""
        text = self.cell(value, decimals)
        return text if text == NO_RESULT else f"{text} {self.name}"

    def words(self, value: float | None, decimals: int) -> str:
        """Give a figure in words: ``86 mm``, ``3.4 in`` or ``86 mm (3.4 in)``.

        Parameters
        ----------
        value : float or None
            [SI]
        decimals : int
            Decimals in metric; the US unit gets as many more as it needs.

        Returns
        -------
        str
            "no result" for None, NaN and infinity.
        """
        if value is None or not math.isfinite(value):
            return NO_RESULT
        return _joined([f"{self.figure(u, value, decimals)} {u.name}" for u in self.units()])

    def words_down(self, value: float) -> str:
        """Give a figure [SI] in whole units, rounded down: for a limit from which on it is worse.

        "no result" for NaN and infinity.
        """
        if not math.isfinite(value):
            return NO_RESULT
        return _joined([f"{math.floor(u.of(value) + 1e-9)} {u.name}" for u in self.units()])

    def significant(self, value: float, count: int) -> str:
        """Give a figure in words with ``count`` significant digits."""
        if not math.isfinite(value):
            return NO_RESULT
        return _joined([f"{u.of(value):.{count}g} {u.name}" for u in self.units()])

    def significant_span(self, low: float, high: float, count: int) -> str:
        """Give a range in words with ``count`` significant digits: ``5 to 10 L/h``."""
        return _joined(
            [f"{u.of(low):.{count}g} to {u.of(high):.{count}g} {u.name}" for u in self.units()]
        )

    def exact(self, value: float, count: int = 6) -> str:
        """Give a figure to calculate on with: units joined by ``=``."""
        return " = ".join(f"{digits(u.of(value), count)} {u.name}" for u in self.units())

    def change(self, first: float, second: float, decimals: int | None = None) -> str:
        """Give two sizes in the unit of tables, for a name: ``7.7 to 7.75 mm``."""
        if decimals is not None:
            return f"{self.cell(first, decimals)} to {self.cell_with_unit(second, decimals)}"
        unit = self.unit
        return f"{unit.of(first):.4g} to {unit.of(second):.4g} {unit.name}"

    def span(self, low: float, high: float, decimals: int) -> str:
        """Give a range in words: ``86 to 90 mm``."""
        return _joined(
            [
                f"{self.figure(u, low, decimals)} to {self.figure(u, high, decimals)} {u.name}"
                for u in self.units()
            ]
        )


_AT_FIRST = UnitChoice()
_CHOICE: ContextVar[UnitChoice] = ContextVar("units", default=_AT_FIRST)

LENGTH = Measure(Unit("mm", 1e-3), Unit("in", INCH, finer=1))
"""Places, lengths and heads [m]."""
BORE = Measure(Unit("mm", 1e-3), Unit("in", INCH, finer=1))
"""Bores, walls and wires [m]."""
ALTITUDE = Measure(Unit("m", 1.0), Unit("ft", 12.0 * INCH))
"""Pressure altitudes [m]."""
VOLUME = Measure(Unit("L", 1e-3), Unit("US gal", US_GALLON, finer=1), most=3)
"""What tanks hold [m3]; three digits, as a can or a dip stick tells."""
LITTLE = Measure(Unit("mL", 1e-6), Unit("US fl oz", US_GALLON / 128.0, finer=1))
"""What a line or a dip holds [m3]."""
VOLUME_FLOW = Measure(Unit("L/h", 1e-3 / HOUR), Unit("US gal/h", US_GALLON / HOUR, finer=1), most=3)
"""Flows [m3/s]; three digits, for their bands are seldom narrower than a percent."""
MASS_FLOW = Measure(Unit("kg/h", 1.0 / HOUR), Unit("lb/h", POUND / HOUR), most=3)
"""Flows [kg/s]; as the flows in volume."""
MASS = Measure(Unit("kg", 1.0), Unit("lb", POUND), most=4)
"""Masses [kg]."""
SMALL_MASS = Measure(Unit("g", 1e-3), Unit("oz", POUND / 16.0, finer=1))
"""Masses of tube and of fuel in it [kg]."""
PRESSURE = Measure(Unit("kPa", 1e3), Unit("psi", POUND * 9.80665 / INCH**2, finer=1))
"""Pressures and their differences [Pa]."""
TEMPERATURE = Measure(Unit("degC", 1.0, zero=273.15), Unit("degF", 5.0 / 9.0, zero=459.67 / 1.8))
"""Temperatures [K]."""
AREA = Measure(Unit("mm2", 1e-6), Unit("in2", INCH**2, finer=3))
"""Areas [m2]."""
ROUGHNESS = Measure(Unit("um", 1e-6), Unit("microinch", 1e-6 * INCH))
"""Roughness of walls [m]."""
DENSITY = Measure(Unit("kg/m3", 1.0), Unit("lb/US gal", POUND / US_GALLON, finer=2))
"""Densities [kg/m3]."""
VELOCITY = Measure(Unit("m/s", 1.0), Unit("ft/s", 12.0 * INCH))
"""Velocities of fuel [m/s]."""

SPEEDS = {"kt": KNOT, "mph": 0.44704, "km/h": 1.0 / 3.6}
"""[m/s] What the units of airspeed are worth."""


def choice() -> UnitChoice:
    """Give the choice that holds here."""
    return _CHOICE.get()


def choose(wanted: UnitChoice) -> None:
    """Set the choice for all that follows in this context (a command, a thread)."""
    _CHOICE.set(wanted)


@contextmanager
def chosen(wanted: UnitChoice) -> Iterator[None]:
    """Set the choice for a block."""
    token = _CHOICE.set(wanted)
    try:
        yield
    finally:
        _CHOICE.reset(token)


def choice_for(system: str) -> UnitChoice:
    """Give the choice of one system alone, ``us`` or ``metric``."""
    return UnitChoice(Units(system), Units(system))


def is_metric() -> bool:
    """Tell whether tables and pictures are metric."""
    return _CHOICE.get().tables is not Units.US


def shows(system: Units) -> bool:
    """Tell whether sentences give figures of a system (US or metric)."""
    return _CHOICE.get().sentences in (system, Units.BOTH)


def airspeed_words(speed: float, decimals: int = 1) -> str:
    """Give an airspeed [m/s] in the unit that the case writes airspeeds in."""
    unit = _CHOICE.get().speed
    text = number(speed / SPEEDS[unit], decimals)
    return text if text == NO_RESULT else f"{text} {unit}"


def little_words(volume: float) -> str:
    """Give a volume [m3] in mL or fluid ounces, from a litre up in litres or gallons."""
    return LITTLE.words(volume, 1) if volume < 1e-3 else VOLUME.words(volume, 2)


def percent_figure(ratio: float) -> str:
    """Give a ratio in percent with the digits that its band allows: three, rounded down.

    Parameters
    ----------
    ratio : float
        [-] Finite.

    Returns
    -------
    str
        Tenths below 100, whole numbers below 1000, tens above. Down, so that 99.96 never reads as
        100; bands here are seldom narrower than a percent (docs/theory/uncertainty.md).
    """
    percent = 100.0 * ratio
    step = 0.1 if abs(percent) < 100.0 - 1e-7 else 1.0 if abs(percent) < 1000.0 else 10.0
    # The small number forgives the last bit of an exact quotient.
    floored = math.floor(percent / step + 1e-6) * step
    return number(floored, 1 if step < 1.0 else 0)


def ratio_figure(ratio: float) -> str:
    """Give a ratio [-], not NaN, in percent as ``percent_figure`` does; infinite: ``over 200``."""
    if ratio == math.inf:
        return f"over {percent_figure(FAR_ENOUGH)}"
    return percent_figure(ratio)


def number(value: float | None, decimals: int) -> str:
    """Give a number with fixed decimals.

    Parameters
    ----------
    value : float or None
        [any unit]
    decimals : int
        Digits after the point, >= 0.

    Returns
    -------
    str
        "no result" for None, NaN and infinity; never "-0.0".
    """
    if value is None or not math.isfinite(value):
        return NO_RESULT
    text = f"{value:.{decimals}f}"
    return text.removeprefix("-") if float(text) == 0.0 else text


def digits(value: float | None, count: int = 6) -> str:
    """Give a number [any unit] with ``count`` significant digits, for calculating on with it."""
    if value is None or not math.isfinite(value):
        return NO_RESULT
    return f"{value:.{count}g}"


def _joined(texts: list[str]) -> str:
    """Give the first text, the second in brackets behind it."""
    return texts[0] if len(texts) == 1 else f"{texts[0]} ({texts[1]})"

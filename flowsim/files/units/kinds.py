"""The kinds of quantity that a case file knows: their units, their range of sense, an example.

The ranges only refuse what cannot be meant (a bore below nothing, a pitch of 600 deg). They are
wide enough for lengths and heads of textbook networks; a bore is that of a small aeroplane's line.
"""

import math
from dataclasses import dataclass

from flowsim.files.units.plausible import (
    LARGEST_BORE,
    LARGEST_QUADRATIC,
    LEAST_BORE,
    LEAST_QUADRATIC,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Kind:
    """One kind of quantity.

    ``words`` name it with its article; ``si`` is the unit of the value; ``units`` are those that
    may be written, the usual one first; ``low`` and ``high`` [si] bound what can be meant, and
    ``low_words`` and ``high_words`` say them. ``clock`` of a time: what a bare ``1:30`` is,
    ``"min"`` (minutes and seconds) or ``"ask"``.
    """

    name: str
    words: str
    si: str
    units: tuple[str, ...]
    example: str
    low: float
    high: float
    low_words: str
    high_words: str
    low_is_open: bool = False
    has_offset: bool = False
    clock: str = ""

    @property
    def usual_unit(self) -> str:
        """The unit that the example uses."""
        return self.example.split()[-1]


_LENGTHS = ("in", "ft", "mm", "cm", "m", "km")
_VOLUMES = ("L", "US_gal", "imp_gal", "US_qt", "US_pt", "US_cup", "US_fl_oz", "imp_qt", "imp_pt",
            "imp_fl_oz",
            "mL", "cm3", "m3", "in3", "ft3")  # fmt: skip
_PRESSURES = ("kPa", "psi", "Pa", "hPa", "mbar", "bar", "in_Hg", "in_H2O", "mm_H2O")
_DEGREE = math.pi / 180.0

COORDINATE = Kind(
    name="coordinate", words="a length", si="m", units=_LENGTHS, example="31.5 in",
    low=-1e5, high=1e5, low_words="-100 km", high_words="100 km",
)  # fmt: skip
LENGTH = Kind(
    name="length", words="a length", si="m", units=_LENGTHS, example="31.5 in",
    low=1e-4, high=1e5, low_words="0.1 mm", high_words="100 km",
)  # fmt: skip
DEPTH = Kind(
    name="depth", words="a depth", si="m", units=_LENGTHS, example="1.5 in",
    low=0.0, high=1000.0, low_words="zero", high_words="1 km",
)  # fmt: skip
BORE = Kind(
    name="bore", words="a bore", si="m", units=_LENGTHS, example="0.305 in",
    low=LEAST_BORE, high=LARGEST_BORE, low_words="1 mm", high_words="50 mm",
)  # fmt: skip
THICKNESS = Kind(
    name="thickness", words="a thickness", si="m", units=("in", "mm", "um", "cm", "m", "ft"),
    example="0.035 in", low=1e-6, high=1.0, low_words="1 um", high_words="1 m",
)  # fmt: skip
ROUGHNESS = Kind(
    name="roughness", words="a roughness", si="m", units=("um", "mm", "in", "cm", "m", "ft"),
    example="1.5 um", low=0.0, high=0.1, low_words="zero", high_words="10 cm",
)  # fmt: skip
AREA = Kind(
    name="area", words="an area", si="m**2", units=("in2", "cm2", "mm2", "m2", "ft2"),
    example="1.5 in2", low=1e-8, high=1e4, low_words="0.01 mm2", high_words="10000 m2",
)  # fmt: skip
VOLUME = Kind(
    name="volume", words="a volume", si="m**3", units=_VOLUMES, example="45 L",
    low=0.0, high=1e6, low_words="zero", high_words="1000000 m3",
)  # fmt: skip
DURATION = Kind(
    name="duration", words="a time", si="s", units=("min", "h", "s"), example="10 min",
    low=0.0, high=172800.0, low_words="zero", high_words="48 h", clock="ask",
)  # fmt: skip
MASS = Kind(
    name="mass", words="a mass", si="kg", units=("kg", "g", "lb", "oz"), example="1.5 kg",
    low=1e-6, high=1e6, low_words="1 mg", high_words="1000 t",
)  # fmt: skip
MASS_FLOW = Kind(
    name="mass flow", words="a mass flow", si="kg/s",
    units=("kg/h", "lb/h", "kg/min", "lb/min", "g/s", "kg/s", "lb/s", "g/min"),
    example="45 lb/h", low=1e-9, high=1e6, low_words="1e-9 kg/s", high_words="1000000 kg/s",
)  # fmt: skip
VOLUME_FLOW = Kind(
    name="volume flow", words="a flow", si="m**3/s",
    units=("L/h", "US_gal/h", "imp_gal/h", "L/min", "US_gal/min", "imp_gal/min", "L/s", "mL/min",
           "mL/s", "cm3/s", "m3/h", "m3/s", "ft3/s", "US_fl_oz/min", "imp_fl_oz/min"),
    example="9.8 US_gal/h", low=1e-12, high=1e6, low_words="1e-12 m3/s", high_words="1000000 m3/s",
)  # fmt: skip
GAUGE_PRESSURE = Kind(
    name="pressure above ambient", words="a pressure", si="Pa", units=_PRESSURES,
    example="0.5 psi", low=-1e8, high=1e8, low_words="-1000 bar", high_words="1000 bar",
)  # fmt: skip
PRESSURE = Kind(
    name="pressure", words="a pressure", si="Pa", units=_PRESSURES, example="1.2 kPa",
    low=1e-6, high=1e8, low_words="1e-6 Pa", high_words="1000 bar",
)  # fmt: skip
TEMPERATURE = Kind(
    name="temperature", words="a temperature", si="K", units=("degC", "degF", "K"),
    example="15 degC", low=1.0, high=2000.0, low_words="1 K (-272.15 degC)", high_words="2000 K",
    has_offset=True,
)  # fmt: skip
TEMPERATURE_RISE = Kind(
    name="temperature rise", words="a difference of temperatures", si="K", units=("K",),
    example="10 K", low=0.0, high=100.0, low_words="zero", high_words="100 K",
)  # fmt: skip
PITCH = Kind(
    name="pitch", words="a pitch or roll angle", si="rad", units=("deg", "rad"), example="12 deg",
    low=-60.0 * _DEGREE, high=60.0 * _DEGREE, low_words="-60 deg", high_words="60 deg",
)  # fmt: skip
ANGLE = Kind(
    name="angle", words="an angle", si="rad", units=("deg", "rad"), example="90 deg",
    low=1e-4, high=180.0 * _DEGREE, low_words="0.0001 rad", high_words="180 deg",
)  # fmt: skip
SPEED = Kind(
    name="speed", words="a speed", si="m/s", units=("kt", "km/h", "mph", "m/s", "ft/min", "ft/s"),
    example="65 kt", low=0.1, high=400.0, low_words="0.1 m/s", high_words="400 m/s",
)  # fmt: skip
CLIMB = Kind(
    name="rate of climb", words="a rate of climb", si="m/s",
    units=("ft/min", "m/s", "kt", "km/h", "mph", "ft/s"), example="800 ft/min",
    low=-200.0, high=200.0, low_words="-200 m/s", high_words="200 m/s",
)  # fmt: skip
ACCELERATION = Kind(
    name="acceleration", words="an acceleration", si="m/s**2",
    units=("g0", "m/s2", "ft/s2"), example="0.3 g0",
    low=-50.0, high=50.0, low_words="-50 m/s2", high_words="50 m/s2",
)  # fmt: skip
ALTITUDE = Kind(
    name="altitude", words="an altitude", si="m", units=("ft", "m", "km"), example="8000 ft",
    low=-1000.0, high=11000.0, low_words="-1000 m",
    high_words="11 km (the lower part of the standard atmosphere)",
)  # fmt: skip
DENSITY = Kind(
    name="density", words="a density", si="kg/m**3",
    units=("kg/m3", "lb/US_gal", "kg/L", "g/mL", "g/cm3", "lb/imp_gal", "lb/ft3"),
    example="719 kg/m3", low=50.0, high=25000.0, low_words="50 kg/m3", high_words="25000 kg/m3",
)  # fmt: skip
VISCOSITY = Kind(
    name="kinematic viscosity", words="a kinematic viscosity", si="m**2/s",
    units=("mm2/s", "cSt", "m2/s", "St", "ft2/s"), example="0.61 mm2/s",
    low=1e-9, high=1.0, low_words="0.001 mm2/s", high_words="1 m2/s",
)  # fmt: skip
POWER = Kind(
    name="power", words="a power", si="W", units=("hp", "kW", "PS", "W"), example="100 hp",
    low=1.0, high=1e8, low_words="1 W", high_words="100 MW",
)  # fmt: skip
SPECIFIC_CONSUMPTION = Kind(
    name="specific consumption", words="a specific consumption", si="kg/J",
    units=("lb/hp/h", "g/kWh", "kg/kWh", "kg/kW/h", "g/kW/h", "g/PS/h", "lb/kW/h"),
    example="0.55 lb/hp/h", low=1e-9, high=1e-5, low_words="3.6 g/kWh", high_words="36 kg/kWh",
)  # fmt: skip
MESH = Kind(
    name="mesh", words="a mesh", si="1/m", units=("/in", "/cm", "/mm", "/m"), example="16 /in",
    low=1.0, high=1e6, low_words="1 /m", high_words="1000 /mm",
)  # fmt: skip
LOSS_COEFFICIENT = Kind(
    name="quadratic loss coefficient", words="a coefficient in h = c Q^2", si="s**2/m**5",
    units=("s2/m5", "s2/ft5", "m/(L/s)2"), example="2.5e9 s2/m5",
    low=LEAST_QUADRATIC, high=LARGEST_QUADRATIC, low_words="1 s2/m5", high_words="1e14 s2/m5",
)  # fmt: skip
SHARE = Kind(
    name="share", words="a share", si="radian", units=("%",), example="90 %",
    low=0.0, high=1e6, low_words="zero", high_words="1000000 %",
)  # fmt: skip

KINDS: tuple[Kind, ...] = (
    COORDINATE, LENGTH, DEPTH, BORE, THICKNESS, ROUGHNESS, AREA, VOLUME, MASS, MASS_FLOW,
    VOLUME_FLOW, PRESSURE, GAUGE_PRESSURE, TEMPERATURE, TEMPERATURE_RISE, ANGLE, PITCH, SPEED,
    CLIMB, ACCELERATION, ALTITUDE, DENSITY, VISCOSITY, POWER, SPECIFIC_CONSUMPTION, MESH,
    LOSS_COEFFICIENT, SHARE, DURATION,
)  # fmt: skip
"""Every kind; the first that knows a unit names it when the unit is of the wrong kind."""

UNIT_WORDS: dict[str, str] = {
    "/in": "1/inch",
    "/cm": "1/centimetre",
    "/mm": "1/millimetre",
    "/m": "1/metre",
    "%": "percent",
    "m/s2": "metre/second**2",
    "ft/s2": "foot/second**2",
    "s2/m5": "second**2/metre**5",
    "s2/ft5": "second**2/foot**5",
    "m/(L/s)2": "metre/(litre/second)**2",
}
"""Units whose spelling the unit library does not read, in its own words."""

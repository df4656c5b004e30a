"""The shape of a case file: its sections and keys, with the words of the reference page.

These models mirror the file; ``flowsim.system`` mirrors the aeroplane. What can only be judged by
looking at several keys is judged where the system is built, so that all mistakes come in one run.
"""

from typing import Annotated, Any

from pydantic import BaseModel, ConfigDict, Field, model_validator

from flowsim.files.case import values as v
from flowsim.files.case.given import UNREADABLE


class CaseSection(BaseModel):
    """A table of the file; keys it does not know are refused."""

    model_config = ConfigDict(extra="forbid", frozen=True, populate_by_name=False, defer_build=True)

    @model_validator(mode="before")
    @classmethod
    def _pass_unreadable(cls, raw: Any) -> Any:
        return {} if raw is UNREADABLE else raw


def mirror(words: str, example: str) -> Any:
    """Make the key of a section that may be written as the other side of another one.

    Parameters
    ----------
    words
        What is mirrored.
    example
        For the reference.

    Returns
    -------
    FieldInfo
        For a key ``mirror``.
    """
    return Field(
        None,
        description=f"Name of {words} of which this one is the mirror: every key that is not given "
        "here is taken from it, buttlines with the other sign, left and right exchanged in names. "
        "Buttline 0 must be the middle of the aeroplane.",
        examples=[example],
    )


class ValueAt(CaseSection):
    """A property measured at a temperature."""

    at: v.Temperature = Field(description="Temperature of the sample.", examples=["20 degC"])


class DensityAt(ValueAt):
    """A density reading."""

    value: v.Density = Field(description="Density read.", examples=["716 kg/m3"])


class ViscosityAt(ValueAt):
    """A viscosity reading."""

    value: v.Viscosity = Field(description="Kinematic viscosity.", examples=["0.61 mm2/s"])


class VapourAt(ValueAt):
    """A vapour pressure reading."""

    value: v.PressureGiven = Field(
        description="True vapour pressure, absolute.", examples=["25 kPa"]
    )


class FuelSection(CaseSection):
    """What is in the tanks. Measured properties replace those of the named fuel."""

    kind: v.Text = Field(
        description='Name of a known fuel, or "own" for a liquid described here.',
        examples=["avgas 100LL"],
    )
    temperatures: Annotated[tuple[v.Temperature, ...], v.LISTED] = Field(
        description="Fuel temperatures to judge: at least one, best the coldest and the hottest.",
        examples=[["-10 degC", "38 degC"]],
    )
    ethanol: v.ShareGiven | None = Field(
        None, description="Share of ethanol blended into the named gasoline.", examples=[0.05]
    )
    density: Annotated[tuple[DensityAt, ...], v.LISTED] = Field(
        (),
        description="Density, measured at one or two temperatures. With one, a named fuel keeps "
        'its own change with temperature and the density of fuel "own" is held constant.',
        examples=[[{"at": "15 degC", "value": "716 kg/m3"}]],
    )
    viscosity: Annotated[tuple[ViscosityAt, ...], v.LISTED] = Field(
        (),
        description="Kinematic viscosity, measured at one or two temperatures; with one, as for "
        "density.",
        examples=[[{"at": "20 degC", "value": "0.61 mm2/s"}]],
    )
    vapour_pressure: Annotated[tuple[VapourAt, ...], v.LISTED] = Field(
        (),
        description="True vapour pressure (absolute) at one or two temperatures; one only for "
        'fuel "own".',
        examples=[[{"at": "20 degC", "value": "25 kPa"}, {"at": "40 degC", "value": "51 kPa"}]],
    )
    reid_vapour_pressure: v.PressureGiven | None = Field(
        None,
        description="Reid (dry) vapour pressure at 37.8 degC (100 degF), from the certificate; "
        "instead of vapour_pressure.",
        examples=["45 kPa"],
    )


class PartSection(CaseSection):
    """A fitting or device on a line. Which keys it takes depends on ``part``."""

    part: v.PartName = Field(
        description="What it is; the list follows below.", examples=["elbow 90"]
    )
    name: v.Text | None = Field(
        None, description="Your own name for it.", examples=["firewall elbow"]
    )
    count: v.Count | None = Field(
        None, description="How many of it, one after the other.", examples=[2]
    )
    bore: v.Bore | None = Field(
        None, description="Its narrowest bore, as measured.", examples=["0.297 in"]
    )
    cv: v.FlowCoefficientNumber | None = Field(
        None, description="Flow coefficient Cv (US gal/min of water at 1 psi).", examples=[0.35]
    )
    kv: v.FlowCoefficientNumber | None = Field(
        None, description="Flow coefficient Kv (m3/h of water at 1 bar).", examples=[0.3]
    )
    bypass_cv: v.FlowCoefficientNumber | None = Field(
        None,
        description="Cv of a meter when it is blocked: of its bypass, or of what still passes "
        "through it.",
        examples=[0.3],
    )
    bypass_kv: v.FlowCoefficientNumber | None = Field(
        None, description="The same as Kv, instead of bypass_cv.", examples=[0.26]
    )
    measured_blocked: Annotated[tuple["DropReading", ...], v.LISTED] | None = Field(
        None,
        description="The same as pressure drops measured with the meter blocked, at rising flows, "
        "instead of bypass_cv.",
        examples=[[{"flow": "40 L/h", "drop": "6 kPa"}, {"flow": "60 L/h", "drop": "13 kPa"}]],
    )
    measured: Annotated[tuple["DropReading", ...], v.LISTED] | None = Field(
        None,
        description="Measured pressure drops at rising flows.",
        examples=[[{"flow": "40 L/h", "drop": "1.2 kPa"}]],
    )
    density: v.Density | None = Field(
        None,
        description="Density of the liquid that the drops were measured with.",
        examples=["719 kg/m3"],
    )
    viscosity: v.Viscosity | None = Field(
        None,
        description="Kinematic viscosity of that liquid as it was then. With it the drops are "
        "turned into those of the case's fuel; without it a fuel that is more viscous than the "
        "case's at 15 degC is charged with more, and a thinner one gets no credit.",
        examples=["1.14 mm2/s"],
    )
    k: v.LossFactor | None = Field(
        None, description="Loss factor in velocity heads of its bore.", examples=[1.5]
    )
    k_laminar: v.LossFactor | None = Field(
        None, description="K1 of K = k + K1/Re; zero if not given.", examples=[800]
    )
    coefficient: v.LossCoefficient | None = Field(
        None,
        description="c of head loss h = c Q^2, in metres of the liquid.",
        examples=["2.5e9 s2/m5"],
    )
    discharge_coefficient: v.DischargeCoefficient | None = Field(
        None, description="Discharge coefficient of the opening.", examples=[0.61]
    )
    cracking: v.PressureGiven | None = Field(
        None, description="Pressure at which a one-way valve opens.", examples=["100 Pa"]
    )
    area: v.Area | None = Field(
        None, description="Whole area of the screen, clean.", examples=["1.5 in2"]
    )
    mesh: v.Mesh | None = Field(None, description="Wires per length.", examples=["60 /in"])
    wire: v.Thickness | None = Field(
        None, description="Diameter of the screen's wire.", examples=["0.0075 in"]
    )
    clear_fraction: v.ShareGiven | None = Field(
        None, description="Share of the screen that is not blocked; 0.9 if not given.",
        examples=[0.9],
    )  # fmt: skip
    length: v.Length | None = Field(
        None, description="Length of the piece; part of the line's length.", examples=["12 in"]
    )
    tube: v.Tube | None = Field(
        None, description="Outside diameter x wall of the piece.", examples=["3/8 in x 0.035 in"]
    )
    material: v.Text | None = Field(
        None, description="Material of the piece.", examples=["rubber hose"]
    )
    roughness: v.Roughness | None = Field(
        None, description="Roughness of the piece, instead of a material.", examples=["30 um"]
    )
    friction_factor: v.FrictionFactor | None = Field(
        None,
        description="Darcy friction factor that replaces the law; where it is smaller than any "
        "pipe's at that flow, the answer is cannot tell.",
        examples=[0.06],
    )
    angle: v.Angle | None = Field(
        None, description="Change of direction of a bend.", examples=["90 deg"]
    )
    radius: v.Length | None = Field(
        None, description="Radius of a bend to the centre-line.", examples=["1.25 in"]
    )
    to: v.Bore | None = Field(
        None, description="Bore after a change of size.", examples=["0.25 in"]
    )
    band: v.BandGiven | None = Field(
        None,
        description="Lowest and highest factor on the stated loss or coefficient, instead of the "
        "usual band.",
        examples=[[0.8, 1.3]],
    )


class DropReading(CaseSection):
    """One measured pressure drop."""

    flow: v.VolumeFlow = Field(description="Flow through it.", examples=["40 L/h"])
    drop: v.PressureGiven = Field(description="Pressure lost in it.", examples=["1.2 kPa"])


PartSection.model_rebuild()


class CarburettorSection(CaseSection):
    """Behind the inlet: parts down to a float bowl, or the least pressure the maker asks for."""

    float_level_at: v.PointGiven | None = Field(
        None,
        description="A point on the fuel level in the float bowl.",
        examples=[["-36 in", "0 in", "11 in"]],
    )
    parts: Annotated[tuple[PartSection, ...], v.LISTED] = Field(
        (),
        description="From the inlet to the bowl: inlet screen, needle and seat.",
        examples=[[{"part": "needle and seat", "bore": "0.1 in"}]],
    )
    bowl_pressure: v.GaugePressure | None = Field(
        None,
        description="Air pressure in the bowl above ambient (ram air on the bowl counts against "
        "the flow); zero if not given. Below ambient is refused: no credit is taken for suction.",
        examples=["0 Pa"],
    )
    least_inlet_pressure: v.GaugePressure | None = Field(
        None,
        description="Instead of all the above: least pressure at the inlet above ambient that the "
        "maker asks for; not below ambient.",
        examples=["0.5 psi"],
    )
    flow_at_least_pressure: v.FlowGiven | None = Field(
        None,
        description="The flow that the maker says passes at least_inlet_pressure; without it, or "
        'below the required flow, the best verdict is "adequate, open line only".',
        examples=["12 US_gal/h"],
    )


class EngineSection(CaseSection):
    """Where the fuel goes and how much the engine burns at full power."""

    inlet_at: v.PointGiven = Field(
        description='Carburettor inlet; lines end at it by the name "engine".',
        examples=[["-38 in", "0 in", "12 in"]],
    )
    feed: Annotated[str, *v.choice("gravity", "pump")] = Field(
        description='"gravity". A system that depends on a pump is refused: no pump curve is '
        "modelled. A backup pump never lowers the required flow.",
        examples=["gravity"],
    )
    burn: v.FlowGiven | None = Field(
        None,
        description="Full-power burn from the engine maker, full rich.",
        examples=["9.8 US_gal/h"],
    )
    burn_density: v.Density | None = Field(
        None,
        description="Density at which a burn in volume was stated; if not given, the fuel's at "
        "15 degC.",
        examples=["719 kg/m3"],
    )
    rated_power: v.Power | None = Field(
        None, description="Instead of burn: rated power.", examples=["100 hp"]
    )
    specific_consumption: v.SpecificConsumption | None = Field(
        None,
        description="Fuel per power and time with it; 0.55 lb/hp/h if not given (AC 90-89A; "
        "AC 90-89B is the later edition).",
        examples=["0.55 lb/hp/h"],
    )
    descent_burn: v.FlowGiven | None = Field(
        None,
        description="Burn in the descent; without it the descent is not judged.",
        examples=["3 US_gal/h"],
    )
    heat_pickup: v.TemperatureRise | None = Field(
        None,
        description="How much the fuel warms up forward of the firewall, for the margin over "
        "boiling: counted on the whole of the lines that end at the engine. 0 K if not given.",
        examples=["10 K"],
    )
    carburettor: CarburettorSection | None = Field(
        None,
        description="See [engine.carburettor]; without it only the open line is judged.",
    )


class FlightSection(CaseSection):
    """How the aeroplane is flown. Pitch is that of the fuel system's datum, not the flight path."""

    level_pitch: v.Pitch | None = Field(
        None, description="Pitch in level flight; 0 deg if not given.", examples=["2 deg"]
    )
    climb_pitch: v.Pitch | None = Field(
        None, description="Steepest climb pitch, nose-up positive.", examples=["14 deg"]
    )
    climb_speed: v.Speed = Field(
        description="Airspeed in that climb, as the corrected indicator shows it (calibrated).",
        examples=["65 kt"],
    )
    level_speed: v.Speed | None = Field(
        None,
        description="Top airspeed in level flight at full power, calibrated: the suction at the "
        "vents is largest there. Twice the climb speed if not given.",
        examples=["115 kt"],
    )
    rate_of_climb: v.Climb | None = Field(
        None,
        description="Instead of climb_pitch, with the next two: rate of climb.",
        examples=["800 ft/min"],
    )
    angle_of_attack: v.Pitch | None = Field(
        None, description="Angle of the wing's chord to the flight path.", examples=["9 deg"]
    )
    incidence: v.Pitch | None = Field(
        None, description="Angle of the wing's chord to the datum.", examples=["2 deg"]
    )
    pressure_altitude: v.Altitude = Field(
        description="Highest pressure altitude of such a climb.", examples=["8000 ft"]
    )
    descent_pitch: v.Pitch | None = Field(
        None, description="Steepest descent, nose-down negative.", examples=["-8 deg"]
    )
    acceleration: v.Acceleration | None = Field(
        None,
        description="Along the take-off run, in which full-power burn must arrive; 0.3 g0 if not "
        "given.",
        examples=["0.3 g0"],
    )


class GroundTestSection(CaseSection):
    """The ground test that the tank quantities must allow."""

    draw: v.Volume = Field(
        description="What one run of the test draws from each tank.", examples=["2 L"]
    )
    height_accuracy: v.Length | None = Field(
        None,
        description="One standard deviation of the measured heights; 5 mm if not given.",
        examples=["5 mm"],
    )

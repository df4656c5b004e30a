"""The shape of the lines and of the places where they meet, and the whole case file."""

from typing import Annotated

from pydantic import Field

from flowsim.files import case_values as v
from flowsim.files.case_models import (
    EngineSection,
    FlightSection,
    FuelSection,
    GroundTestSection,
    PartSection,
    Section,
)
from flowsim.files.case_models_calibration import CalibrationSection
from flowsim.files.case_models_routing import (
    CrossingSection,
    GroundSection,
    InstallationSection,
    ObstacleSection,
    RoutingSection,
    VentLineSection,
)
from flowsim.files.case_models_tanks import TankSection
from flowsim.files.profile_models import PhaseSection, StartSection


class LineSection(Section):
    """One run of tube or hose between two named places, with its fittings."""

    name: v.Name = Field(description="Its name.", examples=["left front"])
    start: v.Reference = Field(
        alias="from",
        description="Where it begins: tank.outlet, a junction, tee or selector.",
        examples=["left.front"],
    )
    to: v.Reference = Field(
        description='Where it ends; "engine" is the carburettor inlet.', examples=["left tee"]
    )
    via: Annotated[tuple[v.PointGiven, ...], v.LISTED_POINTS] | None = Field(
        None,
        description="Points of the centre-line between its ends, in order (where straight pieces "
        "would meet at a bend).",
        examples=[[["52 in", "-30 in", "70 in"]]],
    )
    straight: v.YesNo | None = Field(
        None, description="true: it runs straight between its ends.", examples=[True]
    )
    bend_radius: v.Length | None = Field(
        None,
        description="Radius of its bends to the centre-line; required where it turns by more than "
        "5 deg.",
        examples=["1.25 in"],
    )
    length: v.Length | None = Field(
        None,
        description="Length of the centre-line from end to end, fitted pieces included. Required "
        "where the line has neither via nor straight.",
        examples=["31 in"],
    )
    rise: v.Coordinate | None = Field(
        None,
        description="Height of its end above its start (negative: it falls). With aft it places "
        "the end that has no coordinates.",
        examples=["-14 in"],
    )
    aft: v.Coordinate | None = Field(
        None, description="How far its end lies aft of its start.", examples=["6 in"]
    )
    right: v.Coordinate | None = Field(
        None,
        description="How far its end lies right of its start; 0 if not given.",
        examples=["0 in"],
    )
    tube: v.Tube | None = Field(
        None, description="Tube: outside diameter x wall.", examples=["3/8 in x 0.035 in"]
    )
    outside_diameter: v.Bore | None = Field(
        None, description="Tube: outside diameter, with wall or bore.", examples=["3/8 in"]
    )
    wall: v.Thickness | None = Field(None, description="Tube: wall.", examples=["0.035 in"])
    bore: v.Bore | None = Field(None, description="Bore, where measured.", examples=["0.305 in"])
    hose_bore: v.Bore | None = Field(
        None,
        description="Hose: bore. A dash number does not tell it: -6 hose is 5/16 or 11/32 in by "
        "its specification.",
        examples=["11/32 in"],
    )
    kind: Annotated[str, *v.choice("tube", "hose")] | None = Field(
        None, description="With bore: tube or hose; tube if not given.", examples=["tube"]
    )
    material: v.Text | None = Field(
        None,
        description='Material; "aluminium tube" or "rubber hose" if not given.',
        examples=["aluminium tube"],
    )
    roughness: v.Roughness | None = Field(
        None, description="Roughness, instead of that of the material.", examples=["1.5 um"]
    )
    friction_factor: v.FrictionFactor | None = Field(
        None, description="Darcy friction factor that replaces the law.", examples=[0.03]
    )
    closed: v.YesNo | None = Field(
        None, description="true: it is shut and carries nothing.", examples=[False]
    )
    parts: Annotated[tuple[PartSection, ...], v.LISTED] = Field(
        (),
        description="Its fittings in order from start to end; see the list of parts.",
        examples=[[{"part": "elbow 90", "bore": "0.297 in"}]],
    )
    installation: InstallationSection | None = Field(
        None, description="How it is laid and held; see [line.installation]."
    )


class JunctionSection(Section):
    """A plain place where lines meet, without a loss of its own."""

    name: v.Name = Field(description="Its name.", examples=["left low point"])
    at: v.PointGiven | None = Field(
        None,
        description="Its place; may be left out where a line gives it by rise and aft.",
        examples=[["40 in", "-20 in", "40 in"]],
    )


class TeeSection(Section):
    """A tee. Its losses follow from which line is on the run, the branch and the common port."""

    name: v.Name = Field(description="Its name.", examples=["left tee"])
    at: v.PointGiven | None = Field(
        None,
        description="Its place; may be left out where a line gives it by rise and aft.",
        examples=[["52 in", "-20 in", "60 in"]],
    )
    run: v.Words = Field(
        description="The two lines on its straight run.", examples=[["left front", "left rear"]]
    )
    branch: v.Reference = Field(description="The line on its branch.", examples=["left down"])
    common: v.Reference = Field(
        description="The line that carries the sum of the other two.", examples=["left down"]
    )
    bore: v.Bore | None = Field(
        None, description="Bore of its legs; the common line's if not given.", examples=["0.297 in"]
    )


class SelectorSection(Section):
    """A fuel selector or shut-off with named ports and positions."""

    name: v.Name = Field(description="Its name.", examples=["selector"])
    at: v.PointGiven | None = Field(
        None,
        description="Its place; may be left out where a line gives it by rise and aft.",
        examples=[["30 in", "0 in", "30 in"]],
    )
    ports: v.NamedLines = Field(
        description="Each port's name and the line at it.",
        examples=[{"left": "left down", "right": "right down"}],
    )
    outlet: v.Reference = Field(description="The line that leaves it.", examples=["to strainer"])
    positions: v.NamedPorts = Field(
        description="Each position's name and the ports it opens.",
        examples=[{"left": ["left"], "right": ["right"], "both": ["left", "right"], "off": []}],
    )
    judged: v.Words = Field(
        description="Positions meant for take-off and climb.", examples=[["left", "right", "both"]]
    )
    loss: PartSection | None = Field(
        None,
        description='Loss of one passage: { part = "selector", bore or cv or kv or measured }; '
        "the catalogue's on the outlet line's bore if not given.",
        examples=[{"part": "selector", "cv": 2.0}],
    )


class DrainSection(Section):
    """A low-point drain."""

    name: v.Name = Field(description="Its name.", examples=["left sump drain"])
    at: v.PointGiven | None = Field(
        None,
        description="Its place; for a junction, tee or selector, or a tank with sump_at, theirs if "
        "not given.",
        examples=[["52 in", "-20 in", "60 in"]],
    )
    reaches: v.Reference = Field(
        description="The line, junction, tee, selector or tank that it drains.", examples=["left"]
    )


class CaseFile(Section):
    """The whole file."""

    title: v.Text = Field(description="What the case is, for the headings.", examples=["My wing"])
    note: v.Text | None = Field(None, description="Anything worth saying.", examples=["Draft."])
    what_if: v.Words = Field(
        (),
        description="What-ifs that `flowsim what-if` tries, a word each: dirty-screens, "
        "blocked-vent, meter-blocked, tank-empty, hot-fuel, cold-fuel, altitude, or PART=K; some "
        "take a value.",
        examples=[["dirty-screens=0.05", "hot-fuel=45 degC", "bowl=2.5"]],
    )
    fuel: FuelSection = Field(description="See [fuel].")
    engine: EngineSection = Field(description="See [engine].")
    flight: FlightSection = Field(description="See [flight].")
    test: GroundTestSection = Field(description="See [test].")
    tank: Annotated[tuple[TankSection, ...], v.LISTED] = Field(description="See [[tank]].")
    line: Annotated[tuple[LineSection, ...], v.LISTED] = Field(description="See [[line]].")
    junction: Annotated[tuple[JunctionSection, ...], v.LISTED] = Field(
        (), description="See [[junction]]."
    )
    tee: Annotated[tuple[TeeSection, ...], v.LISTED] = Field((), description="See [[tee]].")
    selector: Annotated[tuple[SelectorSection, ...], v.LISTED] = Field(
        (), description="See [[selector]]."
    )
    drain: Annotated[tuple[DrainSection, ...], v.LISTED] = Field((), description="See [[drain]].")
    start: Annotated[tuple[StartSection, ...], v.LISTED] = Field((), description="See [[start]].")
    phase: Annotated[tuple[PhaseSection, ...], v.LISTED] = Field((), description="See [[phase]].")
    ground: GroundSection | None = Field(None, description="See [ground].")
    routing: RoutingSection | None = Field(None, description="See [routing].")
    obstacle: Annotated[tuple[ObstacleSection, ...], v.LISTED] = Field(
        (), description="See [[obstacle]]."
    )
    crossing: Annotated[tuple[CrossingSection, ...], v.LISTED] = Field(
        (), description="See [[crossing]]."
    )
    vent_line: Annotated[tuple[VentLineSection, ...], v.LISTED] = Field(
        (), description="See [[vent_line]]."
    )
    calibration: CalibrationSection | None = Field(
        None, description="See [calibration]; made by a ground test."
    )

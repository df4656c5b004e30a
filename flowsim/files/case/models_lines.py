"""The shape of the lines and of the places where they meet, and the whole case file."""

from typing import Annotated

from pydantic import Field

from flowsim.files.case import values as v
from flowsim.files.case.given import ORIGINS
from flowsim.files.case.models import (
    CaseSection,
    EngineSection,
    FlightSection,
    FuelSection,
    GroundTestSection,
    PartSection,
    mirror,
)
from flowsim.files.case.models_calibration import CalibrationSection
from flowsim.files.case.models_profile import PhaseSection, StartSection
from flowsim.files.case.models_routing import (
    CrossingSection,
    GroundSection,
    InstallationSection,
    ObstacleSection,
    RoutingSection,
    VentLineSection,
)
from flowsim.files.case.models_tanks import TankSection


class CornerSection(CaseSection):
    """One corner of a line that is not as its bend_radius says, or that no points show."""

    point: v.Count | None = Field(
        None,
        description="Which point of via it is, the first is 1. Required with via.",
        examples=[2],
    )
    angle: v.Angle | None = Field(
        None,
        description="Change of direction; only where the line has no via, whose points give it.",
        examples=["90 deg"],
    )
    radius: v.Length | None = Field(
        None,
        description="Bend radius here, instead of the line's bend_radius.",
        examples=["2 in"],
    )
    fitting: v.ReferenceGiven | None = Field(
        None,
        description="The fitting among its parts that makes this corner (an elbow), by name or by "
        "what it is: then there is no bend here, and the loss is the fitting's alone.",
        examples=["post elbow"],
    )
    count: v.Count | None = Field(
        None, description="Without via: how many equal corners.", examples=[2]
    )


class LineSection(CaseSection):
    """One run of tube or hose between two named places, with its fittings."""

    name: v.Name = Field(description="Its name.", examples=["left front"])
    mirror: v.ReferenceGiven | None = mirror("the line", "left down")
    start: v.ReferenceGiven = Field(
        alias="from",
        description="Where it begins: tank.outlet, a junction, tee or selector.",
        examples=["left.front"],
    )
    to: v.ReferenceGiven = Field(
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
    corners: Annotated[tuple[CornerSection, ...], v.LISTED] = Field(
        (),
        description="Corners with a radius of their own or made by a fitting, and those of a line "
        "without via.",
        examples=[[{"point": 2, "radius": "2 in"}, {"point": 3, "fitting": "post elbow"}]],
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
    stock: v.ReferenceGiven | None = Field(
        None,
        description="Tube or hose by the name of its [[stock]], instead of a size.",
        examples=["nylon 3/8"],
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
        None,
        description="Darcy friction factor that replaces the law; where it is smaller than any "
        "pipe's at that flow, the answer is cannot tell.",
        examples=[0.06],
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


class StockSection(CaseSection):
    """A kind of tube or hose, said once for every line that is made of it (``stock``)."""

    name: v.Name = Field(description="Its name.", examples=["nylon 3/8"])
    tube: v.Tube | None = Field(
        None, description="Tube: outside diameter x wall.", examples=["3/8 in x 0.050 in"]
    )
    outside_diameter: v.Bore | None = Field(
        None, description="Outside diameter: of tube with wall, or of hose.", examples=["3/8 in"]
    )
    wall: v.Thickness | None = Field(None, description="Tube: wall.", examples=["0.050 in"])
    bore: v.Bore | None = Field(None, description="Bore, where measured.", examples=["0.275 in"])
    hose_bore: v.Bore | None = Field(None, description="Hose: bore.", examples=["11/32 in"])
    kind: Annotated[str, *v.choice("tube", "hose")] | None = Field(
        None, description="With bore: tube or hose; tube if not given.", examples=["tube"]
    )
    material: v.Text | None = Field(None, description="Material.", examples=["nylon tube"])
    roughness: v.Roughness | None = Field(
        None, description="Roughness, instead of that of the material.", examples=["1.5 um"]
    )
    bend_radius: v.Length | None = Field(
        None, description="Radius to which it is bent.", examples=["3 in"]
    )
    least_bend_radius: v.Length | None = Field(
        None, description="Least bend radius that its maker allows.", examples=["2 in"]
    )
    largest_span: v.Length | None = Field(
        None,
        description="Largest distance between supports, by its maker or as you state it.",
        examples=["18 in"],
    )
    wall_density: v.Density | None = Field(
        None, description="Density of its wall.", examples=["1010 kg/m3"]
    )
    insert_bore: v.Bore | None = Field(
        None,
        description="Bore of the inserts that hold its ends: one at each end of every line of it "
        "that has no insert among its parts.",
        examples=["0.245 in"],
    )


class DefaultsSection(CaseSection):
    """What holds for every line and fitting that does not say it itself."""

    stock: v.ReferenceGiven | None = Field(
        None, description="Stock of every line without a size.", examples=["nylon 3/8"]
    )
    tube: v.Tube | None = Field(
        None, description="Tube of every line without a size.", examples=["3/8 in x 0.035 in"]
    )
    material: v.Text | None = Field(
        None,
        description="Material of every line and piece of tube (not of hose) without one.",
        examples=["aluminium tube"],
    )
    bend_radius: v.Length | None = Field(
        None, description="Bend radius of every line without one.", examples=["1.25 in"]
    )
    fitting_bore: v.Bore | None = Field(
        None,
        description="Bore of every elbow and tee without one, also in a line's parts.",
        examples=["0.297 in"],
    )
    mirror: Annotated[str, *v.choice("left", "right")] | None = Field(
        None,
        description="Side that is written out: every tank, junction, tee, line, drain, obstacle, "
        "crossing and vent line named for it gets its mirror on the other side, unless one of that "
        "name is written.",
        examples=["left"],
    )
    origin: Annotated[str, *v.choice(*ORIGINS)] | None = Field(
        None,
        alias="from",
        description="Where every value is from that does not say it.",
        examples=["measured"],
    )
    accuracy: v.Length | None = Field(
        None,
        description="Accuracy (one standard deviation) of every coordinate, rise, aft, right and "
        "length of a line that does not state one.",
        examples=["3 mm"],
    )


class JunctionSection(CaseSection):
    """A plain place where lines meet.

    Two that meet at an angle are bent there, as at a point of ``via``, unless an elbow of theirs
    makes the turn; three are charged as the dearest tee.
    """

    name: v.Name = Field(description="Its name.", examples=["left low point"])
    mirror: v.ReferenceGiven | None = mirror("the junction", "left low point")
    at: v.PointGiven | None = Field(
        None,
        description="Its place; may be left out where a line gives it by rise and aft.",
        examples=[["40 in", "-20 in", "40 in"]],
    )


class TeeSection(CaseSection):
    """A tee. Its losses follow from which line is on the run, the branch and the common port."""

    name: v.Name = Field(description="Its name.", examples=["left tee"])
    mirror: v.ReferenceGiven | None = mirror("the tee", "left tee")
    at: v.PointGiven | None = Field(
        None,
        description="Its place; may be left out where a line gives it by rise and aft.",
        examples=[["52 in", "-20 in", "60 in"]],
    )
    run: v.WordsGiven = Field(
        description="The two lines on its straight run; one of them is enough where a drain sits "
        "at the other end.",
        examples=[["left front", "left rear"]],
    )
    branch: v.ReferenceGiven | None = Field(
        None,
        description="The line on its branch; left out where a drain sits there.",
        examples=["left down"],
    )
    common: v.ReferenceGiven | None = Field(
        None,
        description="The line that carries the sum of the other two; left out where the tee only "
        "feeds a drain.",
        examples=["left down"],
    )
    bore: v.Bore | None = Field(
        None,
        description="Bore of its legs; if not given the common line's, of a tee that only feeds a "
        "drain the narrower of its lines.",
        examples=["0.297 in"],
    )


class SelectorSection(CaseSection):
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
    outlet: v.ReferenceGiven = Field(
        description="The line that leaves it.", examples=["to strainer"]
    )
    positions: v.NamedPorts = Field(
        description="Each position's name and the ports it opens.",
        examples=[{"left": ["left"], "right": ["right"], "both": ["left", "right"], "off": []}],
    )
    judged: v.WordsGiven = Field(
        description="Positions meant for take-off and climb.", examples=[["left", "right", "both"]]
    )
    loss: PartSection | None = Field(
        None,
        description='Loss of one passage: { part = "selector", bore or cv or kv or measured }; '
        "the catalogue's on the outlet line's bore if not given.",
        examples=[{"part": "selector", "cv": 2.0}],
    )


class DrainSection(CaseSection):
    """A low-point drain. A line that ends at it by its name is the drain's own line."""

    name: v.Name = Field(description="Its name.", examples=["left sump drain"])
    mirror: v.ReferenceGiven | None = mirror("the drain", "left drain")
    at: v.PointGiven | None = Field(
        None,
        description="Its place; for a junction, tee or selector, or a tank with sump_at, theirs if "
        "not given. A drain with a line of its own needs it.",
        examples=[["52 in", "-20 in", "60 in"]],
    )
    reaches: v.ReferenceGiven | None = Field(
        None,
        description="The line, junction, tee, selector or tank that it drains; required unless a "
        "line of its own ends at it.",
        examples=["left"],
    )


class CaseFile(CaseSection):
    """The whole file."""

    title: v.Text = Field(description="What the case is, for the headings.", examples=["My wing"])
    note: v.Text | None = Field(None, description="Anything worth saying.", examples=["Draft."])
    units: Annotated[str, *v.choice("us", "metric", "both")] | None = Field(
        None,
        description="The units that figures are shown in: us, metric or both. Left out: those that "
        "at least four in five of the case's lengths and volumes are written in, else both. The "
        "option `--units` goes before it.",
        examples=["us"],
    )
    what_if: v.WordsGiven = Field(
        (),
        description="What-ifs that `flowsim what-if` tries, a word each: dirty-screens, "
        "blocked-vent, meter-blocked, tank-empty, hot-fuel, cold-fuel, altitude, or PART=K; some "
        "take a value.",
        examples=[["dirty-screens=0.05", "hot-fuel=45 degC", "bowl=2.5"]],
    )
    defaults: DefaultsSection | None = Field(None, description="See [defaults].")
    fuel: FuelSection = Field(description="See [fuel].")
    engine: EngineSection = Field(description="See [engine].")
    flight: FlightSection = Field(description="See [flight].")
    test: GroundTestSection = Field(description="See [test].")
    tank: Annotated[tuple[TankSection, ...], v.LISTED] = Field(description="See [[tank]].")
    line: Annotated[tuple[LineSection, ...], v.LISTED] = Field(description="See [[line]].")
    stock: Annotated[tuple[StockSection, ...], v.LISTED] = Field((), description="See [[stock]].")
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

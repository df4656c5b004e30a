"""The shape of what a case says of routing: attitude on the ground, supports, what is near, vents.

All of it may be left out; what is left out is named as not known or as the usual value.
"""

from typing import Annotated

from pydantic import Field

from flowsim.files.case import values as v
from flowsim.files.case.models import CaseSection, mirror


class GroundSection(CaseSection):
    """How the aeroplane stands on its wheels."""

    kind: Annotated[str, *v.choice("tailwheel", "nosewheel")] = Field(
        description="Landing gear: tailwheel or nosewheel.", examples=["tailwheel"]
    )
    pitch: v.Pitch = Field(
        description="Pitch of the fuel system's datum as it stands, nose-up positive; a tailwheel "
        "aeroplane on three points. The take-off run begins so.",
        examples=["11 deg"],
    )


class RoutingSection(CaseSection):
    """Wishes and usual values for the look at the lines."""

    wanted_margin: v.Angle | None = Field(
        None,
        description="Wanted slope of every run beyond level, in all attitudes; 1 deg if not given.",
        examples=["1 deg"],
    )
    bank: v.Angle | None = Field(
        None, description="Bank of the turn looked at; 30 deg if not given.", examples=["30 deg"]
    )
    slip: v.Angle | None = Field(
        None,
        description="Bank of the steepest slip that is flown, to either side; it decides if given.",
        examples=["5 deg"],
    )
    slip_time: v.Duration | None = Field(
        None, description="Longest time for which it is flown.", examples=["20 s"]
    )
    slip_fuel: v.Volume | None = Field(
        None,
        description="Least fuel in the tank in use with which it is flown; the declared unusable "
        "fuel if not given.",
        examples=["12 L"],
    )
    trim: v.Depth | None = Field(
        None,
        description="Length added at each end of a piece for trimming; 1 in if not given.",
        examples=["1 in"],
    )
    sleeve: v.Length | None = Field(
        None, description="Length of a protective sleeve; 75 mm if not given.", examples=["3 in"]
    )


class ProtectionSection(CaseSection):
    """A sleeve or an anti-chafe wrap on a line; recorded, it costs no head."""

    kind: Annotated[str, *v.choice("sleeve", "anti-chafe")] = Field(
        description="sleeve or anti-chafe.", examples=["sleeve"]
    )
    run: v.Count | None = Field(
        None,
        description="The straight piece that it covers, counted from the line's start as `flowsim "
        "routing` does.",
        examples=[2],
    )
    along: v.Depth | None = Field(
        None,
        description="Instead of run, with length: how far from the line's start it begins.",
        examples=["12 in"],
    )
    length: v.Length | None = Field(None, description="How long it is.", examples=["6 in"])
    note: v.Text | None = Field(
        None, description="What it is, or what it is for.", examples=["past the flap cable"]
    )


class InstallationSection(CaseSection):
    """How a line is laid and held."""

    supports_at: Annotated[tuple[v.PointGiven, ...], v.LISTED_POINTS] | None = Field(
        None,
        description="Points at which it is held; an empty list says that it is held nowhere "
        "between its ends.",
        examples=[[["60 in", "-21 in", "40 in"]]],
    )
    supports_along: Annotated[tuple[v.Length, ...], v.LISTED] | None = Field(
        None,
        description="Or how far from its start along the line it is held.",
        examples=[["12 in", "24 in"]],
    )
    sag: v.Length | None = Field(
        None,
        description="Measured: how far it sags, filled, when laid over two rods.",
        examples=["8 mm"],
    )
    sag_span: v.Length | None = Field(
        None, description="How far apart those rods are.", examples=["400 mm"]
    )
    outside_diameter: v.Bore | None = Field(
        None, description="Outside diameter of a hose.", examples=["0.56 in"]
    )
    wall_density: v.Density | None = Field(
        None,
        description="Density of its wall; that of the material if not given.",
        examples=["1300 kg/m3"],
    )
    least_bend_radius: v.Length | None = Field(
        None,
        description="Least bend radius that its maker allows; that of the handbook table if not "
        "given.",
        examples=["4 in"],
    )
    largest_span: v.Length | None = Field(
        None,
        description="Largest distance between supports, by its maker or as you state it; that of "
        "the handbook table if not given.",
        examples=["18 in"],
    )
    trim: v.Depth | None = Field(
        None,
        description="Length added at each end of each of its pieces, to be cut later; that of "
        "[routing] if not given. It stands in the cut list and has no part in the flow.",
        examples=["3 in"],
    )
    protection: Annotated[tuple[ProtectionSection, ...], v.LISTED] = Field(
        (),
        description="Sleeves and anti-chafe wraps on it.",
        examples=[
            [
                {"kind": "sleeve", "run": 2},
                {"kind": "anti-chafe", "along": "12 in", "length": "6 in"},
            ]
        ],
    )
    start_make_up: v.Depth | None = Field(
        None,
        description="How much of its centre-line the fitting at its start takes up; nothing if "
        "not given.",
        examples=["0.9 in"],
    )
    end_make_up: v.Depth | None = Field(
        None, description="The same at its end.", examples=["0.9 in"]
    )


class ObstacleSection(CaseSection):
    """Something that lines must keep away from."""

    name: v.Name = Field(description="Its name.", examples=["exhaust"])
    mirror: v.ReferenceGiven | None = mirror("the obstacle", "left aileron cable")
    kind: Annotated[str, *v.choice("wire", "hot part", "control", "structure edge")] = Field(
        description="wire, hot part, control or structure edge.", examples=["hot part"]
    )
    points: Annotated[tuple[v.PointGiven, ...], v.LISTED_POINTS] = Field(
        description="One point, or corners joined by straight pieces.",
        examples=[[["10 in", "8 in", "5 in"], ["20 in", "8 in", "2 in"]]],
    )
    radius: v.Depth | None = Field(
        None, description="Half its thickness; zero if not given.", examples=["1 in"]
    )
    least: v.Depth | None = Field(
        None,
        description="Least gap to it; if not given 1/2 in to a wire, 100 mm to a hot part, 25 mm "
        "to a control, 0.2 in to a structure edge.",
        examples=["4 in"],
    )


class CrossingSection(CaseSection):
    """A place where a line passes through or over something and is sleeved."""

    name: v.Name = Field(description="Its name.", examples=["root rib"])
    mirror: v.ReferenceGiven | None = mirror("the crossing", "left root rib")
    line: v.ReferenceGiven = Field(description="The line.", examples=["left down"])
    kind: Annotated[str, *v.choice("bulkhead", "rib", "line", "strap")] = Field(
        description="What it crosses: bulkhead, rib, line or strap.", examples=["rib"]
    )
    at: v.PointGiven = Field(description="Where.", examples=[["60 in", "-21 in", "40 in"]])
    sleeve: v.Length | None = Field(
        None, description="Length of its sleeve; the usual one if not given.", examples=["2 in"]
    )


class VentLineSection(CaseSection):
    """A vent line from a tank to the open air."""

    name: v.Name = Field(description="Its name.", examples=["left vent"])
    mirror: v.ReferenceGiven | None = mirror("the vent line", "left vent")
    tank: v.ReferenceGiven = Field(description="The tank that it vents.", examples=["left"])
    points: Annotated[tuple[v.PointGiven, ...], v.LISTED_POINTS] = Field(
        description="Its course from the tank to the open end, both included.",
        examples=[[["60 in", "-40 in", "77 in"], ["60 in", "-40 in", "68 in"]]],
    )
    bore: v.Bore = Field(description="Its bore.", examples=["0.25 in"])
    bend_radius: v.Length | None = Field(
        None,
        description="Radius of its bends; its corners are sharp if not given.",
        examples=["1 in"],
    )
    drains_at: Annotated[tuple[v.PointGiven, ...], v.LISTED_POINTS] = Field(
        (), description="Its drains.", examples=[[["60 in", "-40 in", "66 in"]]]
    )

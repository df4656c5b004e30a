"""The shape of the ``[[tank]]`` sections of a case file."""

from typing import Annotated

from pydantic import Field

from flowsim.files.case import values as v
from flowsim.files.case.models import CaseSection, PartSection, mirror


class ScreenSection(CaseSection):
    """A finger strainer: a plain square woven screen."""

    area: v.Area = Field(description="Whole area of the screen, clean.", examples=["2 in2"])
    mesh: v.Mesh = Field(description="Wires per length.", examples=["16 /in"])
    wire: v.Thickness = Field(description="Diameter of the wire.", examples=["0.018 in"])
    clear_fraction: v.ShareGiven | None = Field(
        None, description="Share that is not blocked; 0.9 if not given.", examples=[0.9]
    )


class OutletSection(CaseSection):
    """A port of the tank where a line begins; lines name it ``tank.outlet``."""

    name: v.Name = Field(description="Its name in this tank.", examples=["front"])
    mirror: v.ReferenceGiven | None = mirror("the outlet", "left.front")
    at: v.PointGiven = Field(
        description="Its place inside the tank.", examples=[["52 in", "-30 in", "78.5 in"]]
    )
    bore: v.Bore = Field(description="Bore of the port.", examples=["0.305 in"])
    style: Annotated[str, *v.choice("flush", "standpipe")] | None = Field(
        None,
        description='"flush" with the wall, or a "standpipe" or finger standing into the tank; '
        "standpipe, which costs more, if not given.",
        examples=["standpipe"],
    )
    screen: ScreenSection | None = Field(None, description="Finger strainer, if fitted.")
    parts: Annotated[tuple[PartSection, ...], v.LISTED] = Field(
        (),
        description="Fittings at the port, from the tank outward (bulkhead, elbow); they count "
        "with the line that begins or ends here.",
        examples=[[{"part": "bulkhead union"}, {"part": "elbow 90", "bore": "0.297 in"}]],
    )


class VentSection(CaseSection):
    """How the tank breathes."""

    kind: Annotated[str, *v.choice("forward", "flush", "cap", "unknown")] = Field(
        description="forward-facing tube, flush opening, vented cap, or unknown.",
        examples=["forward"],
    )
    group: v.Text | None = Field(
        None,
        description="Tanks with the same group share one airspace, so they need the same vent; the "
        "tank's name if not given.",
        examples=["both tanks"],
    )
    pressure_coefficient: v.PressureCoefficient | None = Field(
        None,
        description="Pressure coefficient at the vent in flight, never above zero. If not given: "
        "forward 0, band -0.3 to 0.6 of which nothing above 0 is counted on; others -0.5, band -1 "
        "to 0 (no source).",
        examples=[-0.3],
    )
    band: v.BandGiven | None = Field(
        None,
        description="Lowest and highest pressure coefficient, never one value.",
        examples=[[-0.6, -0.1]],
    )


class DipSection(CaseSection):
    """One row of a dip table."""

    dip: v.Depth = Field(description="Height of the surface above dip_at.", examples=["1 in"])
    quantity: v.Volume = Field(description="Fuel in the tank at that dip.", examples=["4 L"])


class TankSection(CaseSection):
    """One tank. Keys of other shapes than the stated one are refused."""

    name: v.Name = Field(description="Its name.", examples=["left"])
    mirror: v.ReferenceGiven | None = mirror("the tank", "left")
    shape: Annotated[str, *v.choice("box", "lofted", "cells", "dips", "level")] = Field(
        description='"box": two opposite corners. "lofted": root and tip section of a wing bay. '
        '"cells": convex bodies by their corners. "dips": a measured dip table. "level": a surface '
        "that stays where it is stated (a header tank kept full, a test reservoir).",
        examples=["box"],
    )
    corners: Annotated[tuple[v.PointGiven, ...], v.LISTED_POINTS] | None = Field(
        None,
        description="box: two opposite inside corners.",
        examples=[[["50 in", "-54 in", "78 in"], ["70 in", "-18 in", "84 in"]]],
    )
    root: Annotated[tuple[v.PointGiven, ...], v.LISTED_POINTS] | None = Field(
        None,
        description="lofted: points of the inside section at the root, going round.",
        examples=[[["50 in", "-18 in", "78 in"], ["70 in", "-18 in", "78.5 in"],
                   ["60 in", "-18 in", "84 in"]]],
    )  # fmt: skip
    tip: Annotated[tuple[v.PointGiven, ...], v.LISTED_POINTS] | None = Field(
        None,
        description="lofted: the same number of points at the tip, in the same order.",
        examples=[[["50 in", "-54 in", "79 in"], ["70 in", "-54 in", "79.5 in"],
                   ["60 in", "-54 in", "84.5 in"]]],
    )  # fmt: skip
    cells: Annotated[
        tuple[Annotated[tuple[v.PointGiven, ...], v.LISTED_POINTS], ...], v.LISTED
    ] | None = Field(
        None,
        description="cells: for each convex cell its corners (four or more), in any order.",
        examples=[[[["50 in", "-54 in", "78 in"], ["70 in", "-54 in", "78 in"],
                    ["50 in", "-18 in", "78 in"], ["50 in", "-54 in", "84 in"]]]],
    )  # fmt: skip
    dip_at: v.PointGiven | None = Field(
        None,
        description="dips: lowest point of the stick.",
        examples=[["60 in", "-36 in", "78 in"]],
    )
    dip_pitch: v.Pitch | None = Field(
        None,
        description="dips: pitch at which the table was made (a tailwheel aeroplane stands nose "
        "up).",
        examples=["11 deg"],
    )
    dip_roll: v.Pitch | None = Field(
        None, description="dips: roll at which it was made; 0 deg if not given.", examples=["0 deg"]
    )
    dips: Annotated[tuple[DipSection, ...], v.LISTED] | None = Field(
        None,
        description="dips: the table, rising, from empty to full.",
        examples=[[{"dip": "0 in", "quantity": "1 L"}, {"dip": "6 in", "quantity": "45 L"}]],
    )
    floor_length: v.Length | None = Field(
        None,
        description="dips: length of the tank's floor, fore and aft. With the three floor keys the "
        "surface tilts as in a box of that floor; without them nothing is claimed away from the "
        "attitude of the dips.",
        examples=["24 in"],
    )
    floor_width: v.Length | None = Field(
        None, description="dips: width of the tank's floor, left to right.", examples=["40 in"]
    )
    floor_at: v.PointGiven | None = Field(
        None,
        description="dips: middle of the tank's floor.",
        examples=[["60 in", "-36 in", "78 in"]],
    )
    surface_at: v.PointGiven | None = Field(
        None,
        description="level: a point on the surface.",
        examples=[["60 in", "0 in", "84 in"]],
    )
    fill_factor: v.ShareGiven | None = Field(
        None,
        description="Share of the solid that fuel can take (1 less structure); 1 if not given.",
        examples=[0.98],
    )
    capacity: v.Volume | None = Field(
        None,
        description="Placarded capacity; compared with the computed one.",
        examples=["45 L"],
    )
    unusable: v.Volume | None = Field(
        None, description="Declared unusable fuel; required unless level.", examples=["2 L"]
    )
    least_takeoff: v.Volume | None = Field(
        None,
        description="Least fuel in this tank at take-off; required unless level.",
        examples=["10 L"],
    )
    volume: v.Volume | None = Field(
        None,
        description="level: what the header tank holds, for how long it lasts alone.",
        examples=["3 L"],
    )
    sump_at: v.PointGiven | None = Field(
        None, description="Lowest point, where water gathers.",
        examples=[["60 in", "-18 in", "78 in"]],
    )  # fmt: skip
    filler_at: v.PointGiven | None = Field(
        None,
        description="Filler opening. A tank with one that lasts half an hour on full-power burn is "
        "filled by hand; any other that only other tanks lead into is a header tank, and its "
        "refill is judged.",
        examples=[["55 in", "-36 in", "84 in"]],
    )
    vent_at: v.PointGiven | None = Field(
        None, description="Where the vent leaves the tank.", examples=[["52 in", "-50 in", "84 in"]]
    )
    vent: VentSection | None = Field(
        None, description="How it breathes; unknown if not given, which counts against the flow."
    )
    outlet: Annotated[tuple[OutletSection, ...], v.LISTED] = Field(
        description="See [[tank.outlet]]; at least one.",
    )

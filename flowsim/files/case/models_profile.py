"""The shape of a flight profile: ``[[phase]]`` and ``[[start]]``, in a case or its own file.

A duration of zero is let pass here and refused where the profile is built, with its own words.
"""

from typing import Annotated

from pydantic import Field

from flowsim.files.case import values as v
from flowsim.files.case.models import CaseSection


class PhaseSection(CaseSection):
    """A stretch in which nothing is changed. Phases are flown in the order of the file."""

    name: v.Name = Field(description="Its name.", examples=["climb"])
    duration: v.Duration = Field(description="How long it lasts.", examples=["10 min"])
    begin: v.Duration | None = Field(
        None,
        description="Time since the start, only to check the order: it must be where the phase "
        "before ends.",
        examples=["5 min"],
    )
    pitch: v.Pitch = Field(
        description="Pitch of the fuel system's datum, nose-up positive.", examples=["8 deg"]
    )
    bank: v.Pitch | None = Field(
        None,
        description="Bank of a turn without slip, right wing down positive.",
        examples=["20 deg"],
    )
    roll: v.Pitch | None = Field(
        None,
        description="Instead of bank: roll of a slip, or of the ground it stands on.",
        examples=["-10 deg"],
    )
    power: v.PowerShare | None = Field(
        None,
        description="Share of the full-power burn; 0 with the engine off.",
        examples=[0.75],
    )
    burn: v.FlowGiven | None = Field(
        None, description="Instead of power: the burn.", examples=["5.5 US_gal/h"]
    )
    selector: v.Text | None = Field(
        None,
        description='Position of the selector; of several, joined by " + " in file order. May be '
        "left out where there is none.",
        examples=["left"],
    )
    altitude: v.Altitude | None = Field(
        None,
        description="Pressure altitude; that of [flight] if not given.",
        examples=["3000 ft"],
    )
    speed: v.Speed | None = Field(
        None, description="Airspeed; the climb speed if not given.", examples=["85 kt"]
    )
    parked: v.YesNo | None = Field(
        None, description="true: on the ground, no airspeed.", examples=[True]
    )
    temperature: v.Temperature | None = Field(
        None,
        description="Temperature of the fuel; that of the phase before if not given, of the first "
        "phase the first of [fuel].",
        examples=["20 degC"],
    )


class StartSection(CaseSection):
    """Fuel in one tank when the first phase begins; a tank that is not named is full."""

    tank: v.ReferenceGiven = Field(description="The tank.", examples=["left"])
    quantity: v.Volume = Field(description="What is in it.", examples=["30 L"])


class ProfileFile(CaseSection):
    """A profile in a file of its own."""

    title: v.Text | None = Field(None, description="For the headings.", examples=["Cross-country"])
    note: v.Text | None = Field(None, description="Anything worth saying.", examples=["Invented."])
    start: Annotated[tuple[StartSection, ...], v.LISTED] = Field((), description="See [[start]].")
    phase: Annotated[tuple[PhaseSection, ...], v.LISTED] = Field((), description="See [[phase]].")

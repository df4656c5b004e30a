"""What stands on every test card: the craft of setting up and keeping people whole.

Common practice, no source, unless one is named.
"""

from flowsim.measures import ALTITUDE
from flowsim.physics.air.leak_check import RELIEF_FACTOR

BEFORE_FUEL = (
    "Only on lines that have never held fuel: air over fuel vapour burns. Outdoors, engine cold.",
    "Blank the lines off at the tanks, and cap the line at the carburettor: thin tanks and sealed "
    "wing bays bulge or split at little pressure, and no pressure goes through the float valve. "
    "Stand clear.",
    f"Use a regulator, a gauge of small range, and a relief valve that opens at {RELIEF_FACTOR:g} "
    "times the "
    "pressure to hold; that is the upper limit. A part that is rated for less (bowl, sight gauge, "
    "sender: look up each; the weakest one counts) is taken off or blanked, and looked at with "
    "fuel.",
    "Brush every joint with soapy water first: flared nuts, selector stem, drains, gascolator or "
    "sediment bowl gasket, hose ends, unions behind panels; then sight gauges and sender flanges.",
    "A fall of the gauge is only a leak once temperature and weather are taken off.",
    "Let the pressure out before any joint is opened; take the blanks out, and count them.",
)
"""Of the leak check with air."""

_FIRE = (
    "Outdoors, or with doors open on two sides and no pit; no flame, heater, phone, power tool or "
    "running engine within {clear}. Battery off, magnetos off, propeller chocked and tied.",
    "Two people at least: one at the selector and the fire extinguisher, one at the container. One "
    "of them says stop. A third for the stopwatch is better.",
    "Engine cold. Vapour sinks and runs along the floor to a flame far off: keep pits, drains and "
    "cellars out of it. Nobody in the cockpit without both doors open and a clear way out.",
    "Two extinguishers for burning liquids within reach, pins known; no synthetic clothing.",
    "Bond aeroplane, funnel, container and fuel can to each other and to earth before fuel moves; "
    "use metal containers, no plastic funnel; keep the nozzle in contact.",
    "Fuel in approved cans, lids on between runs; wipe spills at once and wait until they dry. Eye "
    "protection and gloves. Drained fuel is filtered or scrapped, never poured back unseen.",
)

CLEAR_OF_FIRE = 15.0
"""[m] Common practice, no source."""


def fire_words() -> tuple[str, ...]:
    """Give what keeps fire away, its distance in the units shown."""
    return tuple(text.format(clear=ALTITUDE.words(CLEAR_OF_FIRE, 0)) for text in _FIRE)


HOW_TO_RAISE = (
    "Tailwheel: let the tailwheel down into a hole or off a platform, or raise the main wheels on "
    "ramps. Nosewheel: raise the nosewheel on a ramp, or lower the main wheels (AC 90-89A, 1995, "
    "later edition AC 90-89B: a hole or a ramp).",
    "Chock every wheel on both sides and tie down wings and tail; a stand under the tail stops it "
    "tipping. Nobody under the aeroplane while it is raised.",
    "Read the inclinometer on the fuel system's datum line, not on a cowling; set wings level "
    "within half a degree. Read it again with the fuel and people in place.",
)

SET_UP = (
    "Vents, caps and strainers as they will fly: caps shut, no gauze, tape or pitot cover on the "
    "vents; finger strainers and screens fitted; filters as they will be in service.",
    "A flow meter in the line is blocked or taken at its bypass, if it has one (14 CFR 23.955 "
    "before amendment 23-64); otherwise it stays as it will fly.",
    "Take the line off at the carburettor and hold its open end at the carburettor inlet's height. "
    "A hose that hangs lower adds head and passes a failing system: measure the height, write it "
    "down.",
    "Drain, rinse and dry; then put in the stated quantity tank by tank, by measure, not by gauge. "
    "Run fuel through until no bubbles come, then set the quantity again.",
    "Plastic and rubber tube: look along it for flat bends and for places near the exhaust or in "
    "the engine bay, where it softens; it is not judged warm here.",
    "Measure the fuel's density and temperature in a clean jar: the required flow is a mass.",
)

DURING = (
    "Let the flow become steady past the container, swing the container in, start the watch; stop "
    "it at the mark. Write down the time, also of runs that went wrong, and why.",
    "Put the fuel back to the stated quantity before the next run; the same container throughout.",
    "Watch for bubbles, for surging, and for a flow that falls within a run or from run to run.",
)

STOP = (
    "a joint weeps, fuel is smelt or spilt, or anyone is unsure",
    "a run misses the mark: that is the answer; find the cause before more runs",
    "air comes with the fuel, or the flow falls from run to run (vent)",
    "the aeroplane moves, a support settles, or thunder is heard",
)

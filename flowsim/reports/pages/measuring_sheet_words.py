"""What the measuring sheet says besides values: how to measure, with what, and how well."""

from flowsim.measures import ALTITUDE, BORE, LENGTH, Units, shows

TITLE = "Measuring sheet"
_COUNTS = {Units.METRIC: "10 mm", Units.US: "1/2 in"}
"""Lengths along which the wires of a screen are counted."""

CAUTION = (
    "This sheet collects numbers for an estimate, which is not an approval. The ground test "
    "decides. Local rules, the instructions of the makers of engine and aircraft, and licensed "
    "practice come first. Fuel burns: measure with the tanks drained and aired, the battery off, "
    "and an extinguisher within reach."
)

AXES = (
    "Station is how far aft, buttline how far to the right (left is negative), waterline how far "
    "up, each from the datum. Right is the pilot's right.",
    "The datum is any point that you can find again: the firewall's lower edge on the middle line "
    "serves well. Write down which: everything else hangs on it.",
    "Set the aeroplane so that the fuel system's datum line is level (a rib, a door sill, the spar "
    "carry-through), wings level too. Drop a plumb line from each point to the floor, mark it with "
    "chalk, and measure stations and buttlines on the floor.",
    "Heights decide most. Take them with a clear hose filled with water, open at both ends: the "
    "water stands at one height at both. Measure up or down from it.",
)

READING = (
    "What the case says is printed. A line to write on stands where nothing is known, where the "
    "case only assumes a value, or where it takes it from the other side's mirror; in brackets is "
    "what it uses now.",
    "From: m measured, d drawing, h handbook, a assumed, ? not said. The plus-minus is one "
    "standard deviation: about two measurements in three agree within it.",
    "Write the unit with each number. What you do not know stays blank; do not guess.",
)

TOOLS_SOURCE = "common practice, no source; your own tools may be better or worse"

_TOOLS = (
    ("heights", "clear hose with water, steel rule", "{2} over {5m}; wait until it stands"),
    ("stations, buttlines", "plumb line, chalk, steel tape on the floor", "{3}"),
    ("bores of tube, fittings, ports", "shanks of drills or pin gauges: the largest that goes in",
     "{.05}; look for burrs"),
    ("outside diameter, wall", "vernier caliper", "{.05}"),
    ("radius of a bend", "card cut to the curve, to the middle of the tube", "5 %"),
    ("length of a hose", "wire laid inside or along it, straightened", "{5}"),
    ("pitch, roll", "inclinometer on the datum line", "0.2 deg; turn it round and take the mean"),
    ("volumes", "can of known volume, or mass over density", "1 %; let it drain the same time"),
    ("flow through a part", "bucket and stopwatch at a measured head", "2 % with a minute or more"),
    ("screens", "count wires along {count} under a glass", "one wire"),
)  # fmt: skip

FIRST = (
    "Heights: fuel in the lowest tank outlet down to the carburettor inlet and its float level.",
    "Needle and seat: the bore, better the flow that passes with the bowl open.",
    "Sediment bowl, filter, flow meter, selector: the loss at a known flow, or their port bores.",
    "Bores of elbows, tees, unions and tank ports: often narrower than the tube.",
    "Tube bore, its length and each bend.",
    "Outlets in the tank: where they stand, and the fuel that stays below them.",
    "Pitch of the datum in the steepest climb, level and on the ground.",
    "Vents: which kind, where, and whether the tanks share one.",
)
FIRST_SOURCE = "In the order in which they usually matter: common practice, no source."

RANKED = (
    "Shares of the head on the way that loses most in the scenario that decides; judged on single "
    "values. Measure from the top."
)
NOT_RANKED = (
    "The case cannot be judged yet ({why}), so nothing is ranked by its share. Measure in "
    "this order:"
)

_HOW = {
    "burn": "engine maker's data, full power, full rich",
    "burn_density": "the density that goes with a burn in volume",
    "rated_power": "engine maker's data, if no burn is stated",
    "specific_consumption": "engine maker's data, with the power",
    "descent_burn": "engine maker's data, or a flight's log",
    "kind of fuel": "what will be flown, blend included",
    "temperatures": "coldest and hottest fuel that is flown",
    "level_pitch": "inclinometer on the datum line, 0.2 deg",
    "climb_pitch": "steepest climb that is flown, inclinometer, 0.5 deg",
    "climb_speed": "calibrated, in that climb",
    "level_speed": "calibrated, full power, level",
    "pressure_altitude": "highest at which it is climbed so",
    "descent_pitch": "steepest descent, inclinometer",
    "acceleration": "take-off run, along the ground",
    "ground kind": "tailwheel or nosewheel",
    "ground pitch": "inclinometer on the datum line, parked",
    "shape": "box, wing bay (root and tip), cells, or a dip table",
    "fill_factor": "capacity over the volume of the outline",
    "capacity": "fill it from empty by measure",
    "unusable": "drain test at the worst attitude; else declared",
    "least_takeoff": "least that is ever taken off with",
    "volume": "fill it by measure",
    "vent kind": "forward, flush or cap; look, do not recall",
    "vent group": "tanks that share one airspace",
    "dip_pitch": "inclinometer, while the dips were taken",
    "bore": "drill shanks or pin gauges, {.05}",
    "hose_bore": "drill shanks or pin gauges, {.05}",
    "outside_diameter": "caliper, {.05}",
    "wall": "caliper on a cut end, {.05}",
    "tube": "caliper: outside diameter x wall",
    "material": "what it is, stamp or label",
    "stock": "kind of tube or hose",
    "bend_radius": "card cut to the curve, to the tube's middle",
    "length": "tape along the middle of the tube, {5}",
    "rise": "water hose, {2}; falls are negative",
    "aft": "plumb line and tape, {3}",
    "right": "plumb line and tape, {3}",
    "style": "flush, or a pipe or finger standing in",
    "screen area": "length x girth of the finger strainer",
    "screen mesh": "wires counted along {count}",
    "screen wire": "wire under a glass, or its mesh number",
    "screen clear_fraction": "share that is not blocked, new or cleaned",
    "bowl_pressure": "only if ram air reaches the bowl",
    "least_inlet_pressure": "carburettor maker's data, if the maker asks for one",
    "cv": "maker's data, or flow and drop measured",
}


def how(key: str) -> str:
    """Give with what to measure a value, and how well, in the units shown; empty if nothing."""
    return in_units_shown(_HOW.get(key, ""))


def tools() -> tuple[tuple[str, str, str], ...]:
    """Give what to measure with, in the units shown."""
    return tuple((what, tool, in_units_shown(well)) for what, tool, well in _TOOLS)


def in_units_shown(text: str) -> str:
    """Put the lengths into a text: ``{2}`` is 2 mm, ``{.05}`` 0.05 mm, ``{5m}`` 5 m."""
    counts = [said for unit, said in _COUNTS.items() if shows(unit)]
    text = text.replace("{5m}", ALTITUDE.words(5.0, 0)).replace("{count}", " or ".join(counts))
    text = text.replace("{.05}", BORE.words(0.05e-3, 2))
    for whole in (2, 3, 5):
        text = text.replace(f"{{{whole}}}", LENGTH.words(whole * 1e-3, 0))
    return text

"""One mistake at a time: found alone, on its own line, with what is wrong and what to write."""

import re
from collections.abc import Callable, Iterator

import pytest

from flowsim.errors import Mistake
from flowsim.files.case.starter import starter_text

Read = Callable[[str], list[Mistake]]

# what stands in two_tanks.toml, what is written instead, a text on the line that must be named,
# the item, a piece of the problem, a piece of the remedy
_CASES = {
    # --- values
    "bare number": (
        'length = "60 in"\nparts = [{ part = "elbow', 'length = 60\nparts = [{ part = "elbow',
        "length = 60", 'line "left down", length', "a bare number has no unit", 'write "60 in"',
    ),
    "wrong dimension": (
        'at = ["15 in", "0 in", "20 in"]', 'at = ["15 in", "0 kg", "20 in"]',
        '"0 kg"', 'selector "selector", at, buttline', '"0 kg" is a mass, not a length', "31.5 in",
    ),
    "ambiguous unit": (
        'capacity = "15 US_gal"', 'capacity = "15 gal"',
        '"15 gal"', 'tank "left", capacity', '"gal" may mean US or imperial',
        'write "15 US_gal" or "15 imp_gal"',
    ),
    "nonsense value": (
        'climb_speed = "60 kt"', 'climb_speed = "fast"',
        '"fast"', "flight, climb_speed", '"fast" is not a number and a unit', '"65 kt"',
    ),
    "absurd value": (
        'descent_pitch = "-6 deg"', 'descent_pitch = "-66 deg"',
        '"-66 deg"', "flight, descent_pitch", "must be at least -60 deg", '"12 deg"',
    ),
    "not in quotes": (
        'hose_bore = "11/32 in"', "hose_bore = 11/32 in",
        "hose_bore = 11/32 in", 'line "right down", hose_bore', "is not in quotes",
        'hose_bore = "11/32 in"',
    ),
    "key given twice": (
        'draw = "1 US_qt"', 'draw = "1 US_qt"\ndraw = "2 US_qt"',
        '"2 US_qt"', "", '"draw" is given twice', "keep one",
    ),
    # --- keys
    "misspelt key": (
        'unusable = "1 US_gal"\nleast_takeoff = "3 US_gal"\nvent',
        'unusable = "1 US_gal"\nleast_takeof = "3 US_gal"\nvent',
        "least_takeof =", 'tank "left", least_takeof', "unknown key", "least_takeoff",
    ),
    "misspelt required key": (
        'climb_speed = "60 kt"', 'climb_sped = "60 kt"',
        "climb_sped", "flight, climb_sped", "unknown key", 'did you mean "climb_speed"?',
    ),
    "misspelt key in an inline table": (
        '  { part = "valve", kv = 1.2 },', '  { part = "valve", kw = 1.2, kv = 1.2 },',
        "kw = 1.2", 'line "to bowl", part 2 "valve", kw', "unknown key", "did you mean",
    ),
    "missing item": (
        'pressure_altitude = "6000 ft"\n', "",
        "[flight]", "flight, pressure_altitude", "is missing", '"8000 ft"',
    ),
    "missing section": (
        '[test]\ndraw = "1 US_qt"\n', "",
        "# Invented", "test", "is missing", "write a section [test]",
    ),
    "unknown shape": (
        'shape = "lofted"', 'shape = "loft"',
        '"loft"', 'tank "right", shape', '"loft" is not known here', 'did you mean "lofted"?',
    ),
    "key of another shape": (
        'shape = "box"', 'shape = "box"\nroot = [["1 in", "1 in", "1 in"]]',
        "root = [[", 'tank "left", root', 'is not used by shape "box"', "delete it",
    ),
    # --- names and references
    "duplicate line": (
        'name = "left rear"\nfrom', 'name = "left front"\nfrom',
        'name = "left front"\nfrom = "left.rear"', 'line "left front", name',
        'another line is called "left front"', "its own name",
    ),
    "duplicate tank": (
        'name = "right"\nshape', 'name = "left"\nshape',
        'name = "left"\nshape = "lofted"', 'tank "left", name', "another tank", "its own name",
    ),
    "duplicate outlet": (
        'name = "front"\nat', 'name = "rear"\nat',
        'name = "rear"\nat = ["30 in", "-30', 'tank "left", outlet "rear", name',
        "another outlet", "its own",
    ),
    "unknown node": (
        'to = "left tee"\ntube', 'to = "left teee"\ntube',
        '"left teee"', 'line "left front", to', 'called "left teee"', 'did you mean "left tee"?',
    ),
    "tank instead of outlet": (
        'from = "right.rear"', 'from = "right"',
        'from = "right"', 'line "right down", from', '"right" is a tank', '"right.rear"',
    ),
    "unknown tank": (
        'from = "right.rear"', 'from = "centre.rear"',
        "centre.rear", 'line "right down", from', 'called "centre.rear"', "left.rear",
    ),
    "line to itself": (
        'from = "bowl"\nto = "engine"', 'from = "bowl"\nto = "bowl"',
        'to = "bowl"\ntube = "3/8 in x 0.035 in"\nlength = "60 in"', 'line "to engine", to',
        "ends where it begins", "other end",
    ),
    "tee with an unknown line": (
        'run = ["left front", "left rear"]', 'run = ["left front", "left reer"]',
        "left reer", 'tee "left tee", run, value 2', 'no line called "left reer"', "left rear",
    ),
    "tee with a line that ends elsewhere": (
        'run = ["left front", "left rear"]', 'run = ["left front", "to bowl"]',
        '"to bowl"]\nbranch', 'tee "left tee", run, value 2',
        '"to bowl" does not begin or end at it', "left rear",
    ),
    "tee with a fourth line": (
        'from = "right.rear"\nto = "selector"', 'from = "right.rear"\nto = "left tee"',
        '[[tee]]', 'tee "left tee"', '"right down" begins or ends at it but has no place', "",
    ),
    "tee without a common leg": (
        'common = "left down"', 'common = "to bowl"',
        'common = "to bowl"', 'tee "left tee", common', "none of the tee's lines", "left down",
    ),
    "selector with an unknown line": (
        'right = "right down" }', 'right = "right dwn" }',
        '"right dwn"', 'selector "selector", ports, right', 'no line called "right dwn"',
        'did you mean "right down"?',
    ),
    "selector with an unknown port": (
        'both = ["left", "right"]', 'both = ["left", "rigth"]',
        "rigth", 'selector "selector", positions, both, value 2', 'no port called "rigth"',
        'did you mean "right"?',
    ),
    "judged position unknown": (
        'judged = ["left", "right", "both"]', 'judged = ["left", "right", "bot"]',
        '"bot"', 'selector "selector", judged, value 3', 'no position called "bot"', "both",
    ),
    "judged position shut": (
        'judged = ["left", "right", "both"]', 'judged = ["off"]',
        'judged = ["off"]', 'selector "selector", judged, value 1', '"off" opens no port', "judge",
    ),
    "no judged position": (
        'judged = ["left", "right", "both"]', "judged = []",
        "judged = []", 'selector "selector", judged', "no position is judged", "take-off and climb",
    ),
    "drain of nothing": (
        'reaches = "bowl"', 'reaches = "bowll"',
        '"bowll"', 'drain "bowl drain", reaches', 'called "bowll"', 'did you mean "bowl"?',
    ),
    "reserved name": (
        'name = "right"\nshape', 'name = "engine"\nshape',
        'name = "engine"', 'tank "engine", name', "is the carburettor inlet", "another name",
    ),
    "dotted name": (
        'name = "left rear"\nfrom', 'name = "left.rear"\nfrom',
        'name = "left.rear"', 'line "left.rear", name', "has a dot", "leave it out",
    ),
    # --- places and lengths
    "contradictory place": (
        '[[junction]]\nname = "bowl"',
        '[[junction]]\nname = "bowl"\nat = ["5 in", "0 in", "16 in"]',
        'rise = "-3 in"', 'line "to bowl", rise', '"-3 in" contradicts the places of its ends, '
        "which give -4 in", "correct one",
    ),
    "unlocated node": (
        'rise = "-3 in"\n', "",
        '[[junction]]', 'junction "bowl"', "its place is not known", "length, rise and aft",
    ),
    "length shorter than its points": (
        'bend_radius = "0.5 in"', 'bend_radius = "0.5 in"\nlength = "15 in"',
        'length = "15 in"', 'line "left front", length',
        '"15 in" is shorter than its points allow, 16.53 in', "correct the length",
    ),
    "length that does not reach": (
        'length = "90 in"', 'length = "20 in"',
        'length = "20 in"\n\n[[line]]\nname = "to bowl"', 'line "right down", length',
        "does not reach between its ends", "correct",
    ),
    "length missing": (
        'length = "90 in"\n', "",
        '[[line]]\nname = "right down"', 'line "right down", length', "its length is missing",
        "via = ",
    ),
    "bend without radius": (
        'bend_radius = "0.5 in"\n', "",
        '[[line]]\nname = "left front"', 'line "left front", bend_radius',
        "turns by 62 deg at point 1",
        'bend_radius = "1.25 in"',
    ),
    "bend that does not fit": (
        'bend_radius = "0.5 in"', 'bend_radius = "9 in"',
        'bend_radius = "9 in"', 'line "left front", bend_radius',
        "leg 1, from its start to point 1 of via, is 4.924 in long, too short for its bend of "
        "radius 9 in, which takes 5.403 in", 'write bend_radius = "8.2 in" or less',
    ),
    "bend tighter than its bore": (
        'bend_radius = "0.5 in"', 'bend_radius = "0.2 in"',
        'bend_radius = "0.2 in"', 'line "left front", bend_radius', "is below one bore", "",
    ),
    # --- sizes
    "dash number": (
        'hose_bore = "11/32 in"', 'hose_bore = "-6"',
        '"-6"', 'line "right down", hose_bore', '"-6" is a dash number', "measure",
    ),
    "dash number of tube": (
        'tube = "3/8 in x 0.035 in"\nvia', 'tube = "AN-6"\nvia',
        '"AN-6"', 'line "left front", tube', '"AN-6" is a dash number', "3/8 in x 0.035 in",
    ),
    "tube without wall": (
        'tube = "3/8 in x 0.035 in"\nvia', 'tube = "3/8 in"\nvia',
        'tube = "3/8 in"', 'line "left front", tube', "not outside diameter x wall", "0.035 in",
    ),
    "bore wider than the tube": (
        'wall = "0.035 in"', 'wall = "0.035 in"\nbore = "0.31 in"',
        '"0.31 in"', 'line "left rear", bore', '"0.31 in" is wider than the tube', "correct",
    ),
    "wall without bore": (
        'wall = "0.035 in"', 'wall = "0.2 in"',
        'wall = "0.2 in"', 'line "left rear", wall', "leaves no bore", "correct",
    ),
    "two sizes": (
        'hose_bore = "11/32 in"', 'hose_bore = "11/32 in"\nbore = "8 mm"',
        'bore = "8 mm"', 'line "right down", bore', "hose_bore is given as well", "keep one",
    ),
    "no size": (
        'hose_bore = "11/32 in"\n', "",
        '[[line]]\nname = "right down"', 'line "right down", tube', "its bore is missing",
        "hose_bore",
    ),
    "unknown material": (
        'hose_bore = "11/32 in"', 'hose_bore = "11/32 in"\nmaterial = "aluminum"',
        '"aluminum"', 'line "right down", material', "no roughness is known",
        'did you mean "aluminium tube"?',
    ),
    # --- parts
    "unknown part": (
        '{ part = "flow meter" }', '{ part = "flow sensor" }',
        "flow sensor", 'line "to bowl", part 1 "flow sensor", part', "is not a known part",
        'did you mean "flow meter"?',
    ),
    "two ways to say what a blocked meter passes": (
        '{ part = "flow meter" }', '{ part = "flow meter", bypass_kv = 0.2, bypass_cv = 0.2 }',
        "flow meter", 'line "to bowl", part 1 "flow meter", bypass_kv',
        "bypass_cv and bypass_kv are both given", "keep one of them",
    ),
    "drops of a blocked meter that fall": (
        '{ part = "flow meter" }',
        '{ part = "flow meter", measured_blocked = [{ flow = "20 L/h", drop = "2 kPa" }, '
        '{ flow = "40 L/h", drop = "1 kPa" }] }',
        "flow meter", 'line "to bowl", part 1 "flow meter", measured_blocked, value 2',
        "flow and drop do not both rise", "in rising order",
    ),
    "part without its bore": (
        'parts = [{ part = "sediment bowl", bore = "0.297 in" }]',
        'parts = [{ part = "sediment bowl" }]',
        "sediment bowl", 'line "to engine", part 1 "sediment bowl", bore', "is missing (port bore)",
        "bore = ",
    ),
    "part with a key of another": (
        '{ part = "valve", kv = 1.2 }', '{ part = "valve", kv = 1.2, k = 3.0 }',
        "k = 3.0", 'line "to bowl", part 2 "valve", k', 'not a key of "valve"', "delete it",
    ),
    "part said twice": (
        '{ part = "valve", kv = 1.2 }', '{ part = "valve", kv = 1.2, cv = 1.4 }',
        "cv = 1.4", 'line "to bowl", part 2 "valve", kv', "cv and kv are both given", "keep one",
    ),
    "part without its number": (
        '{ part = "valve", kv = 1.2 }', '{ part = "valve" }',
        'part = "valve"', 'line "to bowl", part 2 "valve", cv', "a valve needs its flow", "cv = ",
    ),
    "drops that fall": (
        '{ part = "valve", kv = 1.2 }',
        '{ part = "filter", measured = [{ flow = "20 L/h", drop = "1 kPa" },\n'
        '    { flow = "40 L/h", drop = "0.9 kPa" }] }',
        "0.9 kPa", 'line "to bowl", part 2 "filter", measured, value 2', "do not both rise",
        "rising order",
    ),
    "number in quotes": (
        'kv = 1.2', 'kv = "1.2"',
        'kv = "1.2"', 'line "to bowl", part 2 "valve", kv', "is not a number", "without quotes",
    ),
    "band on one side": (
        'kv = 1.2', "kv = 1.2, band = [1.1, 1.3]",
        "band =", 'line "to bowl", part 2 "valve", band', "both sides of 1", "[0.8, 1.3]",
    ),
    # --- tanks
    "outlet outside its tank": (
        'at = ["30 in", "-30 in", "60.5 in"]', 'at = ["31 in", "-30 in", "60.5 in"]',
        '"31 in"', 'tank "left", outlet "rear", at',
        "outside its tank, which spans station 10 to 30 in", "correct the point",
    ),
    "sump outside its tank": (
        'capacity = "15 US_gal"', 'capacity = "15 US_gal"\nsump_at = ["20 in", "-40 in", "59 in"]',
        "sump_at", 'tank "left", sump_at', "outside its tank", "correct the point",
    ),
    "outlet bore absurd": (
        'bore = "0.305 in"\nstyle', 'bore = "3 ft"\nstyle',
        '"3 ft"', 'tank "left", outlet "rear", bore', "a bore must be at most 50 mm", '"0.305 in"',
    ),
    # --- what no fuel line has
    "bore of a hair": (
        'bore = "0.305 in"\nlength', 'bore = "0.9 mm"\nlength',
        '"0.9 mm"', 'line "left down", bore', "a bore must be at least 1 mm", '"0.305 in"',
    ),
    "bore of a drain pipe": (
        'hose_bore = "11/32 in"', 'hose_bore = "51 mm"',
        '"51 mm"', 'line "right down", hose_bore', "a bore must be at most 50 mm", '"0.305 in"',
    ),
    "tube of a drain pipe": (
        'tube = "3/8 in x 0.035 in"\nvia', 'tube = "60 mm x 1 mm"\nvia',
        '"60 mm x 1 mm"', 'line "left front", tube', "leaves a bore of 58 mm", "1 to 50 mm",
    ),
    "outside diameter that leaves a hair": (
        'outside_diameter = "3/8 in"\nwall = "0.035 in"',
        'outside_diameter = "2.5 mm"\nwall = "1 mm"',
        '"2.5 mm"', 'line "left rear", outside_diameter', "leaves a bore of 0.5 mm", "1 to 50 mm",
    ),
    "wall like gravel": (
        'bore = "0.305 in"\nlength', 'bore = "0.305 in"\nroughness = "0.4 mm"\nlength',
        '"0.4 mm"', 'line "left down", roughness', "more than a twentieth of the bore of 7.75 mm",
        "1.5 um",
    ),
    "flow coefficient of nothing": (
        "kv = 1.2", "kv = 0.0005",
        "0.0005", 'line "to bowl", part 2 "valve", kv', "not a plausible value for a flow", "0.001",
    ),
    "loss factor of a wall": (
        '{ part = "flow meter" }', '{ part = "loss", k = 2e5 }',
        "2e5", 'line "to bowl", part 1 "loss", k', "not a plausible value for a loss", "100000",
    ),
    "loss of a wall": (
        '{ part = "flow meter" }', '{ part = "quadratic loss", coefficient = "1e15 s2/m5" }',
        "1e15", 'line "to bowl", part 1 "quadratic loss", coefficient', "at most 1e14 s2/m5",
        "s2/m5",
    ),
    "valve that no head opens": (
        '{ part = "flow meter" }', '{ part = "one-way valve", cracking = "2 bar", kv = 1 }',
        "2 bar", 'line "to bowl", part 1 "one-way valve", cracking', "200 kPa is not plausible",
        "cracking = ",
    ),
    "unusable above capacity": (
        'unusable = "1 US_gal"\nleast_takeoff = "3 US_gal"\nvent',
        'unusable = "20 US_gal"\nleast_takeoff = "21 US_gal"\nvent',
        '"20 US_gal"', 'tank "left", unusable', "more than the tank holds, 15 US_gal", "correct",
    ),
    "unusable and draw above capacity": (
        'draw = "1 US_qt"', 'draw = "14.5 US_gal"',
        'unusable = "1 US_gal"', 'tank "left", unusable', "are together more than the tank holds",
        "draw less",
    ),
    "least take-off above capacity": (
        'least_takeoff = "3 US_gal"\nvent', 'least_takeoff = "33 US_gal"\nvent',
        '"33 US_gal"', 'tank "left", least_takeoff', "more than the tank holds", "correct",
    ),
    "least take-off below unusable": (
        'least_takeoff = "3 US_gal"\nvent', 'least_takeoff = "0.5 US_gal"\nvent',
        '"0.5 US_gal"', 'tank "left", least_takeoff', "less than the unusable fuel", "correct",
    ),
    "least take-off missing": (
        'least_takeoff = "3 US_gal"\nvent', "vent",
        '[[tank]]', 'tank "left", least_takeoff', "is missing", 'least_takeoff = "10 L"',
    ),
    "flat box": (
        '["30 in", "-30 in", "66 in"]]\ncap', '["10 in", "-30 in", "66 in"]]\ncap',
        "corners", 'tank "left", corners', "both corners have the same station", "opposite corners",
    ),
    "lofted with unlike sections": (
        '["30 in", "60 in", "66 in"], ["10 in", "60 in", "66 in"]]', '["30 in", "60 in", "66 in"]]',
        "root = ", 'tank "right", root', "has 4 points and the tip section 3", "same number",
    ),
    "credit for ram": (
        'vent = { kind = "cap", group = "both" }',
        'vent = { kind = "cap", pressure_coefficient = 1 }',
        "pressure_coefficient = 1", 'tank "left", vent, pressure_coefficient', "plausible",
        "from -5 to 0",
    ),
    # --- engine, flight, fuel
    "pump": (
        'feed = "gravity"', 'feed = "pump"',
        '"pump"', "engine, feed", "no pump curve is modelled", "never lowers",
    ),
    "burn missing": (
        'rated_power = "80 hp"\n', "",
        "[engine]", "engine, burn", "the full-power burn is missing", "rated_power",
    ),
    "burn said twice": (
        'rated_power = "80 hp"', 'rated_power = "80 hp"\nburn = "6 US_gal/h"',
        "rated_power", "engine, rated_power", "burn is given as well", "keep one",
    ),
    "burn by the wrong gallon": (
        'rated_power = "80 hp"', 'burn = "7 US_gal/h"\nburn_density = "6.0 lb/imp_gal"',
        '"6.0 lb/imp_gal"', "engine, burn_density", "-19 % off the fuel's at 15 degC",
        "lb/US_gal or lb/imp_gal",
    ),
    "density of another liquid": (
        'value = "6.2 lb/US_gal"', 'value = "7.2 lb/US_gal"',
        '"7.2 lb/US_gal"', "fuel, density, value 1, value", "is +16 % off motor gasoline summer",
        'kind = "own"',
    ),
    "descent burn too large": (
        'descent_burn = "3 US_gal/h"', 'descent_burn = "13 US_gal/h"',
        '"13 US_gal/h"', "engine, descent_burn", "is not less than the full-power burn", "",
    ),
    "climb pitch missing": (
        'rate_of_climb = "800 ft/min"\nangle_of_attack = "8 deg"\nincidence = "2 deg"\n', "",
        "[flight]", "flight, climb_pitch", "the climb pitch is missing", "rate_of_climb",
    ),
    "part of the climb missing": (
        'incidence = "2 deg"\n', "",
        "[flight]", "flight, incidence", "is missing", "climb_pitch",
    ),
    "climb said twice": (
        'incidence = "2 deg"', 'incidence = "2 deg"\nclimb_pitch = "14 deg"',
        "incidence", "flight, incidence", "climb_pitch is given as well", "keep one",
    ),
    "climb faster than flying": (
        'rate_of_climb = "800 ft/min"', 'rate_of_climb = "8000 ft/min"',
        "8000 ft/min", "flight, rate_of_climb", "times the speed along the path", "cannot exceed",
    ),
    "level above climb": (
        'descent_pitch = "-6 deg"', 'descent_pitch = "-6 deg"\nlevel_pitch = "15 deg"',
        "level_pitch", "flight, level_pitch", "is less than the level pitch", "correct",
    ),
    "descent nose up": (
        'descent_pitch = "-6 deg"', 'descent_pitch = "6 deg"',
        "descent_pitch", "flight, descent_pitch", "is nose-up of level flight", "negative",
    ),
    "unknown fuel": (
        'kind = "motor gasoline summer"', 'kind = "motor gasoline sumer"',
        "sumer", "fuel, kind", "is not a known fuel", 'did you mean "motor gasoline summer"?',
    ),
    "temperature outside the fuel's range": (
        '"100 degF"]', '"160 degF"]',
        "160 degF", "fuel, temperatures, value 2", "its laws hold from -40.0 to 60.0 degC", "range",
    ),
    "no temperature": (
        'temperatures = ["-5 degC", "100 degF"]', "temperatures = []",
        "temperatures", "fuel, temperatures", "no temperature is given", '"38 degC"',
    ),
    "own fuel without viscosity": (
        'kind = "motor gasoline summer"', 'kind = "own"',
        "[fuel]", "fuel, viscosity", 'is missing for fuel "own"', "mm2/s",
    ),
    "vapour pressure said twice": (
        'reid_vapour_pressure = "60 kPa"', 'reid_vapour_pressure = "60 kPa"\n'
        'vapour_pressure = [{ at = "20 degC", value = "25 kPa" }]',
        "reid_vapour_pressure", "fuel, reid_vapour_pressure", "vapour_pressure is given as well",
        "keep one",
    ),
    # --- provenance
    "unknown origin": (
        'capacity = "15 US_gal"', 'capacity = { value = "15 US_gal", from = "guessed" }',
        "guessed", 'tank "left", capacity, from', '"guessed" is not an origin', "assumed",
    ),
    "value missing in its table": (
        'capacity = "15 US_gal"', 'capacity = { from = "drawing" }',
        "from = ", 'tank "left", capacity', 'the key "value" is missing', "value = ",
    ),
    "accuracy of another dimension": (
        'capacity = "15 US_gal"', 'capacity = { value = "15 US_gal", accuracy = "1 in" }',
        "accuracy", 'tank "left", capacity, accuracy', "is a length, not an accuracy of a volume",
        "L",
    ),
    "accuracy as large as the value": (
        'bore = "0.305 in"\nlength', 'bore = { value = "0.305 in", accuracy = "0.2 in" }\nlength',
        "accuracy", 'line "left down", bore', "the accuracy is 66 % of the value", "30 %",
    ),
}  # fmt: skip

# mistakes that by their nature show in more than one place
_SEVERAL = {
    "duplicate line", "duplicate tank", "duplicate outlet", "unknown tank", "reserved name",
    "dotted name", "tee with a fourth line", "tee with a line that ends elsewhere",
    "line to itself",
    "own fuel without viscosity", "temperature outside the fuel's range", "unlocated node",
    "level above climb", "unusable above capacity", "climb said twice",
    "unusable and draw above capacity",
}  # fmt: skip


@pytest.mark.parametrize("name", _CASES)
def test_mistake_is_found_on_its_line(name: str, two_tanks: str, mistakes: Read) -> None:
    old, new, marker, item, problem, remedy = _CASES[name]
    assert two_tanks.count(old) >= 1
    text = two_tanks.replace(old, new, 1)
    line = text.count("\n", 0, text.index(marker)) + 1
    found = mistakes(text)
    matching = [
        m
        for m in found
        if m.line == line and m.item == item and problem in m.problem and remedy in m.remedy
    ]
    assert matching, "\n".join(str(m) for m in found)
    if name not in _SEVERAL:
        assert len(found) == 1, "\n".join(str(m) for m in found)


@pytest.mark.parametrize("reserved", ["open air", "open end", "float bowl", "carburettor"])
@pytest.mark.parametrize(
    ("name", "item"), [("bowl", "junction"), ("left tee", "tee"), ("to bowl", "line"),
                       ("selector", "selector"), ("right", "tank")],
)  # fmt: skip
def test_names_of_the_ends_are_reserved(
    name: str, item: str, reserved: str, two_tanks: str, mistakes: Read
) -> None:
    quoted = two_tanks.replace(f'"{name}"', f'"{reserved}"').replace(f'"{name}.', f'"{reserved}.')
    found = [m for m in mistakes(quoted) if "the name that the results give" in m.problem]
    line = next(
        number
        for number, text in enumerate(quoted.splitlines(), 1)
        if text.startswith(f'name = "{reserved}"')
    )
    assert [(m.line, m.item, m.remedy) for m in found] == [
        (line, f'{item} "{reserved}", name', "write another name")
    ]


def test_the_case_itself_is_sound(two_tanks: str, mistakes: Read) -> None:
    assert mistakes(two_tanks) == []


def test_all_mistakes_of_a_file_come_in_one_run_in_file_order(
    two_tanks: str, mistakes: Read
) -> None:
    """Mistakes of syntax, form, reference and geometry beside each other."""
    wanted = (
        "bare number", "ambiguous unit", "misspelt key", "not in quotes", "unknown node",
        "outlet outside its tank", "judged position unknown", "pump", "contradictory place",
        "part without its bore", "unknown fuel",
    )  # fmt: skip
    text = two_tanks
    for name in wanted:
        old, new = _CASES[name][:2]
        text = text.replace(old, new, 1)
    found = mistakes(text)
    for name in wanted:
        marker, item, problem = _CASES[name][2:5]
        line = text.count("\n", 0, text.index(marker)) + 1
        assert any(m.line == line and m.item == item and problem in m.problem for m in found), name
    lines = [m.line for m in found]
    assert lines == sorted(lines)
    assert len(found) == len(wanted)


def test_a_mistake_reads_as_one_line(two_tanks: str, mistakes: Read) -> None:
    text = two_tanks.replace('bore = "0.305 in"\nstyle', 'bore = "1.2 kg"\nstyle')
    (only,) = mistakes(text)
    line = text.count("\n", 0, text.index("1.2 kg")) + 1
    assert str(only) == (
        f'case.toml:{line}: tank "left", outlet "rear", bore: "1.2 kg" is a mass, not a bore; '
        'write for example "0.305 in"'
    )


@pytest.mark.parametrize(
    ("old", "new", "problem"),
    [
        ('from = "right.rear"\nto = "selector"', 'from = "left.rear"\nto = "selector"',
         "no path of lines leads from it to the engine"),
        ('right = ["right"], both = ["left", "right"]', "right = [], both = [\"left\"]",
         "no path of lines leads from it to the engine"),
    ],
)  # fmt: skip
def test_unreachable_tank(old: str, new: str, problem: str, two_tanks: str, mistakes: Read) -> None:
    text = two_tanks.replace(old, new)
    found = [m for m in mistakes(text) if m.item == 'tank "right"']
    assert [m.problem for m in found] == [problem]
    second = text.index("[[tank]]", text.index("[[tank]]") + 1)
    assert found[0].line == text.count("\n", 0, second) + 1


def test_engine_without_a_line(two_tanks: str, mistakes: Read) -> None:
    text = two_tanks.replace('to = "engine"', 'to = "left.front"')
    assert any("no line leads to the engine" in m.problem for m in mistakes(text))


def test_one_way_valve_the_wrong_way_round(two_tanks: str, mistakes: Read) -> None:
    text = two_tanks.replace(
        'from = "bowl"\nto = "engine"', 'from = "engine"\nto = "bowl"'
    ).replace(
        'parts = [{ part = "sediment bowl", bore = "0.297 in" }]',
        'parts = [{ part = "one-way valve", cracking = "100 Pa", kv = 1.0 }]',
    )
    (only,) = mistakes(text)
    assert only.item == "engine"
    assert "no open path" in only.problem


def test_a_check_valve_has_no_usual_value(two_tanks: str, mistakes: Read) -> None:
    text = two_tanks.replace(
        'parts = [{ part = "sediment bowl", bore = "0.297 in" }]',
        'parts = [{ part = "one-way valve", cracking = "100 Pa" }]',
    )
    (only,) = mistakes(text)
    assert "is missing for a one-way valve" in only.problem
    assert "cv" in only.remedy


def test_closed_line_is_a_caution_where_another_tank_feeds(two_tanks: str, mistakes: Read) -> None:
    text = two_tanks.replace('hose_bore = "11/32 in"', 'hose_bore = "11/32 in"\nclosed = true')
    assert mistakes(text) == []
    parts = 'parts = [{ part = "elbow 90"'
    text = text.replace(parts, f"closed = true\n{parts}")
    (only,) = mistakes(text)
    assert "no open path" in only.problem


def test_loop_of_references(two_tanks: str, mistakes: Read) -> None:
    """Two junctions that are each known only from the other."""
    text = (
        two_tanks
        + """
[[junction]]
name = "a"
[[junction]]
name = "b"
[[line]]
name = "a to b"
from = "a"
to = "b"
bore = "8 mm"
length = "1 m"
rise = "0 m"
aft = "1 m"
[[line]]
name = "b to a"
from = "b"
to = "a"
bore = "8 mm"
length = "1 m"
rise = "0 m"
aft = "-1 m"
"""
    )
    found = mistakes(text)
    assert [m.item for m in found] == ['junction "a"', 'junction "b"']
    assert all("depends on" in m.problem for m in found)
    assert found[0].line == text.count("\n", 0, text.index('[[junction]]\nname = "a"')) + 1


def test_contradiction_within_a_per_cent_is_let_pass(two_tanks: str, mistakes: Read) -> None:
    close = '[[junction]]\nname = "bowl"\nat = ["5 in", "0 in", "17.03 in"]'
    assert mistakes(two_tanks.replace('[[junction]]\nname = "bowl"', close)) == []


def test_two_selectors_in_series_are_allowed(two_tanks: str, mistakes: Read) -> None:
    text = two_tanks.replace(
        '[[junction]]\nname = "bowl"',
        '[[selector]]\nname = "bowl"\nports = { in = "to bowl" }\noutlet = "to engine"\n'
        'positions = { on = ["in"], off = [] }\njudged = ["on"]',
    )
    assert mistakes(text) == []


def _values_and_keys(text: str) -> Iterator[tuple[int, str]]:
    """Make every value unreadable, and misspell every key, one at a time: line and text."""
    for match in re.finditer(r'"[-0-9./]+( x [0-9.]+ in)? [^"]*"|(?<== )[0-9.]+', text):
        if not text[: match.start()].rsplit("\n", 1)[-1].lstrip().startswith("#"):
            line = text.count("\n", 0, match.start()) + 1
            yield line, f'{text[: match.start()]}"abc"{text[match.end() :]}'
    for match in re.finditer(r"^[a-z_]+(?= = )", text, re.MULTILINE):
        line = text.count("\n", 0, match.start()) + 1
        yield line, f"{text[: match.end()]}x{text[match.end() :]}"


@pytest.mark.parametrize("base", ["two tanks", "starter"])
def test_one_slip_anywhere_is_one_mistake_on_its_line(
    base: str, two_tanks: str, mistakes: Read
) -> None:
    """No slip drags others with it, wherever it stands."""
    text = two_tanks if base == "two tanks" else starter_text("x")
    tried = 0
    for line, slipped in _values_and_keys(text):
        found = mistakes(slipped)
        assert [m.line for m in found] == [line], "\n".join(str(m) for m in found)
        tried += 1
    assert tried > 80


def test_parts_of_a_line_whose_size_is_unreadable_are_not_blamed(
    two_tanks: str, mistakes: Read
) -> None:
    text = two_tanks.replace('to = "bowl"\ntube = "3/8 in x 0.035 in"', 'to = "bowl"\ntube = "-6"')
    text = text.replace('loss = { part = "selector", bore = "0.25 in" }', "")
    (only,) = mistakes(text)
    assert "dash number" in only.problem


def test_more_positions_than_can_be_solved_are_a_mistake_at_the_selector_too_many(
    two_tanks: str, mistakes: Read
) -> None:
    """Four selectors of five positions are 625 settings; they took minutes and the memory."""
    more = "".join(
        f'\n[[selector]]\nname = "s{n}"\nat = ["15 in", "0 in", "19 in"]\noutlet = "to bowl"\n'
        'ports = { a = "left down" }\n'
        f"positions = {{ {', '.join(f'p{k} = [{chr(34)}a{chr(34)}]' for k in range(5))} }}\n"
        'judged = ["p0"]\n'
        for n in range(4)
    )
    text = two_tanks + more
    found = [m for m in mistakes(text) if "at most 64 can be" in m.problem]
    assert len(found) == 1
    assert found[0].item.startswith('selector "s')
    assert text.split("\n")[(found[0].line or 0) - 1].startswith("positions")

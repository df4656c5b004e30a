"""Words of what is assumed, forgotten or not measured, and of what is used outside its range."""

WORDS = {
    "burn_words.full_power_burn_engine": (
        "The full-power burn of {burn:mass_flow.2} is that of an engine of {power:thousands.4g} "
        "kW ({horsepower:.4g} hp) at {consumption} (AC 90-89A), far outside {least:thousands.0} "
        "to {most:thousands.0} kW (common practice, no source). Everything is judged against it: "
        "confirm it, its unit and its decimal point."
    ),
    "burn_words.full_tanks_would_last": (
        "Full tanks would last {lasts:hours.0} hours at the full-power burn of "
        "{burn:mass_flow.2}; more than {longest:hours.0} is unlikely (common practice, no "
        "source). Everything is judged against the burn: confirm it, its unit and its decimal "
        "point."
    ),
    "carburettor_words.carburettor_needle_seat_not": (
        "the carburettor's needle and seat is not stated; it costs head and is left out"
    ),
    "carburettor_words.carburettor_known_least_inlet": (
        "the carburettor is known by its least inlet pressure alone: nobody states which flow "
        "passes its needle and seat at it"
    ),
    "carburettor_words.maker_states_least_inlet": (
        "the maker states {promised:mass_flow.1} at the least inlet pressure, less than the "
        "{required:mass_flow.1} required"
    ),
    "forgotten.descent_pitch_flight": "descent_pitch in [flight]",
    "forgotten.descent_burn_engine": "descent_burn in [engine]",
    "forgotten.descent_not_judged_not": (
        "The descent is not judged: {missing:and} not stated. Nose-down the fuel runs forward, "
        "away from outlets at the rear; state the steepest descent flown and its burn."
    ),
    "forgotten.line_has_no_part": (
        'Line "{line}" has no part at all: no elbow, union or valve. One elbow of its bore costs '
        "{elbow:length.1} at the required flow; list what is screwed onto it."
    ),
    "forgotten.between_tank_engine_no": (
        "Between tank {tanks:quoted_and} and the engine there is no strainer or bowl on any line "
        "(a finger strainer in the tank is not one). A sediment bowl costs {cost:length.0} of "
        "fuel at the required flow; list it, or fit one that can be drained."
    ),
    "forgotten.line": 'Line "{line}"',
    "forgotten.line_part": 'Line "{line}", {part}',
    "forgotten.bore_outside_diameter_tube": (
        "{item}: bore {bore:bore.4g} is the outside diameter of {tube} tube, which is "
        "{inside:bore.4g} inside and loses {times:.1f} times as much; measure the bore with a "
        "drill shank, or write the tube's size."
    ),
    "joins.outlet_tank_joined_no": (
        'Outlet "{outlet}" of tank "{tank}" is joined to no line: nothing feeds through its '
        "{bore:length.1}; join it by a line, or take it out and plug the port."
    ),
    "joins.no_position_opens_port": (
        'No position opens port "{port}" of selector "{selector}": line "{line}" feeds in none '
        "of {positions:d} positions; name it in the positions that open it, or take it out."
    ),
    "joins.tanks_joined_every_position": (
        'Tanks "{one}" and "{other}" are joined in every position: they cannot be isolated. '
        "Parked, 1 deg of slope moves fuel until their depths differ by {apart:length.0}, and "
        "out of a vent if it is lower; fit a shut-off or a position that parts them, and see "
        "`flowsim flight --transfer`."
    ),
    "joins.position_feeds_tank_whose": (
        'Position "{name}" feeds from tank {tanks:quoted_and}, whose outlet lies {side} of the '
        "tanks' middle; correct the ports of the position, or the sign of the buttlines (right "
        "is positive)."
    ),
    "joins.tank_lies_tanks_middle": (
        'Tank "{tank}" lies {side} of the tanks\' middle; correct its name, or the sign of the '
        "buttlines (right is positive)."
    ),
    "measured_words.one_reading_loss_taken": (
        "one reading, at {first:flow.4g}: its loss is taken as a straight line below it and as "
        "the square of the flow above; measure it at two flows or more"
    ),
    "measured_words.below_first_reading_loss": (
        "below its first reading, at {first:flow.4g}, its loss is taken as a straight line down "
        "to no flow"
    ),
    "measured_words.fuel": "the fuel",
    "measured_words.viscosity_liquid_readings_not": (
        "the viscosity of the liquid of its readings ({density:density.0}) is not said; taken as "
        "that of {liquid} at {temperature:temperature.0} ({viscosity:millionths.3g} mm2/s), and "
        "a thinner fuel gets no credit; write viscosity"
    ),
    "measured_words.friction_factor_smaller_than": (
        "the friction factor {friction_factor:g} of {found} is smaller than that of any pipe at "
        "so little flow: leave friction_factor out, then the law is taken"
    ),
    "measured_words.law_used_outside_range": (
        "the law of {found} is used outside the range it was measured in"
    ),
    "measured_words.measure": "{words} ({range}): measure it at {needed:flow.3g}",
    "measured_words.used_below_lowest_reading": (
        "{part} is used below its lowest reading ({range}), on a straight line, which may be "
        "more than it loses: measure it at {needed:flow.3g}"
    ),
    "measured_words.below_in_scenarios": (
        "{part} is used below its lowest reading ({range}) in {count:d} judged scenarios: its "
        "loss is taken there as a straight line down to no flow, which is more than a square law "
        "gives. Measure it at the flow that it carries."
    ),
    "places.line_length_times_points": (
        'Line "{line}": its length of {length:length.0} is {times:.1f} times that of its points, '
        "{points:length.0}; measure it along the tube, or give the points where it turns."
    ),
    "places.engine_inlet": "The engine's inlet",
    "places.vent_tank": 'The vent of tank "{tank}"',
    "places.line_point": 'Line "{line}", point {n:d}',
    "places.tank_reaches_over_far": (
        'Tank "{tank}" reaches over {length:length.0} of {axis}, far more than all else in the '
        "case; check the unit of its points."
    ),
    "places.lies_outside_all_else": (
        "{name}: {axis} {value:length.0} lies {outside:length.0} outside all else; {unit}"
    ),
    "places.probably_another_unit_correct": (
        "probably another unit ({one} and {other}): correct it."
    ),
    "places.check_unit": "check it, and its unit.",
    "remarks.tank": 'tank "{tank}": {note}',
    "remarks.wherever_says_adequate_adequate": (
        "{missing:capital}. Wherever this says adequate, it is adequate, open line only."
    ),
    "remarks.open_line_judged_rest": (
        "The open line is judged at rest, as the ground test is made: the suction at the vents "
        "in flight is left out there. It is judged in the lines of result that say so: in "
        "flight, in the descent and in the take-off run."
    ),
    "remarks.tank_stated_level_taken": (
        "A tank of stated level is taken to stay full; whether it is refilled is judged beside "
        "the flow."
    ),
    "remarks.required_flow_pressure_line": (
        "At the required flow the pressure in a line drops {below:pressure.1} below tank air "
        "pressure: dissolved air comes out, leaks suck in air, and the line does not prime "
        "itself. Lead that line lower, or cut the loss upstream of its high point."
    ),
    "remarks.fuel_flows_back_into": (
        'Fuel flows back into tank "{tank}" through outlet "{outlet}" in {count:d} of the '
        "scenarios."
    ),
    "remarks.no_source_given_loss": "No source is given for the loss of: {parts:list}.",
    "unmeasured.measure_height_between_fuel": (
        "measure the height between the fuel surface and this place again, with a water level"
    ),
    "unmeasured.take_full_power_burn": (
        "take the full-power burn, full rich, from the engine maker's data"
    ),
    "unmeasured.take_burn_engine_maker": "take the burn from the engine maker's data",
    "unmeasured.read_datum_pitch_steepest": (
        "read the datum's pitch in the steepest climb, with an inclinometer"
    ),
    "unmeasured.stated_without_saying_where": "stated without saying where from",
    "unmeasured.head_fuel": ", {share:percent.0} % of the head ({loss:length.0} of fuel)",
    "unmeasured.not_measured": "{name}: {kind}{share}, not measured{source}; {measure}",
    "unmeasured.corrected_all_others_ground": (
        "{source}; corrected with all others by a ground test"
    ),
    "unmeasured.time_flow_out_tank": (
        "time a flow out of the tank's outlet alone at a known height of fuel over it"
    ),
    "carburettor_words.no_data": (
        "no carburettor data: its inlet screen, needle and seat and float level cost head and "
        "are left out; the suction at the vents in flight is judged at the open line instead"
    ),
    "joins.to_the_right": "{away:length.0} to the right",
    "joins.to_the_left": "{away:length.0} to the left",
    "measured_words.of_part": "{part} ({owner}): {said}",
    "measured_words.water": "water",
    "measured_words.flow": "{flow:flow.4g}",
    "measured_words.flows": "{flows:flow.4gspan}",
    "places.node": '"{node}"',
    "remarks.assumed": "{item}: assumed {value}{note}",
    "remarks.not_given": "{item}: not given, taken as {value}{note}",
    "joins.not_judged": (
        'Position "{name}" of selector "{selector}" feeds the engine and is not judged: nothing '
        "is said of {count:d} line ({lines:quoted_and}) in it; add it to judged, or placard it "
        "against take-off and climb."
    ),
    "joins.several_not_judged": (
        'Position "{name}" of selector "{selector}" feeds the engine and is not judged: nothing '
        "is said of {count:d} lines ({lines:quoted_and}) in it; add it to judged, or placard it "
        "against take-off and climb."
    ),
}

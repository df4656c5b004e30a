"""Words of how lines run: low and high points, bends, supports, clearances."""

WORDS = {
    "findings.vent_rule": "14 CFR 23.975 before amendment 23-64 (read)",
    "findings.drain_rule": "14 CFR 23.999 before amendment 23-64 and common practice",
    "findings.most": "{low_point} ({attitudes:list}; most in {attitude})",
    "findings.ground_level_flight_none": (
        "; on the ground and in level flight it is none or drained"
    ),
    "findings.heights_known_best_look": (
        "; heights are known to {doubt:length.1} at best: look along it with a level"
    ),
    "findings.dip_holds": "a dip of {depth:length.1} holds {holds:little_or_more}",
    "findings.undrained": "{words}, undrained",
    "findings.drain_leaves": '{words}; drain "{drain}" leaves {left:little_or_more} of it',
    "findings.tank": 'tank "{tank}"',
    "findings.shape_not_known_nor": "its shape is not known, nor its lowest place",
    "findings.stays_below_deep_aeroplane": (
        "{much:little_or_more} stays below {way_out}, {depth:length.1} deep as the aeroplane stands"
    ),
    "findings.holds_air_while_no": (
        "holds {holds:little_or_more} of air while no fuel flows through it ({where:list})"
    ),
    "findings.if_high_point_which": (
        ", if it is a high point, which the heights are not known well enough to tell: look "
        "along it with a level"
    ),
    "findings.may_hold": (
        "may hold air: {state} ({where:list}); up to {column:length.0} of head; {flow:flow.1} "
        "there, {clearing_flow:flow.1} surely clears ({attitude}, {case}){doubt}"
    ),
    "findings.clearing_laws_docs_theory": "clearing laws, docs/theory/air.md",
    "findings.after_tank_has_run": (
        "after the tank has run dry air cannot rise back past {broken_at} ({attitudes:list}): "
        "bleed the line at its low end before flight"
    ),
    "findings.continuous_rise_low_point": (
        "continuous rise from the low point to the outlet: common practice, no source"
    ),
    "findings.changes_falling_rising_within": (
        "changes from falling to rising within the attitudes: {least:+.1f} deg at worst"
    ),
    "findings.only_deg_worst_deg": (
        "{sense} by only {least:.1f} deg at worst, {wanted:deg.3g} deg is wanted"
    ),
    "findings.line_run": 'line "{line}", run {number:d}',
    "findings.line": 'line "{name}"',
    "findings.only_length_ends_known": (
        "only its length and its ends are known: its slopes, low and high points, bends and "
        "clearances between them are not known; write via or straight"
    ),
    "findings.missing_coordinates": "missing coordinates",
    "findings.drain": 'drain "{drain}"',
    "findings.lies_taken_drain_nearest": (
        "lies {distance:length.1} from {reached}; taken to drain the nearest place"
    ),
    "findings.no_table_has_least": (
        "no table has the least bend radius of this tube or hose; ask its maker and write "
        "least_bend_radius"
    ),
    "findings.no_table": "no table",
    "findings.runs_straight_between_two": (
        "runs straight between two rigid fittings: give it a bend, which takes up vibration, "
        "heat and a misfit"
    ),
    "findings.least_one_bend_between": (
        "at least one bend between rigid fittings (secondary source)"
    ),
    "findings.line_start": 'line "{line}", {start:length.1} to {end:length.1} from its start',
    "findings.no_table_has_largest": "no table has the largest span of this tube",
    "findings.between_supports_most": (
        "{length:length.1} between supports, {largest:length.1} at most"
    ),
    "findings.supports_not_stated_no": "supports are not stated, and no table has its largest span",
    "findings.supports_not_stated_needs": (
        "supports are not stated; it needs {count:d}, at most {limit:length.1} apart"
    ),
    "findings.handbook_table": "handbook table",
    "findings.sags_more_than_tenth": (
        "sags by more than a tenth of its span ({sag:length.1} by the beam formula, which ends "
        "before that): support it closer"
    ),
    "findings.small_deflections_only": "small deflections only",
    "findings.sags_into_dip_holds": (
        "sags by {sag:length.1} into a dip of {dip:length.1} that holds {holds:little_or_more} "
        "({attitude}, falling by {fall:deg.1} deg): support it closer"
    ),
    "findings.roark_uniform_load_ends": "Roark, uniform load, ends free to turn (from memory)",
    "findings.lead_one_them_away": (
        ": lead one of them away, or correct the points; no sleeve makes up for it"
    ),
    "findings.support_sleeve": " (or a support and a sleeve)",
    "findings.line_and_other": 'line "{line}" and {other}',
    "findings.they_touch_overlap": "they touch or overlap",
    "findings.apart": "{gap:length.1} apart",
    "findings.wanted": (
        "{touch} at station, buttline, waterline {at:point}; {wanted:length.1} is wanted{instead}"
    ),
    "findings.apart_better_where_possible": (
        "{gap:length.1} apart; {better:length.0} is better where possible"
    ),
    "findings.wire_lies_below_fuel": (
        "the wire lies below the fuel line where they are nearest: a leak drips on it"
    ),
    "findings.fuel_line_below_wires": "fuel line below wires (secondary source)",
    "findings.not_stated_nothing_said": "not stated, so nothing is said of it; {remedy}",
    "findings.not_stated": "not stated",
    "attitudes.ground_attitude": "ground attitude",
    "attitudes.write_ground_kind_pitch": "write [ground] with kind and pitch",
    "attitudes.stated_level_attitude": "stated level attitude",
    "attitudes.climb_deg_more": "climb and {test_margin:deg.3g} deg more",
    "attitudes.write_descent_pitch_flight": "write descent_pitch in [flight]",
    "attitudes.stated_descent": "stated descent",
    "attitudes.level_turn_without_slip": "level turn without slip, left and right alike",
    "attitudes.stated": "{gear}, as stated",
    "attitudes.stated_slip_level_pitch": "stated slip, level pitch",
    "clearances.never_less_than_where": (
        "never less than 1/2 in, 6 in where possible (secondary source)"
    ),
    "clearances.practice_of_hot_parts": "100 mm, common practice, no source",
    "clearances.practice_of_controls": "25 mm, common practice, no source",
    "clearances.between_supports_transport_manual": (
        "0.20 in between supports (a transport manual, read)"
    ),
    "clearances.line_outside_diameter_not": (
        'line "{line}": outside diameter not given, taken as its bore and twice {wall:length.0} '
        "(common practice, no source)"
    ),
    "clearances.ahead": "ahead of",
    "clearances.outboard": "outboard of",
    "clearances.stated_case": "as stated in the case",
    "courses.line_point_after_start": (
        'line "{line}" at point {corner:d} after its start, {along:length.0} along'
    ),
    "cut_list.bore": "bore {bore:bore.2unit}",
    "high_points.screens": "screens {dirty}",
    "low_points.line": 'line "{reaches}"',
    "low_points.drain": "drain {number:d}",
    "low_points.tank_end": "tank end of {vent}",
    "low_points.open_end": "open end of {vent}",
    "routing.wanted_margin_slope_deg": "wanted margin of slope 1 deg",
    "routing.bank_turn_deg": "bank of the turn 30 deg",
    "routing.trim_each_end_piece": "trim of {trim:length.1} at each end of a piece",
    "routing.sleeves": "sleeves of {sleeve:length.0}",
    "routing.not_given_common_practice": "{text}: not given, common practice, no source",
    "routing.make_up_fittings_not": (
        "make-up of fittings not given, nothing taken off (cut long, trim to fit): {lines:list}"
    ),
    "routing.ends_every_line_taken": (
        "the ends of every line are taken as held; valves and selectors as open"
    ),
    "routing.humps_judged_test_quantity": (
        "humps are judged on the test quantity, at the flow that arrives with their air"
    ),
    "routing.volumes_bore_area_times": (
        "Volumes are bore area times length of centre-line; bodies of bowls and filters are left "
        "out. Dips shallower than your measuring are not seen: look along each line with a level."
    ),
    "routing.heights_known_about_slope": (
        "Heights are known to about {deviation:bore.3g}; a slope over a short run is known no "
        "better than that."
    ),
    "supports.stated_case": "as stated in the case",
    "supports.less_fittings": "{source}, 20 % less for its fittings",
    "ticks.line": 'line "{laid}": {protection}',
    "ticks.line_sleeve": 'line "{laid}": sleeve of {value:length.0} at the {kind} "{item}"',
    "ticks.drain_drains": 'drain "{d}" drains {reaches}',
    "ticks.run": "on run {run:d}",
    "ticks.from_value_length_on": "from {along:length.0} on",
    "ticks.line_trim_cut_off": (
        'line "{line}": {trim:length.0} of trim cut off at each end of each piece'
    ),
    "findings.water_stays_below": (
        "water stays below {way_out}, {depth:length.1} deep as the aeroplane stands"
    ),
    "findings.holds": (
        "holds air: {state} ({where:list}); up to {column:length.0} of head; {flow:flow.1} "
        "there, {clearing_flow:flow.1} surely clears ({attitude}, {case}){doubt}"
    ),
    "findings.line_run_mean": 'line "{line}", run {number:d} (mean from end to end)',
    "findings.less_radius": (
        "radius {radius:length.1} at point {points:list} is less than {least:length.1}"
    ),
    "findings.less_radius_next_size": (
        "radius {radius:length.1} at point {points:list} is less than {least:length.1} (that of "
        "the next larger size in the table)"
    ),
    "low_points.place": '"{reaches}"',
    "routing.common_practice": "common practice, no source",
    "findings.other": '{kind} "{other}"',
    "findings.geometry": "geometry",
    "cut_list.of_bore": "{kind}, bore {bore:bore.2}",
    "cut_list.outside_and_wall": "{outside:bore.2cell} x {wall:bore.2unit}",
    "clearances.above": "above",
    "high_points.temperature": "{temperature:temperature.0}",
    "high_points.case": "{words:list}",
    "ticks.wrap": "anti-chafe wrap of {long:length.0} {where}{note}",
    "ticks.sleeve": "sleeve of {long:length.0} {where}{note}",
    "low_points.nowhere": "nowhere",
    "tank_water.way_out": '{kind} "{name}"',
    "tank_water.nothing": "nothing",
    "attitudes.descent": "descent",
}

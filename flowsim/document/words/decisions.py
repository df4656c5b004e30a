"""Words of what decides the verdict beside the lines of flow."""

WORDS = {
    "air.declare_more_unusable_fuel": (
        "declare more unusable fuel, move the outlet to where it stays covered, or lead its line "
        "further down before it meets another (flowsim unusable gives the quantities)"
    ),
    "air.required_flow": "{unsolved} at its required flow",
    "air.no_outlet_stands_above": (
        "no outlet stands above the fuel of a flowing way in any judged scenario"
    ),
    "air.no_outlet_uncovers": "no outlet uncovers",
    "air.air_drawn_through_uncovered": (
        "air is drawn through an uncovered outlet at the required flow or less: the fuel stands "
        "{margin:length.0} below the junction of its leg"
    ),
    "air.air_drawn": "air is drawn",
    "air.least_fuel_stands_over": (
        "at least {margin:length.0} of fuel stands over the junction of an uncovered outlet "
        "({wanted:length.0} wanted)"
    ),
    "air.fuel_over_junction": "{margin:length.0} of fuel over the junction",
    "carburettor_data.measure_bore_needle_seat": (
        "measure the bore of the needle's seat (drill shank or pin gauge), or time the flow "
        "through the carburettor at a known height of fuel over it, and state it as the part "
        '"needle and seat"'
    ),
    "carburettor_data.carburettor_data": "carburettor data",
    "carburettor_data.nothing_said_what_arrives": (
        "{missing}; nothing is said of what arrives in the float bowl"
    ),
    "carburettor_data.needle_seat_not_known": "needle and seat not known",
    "cover.outlets_doubt": "outlets in doubt",
    "cover.declare_more_unusable_fuel": (
        "declare more unusable fuel, so that the outlet is surely covered (flowsim unusable), "
        "set the outlet lower, or measure the heights of surface and outlet more closely"
    ),
    "cover.adequate_either_way": "adequate either way",
    "cover.covered_bare_not_certain": "covered or bare is not certain",
    "cover.not_certain_whether_fuel": (
        "it is not certain whether fuel covers an outlet; with {told:semi}"
    ),
    "cover.without": "{taken}, as without, {arrives}",
    "flow.see_which_line_part": (
        "see which line or part costs most head (below) and try sizes: flowsim size"
    ),
    "flow.lead_line_falls_all": (
        "lead the line so that it falls all the way from tank to low point (flowsim routing)"
    ),
    "flow.measure_what_spread_goes": (
        "measure what the spread goes most with (below): flowsim uncertainty ranks it"
    ),
    "flow.surer_or_size": "{surer}; or {size}",
    "flow.air_humps_may_hold": "{words}, with the air that humps may hold still in place",
    "flow.none_runs_back": "none; it runs back",
    "flow.none_required_flow_arrives": "none of the required flow arrives, it runs back",
    "flow.required_flow": "{least:ratio} % of the required flow",
    "flow.draws": "{words} ({low:ratio} to {high:ratio} % in 5 to 95 % of the draws)",
    "flow_meter.flow_meter_blocked": "flow meter blocked",
    "flow_meter.measure_blocked_hold_rotor": (
        "measure it blocked: hold the rotor and read the pressure drop at two flows or more up "
        "to the required one (measured_blocked), or state the coefficient of its bypass "
        "(bypass_cv, bypass_kv)"
    ),
    "flow_meter.what_still_passes_when": "what {meter} still passes when blocked is not known",
    "flow_meter.nominal_values": "with {meter} blocked {arrives} ({least}, nominal values)",
    "flow_meter.fit_bypass_round_meter": (
        "fit a bypass round the meter, or a meter that passes more when it is blocked"
    ),
    "fuel_data.temperature": "{kelvin:temperature.0}",
    "fuel_data.fuel": "{one} of the fuel",
    "fuel_data.read_only_judged_where": (
        "it was read at {read:and} only and is judged at {where:temperature.0}, where {beyond}"
    ),
    "fuel_data.read_only": "read at {read:and} only",
    "fuel_data.liquid_case": "liquid of the case",
    "fuel_data.degc_heavier_than_what": (
        "{fuel}, {heavy:density.3g} at 15 degC, is heavier than what an engine burns: the "
        "figures hold for a bench test with it"
    ),
    "fuel_data.write_fuel_kind_engine": "write in [fuel] the kind that the engine burns",
    "fuel_data.no_fuel": "no fuel",
    "fuel_data.thinner_than_fuels": (
        "{thin:millionths.3g} mm2/s at 20 degC is thinner than any fuel (petrol has 0.5 to 0.8; "
        "below {least:millionths.3g} there is none)"
    ),
    "fuel_data.read_viscosity_again": (
        "look at the reading and its unit again, or leave viscosity out of [fuel]"
    ),
    "fuel_data.too_thin": "too thin",
    "fuel_data.density_fuel": "density of the fuel",
    "fuel_data.measure_hydrometer_state_fuel": (
        "measure it with a hydrometer and state it in [fuel] (density, with the temperature at "
        "which it was read)"
    ),
    "fuel_data.not_measured": "not measured",
    "fuel_data.fuel_lighter": "the fuel is lighter",
    "fuel_data.fuel_thicker": "the fuel is thicker",
    "fuel_data.vapour_pressure": "vapour pressure",
    "fuel_data.fuel_boils_sooner": "the fuel boils sooner",
    "header_refill.refill_header_tank": "refill of the header tank",
    "header_refill.wider_shorter_line_into": (
        "a wider or shorter line into the header tank, or a lower header tank"
    ),
    "header_refill.wider_or_filler": (
        "a wider or shorter line into the header tank, or a lower header tank; if it is filled by "
        "hand, as a main tank is, state filler_at"
    ),
    "header_refill.describe_tanks_lines_keep": (
        "describe the tanks and lines that keep it filled; if it is filled by hand and lasts "
        "half an hour on full-power burn, state filler_at and its shape"
    ),
    "header_refill.header_tank": 'header tank "{tank}"',
    "header_refill.nothing_case_describes_refills": (
        "{name}: nothing that the case describes refills it"
    ),
    "header_refill.gives_engine_no_fuel": (
        "{name}: it gives the engine no fuel in any judged attitude"
    ),
    "header_refill.see_flow_lines_above": "see the flow lines above",
    "header_refill.least_burn_flows_into": (
        "{name}: at least {low:ratio} % of the burn flows into it from the tanks behind it "
        "({how}; {where}); {asked:percent.0} % wanted"
    ),
    "header_refill.refill_could_not_worked": (
        "{name}: its refill could not be worked out in every draw ({how})"
    ),
    "header_refill.none_flows_into_runs": (
        "{name}: none flows into it, it runs back ({how}; {where})"
    ),
    "header_refill.air_may_drawn_empty": "; air may be drawn in from an empty tank behind it",
    "header_refill.nominal_values": "nominal values",
    "header_refill.not_solved": "not solved",
    "header_refill.in_draws": "5th percentile",
    "header_refill.dry": ', "{tank}" dry',
    "humps.course_line_not_known": (
        "the course of line {bare:quoted_list} is not known: it may climb over a high point that "
        "holds air"
    ),
    "humps.write_course_corners_one": (
        "write its course: its corners one by one (via), or straight = true; a level laid along "
        "it shows where it climbs"
    ),
    "humps.no_line_holds_air": "no line holds air behind a high point in any judged attitude",
    "humps.air_place": "{names:semi}. With that air in place {arrives} ({how})",
    "humps.where_may_no_hump": (
        "; where it may be no hump, measure its heights better (height_accuracy)"
    ),
    "humps.in_draws": "5th percentile",
    "humps.not_solved": "not solved",
    "humps.nominal_values": "nominal values",
    "little_fuel.fuel_test": "fuel of the test",
    "little_fuel.required_flow_judged_unusable": (
        "the required flow is judged on the unusable fuel plus {test_draw:volume.1}, "
        "{minutes:.0f} minutes of it: that is not little fuel, and what arrives on less is not "
        "said"
    ),
    "little_fuel.write_draw_test_what": (
        "write as draw in [test] what one run draws, at most {most:volume.1}"
    ),
    "little_fuel.test_draws_too_much": "the test draws too much",
    "slip.published_rule_text_counts": (
        "published rule text counts the most adverse feed condition of each intended manoeuvre "
        "as unusable fuel; here a slip has a least fuel of its own"
    ),
    "slip.no_slip_stated_nothing": "no slip is stated, so nothing is said of slips",
    "slip.if_slips_flown_write": (
        "if slips are flown, write slip, slip_time and slip_fuel in [routing]"
    ),
    "slip.slip_not_known_which": (
        "in a slip it is not known which outlets of {blind:quoted_and} are covered: a dip table "
        "alone"
    ),
    "slip.lost_even_full_tank": "is lost even with a full tank",
    "slip.no_result_joint_draws": ", no result in {failed:d} of {draws:d} joint draws",
    "slip.tank_burn_lines_hold": (
        '{selector}, tank "{tank}": the burn {needs}; the lines hold {seconds:.0f} s of it{drawn}'
    ),
    "slip.no_longer_than_s": "for no longer than {seconds:d} s (slip_time)",
    "slip.fly_no_quantity_enough": "fly it {short}: no quantity is enough on its own; placard it",
    "slip.fly_least_tank_use": (
        "fly it with at least {fuel:volume.1} in the tank in use (slip_fuel), or {short}, and "
        "placard that"
    ),
    "takeoff_run.take_off_run": "take-off run",
    "takeoff_run.judged_level_pitch_deg": (
        "It is judged at the level pitch, {level:.1f} deg, only: the ground attitude, in which "
        "it begins, is not stated."
    ),
    "takeoff_run.read_pitch_datum_aeroplane": (
        "Read the pitch of the datum with the aeroplane on its wheels (a tailwheel aeroplane: on "
        'three points) and write it under [ground]: kind = "tailwheel" or "nosewheel", pitch = '
        '"11 deg".'
    ),
    "tank_data.tank_known_dip_table": "tank known by a dip table",
    "tank_data.measure_tank_floor_state": (
        "measure the tank's floor and state floor_length, floor_width and floor_at, or describe "
        "the tank by points (box, lofted, cells)"
    ),
    "tank_data.capacity_tank": "capacity of the tank",
    "tank_data.measure_tank_describe_points": (
        "measure the tank and describe it by points (box, lofted, cells)"
    ),
    "tank_data.tank_dipped_deg_nose": (
        'tank "{tank}" was dipped at {pitch:deg.1} deg nose-up and is judged up to {away:deg.0} '
        "deg away from that: which of its outlets are covered there is not known"
    ),
    "tank_data.tank_takes_capacity_points": (
        'tank "{tank}" takes {stated:volume.1} by its capacity and {computed:volume.1} by its '
        "points and fill factor: in a tank so much larger the fuel stands lower than is worked "
        "out here"
    ),
    "tank_data.measure_inside_tank_again": (
        "measure the inside of the tank again (its points, fill_factor), or fill it and write "
        "what it takes (capacity)"
    ),
    "tank_data.points_capacity_differ": "points and capacity differ",
    "tank_data.surfaces_tilt_box_stated": (
        "surfaces tilt as in a box of the stated floor; with their highest places {arrives} "
        "({gravest}), with their lowest see the requirements"
    ),
    "unusable_fuel.declare_more_much_flowsim": (
        "declare more ({key}), as much as `flowsim unusable` works out, or keep the outlets covered"
    ),
    "unusable_fuel.no_result_solve_failed": (
        "no result, as a solve failed in {failed:d} of {draws:d} joint draws"
    ),
    "unusable_fuel.joint_draws": "in {count:d} % of {draws:d} joint draws",
    "unusable_fuel.unusable_fuel_declared": "unusable fuel as declared",
    "unusable_fuel.burn_arrives_required_flow": (
        "the burn arrives on it, and the required flow with what the test draws on top"
    ),
    "unusable_fuel.least_take_off_fuel": "least take-off fuel",
    "unusable_fuel.required_flow_arrives_burn": (
        "the required flow arrives on it, and the burn in the take-off run"
    ),
    "unusable_fuel.wider_line_less_loss": "a wider line, or less loss in it",
    "unusable_fuel.tank_not_enough": "tank {tanks}: it is not enough ({where})",
    "unusable_fuel.enough_wanted": (
        "{words}; it is enough{often}, {high:percent.0} % wanted ({dipping})"
    ),
    "unusable_fuel.surface_dipping_times_deep": (
        "surface dipping {times:.0f} times as deep as in a still tank"
    ),
    "unusable_fuel.tank": "tank {tanks}: {not_solved} ({where})",
    "unusable_fuel.required_flow": "required flow",
    "unusable_fuel.does_not_arrive": "the {demand} does not arrive",
    "unusable_fuel.air_drawn": "air is drawn at the {demand}",
    "unusable_fuel.air_may_drawn": "air may be drawn at the {demand}",
    "unusable_fuel.with_the_dipping": ", with the {dipping}",
    "vapour.above_boiling": "{margin:pressure.1} above boiling",
    "vapour.keep_fuel_cooler_use": (
        "keep the fuel cooler, use one of lower vapour pressure (state its measured "
        "reid_vapour_pressure), or cut the losses ahead of the lowest pressure"
    ),
    "vapour.required_flow": "{unsolved} at its required flow",
    "vapour.no_judged_scenario_can": (
        "no judged scenario can be supplied, so there are no pressures to look at"
    ),
    "vapour.fuel_boils_pressure_falls": (
        "the fuel boils: the pressure falls {below:pressure.1} below its vapour pressure"
    ),
    "vapour.below_boiling": "{below:pressure.1} below boiling",
    "vapour.pressure_stays_above_fuel": (
        "the pressure stays {least:pressure.1} above the fuel's vapour pressure"
    ),
    "vapour.only_above_fuel_vapour": (
        "only {least:pressure.1} above the fuel's vapour pressure (rule of thumb: "
        "{vapour_doubt:pressure.0}, no source)"
    ),
    "water.water_ground": "water on the ground",
    "water.put_drain_lowest_place": (
        "put a drain at the lowest place and state it ([[drain]] with reaches and at)"
    ),
    "water.look_lowest_place_level": (
        "look at the lowest place with a level, or state a drain there ([[drain]])"
    ),
    "water.describe_tank_points_state": (
        "describe the tank by points, or state its lowest place (sump_at) and the drain there"
    ),
    "water.correct_point_unit_end": (
        "correct its point and its unit, or end a line at the drain that shows how it is reached"
    ),
    "water.write_course_via_straight": "write its course (via, or straight = true)",
    "water.ground_attitude_not_stated": (
        "the ground attitude is not stated, so nothing is said of water"
    ),
    "water.write_ground_kind_pitch": "write [ground] with kind and pitch: as the aeroplane stands",
    "water.lines_could_not_laid": "the lines could not be laid: {error}",
    "water.correct": "correct it",
    "water.every_low_place_lines": "every low place of lines and tanks is drained ({view})",
    "water.heights_no_surer": "{words} (heights are no surer)",
    "water.drain_lies_which_drains": (
        'drain "{drain}" lies {distance:length.0} from {reached}, which it drains'
    ),
    "water.course_line_not_known": (
        "the course of line {bare:quoted_list} is not known, so its low places are not"
    ),
    "water.tank": 'tank "{tank}": {tank_pool}',
    "header_refill.unsolved": "{name}: {where}: the network could not be solved",
    "header_refill.where": "{selector}, {pitch}, {state}{dry}, {warm:temperature.0}",
    "flow.least": "{least:ratio} %",
    "flow.least_in_band": "{figure} ({low:ratio} to {high:ratio})",
    "flow.least_far": "{figure} ({low:ratio})",
    "flow.draws_far": "{words} ({low:ratio} % in 95 % of the draws)",
    "cover.else": "{taken} {arrives} ({pitch:deg.1} deg, {state}, {line})",
    "cover.taken_as_covered": (
        'outlet "{outlet}" taken as covered, {depth:length.0} of fuel over it (surely covered '
        "from {sure:length.0})"
    ),
    "cover.taken_as_bare": (
        'outlet "{outlet}" taken as bare, {depth:length.0} of fuel over it (surely covered from '
        "{sure:length.0})"
    ),
    "flow_meter.in_draws": "with {meter} blocked {arrives} ({least}, 5th percentile)",
    "slip.found": "slip of {slip:deg.0} deg to either side: {said:semi} ({rule})",
    "slip.lost_below_full": "is lost below {quantity:volume.1} (even a full tank cautious)",
    "slip.lost_below": "is lost below {quantity:volume.1} ({cautious:volume.1} cautious)",
    "slip.seconds_in_draws": " ({low:.0f} to {high:.0f} s in 90 % of {draws:d} joint draws)",
    "slip.seconds_no_result": " (no result in {failed:d} of {draws:d} joint draws)",
    "slip.high_in_draws": ", {high:volume.1} at the 95th percentile of the draws",
    "fuel_data.read_second": (
        "measure it at a second temperature, best near {where:temperature.0}, and state two "
        "readings in [fuel]"
    ),
    "fuel_data.read_again": (
        "measure it at a temperature near {where:temperature.0}, and state two readings in [fuel]"
    ),
    "fuel_data.density": "density",
    "fuel_data.viscosity": "viscosity",
    "unusable_fuel.where": "{selector}, {pitch}, {kind}, {temperature:temperature.0}, {end}",
    "unusable_fuel.tanks": "{tanks:quoted_and}",
    "unusable_fuel.tanks_and_dry": "{tanks:quoted_and}, with {dry:quoted_and} dry",
    "unusable_fuel.often": " {share}",
    "unusable_fuel.enough": "{fine}{often} ({dipping})",
    "unusable_fuel.lost": "tank {tanks}: {says} on it{dipping} ({where})",
    "unusable_fuel.burn": "burn",
    "carburettor_data.left_out": (
        "its inlet screen, needle and seat and float level cost head and are left out; the "
        "suction at the vents in flight is judged at the open line instead"
    ),
    "fuel_data.met": "{close:list} is met by less than that",
    "fuel_data.all_met": "{close:list} are met by less than that",
    "fuel_data.together": " ({share:percent.1} % with both)",
    "fuel_data.density_not_measured": (
        "it was not measured: {taken:density.3g} at 15 degC is taken, fuels of this name go down "
        "to {lightest:density.3g}, {less:percent.1} % less by mass{together}, and {met}"
    ),
    "fuel_data.density_burn": "density of the burn",
    "fuel_data.burn_density_not_stated": (
        "the burn is a volume without its density: {taken:density.3g} is taken, fuels of this "
        "name go up to {heaviest:density.3g}, {more:percent.1} % more burn by mass{together}, "
        "and {met}"
    ),
    "fuel_data.state_burn_mass": (
        "state the burn as a mass, or burn_density in [engine] as the engine's maker measured it"
    ),
    "fuel_data.burn_density_missing": "burn_density not stated",
}

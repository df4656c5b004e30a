"""Words of the verdict: lines of flow, what decides them, and hot fuel."""

WORDS = {
    "judging.air_drawn_through_uncovered": (
        "air is drawn through an uncovered outlet at the required flow or less"
    ),
    "judging.only_fuel_stands_over": (
        "only {air:length.0} of fuel stands over the tee of an uncovered outlet (at least "
        "{least:length.0} wanted): air may be drawn"
    ),
    "judging.fuel_boils_below_vapour": "fuel boils: {vapour:pressure.1} below its vapour pressure",
    "judging.only_above_vapour_pressure": (
        "only {vapour:pressure.1} above vapour pressure (rule of thumb: "
        "{vapour_doubt:pressure.0}, no source)"
    ),
    "judging.open_line": "open line, {factor:percent.0} %",
    "judging.carburettor": "at the carburettor, {factor:percent.0} %",
    "judging.carburettor_burn": "at the carburettor, 100 %",
    "judging.open_line_flight": "open line in flight, {factor:percent.0} %",
    "judging.declared_unusable_fuel_full": "declared unusable fuel, full-power burn",
    "judging.take_off_run_open": "take-off run, 100 %, open line",
    "judging.take_off_run_carburettor": "take-off run, 100 %, at the carburettor",
    "judging.descent_own_burn_open": "descent, its own burn, open line",
    "judging.descent_own_burn_carburettor": "descent, its own burn, at the carburettor",
    "judging.network_could_not_solved": "the network could not be solved",
    "judging.flow_could_not_worked": "the flow could not be worked out",
    "judging.more": " and {rows:d} more",
    "judging.none_required_flow_arrives": "none of the required flow arrives, it runs back",
    "judging.least_required_flow_arrives": "at least {ratio:ratio} % of the required flow arrives",
    "judging.required_band": "{low:ratio} to {high:ratio} % of the required (5 to 95 % band)",
    "judging.runs_back_nominal": "no flow arrives, it runs back (nominal values)",
    "judging.flow_required_nominal_values": (
        "flow is {least:ratio} % of the required (nominal values)"
    ),
    "judging.runs_back_in_band": "no flow arrives, it runs back (5 to 95 % band)",
    "judging.flow_too_little_even": "flow is {band}: too little even at the favourable end",
    "judging.flow": "flow is {band}",
    "judging.flow_band_straddles_requirement": "flow is {band}: the band straddles the requirement",
    "judging.lines_full_fuel": (
        ", with the air that humps may hold (see routing); {full:ratio} % with lines full of fuel"
    ),
    "judging.taken_together_judged_scenarios": (
        "taken together, the judged scenarios fall short in too many draws"
    ),
    "hot_fuel.k_picked_up_line": "with {pickup:g} K picked up on the line to the engine",
    "hot_fuel.no_heat_picked_up": "no heat picked up forward of the firewall is counted",
    "hot_fuel.judged_up": "judged up to {hottest:temperature.0}; {heat}",
    "hot_fuel.nothing_arrives": (
        "no judged scenario has a margin over boiling: the required flow does not come"
    ),
    "hot_fuel.nothing_solved": "no judged scenario has a margin over boiling: none could be solved",
    "hot_fuel.fuel_does_not_boil": (
        "the fuel does not boil up to {highest:temperature.down} in the tank ({judged})"
    ),
    "hot_fuel.none_up": "none up to {highest:temperature.down}",
    "hot_fuel.fuel_boils_about_tank": (
        "the fuel boils from about {boils:temperature.down} in the tank ({judged})"
    ),
    "hot_fuel.boils": "boils from {boils:temperature.down}",
    "hot_fuel.hot_fuel": "hot fuel",
    "hot_fuel.measure_fuel_temperature_carburettor": (
        "measure the fuel's temperature at the carburettor after a hot restart"
    ),
    "judging.unsolved": "{where}; {remedy}",
    "judging.unsolved_at": "{place}, {pitch}{more}: the network could not be solved",
    "judging.nose_up": "{pitch:deg.1} deg nose-up",
    "judging.nose_down": "{pitch:deg.1} deg nose-down",
    "judging.lines_full_band": (
        ", with the air that humps may hold (see routing); {low:ratio} to {high:ratio} % with "
        "lines full of fuel"
    ),
    "hot_fuel.margin_and_boils": "{margin:pressure.1}; {boils}",
}

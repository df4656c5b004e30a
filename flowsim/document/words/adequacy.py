"""Words of single scenarios and of where the head goes."""

WORDS = {
    "scenario.uncovered": "uncovered: {name}",
    "scenario.flow_limited_where_air": "flow limited to where air begins to be drawn",
    "scenario.flows_back_into": "flows back into {name}",
    "scenario.pressure_below_tank_air": "pressure below tank air pressure somewhere along a line",
    "scenario.hump": "hump: {item}",
    "scenario.not_solved": "not solved",
    "losses.share_of": "{name} ({share:g} of it, on this flow)",
}

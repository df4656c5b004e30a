"""Words of what-ifs and of what they change."""

WORDS = {
    "what_if.case": "the case as it is",
    "what_if.every_screen_most_clear": "every screen at most {clear:percent.3g} % clear",
    "what_if.cleaner_than_which_case": (
        ", cleaner than the {clear:percent.3g} % at which the case is judged"
    ),
    "what_if.fuel": "fuel at {kelvin:temperature.1}",
    "what_if.pressure_altitude": "pressure altitude {height:altitude.0}",
    "what_if.lower_than_case": ", lower than that of the case, {stated:altitude.0}",
    "what_if.positions_feed_tank_alone": (
        "positions that feed from this tank alone have no fuel and are left out"
    ),
    "what_if.tank_empty": 'tank "{target}" empty',
    "what_if.kv_m_h": "Kv {value:.4g} m3/h",
    "what_if.k": "K {value:.4g}",
    "what_if.instead": "{target}: {now} instead of {before}",
    "what_if.blocked": "{meter} blocked",
    "what_if.what_still_passes_when": (
        "what {meter} still passes when blocked is not known: {measure}"
    ),
    "what_if.vent_blocked": 'vent "{target}" blocked',
    "blocked_vent.tank_lines_rigid_tight": (
        "tank and lines are rigid and tight; the air over the fuel stretches at one temperature "
        "and the fuel's vapour keeps its pressure (air that cools as it stretches loses the flow "
        "up to 1.4 times sooner, a skin that gives way later); the surface falls with what is "
        "drawn; a full tank has 2 % of room, if no placard says more; nominal values"
    ),
    "blocked_vent.solve_failed_nothing_known": "{state}: a solve failed, so nothing is known of it",
    "blocked_vent.ground_required_flow": "on the ground the required flow",
    "blocked_vent.flight_burn": "in flight the burn",
    "blocked_vent.arrives_until_fuel_runs": "{state}: {where} arrives until the fuel runs out",
    "blocked_vent.lost_after_drawn_min": (
        "{state}: {where} is lost after {drawn_until_lost:volume.2} are drawn, "
        "{time_until_lost:min.1} min at that flow"
    ),
    "what_if.cooler": ", cooler than the case is judged",
    "what_if.warmer": ", warmer than the case is judged",
    "flow_meter.meters": "{meters:and}",
    "flow_meter.meter": '"{name}" ({owner})',
}

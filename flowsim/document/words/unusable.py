"""Words of the study of unusable fuel."""

WORDS = {
    "unusable.declared_unusable_fuel_less": (
        "the declared unusable fuel is less than the computed one"
    ),
    "unusable.required_flow_lost_above": (
        "the required flow is lost above the declared unusable fuel plus what the test draws"
    ),
    "unusable.stated_least_take_off": (
        "the stated least take-off fuel does not hold the required flow"
    ),
    "unusable.line_too_small_loses": (
        "the line is too small: it loses the flow with its outlets covered; more fuel hides it, "
        "do not placard it (flowsim size)"
    ),
    "unusable.header_tank_alone_feeds": (
        "a header tank alone feeds the engine: the tanks behind it count by its refill"
    ),
    "unusable.tank_known_dip_table": (
        'tank "{tank}" is known by a dip table: away from the attitude of its dips nothing tells '
        "which outlets are covered; state its floor, or describe it by points"
    ),
    "unusable.tank": 'tank "{tank}"',
    "unusable.network_could_not_solved": (
        "{name}: the network could not be solved ({unsolved}), so it has no figures; {remedy}"
    ),
    "unusable.no_position_meant_take": (
        "{name}: no position meant for take-off and climb feeds from it; not judged"
    ),
    "unusable.cautious_dip_surface_times": (
        "{name}: with the cautious dip of the surface ({times:.0f} times that of a still tank), "
        "or air possibly drawn, {said}"
    ),
    "unusable.tank_cautious_dip": 'tank "{tank}": {says}, {clause}, with the cautious dip',
    "unusable.more": " and {rows:d} more",
    "unusable.pitch_deg": "{selector}, pitch {pitch:signed_deg.1} deg, {kind}{more}",
    "unusable.header_tank_refill_falls": (
        'header tank "{header}": its refill falls short of the burn, {selector}, {fuel_state}'
    ),
    "unusable.header_tank_refill_covers": (
        'header tank "{header}": its refill covers the burn, but not the required flow, '
        "{selector}, {fuel_state}"
    ),
    "unusable.no_result_solve_failed": (
        "no result: a solve failed in {failed:d} of {draws:d} joint draws"
    ),
    "unusable.joint_draws_allowed": (
        "in {share:d} % of {draws:d} joint draws ({high:percent.0} % allowed)"
    ),
}

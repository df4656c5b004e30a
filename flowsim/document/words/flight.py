"""Words of flights and of fuel that runs from tank to tank."""

WORDS = {
    "flight.tank_stated_level_gives": (
        'Tank "{tank}" of stated level gives {more:mass.2} more than runs into it.'
    ),
    "flight.tank_gives_more_than": (
        'tank "{tank}" gives {more:mass.2} more than runs into it, and it is not known how much '
        "it holds; state its volume"
    ),
    "flight.tank_would_empty_before": (
        'tank "{tank}" would be empty before the end: it gives {more:mass.2} more than runs into '
        "it and holds {holds:mass.2}"
    ),
    "flight.flows_those_steady_state": (
        "The flows are those of a steady state at each instant: sloshing, and fuel on its way in "
        "the lines, are left out."
    ),
    "flight.single_values_only_nothing": (
        "Single values only: nothing is allowed for what is uncertain."
    ),
    "flight.bands_joint_draws_first": (
        "Bands are of {draws} joint draws, the first of a check's; phases, events and balance "
        "are on single values. Quantities at the start and the burn are not drawn."
    ),
    "flight.where_tank_vent_not": (
        "Where a tank's vent_at is not stated, fuel is taken to leave by the vent only above "
        "full; in a slip or on a slope it may leave sooner."
    ),
    "flight.fuel_stands_above_vent": (
        "Fuel that stands above a vent is taken to run out at once, as much as it can: the most "
        "that may overflow."
    ),
    "flight.tank_stated_level_taken": (
        "A tank of stated level is taken to stay full, and takes in no more than leaves it: see "
        "its refill in flowsim unusable."
    ),
}

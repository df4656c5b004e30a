"""Words of sizes tried and of questions asked the other way round."""

WORDS = {
    "resize.tube": "tube {tube}",
    "resize.hose": "{name} hose -{dash:d}",
    "resize.bends_tighter_than_size": (
        "{line}: its bends of {tightest:length.0} are tighter than this size allows, "
        "{least:length.0}"
    ),
    "resize.tee": "tee {node}",
    "resize.selector": "selector {node}",
    "resize.bore": "bore {bore:bore.4g}",
    "resize.tube_and_bore": "{outside:bore.4g} x {wall:bore.3g}, bore {bore:bore.4g}",
    "resize.hose_as_it_is": "hose as it is ({size})",
    "resize.tube_as_it_is": "tube as it is ({size})",
    "resize.stayed": "{name} ({bore:bore.4g})",
    "resize.followed": "{name} ({bore:bore.4g} to {now:bore.4g})",
    "sizing.question_of": "{asked} of {subject}",
    "sizing.tube_of": "{owner}: its tube or hose",
    "sizing.as_it_is": "{named} (as it is)",
}

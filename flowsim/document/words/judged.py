"""Words of what is judged: fuel states, screens, attitudes, trapped air."""

WORDS = {
    "trapped_air.uncertain_clear": "{point}: uncertain to clear",
    "trapped_air.will_not_clear": "{point}: will not clear",
    "blocks.clear": "{clear:percent.0} % clear",
    "blocks.clear_or_less": "{clear:percent.0} % clear, or as stated where less",
    "trapped_air.uncertain_if_one": (
        "{point}: uncertain to clear, if it is one (no higher than the heights are known)"
    ),
    "trapped_air.will_not_if_one": (
        "{point}: will not clear, if it is one (no higher than the heights are known)"
    ),
}

"""Words that all rooms use: how sayings are put together."""

WORDS = {
    "result.unsolved_remedy": (
        "try the case without the lines that carry nothing there (a loop, a cross-feed), or with "
        "the loss of its parts stated, and report it with the case file"
    ),
    "run_on": "{parts:together}",
    "each_of": "{parts:semi}",
    "of": "{what}: {said}",
    "in_brackets": " ({said})",
    "part_of_line": "{part} ({line})",
}

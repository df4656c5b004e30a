"""All words of the studies in one table: a key, its words, and in them the places of its values."""

from flowsim.document.words import (
    adequacy,
    decisions,
    flight,
    general,
    ground_test,
    judged,
    report,
    review,
    routing,
    sampling,
    sizing,
    unusable,
    verdict,
    what_if,
)

ROOMS = (
    general, judged, sampling, review, routing, verdict, decisions, adequacy, unusable, what_if,
    flight, ground_test, report, sizing,
)  # fmt: skip
"""The modules of words, one for each room of studies."""


def _joined() -> dict[str, str]:
    """Join the words of all rooms.

    Raises
    ------
    ValueError
        Where two rooms have the same key.
    """
    joined: dict[str, str] = {}
    for room in ROOMS:
        twice = joined.keys() & room.WORDS.keys()
        if twice:
            raise ValueError(f"{', '.join(sorted(twice))}: in two modules of words")
        joined |= room.WORDS
    return joined


CATALOGUE = _joined()
"""Words by key."""

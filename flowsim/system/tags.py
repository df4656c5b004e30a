"""Where a number is from, in one word."""

from enum import StrEnum


class Tag(StrEnum):
    """How far a number may be trusted, by where it is from.

    The first four are flowsim's own: ``published`` was read, or seen transcribed, for that very
    thing; ``estimate`` stands on something like it; ``common practice`` has no source; ``from
    memory`` was recalled and not seen again. The others are the builder's: what the case says with
    ``from``, or ``not said`` where it says nothing.
    """

    PUBLISHED = "published"
    ESTIMATE = "estimate"
    COMMON_PRACTICE = "common practice"
    FROM_MEMORY = "from memory"
    MEASURED = "measured"
    DRAWING = "drawing"
    HANDBOOK = "handbook"
    ASSUMED = "assumed"
    NOT_SAID = "not said"


OWN = (Tag.PUBLISHED, Tag.ESTIMATE, Tag.COMMON_PRACTICE, Tag.FROM_MEMORY)
"""Tags of flowsim's own values: a loss that carries one of them was never measured."""

"""What a study has to say, as data: a key and the values that belong to it.

Studies make no English and no units. What they find is a ``Saying``; its words stand under its key
in ``flowsim/document/words``, which tells it where it is shown. So nothing is worded in the draws,
and code compares keys, never sentences.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NoReturn, TypeAlias, Union


@dataclass(frozen=True, slots=True)
class Saying:
    """A key of the catalogue of words, and its values by name, in SI units."""

    key: str
    values: "tuple[tuple[str, Value], ...]" = ()

    def get(self, name: str) -> "Value":
        """Give one of its values.

        Raises
        ------
        KeyError
            When it has none of that name.
        """
        return dict(self.values)[name]

    def __str__(self) -> NoReturn:
        """Refuse: a saying that slipped into a text unworded would be read by somebody.

        Raises
        ------
        TypeError
        """
        raise TypeError(f"{self.key} is told by flowsim.document.words.telling, not by str")


Said: TypeAlias = Saying | str
"""What readers see: a saying, or a name that stands in the case (a tank, a line, a source)."""
Value: TypeAlias = Union[Saying, str, float, "tuple[Value, ...]", None]
"""What a saying holds: numbers in SI, names, other sayings, lists of these; None says nothing."""

NOTHING = ""
"""What is said where there is nothing to say."""


def saying(key: str, /, **values: Value) -> Saying:
    """Say something.

    Parameters
    ----------
    key : str
        A literal, so that a test finds it: one of ``flowsim/document/words``.
    **values
        What the words under the key have places for, in SI units.

    Returns
    -------
    Saying
    """
    return Saying(key, tuple(values.items()))


def run_on(*parts: Said) -> Saying:
    """Put what follows behind what is said, without anything between."""
    return saying("run_on", parts=parts)


def each_of(parts: Sequence[Said]) -> Said:
    """List what is said: one thing; another. Nothing where there is none."""
    return saying("each_of", parts=tuple(parts)) if parts else NOTHING

"""Words for messages: what may be written, what was meant, text that is safe to print."""

import difflib
from collections.abc import Iterable, Sequence

from flowsim.files.units.quantities import shown


def plain(text: str) -> str:
    """Give text on one line with nothing in it that a terminal would obey.

    Parameters
    ----------
    text
        Any text.

    Returns
    -------
    str
        Printable text.
    """
    return "".join(c if c.isprintable() else " " for c in text).strip()


def did_you_mean(word: str, known: Sequence[str]) -> str:
    """Give the remedy for an unknown word.

    Parameters
    ----------
    word
        What was written.
    known
        What may be written.

    Returns
    -------
    str
        ``did you mean "..."?`` or the list of what may be written.
    """
    close = closest(word, known)
    return one_of(known) if close is None else f'did you mean "{close}"?'


def closest(word: str, known: Sequence[str], likeness: float = 0.6) -> str | None:
    """Give the known word that a written one is nearest to, if any is near.

    Parameters
    ----------
    word
        What was written.
    known
        What may be written.
    likeness
        From 0 to 1; a word less like it does not count as near.

    Returns
    -------
    str or None
        The nearest.
    """
    lower = {one.casefold(): one for one in known[:300]}
    found = difflib.get_close_matches(word[:100].casefold(), list(lower), 1, likeness)
    return lower[found[0]] if found else None


def same_word(word: str, known: Iterable[str]) -> str | None:
    """Give the known word that a written one is, whatever its case and blanks.

    Parameters
    ----------
    word
        What was written.
    known
        What may be written.

    Returns
    -------
    str or None
        The known word as it is; None where none or several differ in nothing else.
    """
    known = tuple(known)
    if word in known:
        return word
    plainest = " ".join(word.casefold().split())
    alike = {one for one in known if " ".join(one.casefold().split()) == plainest}
    return alike.pop() if len(alike) == 1 else None


def spelled_as(word: str, known: Iterable[str]) -> str:
    """Give a word as it is known, or as it was written where it is not known.

    Parameters
    ----------
    word
        What was written.
    known
        What may be written.

    Returns
    -------
    str
        See ``same_word``.
    """
    return same_word(word, known) or word


def one_of(words: Sequence[str]) -> str:
    """Give the remedy that lists what may be written.

    Parameters
    ----------
    words
        What may be written.

    Returns
    -------
    str
        ``write one of "a", "b"``.
    """
    if not words:
        return "delete it"
    listed = ", ".join(shown(word) for word in words[:20])
    return f"write {listed}" if len(words) == 1 else f"write one of {listed}"

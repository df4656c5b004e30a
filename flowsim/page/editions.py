"""Undo: every text that the case has had, none of them ever lost."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Edition:
    """One text of the case, what made it in words, and the edition that it was made from."""

    number: int
    text: str
    words: str
    parent: int | None


class Editions:
    """A tree of texts: going back and changing something else loses neither branch.

    ``now`` is the number of the current one, ``saved`` that of the one in the file (None: there is
    no file). ``turn`` counts whenever the current text becomes another, so that answers can tell
    whether they are about what is there now.
    """

    def __init__(self, text: str, words: str, *, is_saved: bool = True) -> None:
        self.every = [Edition(0, text, words, None)]
        self.now = 0
        self.turn = 1
        self.saved: int | None = 0 if is_saved else None

    @property
    def current(self) -> Edition:
        """The edition that is there now."""
        return self.every[self.now]

    @property
    def text(self) -> str:
        """Its text."""
        return self.current.text

    @property
    def is_saved(self) -> bool:
        """Whether the current text is what the file holds."""
        return self.saved is not None and self.every[self.saved].text == self.text

    def add(self, text: str, words: str) -> Edition:
        """Make a new edition of the current one."""
        made = Edition(len(self.every), text, words, self.now)
        self.every.append(made)
        self._go(made.number)
        return made

    def undo(self) -> bool:
        """Go to the edition that this one was made from; False at the first."""
        parent = self.current.parent
        if parent is None:
            return False
        self._go(parent)
        return True

    def redo(self) -> bool:
        """Go to the newest edition made from this one; False where there is none."""
        child = next((e for e in reversed(self.every) if e.parent == self.now), None)
        if child is None:
            return False
        self._go(child.number)
        return True

    def back(self, number: int) -> bool:
        """Go to any edition; False where there is none of that number."""
        if not 0 <= number < len(self.every):
            return False
        self._go(number)
        return True

    def can_redo(self) -> bool:
        """Tell whether an edition was made from this one."""
        return any(edition.parent == self.now for edition in self.every)

    def way(self) -> tuple[Edition, ...]:
        """Give the editions from the first to the current one, each made from the one before."""
        found = [self.current]
        while found[-1].parent is not None:
            found.append(self.every[found[-1].parent])
        return tuple(reversed(found))

    def _go(self, number: int) -> None:
        if number != self.now:
            self.now = number
            self.turn += 1

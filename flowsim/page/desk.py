"""One case on the page: its text and editions, its file, its draft, and who may change it."""

import os
import secrets
import threading
from collections.abc import Sequence
from pathlib import Path

from flowsim.errors import OutputError
from flowsim.files.case.draft import Draft
from flowsim.files.case.reader import read_draft
from flowsim.files.saving import draft_file, safe_save
from flowsim.files.saving.draft_file import KeptDraft
from flowsim.files.saving.safe_save import ChangedOutsideError, SeenFile, fingerprint, look
from flowsim.files.toml.source import decode, file_name
from flowsim.page.changes import ChangeStep, changed
from flowsim.page.editions import Editions
from flowsim.page.merge import onto
from flowsim.page.worker import Work, Worker, judge_draft


class Desk:
    """Holds everything of one case while it is open. Its methods are called under ``lock``.

    ``seen`` is the file as it was read or saved last; ``outside`` the file as somebody else left
    it, None while it is ours; ``kept`` a draft that was found and not yet dealt with; ``holder``
    the tab that may change the case; ``draft_problem`` why changes are not kept beside the file.
    """

    def __init__(self, path: Path, starter: str = "", work: Work = judge_draft) -> None:
        self.lock = threading.RLock()
        self.path = path
        self.name = file_name(path)
        self.owner = secrets.token_hex(8)
        self.seen = look(path)
        text = starter if self.seen.content is None else _text(self.seen.content, self.name)
        words = "new, not saved yet" if self.seen.content is None else "as it was opened"
        self.editions = Editions(text, words, is_saved=self.seen.content is not None)
        self.opened = self.editions.now
        self.base = self.editions.text
        self.outside: SeenFile | None = None
        self.holder = ""
        self.draft_problem = ""
        self.hard_links = self.seen.names > 1
        self.kept = self._others_draft()
        self.worker = Worker(work)
        self._draft: Draft | None = None
        self._stamp = self._file_stamp()

    @property
    def draft(self) -> Draft:
        """The current text as far as it can be read."""
        if self._draft is None or self._draft.text != self.editions.text:
            self._draft = read_draft(self.editions.text, self.name)
            if self._draft.system is not None:
                self.worker.want(self._draft)
            else:
                self.worker.want_nothing()
        return self._draft

    def change(self, steps: Sequence[ChangeStep], words: str = "") -> None:
        """Make an edition of some steps.

        Raises
        ------
        EditError
            It cannot be made; nothing is changed.
        """
        text, said = changed(self.editions.text, steps)
        if text != self.editions.text:
            self.editions.add(text, words or said)
            self.keep()

    def travel(self, where: str, number: int = 0) -> None:
        """Undo, redo, or go back to any edition."""
        if where == "undo":
            self.editions.undo()
        elif where == "redo":
            self.editions.redo()
        else:
            self.editions.back(number)
        self.keep()

    def keep(self) -> None:
        """Keep what is not saved beside the file; if that fails, say so on the page."""
        there = draft_file.kept(self.path)
        if there is not None and there.owner != self.owner and self.kept is None:
            if draft_file.is_running(there.process) and there.process != os.getpid():
                self.draft_problem = (
                    "another program has this case open and keeps its own draft: what is not saved "
                    "here is kept only as long as this program runs"
                )
                return
            self.kept = there
        if self.kept is not None:
            self.draft_problem = "an older draft is still there: take it up or drop it first"
            return
        self._write_draft()

    def _write_draft(self) -> None:
        """Put the draft in the place of whatever is there, or take it away if all is saved."""
        if self.editions.is_saved:
            draft_file.drop(self.path)
            self.draft_problem = ""
            return
        words = tuple(edition.words for edition in self.editions.way()[1:])
        made = KeptDraft(
            self.editions.text.encode(), self.seen.fingerprint, self.owner, os.getpid(), words
        )
        try:
            draft_file.keep(self.path, made)
            self.draft_problem = ""
        except OutputError as error:
            self.draft_problem = str(error)

    def save(self) -> None:
        """Put the current text into the file.

        Raises
        ------
        ChangedOutsideError
            Somebody else changed it; nothing was written, and ``outside`` holds what it is now.
        OutputError
            It cannot be written.
        """
        try:
            self.seen = safe_save.save(
                self.path, self.editions.text.encode(), self.seen.fingerprint
            )
        except ChangedOutsideError:
            self.outside = look(self.path)
            raise
        self.outside = None
        self.editions.saved = self.editions.now
        self.base = self.editions.text
        self._stamp = self._file_stamp()
        self.keep()

    def look_outside(self) -> None:
        """Find out whether somebody else changed the file."""
        stamp = self._file_stamp()
        if stamp == self._stamp:
            return
        self._stamp = stamp
        try:
            found = look(self.path)
        except OutputError:
            return
        self.outside = found if found.fingerprint != self.seen.fingerprint else None

    def theirs(self) -> str:
        """Give the file's text as somebody else left it, empty where it is gone or no text."""
        content = None if self.outside is None else self.outside.content
        return "" if content is None else content.decode(errors="replace")

    def adopt(self, *, with_mine: bool) -> list[tuple[str, str, str]]:
        """Take the file as it is now, with my changes put onto it or without.

        Returns
        -------
        list of (str, str, str)
            Changes that no longer fit: what, what the file has now, what I had.

        Raises
        ------
        EditError
            A text is no TOML, so that changes cannot be put onto it.
        """
        seen = self.outside
        if seen is None:
            return []
        theirs = "" if seen.content is None else _text(seen.content, self.name)
        text, refused = onto(self.base, self.editions.text, theirs) if with_mine else (theirs, [])
        edition = self.editions.add(theirs, "the file as somebody else left it")
        self.seen, self.outside, self.base = seen, None, theirs
        self.editions.saved = edition.number if seen.content is not None else None
        if text != theirs:
            self.editions.add(text, "my changes put onto it")
        self.keep()
        return refused

    def save_beside(self) -> Path:
        """Save the current text under a free name beside the file.

        Returns
        -------
        Path
            The new file.
        """
        for number in range(1, 1000):
            name = f"{self.path.stem}-mine{'' if number == 1 else f'-{number}'}{self.path.suffix}"
            beside = self.path.with_name(name)
            if not os.path.lexists(beside):
                safe_save.save(beside, self.editions.text.encode(), "")
                return beside
        raise OutputError(
            "there are too many saved copies beside it already; move some to another folder"
        )

    def settle_draft(self, what: str) -> None:
        """Deal with a draft that was found: take it up as an edition, or drop it."""
        kept, self.kept = self.kept, None
        if kept is None:
            return
        if what == "take":
            text = kept.content.decode(errors="replace")
            self.editions.add(text, "taken up from the draft: " + "; ".join(kept.changes)[:200])
        self._write_draft()

    def close(self) -> None:
        """Stop working; what is not saved stays in the draft."""
        self.worker.stop()

    def _others_draft(self) -> KeptDraft | None:
        found = draft_file.kept(self.path)
        if found is None or fingerprint(found.content) == self.seen.fingerprint:
            return None
        return found

    def _file_stamp(self) -> tuple[int, int, int]:
        try:
            found = os.stat(self.path)
        except OSError:
            return (0, 0, 0)
        return found.st_mtime_ns, found.st_size, found.st_ino


def _text(content: bytes, name: str) -> str:
    """Give bytes as text, with the byte order mark if there is one."""
    mark = "\ufeff" if content.startswith(b"\xef\xbb\xbf") else ""
    return mark + decode(content, name)

"""What every answer of the page needs: the open case, how it stands, whether a change fits it."""

import threading
from collections.abc import Callable
from pathlib import Path

from flowsim.errors import FlowsimError
from flowsim.page.desk import Desk
from flowsim.page.guards import Gate
from flowsim.page.state import case_state, history_object
from flowsim.page.wire import Wire


class Room:
    """What answers need: the gate, the case or the folder to choose from, the page's files."""

    def __init__(self, gate: Gate, folder: Path, desk: Desk | None = None) -> None:
        self.gate = gate
        self.folder = folder
        self.desk = desk
        self.ready = threading.Event()
        self.closed = threading.Event()
        self.reporting = threading.Lock()
        self.on_close: Callable[[], None] = self.closed.set
        if desk is not None:
            self.ready.set()

    def need(self) -> Desk:
        """Give the case that is open.

        Raises
        ------
        FlowsimError
            None is.
        """
        if not self.ready.wait(30.0) or self.desk is None:
            raise FlowsimError("no case is open; choose one first")
        return self.desk


def whole_state(desk: Desk, body: Wire) -> Wire:
    """Give everything that the page shows but the judgement."""
    tab = str(body.get("tab", ""))
    if not desk.holder:
        desk.holder = tab
    draft = desk.draft
    return {
        "ok": True,
        "history": history_object(desk.editions),
        "case": case_state(draft),
        "file": file_object(desk),
        "holds": desk.holder == tab,
        "judged": draft.system is not None,
    }


def file_object(desk: Desk) -> Wire:
    """Say how the file stands: its name, saved or not, changed outside, a draft found."""
    outside = desk.outside
    changed = "" if outside is None else "deleted" if outside.content is None else "changed"
    kept = desk.kept
    return {
        "name": desk.path.name,
        "shown": desk.name,
        "new": desk.seen.content is None,
        "hard_links": desk.hard_links,
        "outside": changed,
        "draft_problem": desk.draft_problem,
        "draft": None if kept is None else {"changes": kept.changes},
    }


def stale(desk: Desk, body: Wire) -> Wire | None:
    """Refuse a change on an older edition, or from a page that does not hold the case."""
    if desk.holder not in ("", str(body["tab"])):
        words = "Another page has this case. Take it over to change it here."
        return {**whole_state(desk, body), "ok": False, "words": words}
    if int(body["turn"]) != desk.editions.turn:
        words = "The case has changed meanwhile. What you typed is still in the field."
        return {**whole_state(desk, body), "ok": False, "stale": True, "words": words}
    return None

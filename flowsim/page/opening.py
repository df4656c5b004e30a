"""The page at once, and behind it what is slow to load: reader, studies, the case itself."""

import threading
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from flowsim.page.guards import Answer, Gate, Request, refused
from flowsim.page.static_files import static_answer

if TYPE_CHECKING:
    from flowsim.page.room import Room

LONGEST_LOAD = 60.0
"""[s] That a request waits for the rest of the program."""


class Opening:
    """Answers requests while the program is still being loaded, and afterwards.

    ``problem`` is what kept the case from being opened, in words.
    """

    def __init__(self, gate: Gate, path: Path | None, starter: str = "") -> None:
        self.gate, self.path, self.starter = gate, path, starter
        self.room: Room | None = None
        self.problem = ""
        self._loaded = threading.Event()

    def begin(self, stop: Callable[[], None]) -> None:
        """Load in a thread of its own; ``stop`` is what the page's Close calls."""
        threading.Thread(target=self._load, args=(stop,), name="loading", daemon=True).start()

    def respond(self, request: Request) -> Answer:
        """Answer a request; the page's own files need nothing that is slow to load."""
        no = refused(request, self.gate)
        if no is not None:
            return no
        if request.method == "GET":
            return static_answer(request.path)
        self._loaded.wait(LONGEST_LOAD)
        if self.room is None:
            return Answer(500, (self.problem or "it is still loading").encode())
        from flowsim.page.answer import answer

        return answer(self.room, request)

    def end(self) -> None:
        """Stop what is being worked out."""
        if self.room is not None and self.room.desk is not None:
            self.room.desk.close()

    def _load(self, stop: Callable[[], None]) -> None:
        try:
            from flowsim.page.desk import Desk
            from flowsim.page.room import Room

            desk = None if self.path is None else Desk(self.path, self.starter)
            room = Room(self.gate, Path(), desk)
            room.on_close = stop
            self.room = room
        except Exception as error:  # noqa: BLE001 - the page must say it
            self.problem = f"{type(error).__name__}: {error}"
        finally:
            self._loaded.set()

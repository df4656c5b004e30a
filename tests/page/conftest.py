"""A case on the page without sockets: requests in, answers out."""

import json
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from flowsim.files.case.draft import Draft
from flowsim.files.case.starter import starter_text
from flowsim.page.answer import answer
from flowsim.page.desk import Desk
from flowsim.page.guards import Answer, Gate, Request
from flowsim.page.room import Room
from flowsim.page.worker import Say

PORT = 45678


class Caller:
    """Asks as the page's own script does."""

    def __init__(self, room: Room, tab: str = "one") -> None:
        self.room, self.tab = room, tab
        self.turn = 0

    def raw(self, path: str, body: Any = None, **change: Any) -> Answer:
        """Send a request with single things changed: method, headers by name (None: left out)."""
        headers = {
            "host": self.room.gate.host,
            "origin": self.room.gate.origin,
            "content-type": "application/json",
            "x-flowsim-key": self.room.gate.key,
            "sec-fetch-site": "same-origin",
        }
        method = change.pop("method", "POST")
        for name, value in change.items():
            headers[name.replace("_", "-")] = value
        sent = [(k, one) for k, v in headers.items() if v is not None
                for one in (v if isinstance(v, list) else [v])]  # fmt: skip
        content = body if isinstance(body, bytes) else json.dumps(body or {}).encode()
        return answer(self.room, Request(method, path, tuple(sent), content))

    def __call__(self, path: str, **body: Any) -> dict[str, Any]:
        found = self.raw(path, {"tab": self.tab, "turn": self.turn, **body})
        assert found.status == 200
        said = json.loads(found.body)
        if "history" in said:
            self.turn = said["history"]["turn"]
        return said

    def type(self, path: list[str | int], text: str, **more: Any) -> dict[str, Any]:
        return self("/change", steps=[{"do": "type", "path": path, "text": text, **more}])

    def step(self, do: str, **more: Any) -> dict[str, Any]:
        return self("/change", steps=[{"do": do, **more}])


@pytest.fixture
def case(tmp_path: Path) -> Path:
    path = tmp_path / "starter.toml"
    path.write_text(starter_text("Starter"), encoding="utf-8")
    return path


def not_judged(draft: Draft, say: Say, go_on: Callable[[], None]) -> None:
    """Say at once that nothing was found; tests of judging ask for the real one."""
    say(2, {})


@pytest.fixture
def room(case: Path) -> Iterator[Room]:
    made = Room(Gate(PORT), case.parent, Desk(case, work=not_judged))
    yield made
    made.need().close()


@pytest.fixture
def ask(room: Room) -> Caller:
    caller = Caller(room)
    caller("/state")
    return caller

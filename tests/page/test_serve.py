"""The server on real sockets: this computer alone, one host, and a draft that outlives a kill."""

import contextlib
import http.client
import json
import os
import signal
import socket
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from flowsim.files.case.starter import starter_text
from flowsim.files.saving.draft_file import kept
from flowsim.page.desk import Desk
from flowsim.page.guards import LARGEST_BODY
from tests.page.conftest import not_judged

ROOT = Path(__file__).parents[2]


@contextlib.contextmanager
def running(case: Path) -> Iterator[tuple[subprocess.Popen[str], int, str]]:
    """Run the program; gives it with its port and start word."""
    with subprocess.Popen(
        [sys.executable, "-m", "flowsim.cli.main", "open", str(case), "--no-browser"],
        stdout=subprocess.PIPE, stdin=subprocess.PIPE, text=True, cwd=ROOT,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
    ) as program:  # fmt: skip
        try:
            address = program.stdout.readline().strip()
            home, word = address.split("/#")
            yield program, int(home.rpartition(":")[2]), word
        finally:
            program.kill()


def post(port: int, path: str, body: object, **headers: str) -> tuple[int, bytes]:
    link = http.client.HTTPConnection("127.0.0.1", port, timeout=60)
    try:
        sent = {"Origin": f"http://127.0.0.1:{port}", "Content-Type": "application/json", **headers}
        content = body if isinstance(body, bytes) else json.dumps(body).encode()
        link.request("POST", path, content, sent)
        found = link.getresponse()
        return found.status, found.read()
    finally:
        link.close()


def raw(port: int, request: bytes) -> bytes:
    with socket.create_connection(("127.0.0.1", port), timeout=20) as link:
        link.sendall(request)
        found = b""
        while piece := link.recv(65536):
            found += piece
        return found


@pytest.fixture
def key_of():
    def trade(port: int, word: str) -> str:
        status, said = post(port, "/start", {"word": word})
        assert status == 200
        return json.loads(said)["key"]

    return trade


def test_real_requests_are_guarded(case: Path, key_of) -> None:
    with running(case) as (_, port, word):
        home = f"Host: 127.0.0.1:{port}\r\n".encode()
        answers = {
            "page": raw(port, b"GET / HTTP/1.1\r\n" + home + b"Connection: close\r\n\r\n"),
            "no host": raw(port, b"GET / HTTP/1.1\r\nConnection: close\r\n\r\n"),
            "two hosts": raw(port, b"GET / HTTP/1.1\r\n" + 2 * home + b"Connection: close\r\n\r\n"),
            "name": raw(port, b"GET / HTTP/1.1\r\nHost: localhost\r\nConnection: close\r\n\r\n"),
            "old": raw(port, b"GET / HTTP/1.0\r\n\r\n"),
            "delete": raw(port, b"DELETE / HTTP/1.1\r\n" + home + b"Connection: close\r\n\r\n"),
            "head": raw(port, b"HEAD / HTTP/1.1\r\n" + home + b"Connection: close\r\n\r\n"),
        }
        status = {name: int(said.split()[1]) for name, said in answers.items()}
        assert status == {"page": 200, "no host": 400, "two hosts": 400, "name": 400, "old": 400,
                          "delete": 405, "head": 405}  # fmt: skip
        assert b"default-src 'none'" in answers["page"]
        assert b"access-control" not in answers["page"].lower()
        assert b"set-cookie" not in answers["page"].lower()
        assert post(port, "/state", {"tab": "x"})[0] == 401
        key = key_of(port, word)
        state = post(port, "/state", {"tab": "x"}, **{"X-Flowsim-Key": key})
        assert state[0] == 200
        too_much = b'{"a": "' + b"x" * LARGEST_BODY + b'"}'
        with contextlib.suppress(ConnectionError):
            assert post(port, "/state", too_much, **{"X-Flowsim-Key": key})[0] == 413
        assert case.read_text(encoding="utf-8") == starter_text("Starter")


def test_nobody_else_can_reach_it(case: Path) -> None:
    """Bound to one address: another address of the same computer finds nobody."""
    with running(case) as (_, port, _), socket.socket() as other:
        other.settimeout(5)
        with pytest.raises(OSError, match="refused"):
            other.connect(("127.0.0.2", port))


def test_what_was_changed_before_a_kill_is_offered_at_the_next_start(case: Path, key_of) -> None:
    with running(case) as (program, port, word):
        key = {"X-Flowsim-Key": key_of(port, word)}
        turn = json.loads(post(port, "/state", {"tab": "x"}, **key)[1])["history"]["turn"]
        step = {"do": "type", "path": ["title"], "text": "Before the kill"}
        body = {"tab": "x", "turn": turn, "steps": [step]}
        assert json.loads(post(port, "/change", body, **key)[1])["ok"]
        # The answer is there, so the change is on the disk: the next moment may be a kill.
        program.send_signal(signal.SIGKILL)
        program.wait()
    assert case.read_text(encoding="utf-8") == starter_text("Starter")
    assert kept(case).changes == ("title: Before the kill, was Starter",)
    desk = Desk(case, work=not_judged)
    desk.settle_draft("take")
    assert desk.draft.data["title"] == "Before the kill"
    desk.save()
    assert 'title = "Before the kill"' in case.read_text(encoding="utf-8")
    assert kept(case) is None
    desk.close()

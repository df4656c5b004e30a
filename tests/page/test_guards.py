"""Foreign requests: each is refused, and nothing is changed by it."""

import json

import pytest

from flowsim.page.guards import HEADERS, LARGEST_BODY, Gate

CHANGE = {
    "tab": "one", "turn": 1,
    "steps": [{"do": "type", "path": ["title"], "text": "taken over"}],
}  # fmt: skip
HOME = "127.0.0.1:45678"

# what is changed of a request that would be accepted, and the status of the refusal
FOREIGN = {
    "another host": ({"host": "evil.example"}, 400),
    "a name for this computer": ({"host": "localhost:45678"}, 400),
    "another port": ({"host": "127.0.0.1:45679"}, 400),
    "no host": ({"host": None}, 400),
    "two hosts": ({"host": [HOME, "evil.example"]}, 400),
    "another origin": ({"origin": "http://evil.example"}, 403),
    "an origin of another port": ({"origin": "http://127.0.0.1:45679"}, 403),
    "the origin of a file": ({"origin": "null"}, 403),
    "no origin": ({"origin": None}, 403),
    "two origins": ({"origin": [f"http://{HOME}", f"http://{HOME}"]}, 403),
    "from another site": ({"sec_fetch_site": "cross-site"}, 403),
    "from the same site, another port": ({"sec_fetch_site": "same-site"}, 403),
    "no key": ({"x_flowsim_key": None}, 401),
    "a wrong key": ({"x_flowsim_key": "A" * 43}, 401),
    "two keys": ({"x_flowsim_key": ["A" * 43, "B"]}, 401),
    "a form": ({"content_type": "application/x-www-form-urlencoded"}, 415),
    "plain text": ({"content_type": "text/plain"}, 415),
    "no type": ({"content_type": None}, 415),
    "to put": ({"method": "PUT"}, 405),
    "to ask what is allowed": ({"method": "OPTIONS"}, 405),
    "to get what must be posted": ({"method": "GET"}, 404),
}


@pytest.mark.parametrize("name", FOREIGN)
def test_a_foreign_request_is_refused(ask, room, name) -> None:
    change, status = FOREIGN[name]
    before = (room.desk.editions.turn, room.desk.editions.text, room.desk.path.read_bytes())
    found = ask.raw("/change", CHANGE, **change)
    assert found.status == status
    assert found.kind.startswith("text/plain")
    assert (room.desk.editions.turn, room.desk.editions.text, room.desk.path.read_bytes()) == before


def test_the_same_request_from_the_page_is_accepted(ask, room) -> None:
    assert ask.raw("/change", CHANGE).status == 200
    assert room.desk.draft.system.title == "taken over"


@pytest.mark.parametrize("path", ["/", "/page.css"])
def test_the_pages_own_files_need_no_key(ask, path) -> None:
    got = {"method": "GET", "x_flowsim_key": None, "origin": None, "sec_fetch_site": "none"}
    assert ask.raw(path, **got).status == 200
    assert ask.raw(path, **(got | {"host": "evil.example"})).status == 400


@pytest.mark.parametrize("path", ["/../pyproject.toml", "/case.toml", "/starter.toml", "/nothing"])
def test_no_other_file_is_given(ask, path) -> None:
    assert ask.raw(path, method="GET").status == 404
    assert ask.raw(path).status == 404


def test_too_much_is_refused(ask) -> None:
    assert ask.raw("/change", b"[" * (LARGEST_BODY + 1)).status == 413


@pytest.mark.parametrize("body", [b"{", b"[]", b"\xff", b"[" * 100000])
def test_what_is_no_object_is_refused(ask, body) -> None:
    assert ask.raw("/change", body).status == 400


@pytest.mark.parametrize(
    "steps",
    [
        [{"do": "edits", "value": [["set", ["title"], "x"]]}],
        [{"do": "nonsense", "path": ["title"]}],
        [{"do": "type", "path": "title", "text": "x"}],
        [{"do": "type", "path": [True], "text": "x"}],
        [{"do": "type", "path": ["tank", -1, "name"], "text": "x"}],
        [{"do": "type", "path": ["a"] * 20, "text": "x"}],
        [{}],
        [7],
        7,
    ],
)
def test_a_step_that_is_none_changes_nothing(ask, room, steps) -> None:
    before = room.desk.editions.text
    assert ask("/change", steps=steps)["ok"] is False
    assert room.desk.editions.text == before


def test_a_start_word_is_good_once(ask, room) -> None:
    word = room.gate.new_address().split("#")[1]
    start = {"x_flowsim_key": None}
    assert json.loads(ask.raw("/start", {"word": "another"}, **start).body)["ok"] is False
    found = json.loads(ask.raw("/start", {"word": word}, **start).body)
    assert found == {"ok": True, "key": room.gate.key}
    again = json.loads(ask.raw("/start", {"word": word}, **start).body)
    assert again["ok"] is False
    assert "Press Enter in the terminal for a new one" in again["words"]


def test_a_new_address_makes_the_old_one_worthless() -> None:
    gate = Gate(1)
    old, new = (gate.new_address().split("#")[1] for _ in range(2))
    assert gate.trade(old) is None
    assert gate.trade(new) == gate.key


def test_keys_and_words_are_long_and_never_the_same() -> None:
    gates = [Gate(1) for _ in range(50)]
    assert len({gate.key for gate in gates}) == 50
    assert all(len(gate.key) >= 40 for gate in gates)


def test_no_answer_lets_other_pages_in() -> None:
    names = {name.lower() for name, _ in HEADERS}
    assert not any(name.startswith("access-control") or name == "set-cookie" for name in names)
    policy = dict(HEADERS)["Content-Security-Policy"]
    assert policy.startswith("default-src 'none'")
    assert "unsafe" not in policy
    assert "*" not in policy
    assert "data:" not in policy

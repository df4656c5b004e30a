"""From a request to an answer: everything behind the page, without sockets."""

import json
from collections.abc import Callable
from typing import Any

from flowsim.errors import FlowsimError
from flowsim.files.case.unit_choice import choice_of_text
from flowsim.measures import UnitChoice, chosen
from flowsim.page import folder as folder_of
from flowsim.page import jobs
from flowsim.page.changes import ChangeStep, ReferredToError
from flowsim.page.desk import Desk
from flowsim.page.guards import Answer, Request, refused
from flowsim.page.room import Room, file_object, stale, whole_state
from flowsim.page.state import form_objects
from flowsim.page.static_files import static_answer
from flowsim.page.wire import Wire

Handler = Callable[[Room, Wire], Wire]

LONGEST_WAIT = 1.0
"""[s] That an answer waits for a judgement; the page asks again."""


def answer(room: Room, request: Request) -> Answer:
    """Answer a request.

    Parameters
    ----------
    room : Room
    request : Request

    Returns
    -------
    Answer
        What is refused changes nothing.
    """
    no = refused(request, room.gate)
    if no is not None:
        return no
    if request.method == "GET":
        return static_answer(request.path)
    route = ROUTES.get(request.path)
    if route is None:
        return Answer(404, b"nothing here")
    try:
        body = json.loads(request.body or b"{}")
    except (ValueError, RecursionError):
        return Answer(400, b"no JSON")
    if not isinstance(body, dict):
        return Answer(400, b"no JSON object")
    try:
        with chosen(_units(room)):
            said = route(room, body)
    except ReferredToError as error:
        said = {"ok": False, "words": str(error), "places": error.places}
    except FlowsimError as error:
        said = {"ok": False, "words": str(error)}
    except (KeyError, TypeError, ValueError, AttributeError) as error:
        said = {"ok": False, "words": f"not understood ({type(error).__name__}); reload the page"}
    return Answer(200, json.dumps(said, allow_nan=False).encode(), "application/json")


def _units(room: Room) -> UnitChoice:
    """Give the units that the open case asks for, or is written in."""
    return UnitChoice() if room.desk is None else choice_of_text(room.desk.editions.text)


def _start(room: Room, body: Wire) -> Wire:
    key = room.gate.trade(str(body["word"]))
    if key is None:
        words = "This address has been used. Press Enter in the terminal for a new one."
        return {"ok": False, "words": words}
    return {"ok": True, "key": key}


def _state(room: Room, body: Wire) -> Wire:
    if body.get("choosing") and room.desk is None and not room.ready.is_set():
        return {"ok": True, "choose": True}
    desk = room.need()
    with desk.lock:
        return whole_state(desk, body)


def _forms(_room: Room, _body: Wire) -> Wire:
    return {"ok": True, **form_objects()}


def _pulse(room: Room, body: Wire) -> Wire:
    """Say in few words whether anything has come in from elsewhere."""
    desk = room.need()
    with desk.lock:
        desk.look_outside()
        return {"ok": True, "turn": desk.editions.turn, "file": file_object(desk),
                "holds": desk.holder in ("", str(body.get("tab", "")))}  # fmt: skip


def _change(room: Room, body: Wire) -> Wire:
    desk = room.need()
    with desk.lock:
        no = stale(desk, body)
        if no is not None:
            return no
        steps = [_step(one) for one in body["steps"]]
        desk.change(steps, str(body.get("words", ""))[:300])
        return whole_state(desk, body)


def _step(one: Wire) -> ChangeStep:
    """Read one step; what only a job may do is not taken from the page."""
    if one["do"] == "edits":
        raise ValueError("edits")
    return ChangeStep(
        do=str(one["do"]),
        path=_path(one.get("path", [])),
        text=str(one.get("text", "")),
        unit=str(one.get("unit", "")),
        above=_path(one.get("above", [])),
        accuracy=None if one.get("accuracy") is None else str(one["accuracy"]),
        note=None if one.get("note") is None else str(one["note"]),
        value=one.get("value"),
        others_too=bool(one.get("others_too", False)),
    )


def _path(raw: Any) -> tuple[str | int, ...]:
    if not isinstance(raw, list) or len(raw) > 12:
        raise ValueError("path")
    steps = [step for step in raw if isinstance(step, str | int) and not isinstance(step, bool)]
    if len(steps) != len(raw) or any(isinstance(s, int) and s < 0 for s in steps):
        raise ValueError("path")
    return tuple(steps)


def _travel(room: Room, body: Wire) -> Wire:
    desk = room.need()
    with desk.lock:
        no = stale(desk, body)
        if no is not None:
            return no
        desk.travel(str(body["where"]), int(body.get("number", 0)))
        return whole_state(desk, body)


def _result(room: Room, body: Wire) -> Wire:
    """Give the judgement of the current edition as far as it is, waiting a little for more."""
    desk = room.need()
    have = int(body.get("have", 0))
    with desk.lock:
        turn, draft = desk.editions.turn, desk.draft
        if draft.system is None or turn != int(body["turn"]):
            return {"ok": True, "turn": turn, "step": 0, "judged": draft.system is not None}
        text = draft.text
    wait = min(max(float(body.get("wait", 0.0)), 0.0), LONGEST_WAIT)
    found = desk.worker.found(text, have, wait)
    return {
        "ok": True,
        "turn": turn,
        "judged": True,
        "step": found.step,
        "problem": found.problem,
        "flows": found.flows if have < 1 else None,
        "verdict": found.verdict if have < 2 else None,
    }


def _save(room: Room, body: Wire) -> Wire:
    desk = room.need()
    with desk.lock:
        no = stale(desk, body)
        if no is not None:
            return no
        try:
            desk.save()
        except FlowsimError as error:
            return {**whole_state(desk, body), "ok": False, "words": str(error)}
        return whole_state(desk, body)


def _outside(room: Room, body: Wire) -> Wire:
    """Deal with a file that somebody else changed: look, put mine onto it, take it, save beside."""
    desk = room.need()
    with desk.lock:
        what = str(body["what"])
        if what == "look":
            return {"ok": True, "theirs": desk.theirs(), "mine": desk.editions.text}
        no = stale(desk, body)
        if no is not None:
            return no
        if what == "beside":
            beside = desk.save_beside()
            return {**whole_state(desk, body), "beside": beside.name}
        refused_ = desk.adopt(with_mine=what == "mine")
        return {**whole_state(desk, body), "unfit": refused_}


def _draft(room: Room, body: Wire) -> Wire:
    """Deal with a draft that was found: look, take it up, drop it."""
    desk = room.need()
    with desk.lock:
        what = str(body["what"])
        if what == "look":
            kept = desk.kept
            text = "" if kept is None else kept.content.decode(errors="replace")
            return {"ok": True, "theirs": text, "mine": desk.editions.text}
        desk.settle_draft(what)
        return whole_state(desk, body)


def _take(room: Room, body: Wire) -> Wire:
    """Let another page hold the case."""
    desk = room.need()
    with desk.lock:
        desk.holder = str(body["tab"])
        return whole_state(desk, body)


def _list(room: Room, _body: Wire) -> Wire:
    """List what may be opened."""
    return {
        "ok": True,
        "open": room.desk is not None,
        "folder": room.folder.resolve().name,
        "cases": [choice.label for choice in folder_of.cases_in(room.folder)],
        "examples": [choice.label for choice in folder_of.examples(room.folder)],
    }


def _choose(room: Room, body: Wire) -> Wire:
    """Open a case of the list, a new one, or a copy of an example."""
    if room.desk is not None:
        raise FlowsimError("a case is open already; start the program again for another")
    what = str(body["what"])
    if what == "new":
        choice = folder_of.new_case(room.folder, str(body["title"])[:200])
    else:
        listed = folder_of.cases_in if what == "case" else folder_of.examples
        choice = listed(room.folder)[int(body["number"])]
    room.desk = Desk(choice.path, choice.text)
    room.ready.set()
    return _state(room, body)


def _names(body: Wire) -> tuple[str, ...]:
    return tuple(str(name) for name in body["lines"])


def _try(room: Room, body: Wire) -> Wire:
    """List sizes, try one on single values, or one whole; nothing is changed by it."""
    desk = room.need()
    what = str(body["what"])
    with desk.lock:
        if int(body["turn"]) != desk.editions.turn:
            return {"ok": False, "words": "the case has changed meanwhile; try again"}
        if what == "list":
            return {"ok": True, **jobs.list_sizes(desk, _names(body))}
        made = jobs.tried(desk, _names(body), int(body["number"]))
    said = jobs.try_size(made) if what == "one" else jobs.try_whole(desk, made)
    return {"ok": True, "turn": body["turn"], **said}


def _keep(room: Room, body: Wire) -> Wire:
    """Keep a tried size, or a mirrored side, as one change."""
    desk = room.need()
    with desk.lock:
        no = stale(desk, body)
        if no is not None:
            return no
        if body["what"] == "size":
            jobs.keep_size(desk, _names(body), int(body["number"]))
        else:
            jobs.keep_mirror(desk, str(body["side"]))
        return whole_state(desk, body)


def _mirror(room: Room, body: Wire) -> Wire:
    desk = room.need()
    with desk.lock:
        return {"ok": True, **jobs.mirror_side(desk, str(body["side"]))}


def _shown(room: Room, _body: Wire) -> Wire:
    desk = room.need()
    with desk.lock:
        return {"ok": True, **jobs.shown(desk)}


def _report(room: Room, _body: Wire) -> Wire:
    """Write the report of the saved file; it takes some seconds."""
    desk = room.need()
    with desk.lock:
        if not desk.editions.is_saved:
            return {"ok": False, "words": "Save first: the report is made of the saved file."}
        path = desk.path
    if not room.reporting.acquire(blocking=False):
        return {"ok": False, "words": "a report is being made already"}
    try:
        return {"ok": True, **jobs.make_report(path)}
    finally:
        room.reporting.release()


def _close(room: Room, _body: Wire) -> Wire:
    room.on_close()
    return {"ok": True}


ROUTES: dict[str, Handler] = {
    "/start": _start,
    "/state": _state,
    "/forms": _forms,
    "/pulse": _pulse,
    "/change": _change,
    "/travel": _travel,
    "/result": _result,
    "/save": _save,
    "/outside": _outside,
    "/draft": _draft,
    "/take": _take,
    "/list": _list,
    "/choose": _choose,
    "/try": _try,
    "/keep": _keep,
    "/mirror": _mirror,
    "/shown": _shown,
    "/report": _report,
    "/close": _close,
}

"""One worker that judges the newest edition; older work is given up as soon as it may be."""

import threading
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass

from flowsim.errors import FlowsimError
from flowsim.files.case.draft import Draft
from flowsim.files.case.unit_choice import choice_of_text
from flowsim.files.saving.safe_save import fingerprint
from flowsim.measures import chosen
from flowsim.page.wire import Wire

Say = Callable[[int, Wire], None]
"""Takes a step (1 flows, 2 verdict) and what it says."""
Work = Callable[[Draft, Say, Callable[[], None]], None]
"""Judges a draft; calls the second as it gets on, and the third often: it raises when given up."""

KEPT = 12
"""Texts whose answers are kept, so that undo shows them at once."""


class GivenUpError(Exception):
    """Something newer is wanted."""


@dataclass(slots=True)
class WorkFound:
    """What is known of one text: the last step that is done, what each said, or what went wrong."""

    step: int = 0
    flows: Wire | None = None
    verdict: Wire | None = None
    problem: str = ""


class Worker:
    """Judges in a thread of its own. ``changed`` is notified whenever something was found."""

    def __init__(self, work: Work) -> None:
        self._work = work
        self._found: OrderedDict[str, WorkFound] = OrderedDict()
        self._least: dict[str, str] = {}
        self._wanted: Draft | None = None
        self._stopped = False
        self.changed = threading.Condition()
        self._thread = threading.Thread(target=self._run, name="judging", daemon=True)
        self._thread.start()

    def want(self, draft: Draft) -> None:
        """Ask for the judgement of a draft without mistakes; whatever was wanted before is not."""
        with self.changed:
            self._wanted = draft
            self.changed.notify_all()

    def want_nothing(self) -> None:
        """Give up what is being worked out."""
        with self.changed:
            self._wanted = None

    def stop(self) -> None:
        """End the thread."""
        with self.changed:
            self._stopped, self._wanted = True, None
            self.changed.notify_all()
        self._thread.join(timeout=5.0)

    def found(self, text: str, more_than: int = 0, wait: float = 0.0) -> WorkFound:
        """Give what is known of a text; wait [s] at most for more than a step that is known."""
        with self.changed:
            self.changed.wait_for(lambda: self._step(text) > more_than, wait)
            now = self._found.get(text, WorkFound())
            return WorkFound(now.step, now.flows, now.verdict, now.problem)

    def least_of(self, text: str) -> str:
        """Give the least flow of a text in words, if it was ever worked out."""
        with self.changed:
            return self._least.get(fingerprint(text.encode()), "not worked out")

    def _step(self, text: str) -> int:
        found = self._found.get(text)
        return 0 if found is None else found.step

    def _run(self) -> None:
        while True:
            with self.changed:
                self.changed.wait_for(lambda: self._stopped or self._is_due())
                if self._stopped:
                    return
                draft = self._wanted
            if draft is not None:
                self._judge(draft)

    def _is_due(self) -> bool:
        return self._wanted is not None and self._step(self._wanted.text) < 2

    def _judge(self, draft: Draft) -> None:
        def say(step: int, said: Wire) -> None:
            with self.changed:
                one = self._found.setdefault(draft.text, WorkFound())
                self._found.move_to_end(draft.text)
                one.step = step
                if step == 1:
                    one.flows = said
                    self._least[fingerprint(draft.text.encode())] = _least_words(said)
                else:
                    one.verdict = said
                while len(self._found) > KEPT:
                    self._found.popitem(last=False)
                self.changed.notify_all()

        def go_on() -> None:
            if self._wanted is not draft:
                raise GivenUpError

        try:
            with chosen(choice_of_text(draft.text)):
                self._work(draft, say, go_on)
        except GivenUpError:
            return
        except FlowsimError as error:
            self._fail(draft.text, str(error))
        except Exception as error:  # noqa: BLE001 - the page must say it, not go silent
            words = f"This is a bug in flowsim ({type(error).__name__}: {error}); please report it"
            self._fail(draft.text, words)

    def _fail(self, text: str, words: str) -> None:
        with self.changed:
            one = self._found.setdefault(text, WorkFound())
            one.step, one.problem = 2, words
            one.flows = one.verdict = None
            self.changed.notify_all()


def _least_words(flows: Wire) -> str:
    """Give the least flow of the requirement that is nearest to being missed."""
    least = flows.get("least") or []
    return str(min(least, key=lambda one: one["value"])["percent"]) if least else ""


def judge_draft(draft: Draft, say: Say, go_on: Callable[[], None]) -> None:
    """Judge a draft in two steps, as ``check`` does."""
    from flowsim.page.results import flows_object, verdict_object
    from flowsim.studies.adequacy.live import flows, verdict

    if draft.system is None:
        return
    go_on()
    first = flows(draft.system)
    go_on()
    shown = flows_object(first)
    say(1, shown)
    result = verdict(first, progress=lambda _words, _done, _of: go_on())
    go_on()
    say(2, verdict_object(first, result, draft, shown["attitudes"]))

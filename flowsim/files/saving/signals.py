"""Signals that would end the program wait while files are put in place."""

import contextlib
import signal
import threading
from collections.abc import Iterator
from types import FrameType

ENDING = tuple(
    getattr(signal, name) for name in ("SIGINT", "SIGTERM", "SIGHUP") if hasattr(signal, name)
)


@contextlib.contextmanager
def held_back() -> Iterator[None]:
    """Let the signals that end a program act only when the block is done.

    Handlers are exchanged rather than signals masked: another thread could still be given a masked
    one. Outside the main thread, which alone is interrupted, nothing is to be done.

    Yields
    ------
    None
    """
    if threading.current_thread() is not threading.main_thread():
        yield
        return
    came: list[int] = []

    def note(number: int, _: FrameType | None) -> None:
        came.append(number)

    before = {number: signal.getsignal(number) for number in ENDING}
    known = {number: handler for number, handler in before.items() if handler is not None}
    try:
        for number in known:
            signal.signal(number, note)
        yield
    finally:
        for number, handler in known.items():
            signal.signal(number, handler)
        for number in came[:1]:
            signal.raise_signal(number)


def end_as_interrupted() -> None:
    """Let a request to end (SIGTERM, SIGHUP) do what Ctrl+C does: tidy up, then leave.

    Where the signal is ignored, as under ``nohup``, it stays so.
    """

    def interrupt(_number: int, _frame: FrameType | None) -> None:
        raise KeyboardInterrupt

    for number in ENDING:
        if number != signal.SIGINT and signal.getsignal(number) is signal.SIG_DFL:
            signal.signal(number, interrupt)

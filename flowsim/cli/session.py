"""What the commands share: reading the case, progress on a terminal, one way out for results."""

import contextlib
import os
import shutil
import sys
from collections.abc import Iterator
from contextvars import ContextVar
from pathlib import Path
from typing import TYPE_CHECKING

from flowsim.errors import OutputError
from flowsim.measures import UnitChoice, Units, choose
from flowsim.progress import Progress

if TYPE_CHECKING:
    from flowsim.system.fuel_system import FuelSystem

_WIDTH: ContextVar[int | None] = ContextVar("width", default=None)


def load_case(
    case: Path, units: Units | None, width: int | None, *, as_json: bool = False
) -> "tuple[FuelSystem, str]":
    """Read a case and the digest of the very bytes that it was read from.

    Parameters
    ----------
    case : Path
        The case file.
    units : Units or None
        What figures are shown in from here on; as the case says or is written if None.
    width : int or None
        Columns of the text that follows; those of the terminal if None.
    as_json : bool
        JSON does not follow the choice: its keys name their units, its sentences give both.

    Returns
    -------
    FuelSystem and str
        The checked system, and the file's SHA-256 in hexadecimal.

    Raises
    ------
    InputError
        With every mistake in the file, or that it cannot be read.
    """
    from flowsim.files.case.reader import read_case_and_digest
    from flowsim.files.case.unit_choice import choice_of_file

    _WIDTH.set(width)
    choose(UnitChoice() if as_json else choice_of_file(case, units))
    return read_case_and_digest(case)


def emit(text: str) -> None:
    """Write a result to standard output.

    Raises
    ------
    OutputError
        When it cannot be written (a full disk, a closed pipe).
    """
    try:
        sys.stdout.write(text)
        sys.stdout.flush()
    except OSError as error:
        abandon_stdout()
        raise OutputError(
            f"the result cannot be written to standard output ({error.strerror or error}); "
            "write it to a file on a disk with space"
        ) from error


def abandon_stdout() -> None:
    """Point standard output at nothing, so that leaving does not fail a second time."""
    with contextlib.suppress(OSError, ValueError):
        nothing = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nothing, sys.stdout.fileno())
        os.close(nothing)


def stdout_width() -> int:
    """Give the columns of standard output: as asked, else COLUMNS, the terminal, or 80."""
    return _WIDTH.get() or shutil.get_terminal_size(fallback=(80, 24)).columns


def stdout_styled() -> bool:
    """Tell whether bold may be used: on a terminal, unless NO_COLOR or TERM=dumb asks for none."""
    plain = bool(os.environ.get("NO_COLOR")) or os.environ.get("TERM", "") in ("", "dumb")
    return sys.stdout.isatty() and not plain


@contextlib.contextmanager
def progress_line() -> Iterator[Progress | None]:
    """Give a function that shows progress in one line of standard error.

    Yields
    ------
    callable or None
        Takes a stage in words, how many are done and of how many; None unless standard error is a
        terminal, so that pipes and files stay clean.
    """
    if not sys.stderr.isatty():
        yield None
        return
    longest = 0

    def show(stage: str, done: int, total: int) -> None:
        nonlocal longest
        text = f"{stage}: {done} of {total}" if total > 1 else stage
        text = text[: max(10, shutil.get_terminal_size().columns - 1)]
        longest = max(longest, len(text))
        sys.stderr.write("\r" + text.ljust(longest))
        sys.stderr.flush()

    try:
        yield show
    finally:
        sys.stderr.write("\r" + " " * longest + "\r")
        sys.stderr.flush()

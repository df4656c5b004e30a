"""The program: its commands, and the one place where an error becomes words and an exit code."""

import contextlib
import gc
import os
import sys
import traceback
from collections.abc import Sequence
from contextvars import copy_context
from pathlib import Path
from typing import Annotated

import typer

import flowsim
from flowsim.cli import exit_codes
from flowsim.cli.case import app as case_app
from flowsim.cli.check import check
from flowsim.cli.compare import compare
from flowsim.cli.flight import flight
from flowsim.cli.ground_test import app as ground_test_app
from flowsim.cli.hand_check import hand_check
from flowsim.cli.new import new
from flowsim.cli.open import open_case
from flowsim.cli.report import report
from flowsim.cli.routing import routing
from flowsim.cli.session import abandon_stdout, emit
from flowsim.cli.sheet import sheet
from flowsim.cli.size import size
from flowsim.cli.streams import LOST, make_ready
from flowsim.cli.table import table
from flowsim.cli.uncertainty import uncertainty
from flowsim.cli.unusable import unusable
from flowsim.cli.what_if import what_if
from flowsim.errors import FlowsimError
from flowsim.files.saving.signals import end_as_interrupted

BUG_WORDS = (
    "This is a bug in flowsim, and there is no result. Please report it to whoever gave you "
    "flowsim, with the lines above and the case file."
)

# rich_markup_mode None: plain help that fits any terminal and loads nothing for drawing it.
app = typer.Typer(
    name="flowsim",
    add_completion=False,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    no_args_is_help=True,
    context_settings={"help_option_names": ["--help", "-h"]},
)


def _show_version(wanted: bool) -> None:
    if wanted:
        emit(f"flowsim {flowsim.__version__}\n")
        raise typer.Exit()


@app.callback(epilog=exit_codes.HELP)
def about(
    version: Annotated[
        bool,
        typer.Option(
            "--version", callback=_show_version, is_eager=True, help="Print the version and stop."
        ),
    ] = False,
) -> None:
    """Tell whether gravity delivers enough fuel to the engine.

    From the dimensions of a high-wing aeroplane's tanks and lines, flowsim
    works out the fuel flow that arrives at the engine in every attitude, on
    the last usable fuel, against what full power needs.
    """


for _command, _name in (
    (new, "new"),
    (open_case, "open"),
    (sheet, "sheet"),
    (table, "table"),
    (check, "check"),
    (hand_check, "hand-check"),
    (routing, "routing"),
    (size, "size"),
    (uncertainty, "uncertainty"),
    (what_if, "what-if"),
    (compare, "compare"),
    (unusable, "unusable"),
    (flight, "flight"),
    (report, "report"),
):
    app.command(_name, epilog=exit_codes.HELP)(_command)
app.add_typer(case_app, name="case", epilog=exit_codes.HELP)
app.add_typer(ground_test_app, name="ground-test", epilog=exit_codes.HELP)


def run() -> None:
    """Run the command line and leave with its exit code.

    Only here, where the process is ours: the collector looks seldom for circles among millions of
    objects that are made once, the validation library does not search all packages for plug-ins,
    and nothing is taken down piece by piece at the end.
    """
    gc.set_threshold(100_000, 20, 100)
    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")
    make_ready()
    end_as_interrupted()
    code = exit_code_of(sys.argv[1:])
    for stream in (sys.stdout, sys.stderr):
        with contextlib.suppress(AttributeError, OSError, ValueError):
            stream.flush()
    os._exit(code)


def exit_code_of(arguments: Sequence[str]) -> int:
    """Run one command and turn whatever happens into words on standard error and a code.

    Parameters
    ----------
    arguments : sequence of str
        The words after ``flowsim``.

    Returns
    -------
    int
        The exit code, as ``flowsim --help`` documents it.
    """
    try:
        # What a command sets for itself (units, width) ends with it.
        code = copy_context().run(app, list(arguments), prog_name="flowsim", standalone_mode=False)
        sys.stdout.flush()
        return code if isinstance(code, int) else 0
    except typer.TyperException as error:
        _show_usage(error, _case_as_command(arguments))
        return error.exit_code
    except (typer.Abort, KeyboardInterrupt):
        return exit_codes.INTERRUPTED
    except FlowsimError as error:
        _say(str(error))
        return error.exit_code
    except SystemExit:
        # Raised by the command-line library when help meets a closed pipe.
        abandon_stdout()
        return exit_codes.OUTPUT
    except Exception as error:  # noqa: BLE001 - nothing may leave without words and a code
        if isinstance(error, OSError) and error.errno in LOST:
            abandon_stdout()
            _say(f"standard output cannot be written ({error.strerror}); send it elsewhere")
            return exit_codes.OUTPUT
        if _was_interrupted(error):
            return exit_codes.INTERRUPTED
        with contextlib.suppress(OSError, ValueError):
            traceback.print_exc()
        _say(BUG_WORDS)
        return exit_codes.BUG


def _was_interrupted(error: BaseException) -> bool:
    """Tell whether an interruption is behind an error.

    Python 3.11 wraps whatever is raised while a class is made (``__set_name__``) in an error of its
    own, and classes are made when a module is first loaded.
    """
    seen: BaseException | None = error
    while seen is not None:
        if isinstance(seen, KeyboardInterrupt):
            return True
        seen = seen.__cause__ or seen.__context__
    return False


def _show_usage(error: typer.TyperException, case: str | None) -> None:
    """Let a wrong usage show itself with its command's usage line, where it knows how."""
    show = getattr(error, "show", None)
    if case is not None:
        _say(f"Error: {case} names a file, not a command; write: flowsim check {_as_word(case)}")
    elif callable(show):
        with contextlib.suppress(
            OSError, ValueError
        ):  # where the words go nowhere, the code says it
            show()
    else:
        _say(f"Error: {error.format_message()}")


def _case_as_command(arguments: Sequence[str]) -> str | None:
    """Give the case file that was written where the command should stand, if one was."""
    first = next((word for word in arguments if not word.startswith("-")), "")
    names = [command.name for command in app.registered_commands]
    names += [group.name for group in app.registered_groups]
    if not first or first in names:
        return None
    return first if first.lower().endswith(".toml") or Path(first).is_file() else None


def _as_word(text: str) -> str:
    return f'"{text}"' if " " in text else text


def _say(text: str) -> None:
    """Write to standard error; where that is closed, the exit code must be enough."""
    with contextlib.suppress(OSError, ValueError):
        sys.stderr.write(_printable(text) + "\n")
        sys.stderr.flush()


def _printable(text: str) -> str:
    """Keep line breaks and printable characters; a case must not steer the terminal."""
    return "".join(c if c == "\n" or c.isprintable() else "?" for c in text)


if __name__ == "__main__":
    run()

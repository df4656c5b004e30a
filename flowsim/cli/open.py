"""``flowsim open``: the case on a page of this computer."""

import contextlib
import threading
import webbrowser
from pathlib import Path
from typing import Annotated

import typer

from flowsim.cli.session import emit


def open_case(
    case: Annotated[
        Path | None,
        typer.Argument(metavar="[CASE]", help="The case file; a name that is not there is new."),
    ] = None,
    port: Annotated[
        int,
        typer.Option("--port", metavar="N", min=0, max=65535, help="Port; a free one if left out."),
    ] = 0,
    no_browser: Annotated[
        bool, typer.Option("--no-browser", help="Print the address and open nothing.")
    ] = False,
) -> None:
    """Enter, try and show a case on a page of this computer.

    Prints the page's address, which works once, and opens it in the
    browser. The page is served to this computer alone and asks nothing of
    any other; the case file is written only by Save. Without CASE it lists
    the folder's cases, a new one from the starter and copies of the
    examples. Press Enter for a new address; stop with Ctrl+C or the page's
    Close.
    """
    from flowsim.page.guards import Gate
    from flowsim.page.opening import Opening
    from flowsim.page.serve import Server, bound, new_addresses, port_of

    path, starter = _looked_at(case)
    made = bound(port)
    gate = Gate(port_of(made))
    opening = Opening(gate, path, starter)
    server = Server(made, opening.respond)
    address = gate.new_address()
    # Ctrl+C is how it is stopped: an end like any other, whatever it was just doing.
    with contextlib.suppress(KeyboardInterrupt):
        emit(f"{address}\n")
        emit("The page of this case, on this computer alone. Enter: a new address. Ctrl+C: stop.\n")
        new_addresses(gate, lambda text: emit(f"{text}\n"))
        opening.begin(server.stop)
        if not no_browser:
            threading.Thread(target=webbrowser.open, args=(address,), daemon=True).start()
        server.run()
    opening.end()


def _looked_at(case: Path | None) -> tuple[Path | None, str]:
    """Refuse at once what cannot be opened; give the starter's text for a new case."""
    if case is None:
        return None, ""
    from flowsim.files.case.starter import starter_text
    from flowsim.files.saving.safe_save import look
    from flowsim.files.toml.source import decode, file_name, read_bytes

    if case.suffix.lower() != ".toml" and not case.exists():
        case = case.with_name(f"{case.name}.toml")
    if look(case).content is None:
        if not case.parent.is_dir():
            raise typer.BadParameter(f'there is no folder "{case.parent}"; make it first')
        return case, starter_text(case.stem)
    decode(read_bytes(case), file_name(case))
    return case, ""

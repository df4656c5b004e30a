"""``flowsim new``: a commented case file to fill in."""

from pathlib import Path
from typing import Annotated

import typer

from flowsim.cli.session import emit


def new(
    name: Annotated[
        str, typer.Argument(metavar="NAME", help="Name of the case; the file becomes NAME.toml.")
    ],
) -> None:
    """Write a commented case file to fill in from a tape measure.

    Writes NAME.toml and leaves a file that is there already as it is. Its
    numbers are invented: replace every one by your own.
    """
    path = _path(name)
    from flowsim.files.case.starter import starter_text
    from flowsim.files.saving.output import written

    written(path, starter_text(path.stem), force=None)
    emit(
        f"Wrote {path}. Its numbers are invented: replace them by your own, then run\n"
        f"  flowsim check {path}\n"
    )


def _path(name: str) -> Path:
    """Turn a case's name into its file, refusing what cannot be one."""
    path = Path(name)
    if path.suffix.lower() != ".toml":
        path = path.with_name(f"{path.name}.toml") if path.name else path
    stem = path.stem.strip()
    if not stem or stem.startswith(".") or not stem.isprintable():
        raise typer.BadParameter(
            f"{name!r} cannot be the name of a case; write a plain name such as my-plane"
        )
    return path

"""``flowsim case``: a case file made from tables."""

from pathlib import Path
from typing import Annotated

import typer

from flowsim.cli import exit_codes
from flowsim.cli.session import emit

app = typer.Typer(
    rich_markup_mode=None,
    no_args_is_help=True,
    help="Make a case file from the tables of a spreadsheet.",
    context_settings={"help_option_names": ["--help", "-h"]},
)


@app.command("from", epilog=exit_codes.HELP)
def case_from(
    tables: Annotated[Path, typer.Argument(metavar="FILE", help="The tables: xlsx or CSV.")],
    out: Annotated[
        Path | None,
        typer.Option("--out", metavar="CASE.toml", help="The case file; else standard output."),
    ] = None,
    force: Annotated[bool, typer.Option("--force", help="Replace a file that is there.")] = False,
) -> None:
    """Make a case file from tables.

    The tables are those of "flowsim table", from any spreadsheet: CSV with
    commas, semicolons or tabs, decimal commas where the comma parts no cells.
    Every mistake is named by sheet, row and column in one run, and then
    nothing is written.
    """
    from flowsim.files.saving.safe_save import save_new
    from flowsim.files.tables.reader import read_tables

    made = read_tables(tables)
    if out is None:
        emit(made.text)
        return
    save_new(out, made.text.encode(), force=force)
    emit(f"Wrote {out.as_posix()}. Now run\n  flowsim check {out.as_posix()}\n")

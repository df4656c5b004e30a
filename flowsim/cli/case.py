"""``flowsim case``: a case file made from tables."""

from pathlib import Path
from typing import Annotated, Any

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
    onto: Annotated[
        Path | None,
        typer.Option(
            "--onto",
            metavar="CASE.toml",
            help="Change this case where the tables differ; its remarks stay.",
        ),
    ] = None,
    force: Annotated[bool, typer.Option("--force", help="Replace a file that is there.")] = False,
) -> None:
    """Make a case file from tables.

    The tables are those of "flowsim table", from any spreadsheet: CSV with
    commas, semicolons or tabs, decimal commas where the comma parts no cells.
    Every mistake is named by sheet, row and column in one run, and then
    nothing is written. With --onto a case that is there already is changed
    only where the tables say something else, and each change is listed.
    """
    if onto is not None and out is not None:
        raise typer.BadParameter("give either --out or --onto")
    from flowsim.files.saving.output import refuse, written
    from flowsim.files.tables.reader import read_tables

    refuse([] if out is None else [out], force=force, inputs=(tables,))
    made = read_tables(tables)
    if onto is not None:
        _bring(onto, made.data)
        return
    if out is None:
        emit(made.text)
        return
    written(out, made.text, force=force, inputs=(tables,))
    emit(f"Wrote {out.as_posix()}. Now run\n  flowsim check {out.as_posix()}\n")


def _bring(case: Path, data: dict[str, Any]) -> None:
    """Change a case that is there already to the data of the tables, and list the changes."""
    from flowsim.files.saving.safe_save import fingerprint, save
    from flowsim.files.tables.onto import brought_to
    from flowsim.files.toml.source import decode, file_name, read_bytes

    name, content = file_name(case), read_bytes(case)
    mark = "\ufeff" if content.startswith(b"\xef\xbb\xbf") else ""
    text, changes = brought_to(mark + decode(content, name), data, name)
    if not changes:
        emit(f"{case.as_posix()} says the same as the tables; nothing was written.\n")
        return
    save(case, text.encode(), fingerprint(content))
    said = "".join(f"  {change}\n" for change in changes)
    emit(f"Changed {case.as_posix()}:\n{said}Now run\n  flowsim check {case.as_posix()}\n")

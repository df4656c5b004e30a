"""``flowsim table``: a case as the sheets of a spreadsheet."""

from pathlib import Path
from typing import Annotated

import typer

from flowsim.cli import options
from flowsim.cli.session import emit
from flowsim.measures import Units


def table(
    case: options.CaseArgument,
    out: Annotated[
        Path,
        typer.Option("--out", metavar="FILE", help="Where to write: NAME.xlsx or NAME.csv."),
    ],
    units: Annotated[
        Units | None,
        typer.Option(
            "--units", help="Turn every quantity into us or metric units; as written if left out."
        ),
    ] = None,
    force: Annotated[bool, typer.Option("--force", help="Replace a file that is there.")] = False,
) -> None:
    """Write a case as tables, to be filled in with a spreadsheet.

    Sheets of lines, points, corners, parts, tanks, dips, outlets and joints,
    and one of all else by its key. A workbook (xlsx) has a tab for each; a
    CSV file has them one below the other. "flowsim case from FILE" makes a
    case of it again: the same data; remarks of the case file are not in it.
    With --units the quantities are turned (to seven digits), names and tubes
    by their sizes are not; "both" leaves all as it is written.
    """
    ending = out.suffix.lower()
    if ending not in (".csv", ".xlsx"):
        raise typer.BadParameter(f"--out {str(out)!r}: the name must end in .xlsx or .csv")
    from flowsim.errors import InputError
    from flowsim.files.case.reader import read_draft
    from flowsim.files.saving.output import refuse, written
    from flowsim.files.tables.in_units import in_units
    from flowsim.files.tables.reader import table_bytes
    from flowsim.files.toml.source import decode, file_name, read_bytes

    refuse([out], force=force, inputs=(case,))
    name = file_name(case)
    draft = read_draft(decode(read_bytes(case), name), name)
    if draft.mistakes or draft.data is None:
        raise InputError(list(draft.mistakes))
    data = draft.data if units in (None, Units.BOTH) else in_units(draft.data, units)
    written(out, table_bytes(data, ending), force=force, inputs=(case,))
    back = out.with_suffix(".toml")
    if back.exists():
        back = back.with_name(f"{back.stem}-new.toml")
    emit(
        f"Wrote {out.as_posix()}. Fill it in, then make a case of it:\n"
        f"  flowsim case from {out.as_posix()} --out {back.as_posix()}\n"
    )

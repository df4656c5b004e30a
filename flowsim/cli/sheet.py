"""``flowsim sheet``: a measuring sheet to print and take into the workshop."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal

import typer

from flowsim.cli import options
from flowsim.cli.report import dated
from flowsim.cli.session import emit, progress_line
from flowsim.measures import Units, choose

if TYPE_CHECKING:
    from flowsim.files.case.draft import Draft
    from flowsim.studies.result import AdequacyResult


def sheet(
    case: Annotated[
        Path | None,
        typer.Argument(metavar="[CASE]", help="The case file; left out for an empty sheet."),
    ] = None,
    paper: Annotated[
        Literal["a4", "letter"], typer.Option("--paper", help="Size of the paper.")
    ] = "a4",
    out: Annotated[Path, typer.Option("--out", metavar="FILE.pdf", help="Where to write.")] = Path(
        "measuring-sheet.pdf"
    ),
    date: Annotated[
        str | None,
        typer.Option("--date", metavar="DATE", help="Date on the sheet, such as 2026-01-31."),
    ] = None,
    units: options.ShownIn = None,
    force: Annotated[bool, typer.Option("--force", help="Replace a file that is there.")] = False,
) -> None:
    """Write a measuring sheet to print and take into the workshop.

    Axes and datum with a drawing, what to measure with what and how well, and
    a table for each tank, outlet, line, tee and selector, for the carburettor
    and for the attitudes. Filled in where the case has values, lines to write
    on where it has none or assumes them, and first what matters most to the
    answer. A case that is not finished gives a sheet too; without a case it
    is empty. Values stand as they are written in the case; with --units us or
    metric they are turned.
    """
    day = dated(date)
    _choose(case, units)
    draft = None if case is None else _draft(case, units)
    from flowsim.files.saving.output import refuse, written
    from flowsim.reports.pages.measuring_sheet import measuring_sheet
    from flowsim.reports.pages.measuring_sheet_paper import measuring_sheet_pdf

    refuse([out], force=force, inputs=(case,))
    result = None if draft is None else _judged(draft)
    title = "" if draft is None or draft.model is None else draft.model.title
    file = "" if case is None else case.as_posix()
    content = measuring_sheet_pdf(measuring_sheet(draft, result), title, file, paper, day)
    written(out, content, force=force, inputs=(case,))
    said = f"Wrote {out.as_posix()}."
    if draft is not None and draft.mistakes:
        count = len(draft.mistakes)
        mistakes = "a mistake" if count == 1 else f"{count} mistakes"
        said += f" The case has {mistakes}, so nothing is ranked; see flowsim check."
    emit(f"{said}\nAn estimate, not an approval: the ground test decides.\n")


def _choose(case: Path | None, units: Units | None) -> None:
    """Choose the units of all that is not a value of the case."""
    from flowsim.files.case.unit_choice import choice_of_file, choice_of_text

    choose(choice_of_text("", units) if case is None else choice_of_file(case, units))


def _draft(case: Path, units: Units | None) -> "Draft":
    """Read a case as far as it can be read, its values turned where units are asked for."""
    from flowsim.errors import InputError
    from flowsim.files.case.reader import read_draft
    from flowsim.files.toml.source import decode, file_name, read_bytes

    name = file_name(case)
    draft = read_draft(decode(read_bytes(case), name), name)
    if draft.model is None:
        raise InputError(list(draft.mistakes))
    if units in (None, Units.BOTH) or draft.data is None:
        return draft
    from flowsim.files.tables.case_text import case_text
    from flowsim.files.tables.in_units import in_units

    return read_draft(case_text(in_units(draft.data, units)), name)


def _judged(draft: "Draft") -> "AdequacyResult | None":
    """Judge a case on single values, where it can be judged."""
    if draft.system is None:
        return None
    from flowsim.errors import DomainError
    from flowsim.studies.adequacy.study import judge

    try:
        with progress_line() as progress:
            return judge(draft.system, nominal=True, progress=progress)
    except DomainError:
        return None  # a sheet helps all the more where the case cannot be judged

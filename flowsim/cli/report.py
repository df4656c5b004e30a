"""``flowsim report``: everything on paper for a person who checks it."""

import datetime
import os
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal

import typer

from flowsim.cli import options
from flowsim.cli.exit_codes import BY_VERDICT
from flowsim.cli.session import emit, load_case, progress_line

if TYPE_CHECKING:
    from flowsim.files.results.report_model import Report
    from flowsim.measures import Units
    from flowsim.reports.render.pdf import Paper

PAGE, PAPER, DATA = "report.html", "report.pdf", "report.json"
SUMMARY = "summary.pdf"
EPOCH = "SOURCE_DATE_EPOCH"


def report(
    case: Annotated[
        Path | None,
        typer.Argument(metavar="CASE", help="The case file; left out with --from."),
    ] = None,
    readings: Annotated[
        Path | None,
        typer.Option("--readings", metavar="FILE", help="Readings of a ground test, CSV or TOML."),
    ] = None,
    made_before: Annotated[
        Path | None,
        typer.Option("--from", metavar="REPORT.JSON", help="Make it again from its data."),
    ] = None,
    out: Annotated[
        Path, typer.Option("--out", metavar="DIR", help="Folder to write into; made if need be.")
    ] = Path(),
    date: Annotated[
        str | None,
        typer.Option("--date", metavar="DATE", help="Date in the report, such as 2026-01-31."),
    ] = None,
    summary: Annotated[
        bool, typer.Option("--summary", help="Write summary.pdf alone: two pages.")
    ] = False,
    paper: Annotated[
        Literal["a4", "letter"], typer.Option("--paper", help="Size of the paper of the PDF.")
    ] = "a4",
    no_pdf: Annotated[bool, typer.Option("--no-pdf", help="Leave the PDF out.")] = False,
    force: Annotated[bool, typer.Option("--force", help="Replace files that are there.")] = False,
    nominal: options.NominalOption = False,
    as_json: options.AsJson = False,
    units: options.ShownIn = None,
    draws: options.DrawsOption = options.DRAWS,
    seed: options.SeedOption = options.SEED,
) -> None:
    """Write the report for a technical counsellor.

    Writes report.html (one page, opens offline, with or without scripts),
    report.pdf and report.json (the data that both are made from) into a
    folder; with --summary summary.pdf alone, two pages to lay before somebody:
    answer, drawing, curve, where the head goes, what it rests on, what was not
    checked, signatures. With --json the data go to standard output and nothing is
    written. Today's date stands in it unless --date or SOURCE_DATE_EPOCH
    says another; the same input and date give the same bytes. The exit
    code is the verdict, as in check, or 5 where the PDF cannot be made.
    """
    if (case is None) == (made_before is None):
        raise typer.BadParameter("give either a CASE or --from REPORT.JSON")
    if made_before is not None and (readings is not None or date is not None or nominal):
        raise typer.BadParameter(
            "--from takes all from its data: no --readings, --date or --nominal"
        )
    day = dated(date)
    if summary and (no_pdf or as_json):
        raise typer.BadParameter("--summary is a PDF: leave out --no-pdf and --json")
    names = [PAGE, *([] if no_pdf else [PAPER]), *([DATA] if made_before is None else [])]
    names = [SUMMARY] if summary else names
    inputs = (case, readings, made_before)
    if not as_json:
        from flowsim.files.saving.output import refuse

        refuse([out / name for name in names], force=force, inputs=inputs, new=out)
    if made_before is not None:
        from flowsim.files.results.report_object import read_report

        made = read_report(made_before)
    else:
        assert case is not None
        made = _worked_out(case, readings, day, units, nominal=nominal, draws=draws, seed=seed)
    if as_json:
        from flowsim.files.results.report_object import report_json

        emit(report_json(made))
    else:
        _write(made, out, names, paper, force=force, inputs=inputs)
    raise typer.Exit(BY_VERDICT[made.verdict.value])


def _worked_out(
    case: Path,
    readings: Path | None,
    day: str,
    units: "Units | None",
    *,
    nominal: bool,
    draws: int,
    seed: int,
) -> "Report":
    """Run the studies and put the report together."""
    system, sha256 = load_case(case, units, None)
    from flowsim.files.readings.reader import Readings, read_readings
    from flowsim.files.results.report_model import FileUsed
    from flowsim.reports.sections.build import build_report
    from flowsim.studies.report.collect import collect

    read: Readings | None = None if readings is None else read_readings(readings, system)
    with progress_line() as progress:
        study = collect(
            system,
            nominal=nominal,
            draws=draws,
            seed=seed,
            readings=() if read is None else read.runs,
            readings_remarks=() if read is None else read.remarks,
            readings_source="ground test" if read is None else f"readings {read.name}",
            progress=progress,
        )
    tested = None if read is None else FileUsed(file=read.name, sha256=read.sha256)
    case_file = FileUsed(file=case.as_posix(), sha256=sha256)
    return build_report(study, date=day, case=case_file, readings=tested)


def _write(
    made: "Report",
    out: Path,
    names: list[str],
    paper: "Paper",
    *,
    force: bool,
    inputs: tuple[Path | None, ...],
) -> None:
    """Make every form, write them together, then complain of what could not be made."""
    from flowsim.errors import OutputError
    from flowsim.files.results.report_object import report_json
    from flowsim.files.saving.output import write_outputs
    from flowsim.reports.render.html import report_html

    contents = {PAGE: report_html(made).encode()} if PAGE in names else {}
    if SUMMARY in names:
        from flowsim.reports.render.pdf import summary_pdf

        contents[SUMMARY] = summary_pdf(made, paper)
    missing: OutputError | None = None
    if PAPER in names:
        from flowsim.reports.render.pdf import report_pdf

        try:
            contents[PAPER] = report_pdf(made, paper)
        except OutputError as error:
            missing = error
    if DATA in names:
        contents[DATA] = report_json(made).encode()
    files = {out / name: content for name, content in contents.items()}
    write_outputs(files, force=force, inputs=inputs, new=out)
    written = "".join(f"wrote {(out / name).as_posix()}\n" for name in contents)
    emit(f"Verdict: {made.verdict.words}\n{written}{made.standing[0]}\n{made.standing[1]}\n")
    if missing is not None:
        raise missing


def dated(text: str | None) -> str:
    """Give the date of a document: as written, else from the environment, else today's."""
    if text is not None:
        try:
            return datetime.date.fromisoformat(text).isoformat()
        except ValueError as error:
            raise typer.BadParameter(f"--date {text!r}: write it as 2026-01-31") from error
    epoch = os.environ.get(EPOCH)
    if epoch is None:
        return datetime.datetime.now(tz=datetime.UTC).astimezone().date().isoformat()
    try:
        return datetime.datetime.fromtimestamp(int(epoch), tz=datetime.UTC).date().isoformat()
    except (ValueError, OverflowError, OSError) as error:
        raise typer.BadParameter(f"{EPOCH} {epoch!r}: write whole seconds since 1970") from error

"""The routes of the three jobs: a line size, a nose-high climb, showing it to a counsellor."""

import datetime
import math
from dataclasses import replace
from pathlib import Path
from typing import Any

from flowsim.document.pictures import Flow
from flowsim.document.words.telling import told
from flowsim.errors import FlowsimError, OutputError
from flowsim.files.toml.edits import read
from flowsim.page.changes import ChangeStep
from flowsim.page.desk import Desk
from flowsim.page.mirror import mirrored
from flowsim.page.results import flow_pictures
from flowsim.page.showing import changed_values, changes_made, inputs
from flowsim.page.sizes import TriedSize, sizes_for, with_size
from flowsim.page.wire import Wire
from flowsim.reports.figures.draw import draw
from flowsim.reports.words.units import head_words, ratio_span, ratio_words
from flowsim.studies.adequacy.brief import judge_briefly
from flowsim.studies.adequacy.live import flows, verdict
from flowsim.studies.adequacy.study import SEED
from flowsim.studies.result import ResultLine, ScenarioResult


def list_sizes(desk: Desk, names: tuple[str, ...]) -> Wire:
    """List the sizes that may be tried, the nearest first."""
    system = desk.draft.system
    if system is None:
        raise FlowsimError("correct the mistakes first")
    return {"sizes": [told(size.name) for size in sizes_for(system, names)]}


def tried(desk: Desk, names: tuple[str, ...], number: int) -> TriedSize:
    """Put one of the listed sizes into some lines, changing nothing."""
    draft = desk.draft
    if draft.system is None:
        raise FlowsimError("correct the mistakes first")
    return with_size(draft, names, sizes_for(draft.system, names)[number])


def try_size(made: TriedSize) -> Wire:
    """Give the least flow and the head left on single values; no verdict."""
    if made.draft.system is None:
        return {
            "name": told(made.size.name),
            "problem": _first_mistake(made),
            "remarks": made.remarks,
        }
    brief = judge_briefly(made.draft.system, nominal=True, draws=0, seed=SEED)
    return {
        "name": told(made.size.name),
        "least": ratio_words(brief.least),
        "head": _left(brief.deciding()),
        "remarks": made.remarks,
        "problem": "",
    }


def _left(deciding: ScenarioResult) -> str:
    """Say the head left over; none where nothing flows at all, which is no failed solve."""
    nothing = math.isnan(deciding.head_left) and deciding.converged and deciding.flow <= 0.0
    return "none" if nothing else head_words(deciding.head_left)


def _first_mistake(made: TriedSize) -> str:
    """Say what keeps a size from being tried, as the check would."""
    first = made.draft.mistakes[0]
    return f"{first.item}: {first.problem}; {first.remedy}"


def try_whole(desk: Desk, made: TriedSize) -> Wire:
    """Judge one size whole: band, verdict, and its curves drawn over those of the case."""
    own = desk.draft.system
    if made.draft.system is None or own is None:
        return {"name": told(made.size.name), "problem": _first_mistake(made)}
    first, before = flows(made.draft.system), flows(own)
    result = verdict(first)
    line = min(result.lines, key=lambda one: one.least_nominal)
    over = _over_each_other(flow_pictures(before), flow_pictures(first), told(made.size.name))
    return {
        "name": told(made.size.name),
        "problem": "",
        "verdict": result.verdict.value,
        "words": result.verdict_words,
        "least": f"{told(line.name)}: {_arrives(line)}",
        "curves": over,
        "remarks": made.remarks,
    }


def _arrives(line: ResultLine) -> str:
    """Say how much of what is required arrives at the least, and between what it lies."""
    least = ratio_words(line.least_nominal)
    flows_on = least.endswith("%")
    band = ratio_span(line.least_low, line.least_high)
    return f"{least}{' of the required' if flows_on else ''}; 5 to 95 % band: {band}."


def _over_each_other(before: list[Flow], after: list[Flow], name: str) -> list[Wire]:
    """Draw the lowest curve of the case and of the tried size into one picture."""
    made: list[Wire] = []
    for old in before:
        new = next((picture for picture in after if picture.title == old.title), None)
        if new is None:
            continue
        curves = [
            replace(curve, name=f"{words}: {curve.name}", style=place)
            for place, (words, picture) in enumerate((("as it is", old), (name, new)))
            for curve in (_lowest(picture),)
        ]
        both = replace(
            old, curves=tuple(curves), top_kg_per_h=max(old.top_kg_per_h, new.top_kg_per_h)
        )
        svg = draw(both).svg(f"over{len(made)}", f"{old.title}: as it is, and with {name}.")
        made.append({"type": "figure", "title": old.title, "caption": old.title, "svg": svg})
    return made


def _lowest(picture: Flow) -> Any:
    """Give the curve of a picture whose least flow is the least."""

    def least(curve: Any) -> float:
        flows_ = [point.kg_per_h for point in curve.points if point.kg_per_h is not None]
        return min(flows_, default=float("inf"))

    return min(picture.curves, key=least)


def keep_size(desk: Desk, names: tuple[str, ...], number: int) -> None:
    """Make the tried size an edition."""
    made = tried(desk, names, number)
    words = f"{', '.join(names)}: {told(made.size.name)}"
    desk.change([ChangeStep(do="edits", value=made.edits, text=words)])


def mirror_side(desk: Desk, side: str) -> Wire:
    """Show what mirroring a side would make."""
    if side not in ("left", "right"):
        raise FlowsimError("left or right")
    found = mirrored(read(desk.editions.text), "left" if side == "left" else "right")
    return {"rows": found.rows}


def keep_mirror(desk: Desk, side: str) -> None:
    """Make the mirrored side an edition."""
    found = mirrored(read(desk.editions.text), "left" if side == "left" else "right")
    words = f"the {side} side mirrored"
    desk.change([ChangeStep(do="edits", value=found.edits, text=words)])


def shown(desk: Desk) -> Wire:
    """Give what is shown to a counsellor beside the answer."""
    way = desk.editions.way()
    first = way[0].text
    try:
        values = changed_values(read(first), read(desk.editions.text)) if len(way) > 1 else []
    except FlowsimError:
        values = []
    return {
        "inputs": inputs(desk.draft),
        "changes": changes_made(way, desk.worker),
        "values": values,
        "date": datetime.datetime.now(tz=datetime.UTC).astimezone().date().isoformat(),
    }


def make_report(path: Path) -> Wire:
    """Write the report of the saved file into a folder beside it, as the command does.

    Raises
    ------
    FlowsimError
        The file has mistakes, or the folder cannot be written to.
    """
    from flowsim.files.case.reader import read_case_and_digest
    from flowsim.files.results.report_model import FileUsed
    from flowsim.files.results.report_object import report_json
    from flowsim.files.saving.output import write_outputs
    from flowsim.reports.render.html import report_html
    from flowsim.reports.sections.build import build_report
    from flowsim.studies.report.collect import collect

    system, sha256 = read_case_and_digest(path)
    study = collect(system)
    day = datetime.datetime.now(tz=datetime.UTC).astimezone().date().isoformat()
    made = build_report(study, date=day, case=FileUsed(file=path.name, sha256=sha256))
    contents = {
        "report.html": report_html(made).encode(),
        "report.json": report_json(made).encode(),
    }
    missing = ""
    try:
        from flowsim.reports.render.pdf import report_pdf

        contents["report.pdf"] = report_pdf(made)
    except OutputError as error:
        missing = str(error)
    folder = path.with_name(f"{path.stem}-report")
    files = {folder / name: content for name, content in contents.items()}
    write_outputs(files, force=True, inputs=(path,), new=folder)
    return {"folder": folder.name, "files": sorted(contents), "missing": missing,
            "words": made.verdict.words}  # fmt: skip

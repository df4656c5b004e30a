"""What a report's data must say beyond their types: references that lead somewhere, one shape."""

from collections.abc import Iterator

from flowsim.document.blocks import Figure, Table
from flowsim.document.pictures import Flow, Margin, Pressure, Scheme, View
from flowsim.files.results.report_model import Report, Tries


def faults_of(report: Report) -> Iterator[str]:
    """Find what does not fit together in a report's data.

    Parameters
    ----------
    report : Report

    Yields
    ------
    str
        Where it is and what is wrong.
    """
    said = report.verdict
    untested = report.readings is None  # a ground test may have corrected the case
    if said.words.split(",")[0] != said.value or (
        untested and said.words != report.check.get("verdict")
    ):
        yield f"verdict: {said.value} is not what check says"
    if len(report.standing) < 2:
        yield "standing: what every report must say is missing"
    for name, sections in (("sections", report.sections), ("summary", report.summary)):
        for number, section in enumerate(sections):
            for index, block in enumerate(section.blocks):
                for fault in _of_block(block):
                    yield f"{name}.{number}.blocks.{index}: {fault}"
    if report.tries is not None:
        for fault in _of_tries(report.tries):
            yield f"tries: {fault}"


def _of_block(block: object) -> Iterator[str]:
    if isinstance(block, Table):
        for row in (*block.rows, *block.foot):
            if len(row) not in (1, len(block.columns)):
                yield f"a row of {len(row)} cells in a table of {len(block.columns)} columns"
    elif isinstance(block, Figure):
        yield from _of_picture(block.picture)


def _of_picture(picture: object) -> Iterator[str]:
    if isinstance(picture, Scheme):
        count = len(picture.nodes)
        if any(not 0 <= end < count for line in picture.lines for end in (line.start, line.end)):
            yield f"a line ends at none of the {count} nodes"
        if any(not -1 <= node.rank <= count or not 0 <= node.place <= 1 for node in picture.nodes):
            yield "a node lies outside the scheme"
    elif isinstance(picture, Margin):
        shape = (len(picture.litres), len(picture.pitch_deg))
        for grid in (picture.percent, picture.air):
            if len(grid) != shape[0] or any(len(row) != shape[1] for row in grid):
                yield f"a map is not of {shape[0]} quantities and {shape[1]} pitches"
    elif isinstance(picture, Flow) and not any(curve.points for curve in picture.curves):
        yield "no curve has a point"
    elif isinstance(picture, Pressure) and not picture.points:
        yield "there are no points"
    elif isinstance(picture, View):
        chains = [tank.outline for tank in picture.tanks] + [line.course for line in picture.lines]
        if not any(chains) and not picture.points:
            yield "there is nothing to be seen"


def _of_tries(tries: Tries) -> Iterator[str]:
    sizes = len(tries.selectors), len(tries.states), len(tries.ends)
    pitches = len(tries.pitch_deg)
    if not all((*sizes, pitches)) or len(tries.pitch_names) != pitches:
        yield "pitches and their names do not fit, or there is nothing to choose"
    if any(not 0 <= at < size for at, size in zip(tries.start, (*sizes, pitches), strict=True)):
        yield "it starts where nothing is"
    if len(tries.outlet_at) != len(tries.outlets):
        yield "outlets and their places do not fit"
    for item in tries.sets:
        at = item.selector, item.state, item.end
        if any(not 0 <= index < size for index, size in zip(at, sizes, strict=True)):
            yield "a set belongs to nothing"
        if len(item.cells) != pitches:
            yield f"a set of {len(item.cells)} cells for {pitches} pitches"
        for cell in item.cells:
            if cell is not None and any(not 0 <= i < len(tries.outlets) for i in cell.uncovered):
                yield "an outlet that is not there is uncovered"
    if len(tries.seen) != sizes[1] or any(
        len(row) != pitches or any(len(tanks) != len(tries.tanks) for tanks in row)
        for row in tries.seen
    ):
        yield "what is seen does not fit fuel states, pitches and tanks"

"""What ``flowsim what-if`` prints: a matrix of what-ifs against result lines, then in words."""

import math

from flowsim.document.blocks import Block
from flowsim.document.build import bullets, heading, pairs, paragraph, table
from flowsim.document.document import About, Document, passage
from flowsim.document.words.telling import told
from flowsim.measures import FAR_ENOUGH, percent_figure
from flowsim.reports.pages.of_the_case import of_the_case
from flowsim.reports.render.terminal import render
from flowsim.reports.words.scenarios import short_name
from flowsim.reports.words.units import BACK, clean, key_of_back, percent_words, runs_back
from flowsim.studies.result import Verdict
from flowsim.studies.saying import Said
from flowsim.studies.what_if.result import WhatIfCell, WhatIfResult, WhatIfRow

_SHORT = {
    Verdict.ADEQUATE: "yes",
    Verdict.NOT_ADEQUATE: "NO",
    Verdict.CANNOT_TELL: "?",
}


def what_if_text(
    result: WhatIfResult, case_file: str, *, width: int = 80, styled: bool = False
) -> str:
    """Give the report of the what-ifs as text.

    Parameters
    ----------
    result : WhatIfResult
    case_file : str
        The case file's name as it was given.
    width : int
        Columns, kept between 40 and 100.
    styled : bool
        Whether bold may be used.

    Returns
    -------
    str
    """
    return render(what_if_document(result, case_file), width, styled=styled)


def what_if_document(result: WhatIfResult, case_file: str) -> Document:
    """Give what the study found, to be printed alone or in a larger report."""
    far = [name for name in result.columns if _is_far(result, name)]
    columns = tuple(name for name in result.columns if name not in far)
    letters = [chr(ord("A") + index) for index in range(len(columns))]
    if result.draws:
        basis = f"{result.draws} Monte Carlo draws for each what-if (seed {result.seed})"
        shows = "the 5th percentile of the least flow"
    else:
        basis = "single values only: nothing is allowed for what is uncertain"
        shows = "the least flow, nominal values"
    rows = [_row(row, columns) for row in result.rows]
    back = key_of_back(cell for row in rows for cell in row[1:])
    back = f"{back} " if back else ""
    found = passage(
        About.FOUND,
        heading("What if"),
        table(("what if", *letters), rows),
        paragraph(
            f"yes: adequate; NO: not adequate; ?: cannot tell. Number: {shows}, in percent of the "
            f"required. -: not worked out. {back}Columns:"
        ),
        pairs(list(zip(letters, columns, strict=True)), 4),
        _without_column(far),
        heading("In words"),
        [part for row in result.rows for part in _words(row)],
    )
    return Document(
        title=clean(result.title),
        passages=(
            passage(About.HEAD, pairs([("case", case_file), ("judged on", basis)], 0)),
            found,
            *of_the_case(result.assumptions, case_file),
        ),
    )


def _is_far(result: WhatIfResult, name: Said) -> bool:
    """Tell whether a line is far more than met in every what-if that it was worked out for."""
    cells = [cell for row in result.rows for cell in row.cells if cell.line == name]
    return bool(cells) and all(
        cell.least_low == math.inf and cell.verdict is Verdict.ADEQUATE for cell in cells
    )


def _without_column(far: list[Said]) -> list[Block]:
    """Name the lines that have no column, for there is nothing to be read in it."""
    if not far:
        return []
    least = percent_figure(FAR_ENOUGH)
    return [
        paragraph(
            f"Adequate with over {least} % wherever they were worked out, so without a column:"
        ),
        bullets(far),
    ]


def _row(row: WhatIfRow, columns: tuple[Said, ...]) -> tuple[str, ...]:
    cells = {cell.line: cell for cell in row.cells}
    return (row.word, *(_cell(cells.get(name), row) for name in columns))


def _cell(cell: WhatIfCell | None, row: WhatIfRow) -> str:
    if cell is None:
        return "-"
    if row.deciding is None:
        return _SHORT[cell.verdict]
    ratio = cell.least if cell.least_low is None else cell.least_low
    if ratio == math.inf:
        return f"{_SHORT[cell.verdict]} >{percent_figure(FAR_ENOUGH)}"
    if not math.isfinite(ratio):
        return f"{_SHORT[cell.verdict]} {percent_words(ratio)}"
    if runs_back(ratio, 0.0005):
        return f"{_SHORT[cell.verdict]} {BACK}"
    # Whole percent, rounded down, so that six columns and a name fit a narrow terminal.
    percent = math.floor(100.0 * ratio + 1e-6)
    # Tens from 1000 up, as in every other place.
    return f"{_SHORT[cell.verdict]} {percent if percent < 1000 else percent - percent % 10}"


def _words(row: WhatIfRow) -> list[Block]:
    verdict = "not worked out" if row.verdict is None else row.verdict_words
    head = f"{row.word}: {verdict}"
    parts: list[Block] = [paragraph(f"{head} ({told(row.words)})" if row.words else head)]
    if row.deciding is not None:
        parts.append(paragraph(f"Decided by {short_name(row.deciding)}.", 4))
    said = [*row.reasons, *([row.note] if row.note else [])]
    if said:
        parts.append(bullets(said, 4))
    return parts

"""Where the head goes: the loss of every part on each way from a tank to the end."""

import math

from flowsim.document.blocks import Block
from flowsim.document.build import paragraph, table
from flowsim.files.units import shown as to
from flowsim.reports.words.units import head_words, number, share_words
from flowsim.studies.result import LossPath

COLUMNS = ("part", "mm", "in", "share", "m/s", "Re")
_ROOM_FOR_ALL = 60
"""[columns] On a narrower terminal velocity and Reynolds number are left to the hand check."""


def loss_tables(paths: tuple[LossPath, ...], width: int) -> list[Block]:
    """Make a table for each path, closing with the head available.

    Parameters
    ----------
    paths : tuple of LossPath
        Of one scenario.
    width : int
        Columns of the terminal.

    Returns
    -------
    list of Block
        Words alone where nothing flows.
    """
    if not paths:
        return [paragraph("Nothing flows to the end in this scenario, or its solve failed.")]
    made: list[Block] = []
    columns = COLUMNS if width >= _ROOM_FOR_ALL else COLUMNS[:4]
    for path in paths:
        made += [
            paragraph(
                f"From tank {path.tank}, outlet {path.outlet}, to the {path.end}: "
                f"{head_words(path.available)} of fuel available."
            ),
            table(columns, (row[: len(columns)] for row in _rows(path)), foot=_closing(path)),
        ]
    return made


def _rows(path: LossPath) -> list[list[str]]:
    rows, line = [], ""
    for row in path.rows:
        if row.line != line:
            line = row.line
            rows.append([f"{line}:"])
        rows.append(
            [
                f"  {row.part}",
                number(to.millimetres(row.loss), 1),
                number(to.inches(row.loss), 2),
                share_words(row.share),
                _or_dash(row.velocity, 3),
                _or_dash(row.reynolds, 0),
            ]
        )
    return rows


def _closing(path: LossPath) -> list[list[str]]:
    total = sum(row.loss for row in path.rows)
    return [
        _sum("sum of the parts", total),
        _sum("head available", path.available),
        _sum("difference", path.closure),
    ]


def _sum(name: str, head: float) -> list[str]:
    return [name, number(to.millimetres(head), 1), number(to.inches(head), 2)]


def _or_dash(value: float, decimals: int) -> str:
    """Give a number, or a dash where the part has none (a screen has no bore)."""
    return "-" if math.isnan(value) else number(value, decimals)

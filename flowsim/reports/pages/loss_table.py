"""Where the head goes: the loss of every part on each way from a tank to the end."""

import math

from flowsim.document.blocks import Block
from flowsim.document.build import paragraph, table
from flowsim.document.words.telling import told
from flowsim.measures import LENGTH, VELOCITY
from flowsim.reports.words.units import head_words, number, share_words
from flowsim.studies.result import LossPath, ScenarioResult


def no_losses(scenario: ScenarioResult) -> str:
    """Say why a scenario has no losses to show."""
    if scenario.converged:
        return "Nothing flows to the end in this scenario."
    return "No losses are known in this scenario: it was not solved."


def loss_tables(paths: tuple[LossPath, ...], scenario: ScenarioResult) -> list[Block]:
    """Make a table for each path, closing with the head available.

    Parameters
    ----------
    paths : tuple of LossPath
        Of one scenario.
    scenario : ScenarioResult
        That scenario.

    Returns
    -------
    list of Block
        Words alone where nothing flows.
    """
    if not paths:
        return [paragraph(no_losses(scenario))]
    made: list[Block] = []
    columns = ("part", *(unit.name for unit in LENGTH.units()), "share", VELOCITY.name, "Re")
    for path in paths:
        made += [
            paragraph(
                f"From tank {path.tank}, outlet {path.outlet}, to the {path.end}: "
                f"{head_words(path.available)} of fuel available."
            ),
            table(columns, _rows(path), foot=_closing(path)),
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
                f"  {told(row.part)}",
                *_heads(row.loss),
                share_words(row.share),
                _or_dash(VELOCITY.of(row.velocity), 3),
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
    return [name, *_heads(head)]


def _heads(head: float) -> list[str]:
    """Give a head in each unit that is shown."""
    return [number(unit.of(head), 1 + unit.finer) for unit in LENGTH.units()]


def _or_dash(value: float, decimals: int) -> str:
    """Give a number, or a dash where the part has none (a screen has no bore)."""
    return "-" if math.isnan(value) else number(value, decimals)

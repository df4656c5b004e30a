"""Write ``docs/validation.md``.

Run ``python -m tests.support.validation_page`` from the repository root. The page is made by
running flowsim on the folders of ``tests/published``; a test compares it with the committed one.
"""

import csv
from collections.abc import Iterator
from pathlib import Path

from tests.support import calibrated_page
from tests.support.published import (
    FOLDER,
    HOW,
    Comparison,
    ReferenceTable,
    Source,
    folders,
    groups,
    load,
)
from tests.support.validation_first_page import first_page

PAGE = Path(__file__).parents[2] / "docs" / "validation.md"

SHORT = {
    "read": "read",
    "via a public transcription": "transcribed",
    "from memory": "memory",
    "computed by a library": "library",
    "computed independently": "own",
}

NOT_PUBLISHED = {"computed by a library", "computed independently"}
"""Ways to have a number that nobody published: it is a reference, not a source."""

SECTIONS = {
    "measured": (
        "Whole systems, as measured",
        "That a case file, its tank, its line and its flow together give what somebody measured. "
        "Such sets are rare; those that could be read in full are all here.",
    ),
    "requirement": (
        "Required flow",
        "That the flow asked for follows from power by the usual yardstick.",
    ),
    "network": (
        "Networks and lines",
        "That the solver finds flows, heads and pressures in single lines, parallel and series "
        "lines, branches and loops, with the laws of the parts as flowsim has them. Textbook "
        "examples keep the book's friction factor and gravity; library networks have the same laws "
        "or the difference is in the tolerance.",
    ),
    "friction": (
        "Friction",
        "That the friction laws are what their names say, and how far they are from measured "
        "friction in smooth tube. Verdicts use the cautious law: 64/Re to Re 1900, Colebrook from "
        "Re 2300, a bridge between. In transition measured flow may still be laminar; there the "
        "cautious law is only checked not to lie below.",
    ),
    "losses": (
        "Parts",
        "That a flow coefficient is turned into head rightly. The constants of fittings are "
        "handbook values with wide bands; see what is not validated.",
    ),
    "tank": (
        "Tanks",
        "That capacity, fuel below a surface and the surface of a quantity are exact, level and "
        "tilted.",
    ),
    "fuel": (
        "Fuel",
        "Density, viscosity and vapour pressure by temperature.",
    ),
    "time": ("Levels in time", "That levels follow the flow where tanks drain."),
    "air": ("Air", "The standard atmosphere behind pressure altitude."),
}

INTRODUCTION = """\
# Validation

Made by running flowsim; do not edit. To renew it: `python -m tests.support.validation_page`. The
numbers stand in `tests/published`, one folder a source, and the test suite holds flowsim to them.

flowsim is an estimate, not an approval. The ground test decides.

{first}
## How to read it

*Difference* is flowsim less the published number, or less the reference where a library or our own
working gave it. *Tolerance* is what the test allows and why; "half digit" is half of the last digit
printed. Where a table is long, a line sums up several numbers: how many, the mean difference and
the extremes. *How* says how we have the number:

{how}

Books are cited by example and page as the transcription numbers them. Their own assumptions are
kept (friction factor as printed, their gravity); "by Colebrook's law" means flowsim's own friction
instead.
"""


def page() -> str:
    """Give the text of the page."""
    sources = [load(folder) for folder in folders()]
    how = "\n".join(f"- *{SHORT[key]}*: {words.split(': ')[1]}." for key, words in HOW.items())
    parts = [INTRODUCTION.format(how=how, first=first_page(sources)), _overview(sources)]
    for key, (heading, words) in SECTIONS.items():
        parts.append(f"## {heading}\n\n{words}\n")
        parts += [_source(source) for source in sources if source.facts["section"] == key]
        if key == "measured":
            parts.append(calibrated_page.section())
    parts += [_not_validated(), _not_run(sources)]
    return "\n".join(parts)


def _overview(sources: list[Source]) -> str:
    lines = ["## Overview\n", "| source | numbers | what it covers |", "|---|---|---|"]
    for source in sources:
        count = sum(len(table.comparisons) for table in source.tables)
        if source.facts["section"] in SECTIONS:
            lines.append(
                f"| {source.facts['author']}: {source.facts['title']} "
                f"| {count or 'in its test'} | {source.facts['covers']} |"
            )
    return "\n".join(lines) + "\n"


def _source(source: Source) -> str:
    facts = source.facts
    lines = [
        f"### {facts['author'].split(',')[0].split(';')[0]}: {facts['title']}\n",
        f"{facts['author']}. {facts['edition']}. How we have it: {facts['how']} "
        f"({facts['how_note']}). Licence: {facts['licence']}. Folder `tests/published/"
        f"{source.folder}`.\n",
        f"Covers: {facts['covers']}.\n",
    ]
    if "about" in facts:
        lines.append(facts["about"] + "\n")
    for table in source.tables:
        title = table.options.get("title")
        lines.append(f"{title[0].upper()}{title[1:]}:\n" if title else "")
        lines += list(_rows(table))
        lines.append(f"\nTolerance from: {table.options['tolerance_from']}.\n")
    return "\n".join(lines).replace("\n\n\n", "\n\n")


def _rows(table: ReferenceTable) -> Iterator[str]:
    if "bins" in table.options or table.options.get("summary"):
        yield from _summary(table)
        return
    yield f"| example | quantity | {_column(table)} | flowsim | difference | tolerance | how |"
    yield "|---|---|---|---|---|---|---|"
    for one in table.comparisons:
        yield (
            f"| {one.label} | {one.quantity} | {one.published} | {_number(one)} "
            f"| {_percent(one.percent)} | {one.tolerance}{f' ({one.why})' if one.why else ''} "
            f"| {SHORT[one.how]} |"
        )


def _column(table: ReferenceTable) -> str:
    """Give the heading over the numbers that flowsim is compared with."""
    ways = {one.how for one in table.comparisons}
    if ways <= NOT_PUBLISHED:
        return "reference"
    return "published or reference" if ways & NOT_PUBLISHED else "published"


def _summary(table: ReferenceTable) -> Iterator[str]:
    yield "| what | numbers | mean difference | lowest | highest | tolerance | how |"
    yield "|---|---|---|---|---|---|---|"
    for label, group in groups(table):
        percents = [one.percent for one in group]
        tolerance = group[0].tolerance + (", may lie above" if group[0].may_exceed else "")
        if "mean_tolerance" in table.options:
            tolerance += f", mean {table.options['mean_tolerance']}"
        yield (
            f"| {label} | {len(group)} | {_percent(sum(percents) / len(percents))} "
            f"| {_percent(min(percents))} | {_percent(max(percents))} | {tolerance} "
            f"| {SHORT[group[0].how]} |"
        )


def _number(one: Comparison) -> str:
    """Give flowsim's number with five digits, in the published unit."""
    value = one.in_unit
    if "e" in one.published.split()[0]:
        return f"{value:.4e}".replace("e-0", "e-").replace("e+0", "e")
    digits = f"{value:.5g}"
    return f"{value:.0f}" if "e" in digits else digits


def _percent(percent: float) -> str:
    text = f"{percent:+.2f} %"
    return "0.00 %" if text in ("+0.00 %", "-0.00 %") else text


def _not_validated() -> str:
    lines = ["## What is not validated, and why\n", "| what | why | what stands in for it |"]
    with (FOLDER / "not_run" / "not_validated.csv").open(encoding="utf-8", newline="") as file:
        rows = [
            f"| {row['what']} | {row['why']} | {row['instead']} |" for row in csv.DictReader(file)
        ]
    return "\n".join([*lines, "|---|---|---|", *rows]) + "\n"


def _not_run(sources: list[Source]) -> str:
    lines = ["## Published examples that are not run\n", "| example | why |", "|---|---|"]
    for source in sources:
        name = "" if source.folder == "not_run" else f"{source.facts['author']}, "
        lines += [
            f"| {name}{entry['example']} | {entry['why']} |"
            for entry in source.facts.get("not_run", ())
        ]
    return "\n".join(lines) + "\n"


if __name__ == "__main__":
    PAGE.write_text(page(), encoding="utf-8")

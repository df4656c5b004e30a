"""Arguments and options that several commands take."""

from pathlib import Path
from typing import Annotated

import typer

from flowsim.measures import Units

NARROWEST, WIDEST = 40, 100
DRAWS = 2048
SEED = 20240229
"""The same case gives the same answer; any fixed number would do."""

FEWEST_DRAWS, MOST_DRAWS = 100, 100_000
"""All draws are kept, some 7 kB each: the memory stays below 1 GB."""
MOST_IN_BATCHES = 1_000_000
"""Where they are made and forgotten in batches."""

CaseArgument = Annotated[
    Path, typer.Argument(metavar="CASE", help="The case file, for example my-plane.toml.")
]
NominalOption = Annotated[
    bool,
    typer.Option(
        "--nominal", help="Judge on single values; nothing is allowed for what is uncertain."
    ),
]
ShownIn = Annotated[
    Units | None,
    typer.Option(
        "--units", help="Units of the figures; those that the case is written in, if left out."
    ),
]
WidthOption = Annotated[
    int | None,
    typer.Option(
        "--width",
        metavar="N",
        min=NARROWEST,
        max=WIDEST,
        help="Columns of the text; those of the terminal, or COLUMNS, if left out.",
    ),
]
AsJson = Annotated[
    bool, typer.Option("--json", help="Print one JSON object instead of words and tables.")
]
DrawsOption = Annotated[
    int,
    typer.Option(
        "--draws",
        metavar="N",
        min=FEWEST_DRAWS,
        max=MOST_DRAWS,
        help="Monte Carlo draws of what is uncertain.",
    ),
]
SeedOption = Annotated[
    int,
    typer.Option(
        "--seed", metavar="N", min=0, help="Seed of the draws; the same seed, the same answer."
    ),
]

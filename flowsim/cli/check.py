"""``flowsim check``: the verdict on a case."""

from typing import Annotated

import typer

from flowsim.cli import options
from flowsim.cli.exit_codes import BY_VERDICT
from flowsim.cli.session import emit, load_case, progress_line, stdout_styled, stdout_width


def check(
    case: options.Case,
    nominal: options.Nominal = False,
    as_json: options.AsJson = False,
    draws: options.Draws = options.DRAWS,
    seed: options.Seed = options.SEED,
    every_degree: Annotated[
        bool,
        typer.Option(
            "--all",
            help="Print every degree of pitch, not every fifth, and every value without an origin.",
        ),
    ] = False,
) -> None:
    """Judge whether gravity delivers the required fuel flow.

    Prints the verdict, the scenario that decides it and what it rests on:
    flow against pitch for each selector position, loss by part, unusable
    fuel, air, vapour, assumptions and cautions. The exit code is the
    verdict: 0 adequate, 1 not adequate, 3 cannot tell.
    """
    system, sha256 = load_case(case)
    from flowsim.studies.adequacy import judge

    with progress_line() as progress:
        result = judge(system, nominal=nominal, draws=draws, seed=seed, progress=progress)
    if as_json:
        from flowsim.files.result_json import check_json

        emit(check_json(system, result, case.as_posix(), sha256))
    else:
        from flowsim.reports.check_report import check_text

        text = check_text(
            system,
            result,
            case.as_posix(),
            width=stdout_width(),
            styled=stdout_styled(),
            every_degree=every_degree,
        )
        emit(text)
    raise typer.Exit(BY_VERDICT[result.verdict.value])

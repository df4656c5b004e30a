"""``flowsim check``: the verdict on a case."""

from typing import Annotated

import typer

from flowsim.cli import options
from flowsim.cli.exit_codes import BY_VERDICT
from flowsim.cli.session import emit, load_case, progress_line, stdout_styled, stdout_width


def check(
    case: options.CaseArgument,
    nominal: options.NominalOption = False,
    as_json: options.AsJson = False,
    units: options.ShownIn = None,
    width: options.WidthOption = None,
    draws: options.DrawsOption = options.DRAWS,
    seed: options.SeedOption = options.SEED,
    full: Annotated[
        bool, typer.Option("--full", help="Print everything that the answer rests on.")
    ] = False,
    every_degree: Annotated[
        bool,
        typer.Option(
            "--all", help="As --full, with every degree of pitch and every value without an origin."
        ),
    ] = False,
) -> None:
    """Judge whether gravity delivers the required fuel flow.

    Prints the verdict, a line for each thing that decides it, cause and
    remedy, and flow against pitch. --full prints all that it rests on: loss
    by part, unusable fuel, air, vapour, assumptions and cautions. The exit
    code is the verdict: 0 adequate, 1 not adequate, 3 cannot tell.
    """
    system, sha256 = load_case(case, units, width, as_json=as_json)
    from flowsim.studies.adequacy.study import judge

    with progress_line() as progress:
        result = judge(system, nominal=nominal, draws=draws, seed=seed, progress=progress)
    if as_json:
        from flowsim.files.results.check_json import check_json

        emit(check_json(system, result, case.as_posix(), sha256))
    elif not (full or every_degree):
        from flowsim.reports.pages.first_screen import first_screen

        emit(first_screen(result, case.as_posix(), width=stdout_width(), styled=stdout_styled()))
    else:
        from flowsim.reports.pages.check import check_text

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

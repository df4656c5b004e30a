"""``flowsim unusable``: how much of the fuel must not be counted on."""

from typing import Annotated

import typer

from flowsim.cli import options
from flowsim.cli.exit_codes import BY_VERDICT
from flowsim.cli.session import emit, load_case, progress_line, stdout_styled, stdout_width


def unusable(
    case: options.CaseArgument,
    nominal: options.NominalOption = False,
    draws: options.DrawsOption = options.DRAWS,
    seed: options.SeedOption = options.SEED,
    as_json: options.AsJson = False,
    units: options.ShownIn = None,
    width: options.WidthOption = None,
    blocked_vent: Annotated[
        bool,
        typer.Option("--blocked-vent", help="Also work out what a blocked vent does."),
    ] = False,
) -> None:
    """Work out the unusable fuel and the least take-off fuel.

    For each tank, selector position and attitude: the quantity at which the
    flow stops, at which the burn and the required flow are lost, and at
    which air is drawn; the placard figures that follow; the refill of a
    header tank. Each figure with its band, from the first 256 of the draws
    of a check. The exit code compares with what the case declares: 0 no less
    than computed, 1 less, 3 cannot tell.
    """
    system, sha256 = load_case(case, units, width, as_json=as_json)
    from flowsim.reports.pages.unusable import unusable_cautions, unusable_text
    from flowsim.studies.changes.blocked_vent import blocked_vents
    from flowsim.studies.review.remarks import assumptions
    from flowsim.studies.unusable.header_tank import header_tanks, with_refill
    from flowsim.studies.unusable.study import unusable_fuel

    with progress_line() as progress:
        result = unusable_fuel(system, progress, nominal=nominal, draws=draws, seed=seed)
        headers = header_tanks(system)
        result = with_refill(result, headers)
        blocked = blocked_vents(system) if blocked_vent else ()
    words = (assumptions(system), unusable_cautions(system, result))
    if as_json:
        from flowsim.files.results.unusable_json import unusable_json

        emit(unusable_json(system, result, headers, blocked, words, case.as_posix(), sha256))
    else:
        text = unusable_text(
            system,
            result,
            headers,
            blocked,
            words,
            case.as_posix(),
            width=stdout_width(),
            styled=stdout_styled(),
        )
        emit(text)
    raise typer.Exit(BY_VERDICT[result.verdict.value])

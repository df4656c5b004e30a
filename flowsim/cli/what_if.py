"""``flowsim what-if``: what goes wrong, one thing at a time, as a matrix."""

from typing import Annotated

import typer

from flowsim.cli import options
from flowsim.cli.session import emit, load_case, progress_line, stdout_styled, stdout_width


def what_if(
    case: options.CaseArgument,
    words: Annotated[
        list[str] | None,
        typer.Argument(metavar="WORD", help="What to try; see below. All that fit, if left out."),
    ] = None,
    nominal: options.NominalOption = False,
    as_json: options.AsJson = False,
    units: options.ShownIn = None,
    width: options.WidthOption = None,
    draws: options.DrawsOption = options.DRAWS,
    seed: options.SeedOption = options.SEED,
) -> None:
    """Judge the case again with one thing changed at a time.

    Words: dirty-screens or dirty-screens=0.05 (clear fraction), blocked-vent
    or blocked-vent=GROUP, meter-blocked (flow through it or its bypass), tank-empty
    or tank-empty=TANK, hot-fuel, cold-fuel or hot-fuel="45 degC", altitude or
    altitude="10000 ft", and PART=K, such as bowl=2.5 or "meter=cv 0.4", for
    another part in a part's place. Without words: those the case lists as
    what_if, else all that fit. Prints a matrix: a row for each, a column for
    each requirement. The exit code is 0 whatever the rows say: a what-if is
    no verdict on the case.
    """
    system, sha256 = load_case(case, units, width, as_json=as_json)
    from flowsim.files.case.what_if_words import parse_what_if
    from flowsim.studies.what_if.study import usual_what_ifs
    from flowsim.studies.what_if.study import what_if as study

    asked = tuple(parse_what_if(word) for word in words or system.what_ifs)
    with progress_line() as progress:
        result = study(
            system,
            asked or usual_what_ifs(system),
            nominal=nominal,
            draws=draws,
            seed=seed,
            progress=progress,
        )
    if as_json:
        from flowsim.files.results.json_text import json_text
        from flowsim.files.results.studies_json import what_if_object

        emit(json_text(what_if_object(system, result, case.as_posix(), sha256)))
        return
    from flowsim.reports.pages.what_if import what_if_text

    width, styled = stdout_width(), stdout_styled()
    emit(what_if_text(result, case.as_posix(), width=width, styled=styled))

"""``flowsim compare``: what differs between two cases, and whether the verdict changes."""

from pathlib import Path
from typing import Annotated

import typer

from flowsim.cli import options
from flowsim.cli.exit_codes import BY_VERDICT
from flowsim.cli.session import emit, load_case, progress_line, stdout_styled, stdout_width


def compare(
    first: Annotated[Path, typer.Argument(metavar="A", help="A case file, as it was.")],
    second: Annotated[Path, typer.Argument(metavar="B", help="Another one, as it would be.")],
    nominal: options.NominalOption = False,
    as_json: options.AsJson = False,
    units: options.ShownIn = None,
    width: options.WidthOption = None,
    draws: options.DrawsOption = options.DRAWS,
    seed: options.SeedOption = options.SEED,
) -> None:
    """Compare two cases: contents, results, and whether the verdict changes.

    The cases may have different tanks and lines. What differs in the files
    is named by key and by the name of each thing; then the least flow for
    each requirement, the deciding scenario, and the head each part costs
    there. The exit code is the verdict on B, as for check.
    """
    cases = (first, second)
    # B first: what is shown follows A.
    loaded = [load_case(case, units, width, as_json=as_json) for case in reversed(cases)][::-1]
    from flowsim.files.case.differences import case_differences
    from flowsim.studies.adequacy.study import judge
    from flowsim.studies.what_if.comparison import compare as study

    with progress_line() as progress:
        results = [
            judge(system, nominal=nominal, draws=draws, seed=seed, progress=progress)
            for system, _ in loaded
        ]
    result = study(results[0], results[1])
    differences = case_differences(first, second)
    names = [case.as_posix() for case in cases]
    if as_json:
        from flowsim.files.results.json_text import json_text
        from flowsim.files.results.studies_json import compare_object

        files = ((names[0], loaded[0][1]), (names[1], loaded[1][1]))
        emit(json_text(compare_object(result, differences, files)))
    else:
        from flowsim.reports.pages.compare import compare_text

        width, styled = stdout_width(), stdout_styled()
        both = (names[0], names[1])
        emit(compare_text(result, differences, both, width=width, styled=styled))
    raise typer.Exit(BY_VERDICT[results[1].verdict.value])

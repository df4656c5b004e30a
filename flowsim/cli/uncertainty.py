"""``flowsim uncertainty``: how sure the answer is, and what would make it surer."""

from pathlib import Path
from typing import Annotated

import typer

from flowsim.cli import options
from flowsim.cli.exit_codes import BY_VERDICT
from flowsim.cli.session import emit, load_case, progress_line, stdout_styled, stdout_width

DRAWS = 16384


def uncertainty(
    case: options.CaseArgument,
    draws: Annotated[
        int,
        typer.Option(
            "--draws",
            metavar="N",
            min=options.FEWEST_DRAWS,
            max=options.MOST_IN_BATCHES,
            help="Joint draws of what is uncertain.",
        ),
    ] = DRAWS,
    seed: options.SeedOption = options.SEED,
    samples: Annotated[
        int,
        typer.Option(
            "--samples",
            metavar="N",
            min=0,
            max=65536,
            help="Base samples of the variance-based indices, a power of two; 0 leaves them out.",
        ),
    ] = 512,
    picture: Annotated[
        Path | None,
        typer.Option("--picture", metavar="FILE", help="Write the tornado picture, as SVG."),
    ] = None,
    force: Annotated[bool, typer.Option("--force", help="Overwrite the picture.")] = False,
    as_json: options.AsJson = False,
    units: options.ShownIn = None,
    width: options.WidthOption = None,
) -> None:
    """Tell how sure the answer is and what its spread comes from.

    Everything uncertain is drawn together, many times, and in each draw the
    least margin over all judged scenarios is taken: 5th, 50th and 95th
    percentile, the chance of meeting the requirement with its sampling
    error, whether it has settled; then which inputs the spread comes from,
    and the one measurement that would narrow it most. The first 2048 draws
    are those of check. The exit code is the verdict, as for check.
    """
    if samples & (samples - 1):
        raise typer.BadParameter(f"--samples {samples}: write a power of two, such as 512, or 0")
    from flowsim.files.saving.output import refuse, written

    refuse([] if picture is None else [picture], force=force, inputs=(case,))
    system, sha256 = load_case(case, units, width, as_json=as_json)
    from flowsim.studies.uncertainty.study import uncertainty as study

    with progress_line() as progress:
        result = study(system, draws=draws, seed=seed, samples=samples, progress=progress)
    if picture is not None:
        from flowsim.reports.figures.tornado import tornado_svg

        written(picture, tornado_svg(result), force=force, inputs=(case,))
    if as_json:
        from flowsim.files.results.json_text import json_text
        from flowsim.files.results.studies_json import uncertainty_object

        emit(json_text(uncertainty_object(result, case.as_posix(), sha256)))
    else:
        from flowsim.reports.pages.uncertainty import uncertainty_text

        width, styled = stdout_width(), stdout_styled()
        emit(uncertainty_text(result, case.as_posix(), width=width, styled=styled))
    raise typer.Exit(BY_VERDICT[result.verdict.value])

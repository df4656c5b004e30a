"""``flowsim routing``: where the lines trap water and air, how they are held, what to cut."""

from pathlib import Path
from typing import Annotated

import typer

from flowsim.cli import options
from flowsim.cli.session import emit, load_case, stdout_styled, stdout_width
from flowsim.document.words.telling import all_told

DRAWINGS = ("side.svg", "top.svg", "front.svg", "profile.svg")


def routing(
    case: options.CaseArgument,
    attitude: Annotated[
        str | None,
        typer.Option(
            "--attitude",
            metavar="NAME",
            help="Low and high points of one attitude: ground, level, climb, climb+5, descent, "
            'banked, "slip left" or "slip right".',
        ),
    ] = None,
    drawings: Annotated[
        Path | None,
        typer.Option(
            "--drawings",
            metavar="DIR",
            help="Write side.svg, top.svg, front.svg and profile.svg into this folder.",
        ),
    ] = None,
    force: Annotated[bool, typer.Option("--force", help="Replace files that are there.")] = False,
    as_json: options.AsJson = False,
    units: options.ShownIn = None,
    width: options.WidthOption = None,
) -> None:
    """Look at how the lines run, in every attitude.

    Slopes of all runs, low points and their drains, high points and whether
    the flow clears them, refill after running dry, vent lines, bends,
    supports and sag, clearances, crossings, and a cut list. The exit code:
    0 nothing to fix and nothing undetermined, 1 something is to be fixed
    (a low point without a drain, a hump that will not clear, a bend, span or
    clearance beyond its limit), 3 something is undetermined.
    """
    from flowsim.files.saving.output import refuse, write_outputs

    if drawings is not None:
        files = [drawings / name for name in DRAWINGS]
        refuse(files, force=force, inputs=(case,), new=drawings)
    system, sha256 = load_case(case, units, width, as_json=as_json)
    from flowsim.studies.routing.study import route_study

    result = route_study(system)
    names = [view.name for view in result.attitudes]
    chosen = None if attitude is None else attitude.replace(" + ", "+").strip()
    if chosen is not None and chosen not in names:
        raise typer.BadParameter(
            f"--attitude {attitude!r}: this case has {', '.join(names)}"
            + (
                f" ({'; '.join(all_told(result.missing_attitudes))})"
                if result.missing_attitudes
                else ""
            )
        )
    if drawings is not None:
        from flowsim.reports.figures.routing import drawings as draw
        from flowsim.studies.routing.courses import laid_lines

        made = draw(system, laid_lines(system), result, chosen or "level")
        contents = {drawings / name: text.encode() for name, text in made.items()}
        write_outputs(contents, force=force, inputs=(case,), new=drawings)
    if as_json:
        from flowsim.files.results.routing_json import routing_json

        emit(routing_json(result, case.as_posix(), sha256))
    else:
        from flowsim.reports.pages.routing import routing_text

        emit(
            routing_text(
                result,
                case.as_posix(),
                attitude=chosen,
                width=stdout_width(),
                styled=stdout_styled(),
            )
        )
    raise typer.Exit(result.exit_code)

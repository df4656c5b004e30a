"""``flowsim flight``: quantities over time, and transfer between full tanks."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from flowsim.cli import exit_codes, options
from flowsim.cli.session import emit, load_case, progress_line, stdout_styled, stdout_width

if TYPE_CHECKING:
    from flowsim.studies.sampling.draws import Draws
    from flowsim.system.fuel_system import FuelSystem


def flight(
    case: options.CaseArgument,
    profile: Annotated[
        Path | None,
        typer.Argument(
            metavar="PROFILE",
            show_default=False,
            help="A file of phases; the case's own [[phase]] if not given.",
        ),
    ] = None,
    nominal: options.NominalOption = False,
    draws: options.DrawsOption = options.DRAWS,
    seed: options.SeedOption = options.SEED,
    as_json: options.AsJson = False,
    units: options.ShownIn = None,
    width: options.WidthOption = None,
    csv: Annotated[
        Path | None,
        typer.Option("--csv", metavar="FILE", help="Also write quantities over time as CSV."),
    ] = None,
    picture: Annotated[
        Path | None,
        typer.Option("--picture", metavar="FILE", help="Also draw quantities over time, as SVG."),
    ] = None,
    force: Annotated[bool, typer.Option("--force", help="Replace files that are there.")] = False,
    transfer: Annotated[
        bool,
        typer.Option(
            "--transfer",
            help="Instead of a profile: full tanks parked on a slope and in a slip.",
        ),
    ] = False,
) -> None:
    """Follow the fuel in the tanks through a flight.

    Phase by phase the network shares the burn among the tanks; events
    (an outlet uncovers, the burn is lost, fuel runs from tank to tank, a
    vent overflows) are found to their time. When the burn is lost, and what
    is left then, is given as a band too, from the first 256 of the draws of
    a check. The exit code is 1 when the engine is starved, a vent overflows
    or the fuel boils, 3 when the flight could not be followed to its end, the
    burn is lost in more than 5 % of the draws, the fuel is near boiling, or
    too little is known of a tank (its volume, the shape behind its dips).
    """
    if transfer and (profile or csv or picture):
        raise typer.BadParameter("--transfer takes no profile, --csv or --picture; leave them out")
    from flowsim.files.saving.output import refuse, write_outputs

    inputs = (case, profile)
    refuse([path for path in (csv, picture) if path is not None], force=force, inputs=inputs)
    system, sha256 = load_case(case, units, width, as_json=as_json)
    if transfer:
        raise typer.Exit(_transfer(system, case, sha256, as_json=as_json))
    from flowsim.files.readings.profile_file import read_profile
    from flowsim.studies.flight.profile import fly

    flown = read_profile(profile or case, system, is_case=profile is None)
    made = None if nominal else _few_draws(system, draws, seed)
    with progress_line() as progress:
        result = fly(system, flown, progress, draws=made)
    contents: dict[Path, bytes] = {}
    if csv is not None:
        from flowsim.files.results.flight_csv import flight_csv

        contents[csv] = flight_csv(result).encode()
    if picture is not None:
        from flowsim.reports.figures.flight import flight_svg

        contents[picture] = flight_svg(system, result).encode()
    write_outputs(contents, force=force, inputs=inputs)
    if as_json:
        from flowsim.files.results.flight_json import flight_json

        emit(flight_json(result, case.as_posix(), sha256))
    else:
        from flowsim.reports.pages.flight import flight_text

        text = flight_text(result, case.as_posix(), width=stdout_width(), styled=stdout_styled())
        emit(text)
    if result.stopped:
        raise typer.Exit(exit_codes.CANNOT_TELL)
    if result.starved or result.overflowed or result.boils:
        raise typer.Exit(exit_codes.NOT_ADEQUATE)
    raise typer.Exit(exit_codes.CANNOT_TELL if result.doubtful else exit_codes.ADEQUATE)


def _few_draws(system: "FuelSystem", draws: int, seed: int) -> "Draws":
    """Make the first of the draws of a check."""
    import numpy as np

    from flowsim.network.assembly import assemble
    from flowsim.studies.sampling.draws import DRAWN, draw

    return draw(assemble(system), draws, seed).take(np.arange(min(DRAWN, draws)))


def _transfer(system: "FuelSystem", case: Path, sha256: str, *, as_json: bool) -> int:
    """Print the transfer between full tanks; give the exit code."""
    from flowsim.studies.flight.transfer import transfer as study

    with progress_line() as progress:
        rows = study(system, progress)
    if as_json:
        from flowsim.files.results.flight_json import transfer_json

        emit(transfer_json(rows, system.title, case.as_posix(), sha256))
    else:
        from flowsim.reports.pages.flight import transfer_text

        emit(
            transfer_text(
                rows, system.title, case.as_posix(), width=stdout_width(), styled=stdout_styled()
            )
        )
    if any(row.stopped for row in rows):
        return exit_codes.CANNOT_TELL
    over = any(row.overflows for row in rows)
    return exit_codes.NOT_ADEQUATE if over else exit_codes.ADEQUATE

"""``flowsim ground-test``: plan the bucket test, read it, learn from it; the leak check before."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from flowsim.cli import exit_codes, options
from flowsim.cli.session import emit, load_case, progress_line, stdout_styled, stdout_width

if TYPE_CHECKING:
    from flowsim.files.units.kinds import Kind
    from flowsim.physics.air.leak_check import LeakResult
    from flowsim.studies.ground_test.result import GroundTestFit

app = typer.Typer(
    name="ground-test",
    rich_markup_mode=None,
    no_args_is_help=True,
    context_settings={"help_option_names": ["--help", "-h"]},
)

Container = Annotated[
    str | None,
    typer.Option(
        "--container",
        metavar="VOLUME",
        help='Drawn in a run, such as "2 L".',
    ),
]
Repeats = Annotated[
    int, typer.Option("--repeats", metavar="N", min=3, max=10, help="Runs of each setting.")
]


@app.callback()
def ground_test() -> None:
    """Plan the bucket-and-stopwatch test, read it, learn from it.

    plan prints the card, readings an empty file to fill in, fit compares
    and corrects, leak is the check with air before any fuel.
    """


def plan(
    case: options.CaseArgument,
    container: Container = None,
    repeats: Repeats = 3,
    as_json: options.AsJson = False,
    units: options.ShownIn = None,
    width: options.WidthOption = None,
    draws: options.DrawsOption = 1024,
    seed: options.SeedOption = options.SEED,
) -> None:
    """Print the test card: set-up, runs in order, times, the mark.

    The runs stand in the order in which they narrow the answer most, each
    with the time it should take and the reason it is there.
    """
    system, sha256 = load_case(case, units, width, as_json=as_json)
    from flowsim.files.results.ground_test_json import plan_object
    from flowsim.files.results.json_text import json_text
    from flowsim.reports.pages.ground_test_card import card_text
    from flowsim.studies.ground_test.plan import plan as make_plan

    with progress_line() as progress:
        made = make_plan(
            system,
            container=_volume(container),
            repeats=repeats,
            draws=draws,
            seed=seed,
            progress=progress,
        )
    if as_json:
        emit(json_text(plan_object(system, made, case.as_posix(), sha256)))
        return
    emit(card_text(system, made, case.as_posix(), width=stdout_width(), styled=stdout_styled()))


def readings(
    case: options.CaseArgument,
    out: Annotated[
        Path | None,
        typer.Option("--out", metavar="FILE", help="Write it there instead of printing it."),
    ] = None,
    container: Container = None,
    repeats: Repeats = 3,
    units: options.ShownIn = None,
) -> None:
    """Print an empty CSV file of readings for the plan's runs.

    Any spreadsheet opens it; fill in what was read. A file that is there
    already is left as it is.
    """
    system, _ = load_case(case, units, None)
    from flowsim.files.readings.template import readings_template
    from flowsim.files.saving.output import refuse, written
    from flowsim.studies.ground_test.plan import plan as make_plan

    refuse([] if out is None else [out], force=None, inputs=(case,))
    with progress_line() as progress:
        made = make_plan(system, container=_volume(container), repeats=repeats, progress=progress)
    text = readings_template(system, made)
    if out is None:
        emit(text)
        return
    written(out, text, force=None, inputs=(case,))
    emit(f"Wrote {out}. Fill it in, then run\n  flowsim ground-test fit {case} {out}\n")


def fit(
    case: options.CaseArgument,
    readings_file: Annotated[
        Path, typer.Argument(metavar="READINGS", help="The readings, CSV or TOML.")
    ],
    out: Annotated[
        Path | None,
        typer.Option(
            "--out",
            metavar="FILE",
            help="Calibrated case, else CASE.calibrated.toml.",
        ),
    ] = None,
    no_case: Annotated[bool, typer.Option("--no-case", help="Write no calibrated case.")] = False,
    as_json: options.AsJson = False,
    units: options.ShownIn = None,
    width: options.WidthOption = None,
    draws: options.DrawsOption = options.DRAWS,
    seed: options.SeedOption = options.SEED,
) -> None:
    """Compare readings with the mark and the prediction; correct the case.

    Writes a calibrated case beside the case, which stays as it is; check,
    uncertainty and unusable read it like any other. None is written where
    the readings contradict each other or the case. An output that is there
    already is refused. The exit code is the mark: 0 met, 1 missed, 3 not
    shown (runs are missing, none counts, or it is met by less than the
    reading's own error, or the readings do not fit).
    """
    system, sha256 = load_case(case, units, width, as_json=as_json)
    from flowsim.files.case.calibrated import calibrated_name
    from flowsim.files.readings.reader import read_readings
    from flowsim.files.saving.output import refuse
    from flowsim.studies.ground_test.learn import learn

    target = None if no_case else (out or calibrated_name(case))
    inputs = (case, readings_file)
    refuse([] if target is None else [target], force=None, inputs=inputs)
    read = read_readings(readings_file, system)
    made = len({run.run for run in read.runs})
    source = f"{readings_file.name}, {made} runs, SHA-256 {read.sha256[:12]}"
    with progress_line() as progress:
        fitted = learn(
            system,
            read.runs,
            source=source,
            draws=draws,
            seed=seed,
            remarks=read.remarks,
            progress=progress,
        )
    if fitted.distrust:
        target = None
    if target is not None:
        _write_case(case, target, fitted, inputs)
    written = None if target is None else target.as_posix()
    if as_json:
        from flowsim.files.results.ground_test_json import fit_object
        from flowsim.files.results.json_text import json_text

        about = (readings_file.as_posix(), read.sha256)
        emit(json_text(fit_object(system, fitted, case.as_posix(), sha256, about, written)))
    else:
        from flowsim.reports.pages.fit import fit_text

        emit(
            fit_text(
                fitted,
                case.as_posix(),
                readings_file.as_posix(),
                written,
                width=stdout_width(),
                styled=stdout_styled(),
            )
        )
    code = {True: exit_codes.ADEQUATE, False: exit_codes.NOT_ADEQUATE, None: exit_codes.CANNOT_TELL}
    raise typer.Exit(code[fitted.passed])


def leak(
    case: options.CaseArgument,
    volume: Annotated[
        str | None,
        typer.Option("--volume", metavar="V", help='Air in lines, hose and gauge, such as "1 L".'),
    ] = None,
    division: Annotated[
        str | None,
        typer.Option("--division", metavar="P", help='Smallest division of the gauge, "0.1 kPa".'),
    ] = None,
    start_pressure: Annotated[
        str | None, typer.Option("--start-pressure", metavar="P", help="Gauge at the start.")
    ] = None,
    end_pressure: Annotated[
        str | None, typer.Option("--end-pressure", metavar="P", help="Gauge at the end.")
    ] = None,
    start_temperature: Annotated[
        str | None, typer.Option("--start-temperature", metavar="T", help='Such as "18 degC".')
    ] = None,
    end_temperature: Annotated[
        str | None, typer.Option("--end-temperature", metavar="T", help="At the end.")
    ] = None,
    minutes: Annotated[
        float | None, typer.Option("--minutes", metavar="N", help="Between the readings.")
    ] = None,
    start_ambient: Annotated[
        str, typer.Option("--start-ambient", metavar="P", help="Barometer at the start.")
    ] = "101.325 kPa",
    end_ambient: Annotated[
        str | None,
        typer.Option("--end-ambient", metavar="P", help="Barometer at the end; unchanged if not."),
    ] = None,
    as_json: options.AsJson = False,
    units: options.ShownIn = None,
    width: options.WidthOption = None,
) -> None:
    """Say what pressure to hold, how long, and what a fall of it means.

    With air, before any fuel. With the readings at start and end it takes
    temperature and weather off the fall and gives the leak that is left.
    """
    system, sha256 = load_case(case, units, width, as_json=as_json)
    from flowsim.files.units import kinds
    from flowsim.network.assembly import assemble
    from flowsim.physics.air.leak_check import least_time
    from flowsim.studies.ground_test.vents import leak_test

    head, pressure = leak_test(assemble(system))
    room = _read(volume, "--volume", kinds.VOLUME)
    step = _read(division, "--division", kinds.PRESSURE)
    ambient = _needed(_read(start_ambient, "--start-ambient", kinds.PRESSURE))
    least = None
    if room is not None and step is not None:
        least = least_time(room, step, pressure, ambient)
    given = {
        "--volume": room,
        "--start-pressure": _read(start_pressure, "--start-pressure", kinds.PRESSURE),
        "--end-pressure": _read(end_pressure, "--end-pressure", kinds.GAUGE_PRESSURE),
        "--start-temperature": _read(start_temperature, "--start-temperature", kinds.TEMPERATURE),
        "--end-temperature": _read(end_temperature, "--end-temperature", kinds.TEMPERATURE),
        "--minutes": minutes,
    }
    end = _read(end_ambient, "--end-ambient", kinds.PRESSURE)
    result = _leak_of(given, (ambient, ambient if end is None else end), step or 0.0)
    if as_json:
        from flowsim.files.results.ground_test_json import leak_object
        from flowsim.files.results.json_text import json_text
        from flowsim.files.results.studies_json import case_object

        found = case_object(system.title, case.as_posix(), sha256)
        emit(json_text(leak_object(found, result, pressure, head, least)))
        return
    from flowsim.reports.pages.fit import leak_text

    emit(
        leak_text(
            system.title, head, pressure, least, result,
            width=stdout_width(), styled=stdout_styled(),
        )
    )  # fmt: skip


for _command, _name in ((plan, "plan"), (readings, "readings"), (fit, "fit"), (leak, "leak")):
    app.command(_name, epilog=exit_codes.HELP)(_command)


def _leak_of(
    given: dict[str, float | None], ambient: tuple[float, float], step: float
) -> "LeakResult | None":
    """Work out the leak from the readings by their options; None where none is given."""
    from flowsim.physics.air.leak_check import leak_left

    if all(value is None for name, value in given.items() if name != "--volume"):
        return None
    missing = [name for name, value in given.items() if value is None]
    if missing:
        raise typer.BadParameter(f"the readings need {', '.join(missing)} as well")
    return leak_left(
        volume=_needed(given["--volume"]),
        start_pressure=_needed(given["--start-pressure"]),
        end_pressure=_needed(given["--end-pressure"]),
        start_temperature=_needed(given["--start-temperature"]),
        end_temperature=_needed(given["--end-temperature"]),
        start_ambient=ambient[0],
        end_ambient=ambient[1],
        seconds=60.0 * _needed(given["--minutes"]),
        resolution=step,
    )


def _write_case(
    case: Path, target: Path, fitted: "GroundTestFit", inputs: tuple[Path, ...]
) -> None:
    """Write the calibrated case through a temporary file, once it has been read back."""
    from datetime import UTC, datetime

    from flowsim.files.case.calibrated import calibrated_text, check_written
    from flowsim.files.saving.output import written
    from flowsim.files.toml.source import decode, file_name, read_bytes

    text = decode(read_bytes(case), file_name(case))
    made = calibrated_text(text, fitted, today=datetime.now(tz=UTC).date())
    check_written(made, fitted, file_name(target))
    written(target, made, force=None, inputs=inputs)


def _volume(text: str | None) -> float | None:
    from flowsim.files.units.kinds import VOLUME

    return _read(text, "--container", VOLUME)


def _read(text: str | None, option: str, kind: "Kind") -> float | None:
    """Read an option's quantity [SI]; a bad one is wrong usage."""
    if text is None:
        return None
    from flowsim.files.units.quantities import QuantityError, parse_quantity

    try:
        return parse_quantity(text, kind).value
    except QuantityError as error:
        raise typer.BadParameter(f"{option}: {error}") from error


def _needed(value: float | None) -> float:
    if value is None:
        raise AssertionError("a needed option was not looked for")
    return value

"""``flowsim size``: which line size is enough, and where the edges are."""

from typing import TYPE_CHECKING, Annotated

import typer

from flowsim.cli import options
from flowsim.cli.exit_codes import ADEQUATE, CANNOT_TELL, NOT_ADEQUATE
from flowsim.cli.session import emit, load_case, progress_line, stdout_styled, stdout_width

if TYPE_CHECKING:
    from collections.abc import Callable

    from flowsim.studies.changes.resize import Size
    from flowsim.studies.sizing.edge_search import Edge
    from flowsim.studies.sizing.inverse import Basis, EdgePair
    from flowsim.studies.sizing.study import SizingResult
    from flowsim.system.fuel_system import FuelSystem

    Question = Callable[[Basis], Edge]


def size(
    case: options.CaseArgument,
    lines: Annotated[
        list[str] | None,
        typer.Argument(metavar="LINE", help="Lines to try sizes in, all of them alike."),
    ] = None,
    sizes: Annotated[
        str | None,
        typer.Option(
            "--sizes",
            metavar="LIST",
            help='Your own sizes: "3/8 in x 0.035 in, 10 mm x 1 mm"; a bore alone will do.',
        ),
    ] = None,
    hose: Annotated[
        bool | None,
        typer.Option("--hose/--tube", help="Try hose or tube; as the first line is, if left out."),
    ] = None,
    least_bore: Annotated[
        bool, typer.Option("--least-bore", help="Solve for the least bore of the lines.")
    ] = False,
    largest_loss: Annotated[
        list[str] | None,
        typer.Option(
            "--largest-loss", metavar="PART", help="Solve for the largest loss of a named part."
        ),
    ] = None,
    least_head: Annotated[
        bool, typer.Option("--least-head", help="Solve for the least head.")
    ] = False,
    steepest: Annotated[
        bool, typer.Option("--steepest", help="Solve for the steepest climb pitch.")
    ] = False,
    least_fuel: Annotated[
        bool, typer.Option("--least-fuel", help="Solve for the least fuel in each tank.")
    ] = False,
    nominal: options.NominalOption = False,
    as_json: options.AsJson = False,
    units: options.ShownIn = None,
    width: options.WidthOption = None,
    draws: options.DrawsOption = options.DRAWS,
    seed: options.SeedOption = options.SEED,
) -> None:
    """Try sizes of tube or hose in some lines, or solve for an edge.

    For each size: flow, margin, deciding scenario, head left, the flow that
    clears air, fuel held and mass; the smallest that is enough on nominal
    values and at the 5th percentile; where none is, the part that is the
    limit. With --least-bore, --largest-loss, --least-head, --steepest or
    --least-fuel it solves for the value at which the requirement is just
    met. Exit code 0 when a size is enough at the 5th percentile (with
    --nominal: on nominal values) or when an edge was solved for, 3 when one
    is on nominal values only or none is and some size cannot be told, 1 when
    none is.
    """
    asked = bool(largest_loss) or least_head or steepest or least_fuel or least_bore
    if not lines and (least_bore or not asked):
        raise typer.BadParameter("name at least one line, as the case names it")
    system, sha256 = load_case(case, units, width, as_json=as_json)
    names = tuple(lines or ())
    with progress_line() as progress:
        questions = _questions(
            system, names, least_bore, largest_loss or [], least_head, steepest, least_fuel
        )
        edges, notes = [], []
        for number, (question, words) in enumerate(questions):
            if progress is not None:
                progress("solving", number, len(questions))
            edges.append(_pair(question, nominal, draws, seed))
            notes += _note(system, words, edges[-1])
        result = None
        if names and not asked:
            from flowsim.studies.sizing.study import size_lines

            tried = _sizes(system, names, sizes, hose)
            result = size_lines(
                system, names, tried, nominal=nominal, draws=draws, seed=seed, progress=progress
            )
    from flowsim.studies.sizing.inverse import Basis

    basis = Basis(draws=0 if nominal else draws, seed=seed)
    _show(system, result, tuple(edges), tuple(notes), basis, case.as_posix(), sha256, as_json)
    raise typer.Exit(ADEQUATE if result is None else _code(result))


def _code(result: "SizingResult") -> int:
    from flowsim.studies.result import Verdict

    enough = result.smallest_low if result.draws else result.smallest_nominal
    if enough is not None:
        return ADEQUATE
    open_still = any(
        item.verdict is Verdict.CANNOT_TELL and not item.problem for item in result.sizes
    )
    nearly = result.smallest_nominal is not None
    return CANNOT_TELL if nearly or open_still else NOT_ADEQUATE


def _sizes(
    system: "FuelSystem", names: tuple[str, ...], written: str | None, hose: bool | None
) -> "tuple[Size, ...]":
    from flowsim.studies.changes.resize import trade_hoses, trade_tubes

    first = next((line for line in system.lines if line.name == names[0]), None)
    is_hose = first is not None and "hose" in first.material if hose is None else hose
    if written is None:
        return trade_hoses() if is_hose else trade_tubes()
    from flowsim.files.case.size_list import parse_sizes

    return parse_sizes(written, is_hose=is_hose)


def _questions(
    system: "FuelSystem",
    names: tuple[str, ...],
    bore: bool,
    parts: list[str],
    head: bool,
    pitch: bool,
    fuel: bool,
) -> "list[tuple[Question, str]]":
    """Collect what was asked, each with a word that says what it is about."""
    from flowsim.studies.sizing import inverse

    asked: list[tuple[Question, str]] = []
    if bore:
        asked.append((lambda basis: inverse.least_bore(system, names, basis), ""))
    for part in parts:
        asked.append(
            (lambda basis, part=part: inverse.largest_loss(system, part, basis), f"part {part}")  # type: ignore[misc]
        )
    if head:
        asked.append((lambda basis: inverse.least_head(system, basis), "head"))
    if pitch:
        asked.append((lambda basis: inverse.steepest_pitch(system, basis), "pitch"))
    if fuel:
        asked.append((lambda basis: inverse.least_fuel(system, basis), "fuel"))
    return asked


def _pair(question: "Question", nominal: bool, draws: int, seed: int) -> "EdgePair":
    from flowsim.studies.sizing.inverse import Basis, EdgePair

    first = question(Basis(draws=0, seed=seed))
    if nominal:
        return EdgePair(nominal=first, band=None)
    band = question(Basis(draws=draws, seed=seed, near=first.value))
    return EdgePair(nominal=first, band=band)


def _note(system: "FuelSystem", words: str, pair: "EdgePair") -> list[str]:
    """Give the note that goes with a question."""
    if words == "head":
        return ["change of head: of every fuel surface over the end; negative is head to spare"]
    if words == "pitch":
        return [
            "steepest climb: the test margin on top of it is judged too; an outlet that may be "
            "bare counts as bare"
        ]
    if words == "fuel":
        return [
            "least fuel: the same in every tank, for the climb at the required flow; an outlet "
            "that may be bare counts as bare"
        ]
    if words.startswith("part "):
        from flowsim.studies.sizing.inverse import part_at

        name = words.removeprefix("part ")
        edge = pair.nominal if pair.band is None else pair.band
        if edge.value > 0.0:
            return [f"at that edge {text}" for text in part_at(system, name, edge.value)]
    return []


def _show(
    system: "FuelSystem",
    result: "SizingResult | None",
    edges: "tuple[EdgePair, ...]",
    notes: tuple[str, ...],
    basis: "Basis",
    file: str,
    sha256: str,
    as_json: bool,
) -> None:
    from flowsim.studies.sizing.inverse import remarks_on

    if as_json:
        from flowsim.files.results.json_text import json_text
        from flowsim.files.results.studies_json import edges_object, size_object

        if result is None:
            found = edges_object(system.title, edges, remarks_on(system), basis, file, sha256)
            emit(json_text(found))
        else:
            emit(json_text(size_object(system, result, edges, file, sha256)))
        return
    from flowsim.reports.pages.size import edges_text, size_text

    width, styled = stdout_width(), stdout_styled()
    if result is None:
        remarks = remarks_on(system)
        emit(edges_text(system.title, edges, notes, remarks, file, width=width, styled=styled))
    else:
        emit(size_text(result, edges, notes, file, width=width, styled=styled))

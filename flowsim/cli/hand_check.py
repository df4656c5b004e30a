"""``flowsim hand-check``: one scenario with every formula and number."""

import math
from typing import TYPE_CHECKING, Annotated

import typer

from flowsim.cli import options
from flowsim.cli.session import emit, load_case, progress_line, stdout_styled, stdout_width

if TYPE_CHECKING:
    from flowsim.studies.result import AdequacyResult, ScenarioResult

ENDS = ("open line", "carburettor")
NEAR_ENOUGH_PITCH = 0.05
"""[deg]"""
NEAR_ENOUGH_TEMPERATURE = 0.05
"""[K]"""


def hand_check(
    case: options.CaseArgument,
    pitch: Annotated[
        float | None,
        typer.Option("--pitch", metavar="DEG", help="Pitch in degrees, nose-up positive."),
    ] = None,
    selector: Annotated[
        str | None, typer.Option("--selector", metavar="NAME", help="Selector position.")
    ] = None,
    fuel_state: Annotated[
        str | None,
        typer.Option("--fuel-state", metavar="NAME", help="Fuel state, as check names it."),
    ] = None,
    end: Annotated[
        str | None,
        typer.Option("--end", metavar="END", help='"open line" or carburettor.'),
    ] = None,
    fuel_temperature: Annotated[
        str | None,
        typer.Option("--fuel-temperature", metavar="T", help='With its unit, such as "38 degC".'),
    ] = None,
    nominal: options.NominalOption = False,
    as_json: options.AsJson = False,
    units: options.ShownIn = None,
    width: options.WidthOption = None,
) -> None:
    """Print one scenario's heads and losses for checking by hand.

    Every part from each tank to the end with its law, the numbers put in,
    its loss and its source; the losses add up to the head available.
    Without options it is the scenario that decides the check; each option
    asks for another one of the same check.
    """
    if end is not None and end not in ENDS:
        raise typer.BadParameter(f'--end {end!r}: write "open line" or carburettor')
    kelvin = None if fuel_temperature is None else _temperature(fuel_temperature)
    system, sha256 = load_case(case, units, width, as_json=as_json)
    from flowsim.reports.pages.hand_check import hand_check_object, hand_check_text
    from flowsim.studies.adequacy.study import judge, loss_paths

    with progress_line() as progress:
        result = judge(system, nominal=nominal, progress=progress)
    wanted = _Wanted(pitch, selector, fuel_state, end, kelvin)
    scenario = wanted.pick(result)
    paths = loss_paths(system, scenario)
    if as_json:
        from flowsim.files.results.json_text import json_text

        sheet = hand_check_object(system, result, scenario, paths, case.as_posix(), sha256)
        emit(json_text(sheet))
        return
    decides = scenario.index == result.deciding_scenario.index
    chosen = "the one that decides the check" if decides else "as asked for"
    emit(
        hand_check_text(
            system,
            result,
            scenario,
            paths,
            case.as_posix(),
            chosen=chosen,
            width=stdout_width(),
            styled=stdout_styled(),
        )
    )


def _temperature(text: str) -> float:
    """Read a temperature [K]; a bad one is wrong usage, not a bad case."""
    from flowsim.files.units.kinds import TEMPERATURE
    from flowsim.files.units.quantities import QuantityError, parse_quantity

    try:
        return parse_quantity(text, TEMPERATURE).value
    except QuantityError as error:
        raise typer.BadParameter(f"--fuel-temperature: {error}") from error


class _Wanted:
    """What the options ask for; what they leave open stays as in the deciding scenario."""

    def __init__(
        self,
        pitch: float | None,
        selector: str | None,
        fuel_state: str | None,
        end: str | None,
        temperature: float | None,
    ) -> None:
        self.pitch = pitch
        self.selector = selector
        self.fuel_state = fuel_state
        self.end = end
        self.temperature = temperature

    def pick(self, result: "AdequacyResult") -> "ScenarioResult":
        """Pick the matching scenario that is most like the deciding one, then the least flow."""
        deciding = result.deciding_scenario
        matching = list(result.scenarios)
        for option, fits in self._tests():
            left = [scenario for scenario in matching if fits(scenario)]
            if not left:
                raise typer.BadParameter(_none_left(option, matching))
            matching = left
        return min(matching, key=lambda scenario: _unlike(scenario, deciding))

    def _tests(self) -> "list[tuple[str, _Fits]]":
        """Give a test for each option that was written."""
        tests: list[tuple[str, _Fits]] = []
        if self.selector is not None:
            tests.append(("--selector", lambda s: _same(s.selector, self.selector)))
        if self.fuel_state is not None:
            tests.append(("--fuel-state", lambda s: _same(s.fuel_state, self.fuel_state)))
        if self.end is not None:
            tests.append(("--end", lambda s: _same(s.end, self.end)))
        if (kelvin := self.temperature) is not None:
            tests.append(
                (
                    "--fuel-temperature",
                    lambda s: abs(s.temperature - kelvin) < NEAR_ENOUGH_TEMPERATURE,
                )
            )
        if (degrees := self.pitch) is not None:
            tests.append(
                ("--pitch", lambda s: abs(math.degrees(s.pitch) - degrees) < NEAR_ENOUGH_PITCH)
            )
        return tests


def _same(name: str, wanted: str | None) -> bool:
    """Tell whether a name is the one that was asked for, whatever its case."""
    return wanted is not None and name.casefold() == " ".join(wanted.casefold().split())


def _unlike(scenario: "ScenarioResult", deciding: "ScenarioResult") -> tuple[bool | float, ...]:
    """Order scenarios: like the deciding one first, judged before drawn, least flow before more."""
    away = abs(scenario.pitch - deciding.pitch)
    return (
        scenario.end != deciding.end,
        scenario.selector != deciding.selector,
        scenario.fuel_state != deciding.fuel_state,
        scenario.temperature != deciding.temperature,
        away > math.radians(NEAR_ENOUGH_PITCH),
        scenario.forward_acceleration != deciding.forward_acceleration,
        scenario.screens != deciding.screens,
        away,
        not scenario.judged,
        -math.inf if math.isnan(scenario.flow) else scenario.flow,
    )


def _none_left(option: str, scenarios: "list[ScenarioResult]") -> str:
    """Say what could have been asked for."""
    values = {
        "--selector": [f'"{s.selector}"' for s in scenarios],
        "--fuel-state": [f'"{s.fuel_state}"' for s in scenarios],
        "--end": [f'"{s.end}"' for s in scenarios],
        "--fuel-temperature": [f'"{s.temperature - 273.15:.1f} degC"' for s in scenarios],
        "--pitch": [f"{math.degrees(s.pitch):.1f}" for s in sorted(scenarios, key=_pitch_of)],
    }[option]
    return f"{option}: no such scenario; this check has {', '.join(dict.fromkeys(values))}"


def _pitch_of(scenario: "ScenarioResult") -> float:
    return scenario.pitch


if TYPE_CHECKING:
    from collections.abc import Callable

    _Fits = Callable[[ScenarioResult], bool]

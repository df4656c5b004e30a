"""The hand-check sheet: one scenario, every head and loss with formula, numbers and source."""

from collections.abc import Iterable

from flowsim.constants import STANDARD_GRAVITY
from flowsim.document.blocks import Block, Steps, Words
from flowsim.document.build import heading, paragraph
from flowsim.document.document import About, Document, cautions, passage
from flowsim.document.words.standing import ALWAYS
from flowsim.document.words.telling import told
from flowsim.files.results.check_json import path_object, scenario_object, versions
from flowsim.files.results.json_text import Json
from flowsim.reports.pages.hand_formulas import worked
from flowsim.reports.pages.hand_steps import (
    HEADS,
    WORKED_IN,
    constants,
    heads,
    liquid_of,
    path_title,
    placed_parts,
    steps_of,
)
from flowsim.reports.pages.second_opinion import opinion_object, second_opinion
from flowsim.reports.render.terminal import render
from flowsim.reports.words.scenarios import counted_flow, scenario_pairs
from flowsim.reports.words.units import clean, mass_flow_words, ratio_words
from flowsim.studies.result import UNSOLVED_REMEDY, AdequacyResult, LossPath, ScenarioResult
from flowsim.system.fuel_system import FuelSystem

SCHEMA = "flowsim.hand-check/1"
ANY_LESS = 1e-9
"""[-] Flows nearer than this are one figure."""


def hand_check_text(
    system: FuelSystem,
    result: AdequacyResult,
    scenario: ScenarioResult,
    paths: tuple[LossPath, ...],
    case_file: str,
    *,
    chosen: str = "",
    width: int = 80,
    styled: bool = False,
) -> str:
    """Give the sheet as text.

    Parameters
    ----------
    system : FuelSystem
        The system that was judged.
    result : AdequacyResult
        The answer that the scenario is from.
    scenario : ScenarioResult
        The scenario to work through.
    paths : tuple of LossPath
        Its losses, each path from a tank to the end.
    case_file : str
        The case file's name as it was given.
    chosen : str
        How the scenario was chosen, in words.
    width : int
        Columns, kept between 40 and 100.
    styled : bool
        Whether bold may be used.

    Returns
    -------
    str
        The sheet.

    Raises
    ------
    DomainError
        When the fuel has no properties at the scenario's temperature.
    """
    document = hand_check_document(system, result, scenario, paths, case_file, chosen)
    return render(document, width, styled=styled)


def hand_check_document(
    system: FuelSystem,
    result: AdequacyResult,
    scenario: ScenarioResult,
    paths: tuple[LossPath, ...],
    case_file: str,
    chosen: str = "",
) -> Document:
    """Give the sheet; see ``hand_check_text``."""
    liquid, placed = liquid_of(system, scenario), placed_parts(system)
    worked_paths: list[Block] = []
    off = 0
    for index, path in enumerate(paths, start=1):
        steps, closing, differing = steps_of(path, liquid, placed)
        off += differing
        worked_paths += [
            heading(path_title(index, path)),
            *_lines(f"{name}: {text}" for name, text in heads(system, scenario, path)),
            paragraph("Parts in the order in which fuel meets them:"),
            Steps(steps=steps),
            *_lines(closing),
        ]
    pairs = scenario_pairs(scenario, result, result.requirement.burn)
    found = passage(
        About.FOUND,
        heading(_answer(scenario, paths, off)),
        paragraph(WORKED_IN),
        heading("Scenario" + (f": {chosen}" if chosen else "")),
        _lines(f"{name}: {text}" for name, text in pairs),
        heading("Constants"),
        _lines(f"{name} = {text}" for name, text in constants(system, scenario, liquid)),
        _lines([HEADS]),
        worked_paths,
    )
    head = passage(About.HEAD, paragraph(f"{clean(system.title)} ({clean(case_file)})", 0))
    return Document(title="Hand check", passages=(head, found, cautions(ALWAYS)))


def _answer(scenario: ScenarioResult, paths: tuple[LossPath, ...], off: int) -> str:
    """Say what arrives, and whether the working by hand comes to the same."""
    if not scenario.converged:
        return (
            f"No result: the network could not be solved in this scenario; {told(UNSOLVED_REMEDY)}"
        )
    if not paths:
        return "Nothing flows to the end in this scenario"
    if not scenario.flow > 0.0:
        return f"Flow: {mass_flow_words(scenario.flow)}"
    flow = counted_flow(scenario)
    ratio = flow / scenario.required if scenario.required > 0.0 else None
    part = "" if ratio is None or not flow > 0.0 else f", {ratio_words(ratio)} of the required"
    arrives = f"{mass_flow_words(flow)} arrives" if flow > 0.0 else "Nothing arrives"
    agrees = f"{off} part(s) below DIFFER" if off else "the working by hand comes to the same"
    if not flow < scenario.solved_flow * (1.0 - ANY_LESS):
        return f"{arrives}{part}; {agrees}"
    why = "with air held in high points" if flow < scenario.flow else "before air is drawn"
    full = f"full lines would carry {mass_flow_words(scenario.solved_flow)}"
    return f"{arrives} {why}{part}; {full}, and for that {agrees}"


def _lines(texts: Iterable[str]) -> list[Block]:
    """Give lines that go on further in, so that a long formula stays one."""
    return [Words(text=clean(text).rstrip(), hang=4) for text in texts]


def hand_check_object(
    system: FuelSystem,
    result: AdequacyResult,
    scenario: ScenarioResult,
    paths: tuple[LossPath, ...],
    case_file: str,
    sha256: str,
) -> Json:
    """Give the sheet as plain dictionaries and lists, ready for JSON.

    Parameters
    ----------
    system, result, scenario, paths, case_file
        As for ``hand_check_text``.
    sha256 : str
        Digest of the case file's bytes, hexadecimal.

    Returns
    -------
    dict
        Paths as in ``flowsim.check/1``, each part with its ``working`` (list of lines)
        and its ``second_opinion`` (None where nothing is comparable).
    """
    liquid = liquid_of(system, scenario)
    placed = placed_parts(system)
    shown = []
    for path in paths:
        made = path_object(path)
        parts = made["parts"]
        assert isinstance(parts, list)
        for part, row in zip(parts, path.rows, strict=True):
            assert isinstance(part, dict)
            part["working"] = list(worked(row, liquid).lines)
            part["second_opinion"] = opinion_object(second_opinion(row, placed.get(row.key)))
        shown.append(made)
    return {
        "schema": SCHEMA,
        "case": {"title": system.title, "file": case_file, "sha256": sha256},
        "scenario": scenario_object(scenario, result.requirement.burn),
        "constants": {
            "standard_gravity_m_per_s2": STANDARD_GRAVITY,
            "density_kg_per_m3": liquid.density,
            "kinematic_viscosity_mm2_per_s": liquid.kinematic_viscosity * 1e6,
            "fuel_source": system.fuel.source,
        },
        "paths": list(shown),
        "cautions": list(ALWAYS),
        "versions": versions(),
    }

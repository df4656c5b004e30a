"""The test card to print: how to set up, which runs, the mark, when to stop."""

import math

from flowsim.document.blocks import Block
from flowsim.document.build import bullets, heading, pairs, paragraph, table
from flowsim.document.document import About, Document, cautions, passage
from flowsim.document.words.telling import all_told, told
from flowsim.files.results.check_json import all_cautions
from flowsim.files.units import shown as to
from flowsim.measures import (
    DENSITY,
    LENGTH,
    MASS,
    MASS_FLOW,
    PRESSURE,
    TEMPERATURE,
    VOLUME,
    Units,
    shows,
)
from flowsim.reports.pages.card_drain import drain_card
from flowsim.reports.render.terminal import render
from flowsim.reports.words.card import (
    BEFORE_FUEL,
    DURING,
    HOW_TO_RAISE,
    SET_UP,
    STOP,
    fire_words,
)
from flowsim.reports.words.units import (
    clean,
    digits,
    head_words,
    number,
    pitch_words,
    temperature_words,
    volume_words,
)
from flowsim.studies.changes.blocked_vent import ASSUMED
from flowsim.studies.ground_test.result import GroundTestPlan, PlannedRun, VentTest
from flowsim.system.fuel_system import FuelSystem


def card_text(
    system: FuelSystem,
    plan: GroundTestPlan,
    case_file: str,
    *,
    width: int = 80,
    styled: bool = False,
) -> str:
    """Give the test card as text.

    Parameters
    ----------
    system : FuelSystem
    plan : GroundTestPlan
    case_file : str
        The case file's name as it was given.
    width : int
        Columns, kept between 40 and 100.
    styled : bool
        Whether bold may be used.

    Returns
    -------
    str
    """
    return render(card_document(system, plan, case_file), width, styled=styled)


def card_document(system: FuelSystem, plan: GroundTestPlan, case_file: str) -> Document:
    """Give the card, to be printed alone or in a larger report."""
    head = [("case", case_file), ("date", "________"), ("people", "________  ________"),
            ("fuel", f"{plan.fuel_name}, from ________")]  # fmt: skip
    found = passage(
        About.FOUND,
        heading("Before any fuel: leak check with air"),
        paragraph(
            f"Hold {PRESSURE.words(plan.leak_pressure, 1)} in the lines, the tanks shut off: "
            f"the largest head is {head_words(plan.leak_head)}. The times and the sums: "
            "flowsim ground-test leak CASE."
        ),
        bullets(BEFORE_FUEL),
        heading("People, fire, fuel"),
        bullets(fire_words()),
        heading("Attitude"),
        pairs([
            ("test attitude", f"{pitch_words(plan.test_pitch)}: steepest climb "
             f"{number(to.degrees(plan.climb_pitch), 1)} deg and 5 deg more"),
            ("level", pitch_words(plan.level_pitch)),
            ("read", "________ deg, inclinometer on the fuel system's datum"),
        ]),
        bullets(HOW_TO_RAISE),
        heading("Set-up"),
        bullets((*SET_UP, *map(_joined_words, plan.never_parted))),
        _mark(plan),
        _runs(system, plan),
        drain_card(system, plan),
        heading("In each run"),
        bullets(DURING),
        _air_run(plan),
        _vents(plan),
        _drain_out(plan),
        heading("Stop at once when"),
        bullets(STOP),
        _unseen(plan),
    )  # fmt: skip
    return Document(
        title=clean(f"Ground test: {plan.title}"),
        passages=(
            passage(About.HEAD, pairs(head, 0), _answer(plan), _expects(plan)),
            found,
            cautions(all_cautions(plan.cautions)),
        ),
    )


def _answer(plan: GroundTestPlan) -> list[Block]:
    """Say first what the test must show; the working stands below, after what keeps it harmless."""
    least = min(density for _, density in plan.densities)
    longest = number(plan.container * least / plan.required, 1)
    attitudes = dict.fromkeys(pitch_words(run.setting.pitch) for run in plan.runs if run.needed)
    return [
        heading("What must be shown"),
        paragraph(
            f"{volume_words(plan.container)} in {longest} s or less, in every run that has a mark, "
            f"{' and '.join(attitudes)}: {number(100 * plan.factor, 0)} % of the full-power "
            "burn. That is for the warmest fuel of the case; on the day the density that is read "
            "gives the mark (below). First the leak check, then people, fire and fuel."
        ),
    ]


def _expects(plan: GroundTestPlan) -> list[Block]:
    """Say first when the plan's own expectation misses the mark, or may."""
    missing = [str(index) for index, run in enumerate(plan.runs, 1) if run.misses]
    doubtful = [str(index) for index, run in enumerate(plan.runs, 1) if run.may_miss]
    if missing:
        return [
            heading("This test is expected to miss the mark"),
            paragraph(
                f"In {_runs_words(missing)} below the estimate itself expects a longer time than "
                "the mark allows. Change the system first (flowsim check CASE says what costs the "
                "flow, flowsim size CASE LINE which bore is enough), then test."
            ),
        ]
    if doubtful:
        return [
            paragraph(
                f"In {_runs_words(doubtful)} below the mark lies inside the band of expected "
                "times: the test may miss it."
            )
        ]
    return []


def _runs_words(numbers: list[str]) -> str:
    return f"run {numbers[0]}" if len(numbers) == 1 else f"runs {', '.join(numbers)}"


def _joined_words(pair: tuple[str, str]) -> str:
    return (
        f'Tanks "{pair[0]}" and "{pair[1]}" are joined in every position: fuel runs from one to '
        "the other while you set up, and a run with one of them nearly empty cannot be made as "
        "written. Plug the line between them for the test, and set the wings level."
    )


def _mark(plan: GroundTestPlan) -> list[Block]:
    rows = [
        ("required", f"{MASS_FLOW.exact(plan.required)}: {number(plan.factor, 2)} x full-power "
                     f"burn, "
         "by mass"),
        ("container", f"{volume_words(plan.container)}, weighed or measured to ________"),
        ("density", f"________ {DENSITY.name} at ________ {TEMPERATURE.name}, read on the day"),
        ("mark", _mark_by_density(plan)),
        ("by weight", f"3600 x ________ {MASS.name} / {digits(MASS_FLOW.of(plan.required))} = "
         "________ s or less"),
    ]  # fmt: skip
    rows += [
        ("" if index else "for example",
         f"{DENSITY.words(density, 1)}, {temperature_words(kelvin)}: "
         f"{number(plan.container * density / plan.required, 1)} s")
        for index, (kelvin, density) in enumerate(plan.densities)
    ]  # fmt: skip
    words = (
        "The mark is the longest time that the container may take. Each run of the test must meet "
        "it: the least flow counts, not the mean."
    )
    if shows(Units.US):
        words += " A rule of the trade for US cups of 8 oz: gal/h = 225 x cups / seconds."
    return [heading("The mark"), pairs(rows), paragraph(words)]


def _mark_by_density(plan: GroundTestPlan) -> str:
    """Give the longest time as a formula of the density that is read on the day."""
    volume, required = VOLUME.of(plan.container), MASS_FLOW.of(plan.required)
    # 3600 s in an hour; 3.6 where the volume is in litres and the density in kg/m3.
    factor = MASS_FLOW.of(1.0) / (VOLUME.of(1.0) * DENSITY.of(1.0))
    return (
        f"{digits(factor)} x {digits(volume)} x density / {digits(required)} = "
        f"{digits(factor * volume / required, 5)} x ________ {DENSITY.name} = ________ s or less"
    )


def _runs(system: FuelSystem, plan: GroundTestPlan) -> list[Block]:
    parts: list[Block] = [
        heading(f"Runs: each at least {plan.repeats} times, in this order"),
        paragraph(
            "Times are what this estimate expects for the container, with the band in which 90 % "
            "of such readings should lie. A time outside it means that the aeroplane differs from "
            "the case: find out where."
        ),
    ]
    for index, run in enumerate(plan.runs, 1):
        parts.append(
            paragraph(f"{index}. {told(run.name)}" + ("" if run.needed else " (to learn from)"))
        )
        parts.append(pairs(_run_rows(system, run), 5))
    return parts


def _run_rows(system: FuelSystem, run: PlannedRun) -> list[tuple[str, str]]:
    setting = run.setting
    end = setting.end_height
    where = "at the carburettor inlet's height"
    if end:
        where = (
            f"{LENGTH.words(abs(end), 0)} {'above' if end > 0 else 'below'} the carburettor inlet"
        )
    fuel = [
        f"{tank.name} {volume_words(quantity)}"
        for tank, quantity in zip(system.tanks, setting.quantities, strict=True)
    ]
    return [
        ("attitude", pitch_words(setting.pitch)),
        ("line end", where),
        ("fuel at start", "; ".join(fuel)),
        ("expected", _expected(run)),
        *_run_mark(run),
        ("read", "________ s  ________ s  ________ s"),
        ("why", told(run.reason)),
    ]  # fmt: skip


def _expected(run: PlannedRun) -> str:
    """Say how long a run takes; where no fuel arrives the container never fills."""
    if run.low == math.inf:
        return "none: no fuel arrives, the container never fills"
    first, high = (
        "never full" if value == math.inf else f"{number(value, 1)} s"
        for value in (run.expected, run.high)
    )
    return f"{first}, band {number(run.low, 1)} to {high}"


def _run_mark(run: PlannedRun) -> list[tuple[str, str]]:
    if not run.needed:
        return []
    at = temperature_words(run.setting.temperature)
    words = f"{number(run.mark, 1)} s or less at {at}"
    if run.misses:
        words += "; the expected time MISSES it"
    elif run.may_miss:
        words += "; inside the band: it may be missed"
    return [("mark", words)]


def _air_run(plan: GroundTestPlan) -> list[Block]:
    """Ask for a run with the air that refilling leaves in the lines, as in service."""
    scenario = plan.deciding
    held = ""
    if scenario.humps:
        held = (
            f" This estimate finds air behind {', '.join(all_told(scenario.humps))}, which may "
            f"hold back {head_words(scenario.trapped_air_head)}."
        )
    return [
        heading("Air left by refilling"),
        paragraph(
            "The runs above are made with the lines bled; in service they are not. So once more, "
            "for each selector position: drain tanks and lines until nothing comes, refill through "
            "the caps as in service, do not bleed, shake or tilt, set the test attitude and "
            "quantity, and time a run. It must meet the mark as well; if it is slower than the "
            f"bled run, air stays in a high place of the line.{held}"
        ),
        pairs([("read", "________ s, selector ________      ________ s, selector ________")]),
    ]


def _vents(plan: GroundTestPlan) -> list[Block]:
    if not plan.vents:
        return []
    words = (
        "A short run on little fuel passes with a shut vent: the air over the fuel stretches. Fill "
        "the tank, draw at least the amount below in one go, and watch that the flow does not "
        "fall. The figures are those of the fuel temperature of the case at which it shows last. "
        'Where it says "not shown", other tanks feed on or the fuel runs out first. Taken for '
        f"granted: {told(ASSUMED)}."
    )
    rows = [_vent_row(test) for test in plan.vents]
    unit = VOLUME.name
    names = ("airspace", "filled", f"room {unit}", f"stops after {unit}", f"draw {unit}")
    return [heading("Vent test"), paragraph(words), table(names, rows, left=2)]


def _vent_row(test: VentTest) -> tuple[str, ...]:
    return (
        f"{test.tank} ({test.selector})" if test.selector else test.tank,
        "full" if test.full else "as in the runs above",
        VOLUME.cell(test.ullage, 1),
        *(_drawn(drawn) for drawn in (test.stops_after, test.draw)),
    )


def _drawn(volume: float) -> str:
    return VOLUME.cell(volume, 2) if math.isfinite(volume) else "not shown"


def _drain_out(plan: GroundTestPlan) -> list[Block]:
    rows = [
        (tank, f"declared {volume_words(volume)}; flow below the mark at ________ "
               f"{VOLUME.name}, flow stops "
         f"at ________ {VOLUME.name}, drained ________ {VOLUME.name}")
        for tank, volume in plan.drain_out
    ]  # fmt: skip
    words = (
        "At the test attitude, one tank at a time: let it run until the container takes longer "
        "than the mark (the required flow is lost), then until the flow stops. Level the "
        "aeroplane, drain the tank at its sump and measure what comes out. The first of the two "
        "quantities is the unusable fuel, and it must not exceed the declared one."
    )
    return [heading("Unusable fuel"), paragraph(words), pairs(rows)]


def _unseen(plan: GroundTestPlan) -> list[Block]:
    if not plan.unseen:
        return []
    return [
        heading("What this test cannot see"),
        paragraph("These count for the deciding answer, and no run above tells of them:"),
        bullets(f"{told(name)}: {told(how)}" for name, how in plan.unseen),
    ]

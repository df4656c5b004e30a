"""What was assumed, what was never measured, and which flow is required and why."""

from collections import Counter

from flowsim.constants import STANDARD_GRAVITY
from flowsim.document.blocks import Block, Heading, Pairs, Words
from flowsim.files.results.report_model import Section
from flowsim.files.units import shown as to
from flowsim.reports.pages.check import LITRE, TWO_US_QUARTS, seconds_to_fill
from flowsim.reports.pages.unmeasured import COLUMNS, loss_rows, remedies, without_share
from flowsim.reports.sections.kit import bullets, section, table
from flowsim.reports.words.units import digits, number, pitch_words, temperature_words, with_unit
from flowsim.studies.report.collect import ReportStudy

UNMEASURED = {"assumed": "ASSUMED by the builder", "default": "NOT GIVEN, usual value taken"}
RULE = (
    "150 % of the take-off fuel consumption for gravity systems: 14 CFR 23.955(b) as it stood "
    "before amendment 23-64 replaced it by 23.2430; the ground check with the nose 5 deg above "
    "the highest climb angle, the line off at the carburettor and minimum fuel: AC 90-89A "
    "(24 May 1995). They do not bind an amateur-built aeroplane; they are its usual yardstick."
)


def assumed_section(study: ReportStudy) -> Section:
    """List what was never measured, first of all."""
    listed = [item for item in study.system.provenance if item.origin in UNMEASURED]
    others = Counter(
        item.origin for item in study.system.provenance if item.origin not in UNMEASURED
    )
    blocks: list[Block] = [
        Words(
            text="Everything here was assumed or filled in, not measured on the aeroplane. Each "
            "is a question to the builder.",
            tone="lead",
        )
    ]
    result = study.check
    losses = loss_rows(result.unmeasured)
    if losses:
        caption = "Losses that nobody measured, largest share of the head in the deciding scenario"
        columns = [COLUMNS[0], COLUMNS[1], *(f"#{name}" for name in COLUMNS[2:])]
        blocks.append(table(columns, losses, caption=caption))
    elsewhere = without_share(result.unmeasured)
    if elsewhere:
        blocks.append(Words(text=elsewhere, tone="note"))
    said = remedies(result.unmeasured)
    if said:
        blocks += [Words(text="What would settle the dearest:"), bullets(said, "")]
    if listed:
        order = sorted(listed, key=lambda item: item.origin != "assumed")
        rows = [(item.item, item.value, UNMEASURED[item.origin], item.note) for item in order]
        blocks.append(
            table(["what", "taken as", "measured?", "note"], rows, caption="Never measured")
        )
    else:
        blocks.append(Words(text="The case states where every value is from; none is assumed."))
    counted = ", ".join(f"{count} {origin}" for origin, count in sorted(others.items()))
    if counted:
        blocks.append(Words(text=f"Marked in the case as known: {counted} values.", tone="note"))
    further = [
        words
        for words in result.assumptions[len(result.unmeasured) :]
        if not _is_listed(study, words)
    ]
    if further:
        blocks += [Heading(text="And in the method"), bullets(further, "")]
    return section("assumed", "Assumptions, the unmeasured first", blocks)


def required_section(study: ReportStudy) -> Section:
    """Give the required flow with its working, and the rule that it follows."""
    requirement = study.check.requirement
    required, density = requirement.required, requirement.density
    volume = required / density
    burn = to.kg_per_h(requirement.burn)
    rows = [
        ("full-power burn", f"{digits(burn)} kg/h: {requirement.basis}"),
        ("factor", f"{requirement.factor:.2f}"),
        (
            "required",
            f"{requirement.factor:.2f} x {digits(burn)} kg/h = {digits(to.kg_per_h(required))} "
            f"kg/h = {digits(to.lb_per_h(required))} lb/h, by mass, not rounded",
        ),
        (
            "as volume",
            f"{digits(to.kg_per_h(required))} kg/h / {number(density, 1)} kg/m3 (15 degC) = "
            f"{digits(to.l_per_h(volume), 5)} L/h = {digits(to.us_gal_per_h(volume), 5)} US gal/h",
        ),
        (
            "as a test",
            f"1 L in {seconds_to_fill(LITRE, requirement)} s or less; 2 US quarts in "
            f"{seconds_to_fill(TWO_US_QUARTS, requirement)} s or less, at that density",
        ),
        ("rule", RULE),
    ]
    blocks: list[Block] = [
        Pairs(rows=tuple(rows)),
        Heading(text="Attitudes and conditions"),
        Pairs(rows=tuple(_attitudes(study))),
    ]
    return section("required", "Required flow and attitudes", blocks)


def _attitudes(study: ReportStudy) -> list[tuple[str, str]]:
    flight, fuel = study.system.flight, study.system.fuel
    margin = number(to.degrees(flight.test_margin), 1)
    return [
        ("level", pitch_words(flight.level_pitch)),
        ("steepest climb", f"{pitch_words(flight.climb_pitch)}: {flight.pitch_working}"),
        (
            "test attitude",
            f"{pitch_words(study.check.test_pitch)}: steepest climb + {margin} deg",
        ),
        (
            "descent",
            "not stated, so not judged"
            if flight.descent_pitch is None
            else pitch_words(flight.descent_pitch),
        ),
        ("climb speed", with_unit(to.knots(flight.climb_speed), 1, "kt")),
        ("top level speed", with_unit(to.knots(flight.top_speed), 1, "kt")
         + ("" if flight.level_speed else " (twice the climb speed, assumed)")),
        ("take-off run", with_unit(flight.run_acceleration / STANDARD_GRAVITY, 2, "g forward")
         + ("" if flight.acceleration else " (assumed)")),
        ("on the ground", _ground_words(study)),
        ("pressure altitude", with_unit(flight.pressure_altitude, 0, "m")),
        (
            "fuel",
            f"{fuel.name}, {number(fuel.density_15, 1)} kg/m3 at 15 degC ({fuel.source}); judged "
            "at " + " and ".join(temperature_words(kelvin) for kelvin in study.system.temperatures)
            + (" and between" if len(study.system.temperatures) > 1 else ""),
        ),
        ("heights known to", f"{number(1000 * study.system.height_deviation, 1)} mm (one standard "
         "deviation)"),
    ]  # fmt: skip


def _ground_words(study: ReportStudy) -> str:
    ground = study.system.routing.ground
    if ground is None:
        return "not stated"
    return f"{ground.gear}, {pitch_words(ground.pitch)}"


def _is_listed(study: ReportStudy, words: str) -> bool:
    return any(words.startswith(f"{item.item}: ") for item in study.system.provenance)

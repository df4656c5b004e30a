"""What was assumed, what was never measured, and which flow is required and why."""

from collections import Counter

from flowsim.constants import STANDARD_GRAVITY
from flowsim.document.blocks import Block, Heading, Pairs, Words
from flowsim.document.words.telling import all_told
from flowsim.files.results.report_model import Section
from flowsim.files.units import shown as to
from flowsim.measures import ALTITUDE, LENGTH, MASS_FLOW, VOLUME_FLOW, airspeed_words
from flowsim.reports.pages.check import density_at_15, fill_words
from flowsim.reports.pages.unmeasured import columns, loss_rows, remedies, without_share
from flowsim.reports.sections.kit import bullets, section, table
from flowsim.reports.words.units import digits, number, pitch_words, temperature_words, with_unit
from flowsim.studies.report.collect import ReportStudy
from flowsim.system.fuel_system import Provenance

UNMEASURED = {"assumed": "ASSUMED by the builder", "default": "NOT GIVEN, usual value taken"}
RULE = (
    "150 % of the take-off fuel consumption for gravity systems: 14 CFR 23.955(b) as it stood "
    "before amendment 23-64 replaced it by 23.2430; the ground check with the nose 5 deg above "
    "the highest climb angle, the line off at the carburettor and minimum fuel: AC 90-89A "
    "(24 May 1995; AC 90-89B of 27 April 2015 is the later edition). They do not bind an "
    "amateur-built aeroplane; they are its usual yardstick."
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
        names = columns()
        heads = [*names[:2], *(f"#{name}" for name in names[2:])]
        blocks.append(table(heads, losses, caption=caption))
    elsewhere = without_share(result.unmeasured)
    if elsewhere:
        blocks.append(Words(text=elsewhere, tone="note"))
    said = remedies(result.unmeasured)
    if said:
        blocks += [Words(text="What would settle the costliest:"), bullets(said, "")]
    blocks.append(_never_measured(listed))
    counted = ", ".join(f"{count} {origin}" for origin, count in sorted(others.items()))
    if counted:
        blocks.append(Words(text=f"Marked in the case as known: {counted} values.", tone="note"))
    further = [
        words
        for words in all_told(result.assumptions[len(result.unmeasured) :])
        if not _is_listed(study, words)
    ]
    if further:
        blocks += [Heading(text="Assumptions of the method"), bullets(further, "")]
    return section("assumed", "Assumptions, the unmeasured first", blocks)


def _never_measured(listed: list[Provenance]) -> Block:
    """List the values that were assumed or filled in, those of the builder first."""
    if not listed:
        return Words(text="The case states where every value is from; none is assumed.")
    order = sorted(listed, key=lambda item: item.origin != "assumed")
    rows = [(item.item, item.value, UNMEASURED[item.origin], item.note) for item in order]
    return table(["what", "taken as", "measured?", "note"], rows, caption="Never measured")


def required_section(study: ReportStudy) -> Section:
    """Give the required flow with its working, and the rule that it follows."""
    requirement = study.check.requirement
    required, density = requirement.required, requirement.density
    volume = required / density
    rows = [
        ("full-power burn", f"{MASS_FLOW.exact(requirement.burn)}: {requirement.basis}"),
        ("factor", f"{requirement.factor:.2f}"),
        (
            "required",
            f"{requirement.factor:.2f} x {digits(MASS_FLOW.of(requirement.burn))} "
            f"{MASS_FLOW.name} = {MASS_FLOW.exact(required)}, by mass, not rounded",
        ),
        (
            "as volume",
            f"divided by {density_at_15(density)}: {VOLUME_FLOW.exact(volume, 5)}",
        ),
        (
            "as a test",
            f"{fill_words(requirement)}, at that density",
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
        ("climb speed", airspeed_words(flight.climb_speed)),
        ("top level speed", airspeed_words(flight.top_speed)
         + ("" if flight.level_speed else " (twice the climb speed, assumed)")),
        ("take-off run", with_unit(flight.run_acceleration / STANDARD_GRAVITY, 2, "g forward")
         + ("" if flight.acceleration else " (assumed)")),
        ("on the ground", _ground_words(study)),
        ("pressure altitude", ALTITUDE.words(flight.pressure_altitude, 0)),
        (
            "fuel",
            f"{fuel.name}, {density_at_15(fuel.density_15)} ({fuel.source}); judged "
            "at " + " and ".join(temperature_words(kelvin) for kelvin in study.system.temperatures)
            + (" and between" if len(study.system.temperatures) > 1 else ""),
        ),
        ("heights known to", f"{LENGTH.words(study.system.height_deviation, 1)} (one standard "
         "deviation)"),
    ]  # fmt: skip


def _ground_words(study: ReportStudy) -> str:
    ground = study.system.routing.ground
    if ground is None:
        return "not stated"
    return f"{ground.gear}, {pitch_words(ground.pitch)}"


def _is_listed(study: ReportStudy, words: str) -> bool:
    return any(words.startswith(f"{item.item}: ") for item in study.system.provenance)

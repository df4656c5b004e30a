"""The last pages: sources, cautions, what it was made from, notes and signatures."""

from collections.abc import Iterable

from flowsim.document.blocks import Blanks, Block, Bullets, Heading, Pairs, Ticks, Words
from flowsim.document.words.telling import all_told, once_told
from flowsim.files.results.check_json import all_cautions, versions
from flowsim.files.results.report_model import FileUsed, Section
from flowsim.measures import LENGTH
from flowsim.network.outcome import part_description
from flowsim.reports.sections.assumed import RULE
from flowsim.reports.sections.kit import section
from flowsim.reports.words.sources import full_sources
from flowsim.studies.report.collect import ReportStudy

NOT_CHECKED = (
    "the real routes, lengths and bores against the case (tape, inclinometer, drill shank)",
    "bends flattened or kinked, burrs left in tube ends, sealant or hose liner in the bore",
    "the fuel on board: its density, ethanol, vapour pressure, season",
    "the carburettor: needle and seat fully open, float level, inlet screen, bowl vent",
    "vents and caps as flown: which way they face, what they do in a slip and in rain",
    "selector: detents, no passing between tanks, OFF closes",
    "hoses: age, fire sleeve, heat near the exhaust, clamps",
    "leaks, vibration, chafing, wear, water, ice and dirt",
    "flight loads, turbulence, slips and unsteady flow; engine installation and cooling",
    "placards and the flight manual against the figures here",
)
WHAT_IT_IS = (
    "A calculation of steady flow under gravity, from dimensions. It is no inspection, no test and "
    "no approval, and nobody who signs below takes it for one."
)
GENERAL = (
    RULE,
    "Hose bore by dash number, support spacing, bend radii: AC 43.13-1B, as named at each finding.",
    "Friction, fittings, screens, vapour pressure, tank volumes: the pages under docs/theory of "
    "flowsim, each with its sources; compared with them in docs/validation.md.",
)  # fmt: skip


def references_section(study: ReportStudy) -> Section:
    """List every source that a number of this case leans on."""
    network = study.assembly.network
    used: dict[str, list[str]] = {}
    for index in range(len(network.placed)):
        name, _, source = part_description(network, index)
        used.setdefault(source or "no source is stated", []).append(name)
    rows = [
        f"{source}: {', '.join(dict.fromkeys(names))}" for source, names in sorted(used.items())
    ]
    fuel = study.system.fuel
    blocks: list[Block] = [
        Heading(text="Rules and general sources"),
        Bullets(items=GENERAL),
        Heading(text="Laws and values of the parts"),
        Bullets(items=tuple(rows)),
        Heading(text="Fuel"),
        Bullets(items=(f"{fuel.name}: {fuel.source}",)),
    ]
    routing = study.routing.result
    if routing is not None and routing.findings:
        sources = once_told(finding.source for finding in routing.findings)
        blocks += [Heading(text="Findings on routing"), Bullets(items=sources)]
    named = [*used, fuel.source, *GENERAL]
    named += [] if routing is None else all_told(finding.source for finding in routing.findings)
    blocks += [Heading(text="Written out in full"), Bullets(items=full_sources(named))]
    return section("references", "Sources", blocks)


def cautions_section(study: ReportStudy) -> Section:
    """Give every caution of the check."""
    items = all_cautions(study.check.cautions)
    return section("cautions", "Cautions", [Bullets(items=items)])


def made_section(
    study: ReportStudy, date: str, case: FileUsed, readings: FileUsed | None
) -> Section:
    """Say what the report was made from, with what, and when."""
    rows = [("date", date), ("case", case.file), ("its SHA-256", case.sha256)]
    if study.system.note:
        rows.append(("the case's own note", study.system.note))
    if readings is None:
        rows.append(("readings", "none"))
    else:
        rows += [("readings", readings.file), ("their SHA-256", readings.sha256)]
    rows += [(name, str(value or "not known")) for name, value in versions().items()]
    if study.check.draws:
        rows.append(("draws", f"{study.check.draws}, seed {study.check.seed}"))
    words = (
        "The same case, date and versions give the same bytes. The page and the PDF are made from "
        "report.json alone: flowsim report --from report.json."
    )
    return section("made", "Made from", [Pairs(rows=tuple(rows)), Words(text=words, tone="note")])


def given_ticks(study: ReportStudy) -> tuple[str, ...]:
    """List firewall fittings, sleeves and clearances to be ticked, with what the case gives."""
    routing = study.system.routing
    hot = [item for item in routing.obstacles if item.kind == "hot part"]
    walls = [item for item in routing.crossings if item.kind == "bulkhead"]
    wraps = [laid for laid in routing.installations if laid.protection]
    sleeved = [
        f'line "{laid.line}", {len(laid.protection)} of sleeve or anti-chafe' for laid in wraps
    ]
    sleeved += [
        f'line "{item.line}" at {item.kind} "{item.name}" '
        f"{LENGTH.words(routing.sleeve if item.sleeve is None else item.sleeve, 0)}"
        for item in routing.crossings
        if item.kind != "strap"
    ]
    return (
        "firewall and bulkhead fittings: steel, not aluminium or plastic, sealed; given: "
        + _given(f'"{item.name}" for line "{item.line}"' for item in walls),
        "sleeves, fire sleeve ahead of the firewall, anti-chafe: in place and clamped; given: "
        + _given(sleeved),
        "clearance to the exhaust and other hot parts, or a shield between; given: "
        + _given(
            f'"{item.name}"'
            + ("" if item.least is None else f", at least {LENGTH.words(item.least, 0)}")
            for item in hot
        ),
    )


def _given(items: Iterable[str]) -> str:
    return "; ".join(items) or "nothing in this case, so look yourself"


def notes_section(study: ReportStudy) -> Section:
    """Leave room for what is written by hand."""
    blocks: list[Block] = [
        Words(text=WHAT_IT_IS, tone="lead"),
        Heading(text="Not checked by this calculation; tick what you looked at yourself"),
        Ticks(items=(*given_ticks(study), *NOT_CHECKED)),
        Heading(text="Notes and changes since"),
        Blanks(rows=(("what was changed, when, by whom", 3), ("notes", 3))),
        Heading(text="Signatures"),
        Blanks(
            rows=(
                ("builder: name, date, signature", 1),
                ("reviewer: name, qualification, date, signature", 1),
                ("what the reviewer looked at", 1),
                ("what the reviewer did not look at", 1),
                ("ground test by, date, place", 1),
            )
        ),
    ]
    return section("notes", "Not checked, notes, signatures", blocks)

"""The first page of ``docs/validation.md``: in ten lines, what was checked against what."""

from collections import Counter

from tests.support.calibrated_page import goal_words
from tests.support.measured_rigs import dosing_tube_predictions, drain_down_predictions
from tests.support.published import Comparison, Source

LINES = 10
OTHERWISE = {"computed by a library": "library", "computed independently": "own"}
"""Ways in which a number comes that say what evidence it is, whatever it stands beside."""


def first_page(sources: list[Source]) -> str:
    """Give the ten lines, with their counts worked out."""
    lines = [
        _whole_systems(),
        _calibrated(),
        _friction(sources),
        _fuels(sources),
        _books(sources),
        _rules(sources),
        _libraries(sources),
        _own(sources),
        "**Not checked against any measurement:** losses of flared elbows, tees, bowls and "
        "selectors at this size, needle and seat, air in bores below 12.7 mm, vapour in hot lines, "
        "sloshing, and any whole aeroplane. No published data were found. **The ground test is the "
        "check.**",
        _how(sources),
    ]
    assert len(lines) == LINES
    rows = "\n".join(f"{number}. {line}" for number, line in enumerate(lines, 1))
    return f"## What was checked, in ten lines\n\n{rows}\n"


def _of(sources: list[Source], evidence: str, section: str = "") -> list[Comparison]:
    """Comparisons of one kind of evidence, circular ones left out.

    A row beside a book's that a library or we worked out counts for those and not for the book.
    """
    return [
        one
        for source in sources
        if not section or source.facts["section"] == section
        for table in source.tables
        for one in table.comparisons
        if OTHERWISE.get(one.how, source.facts["evidence"]) == evidence
        and not one.why.startswith("circular")
    ]


def _span(percents: list[float]) -> str:
    return f"{min(percents):+.0f} to {max(percents):+.0f} %"


def _whole_systems() -> str:
    drained = [one.percent(one.expected) for one in drain_down_predictions()]
    return (
        "**Whole systems, measured:** one rig, a tank that drains through straight 7.94 mm tubes: "
        f"flow {_span(drained)} of {len(drained)} measured runs, whose own scatter is 7 %. A "
        f"second rig lacks its fittings in print and only shows what that costs: "
        f"{_span([one.percent(one.expected) for one in dosing_tube_predictions()])}."
    )


def _calibrated() -> str:
    return (
        f"**After one measured run:** drain-down, {goal_words(drain_down_predictions())}; dosing "
        f"tube, {goal_words(dosing_tube_predictions())}."
    )


def _friction(sources: list[Source]) -> str:
    found = _of(sources, "measurement", "friction")
    rough = [one for one in found if one.position >= 4000.0]
    even = [one for one in found if one.position <= 1900.0]
    mean = sum(one.percent for one in rough) / len(rough)
    return (
        f"**Friction, measured:** {len(found)} points in smooth bores, two laboratories; less than "
        f"measured is the unsafe direction: turbulent mean {mean:+.1f} % "
        f"({_span([one.percent for one in rough])}), laminar {_span([one.percent for one in even])}"
        f". Fuel hose and used tube: not measured."
    )


def _fuels(sources: list[Source]) -> str:
    found = _of(sources, "measurement", "fuel")
    dense = [one for one in found if one.quantity == "density"]
    thick = [one for one in found if one.quantity != "density"]
    most = max(abs(one.percent) for one in dense)
    return (
        f"**Fuels, measured:** {len(dense)} densities within {most:.2f} %, {len(thick)} "
        f"viscosities of jet fuels ({_span([one.percent for one in thick])}); of petrol and avgas "
        f"only single readings that the bands must hold."
    )


def _books(sources: list[Source]) -> str:
    found = _of(sources, "book")
    memory = sum(one.how == "from memory" for one in found)
    return (
        f"**Books:** {len(found)} numbers of worked examples and classical formulas (networks, "
        f"lines, tanks, friction), {memory} of them from memory, and three drained tanks in "
        f"their own test; nearly all to the digits printed. They test the arithmetic and "
        f"the laws, not an aeroplane."
    )


def _rules(sources: list[Source]) -> str:
    return (
        f"**Rules and tables in force:** {len(_of(sources, 'rule'))} numbers: the yardstick for "
        f"the required flow, the standard atmosphere, vapour pressure of petrol, weight of avgas."
    )


def _libraries(sources: list[Source]) -> str:
    found = _of(sources, "library")
    names = [source for source in sources if source.facts["evidence"] == "library"]
    return (
        f"**Libraries:** {len(found)} numbers from {len(names)} general-purpose programs with the "
        f"same laws. They show that the solver solves, not that the laws are right."
    )


def _own(sources: list[Source]) -> str:
    count = sum(source.facts["evidence"] == "own" for source in sources)
    return (
        f"**Our own working:** {count} source, invented mixtures for fuel over temperature, and "
        f"{len(_of(sources, 'own'))} numbers beside those of others. Counted apart; proves only "
        "that two ways of ours agree. The 90 % band of a ground-test "
        "fit holds the truth in 88 % (open line) and 92 % (at the carburettor) of 800 simulated "
        "tests (theory/ground-test.md)."
    )


def _how(sources: list[Source]) -> str:
    ways = Counter(
        one.how for source in sources for table in source.tables for one in table.comparisons
    )
    circular = sum(
        one.why.startswith("circular")
        for source in sources
        for table in source.tables
        for one in table.comparisons
    )
    return (
        f"**How sure the references are:** {ways['read']} numbers read in the source, "
        f"{ways['via a public transcription']} through a public copy, {ways['from memory']} from "
        f"memory, {ways['computed by a library']} by a library, "
        f"{ways['computed independently']} our own; {circular} are circular, marked, and count for "
        f"nothing."
    )

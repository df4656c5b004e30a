"""What was never measured, in words: the count on top, the losses by share of the head."""

from flowsim.document.blocks import Block
from flowsim.document.build import bullets, heading, paragraph, table
from flowsim.document.words.telling import told
from flowsim.measures import LENGTH
from flowsim.reports.words.units import share_words
from flowsim.studies.result import AdequacyResult, Unmeasured
from flowsim.system.fuel_system import FuelSystem
from flowsim.system.tags import Tag

DEAREST = 3
"""So many unmeasured numbers are told with what would measure them."""


def columns() -> tuple[str, str, str, str]:
    """Give the heads of the table of losses that nobody measured."""
    return ("not measured", "from", "of the head", LENGTH.name)


def count_words(result: AdequacyResult) -> str:
    """Say how much was never measured, before anything else is said.

    Parameters
    ----------
    result : AdequacyResult
        The answer.

    Returns
    -------
    str
        One sentence without a full stop.
    """
    found = result.not_measured
    losses = f"{found.catalogue} loss" if found.catalogue == 1 else f"{found.catalogue} losses"
    share = found.catalogue_share
    of_head = "" if share is None else f", {share_words(share)} of the head"
    return (
        f"{_plural(found.assumed, 'value')} assumed, {found.default} by default, {losses} from the "
        f"catalogue{of_head}; {found.not_said} stated without saying where from"
    )


def loss_rows(unmeasured: tuple[Unmeasured, ...]) -> list[tuple[str, str, str, str]]:
    """Give a row for each unmeasured number that has a share of the head, largest first.

    Parameters
    ----------
    unmeasured : tuple of Unmeasured
        Of a result.

    Returns
    -------
    list of tuple of str
        Part with its line, tag, share, loss of head.
    """
    return [
        (name_of(item), tag_words(item.tag), _share(item.share), _loss(item.loss))
        for item in unmeasured
        if item.share is not None
    ]


def without_share(unmeasured: tuple[Unmeasured, ...]) -> str:
    """Name the unmeasured losses that are not on a deciding way.

    Parameters
    ----------
    unmeasured : tuple of Unmeasured
        Of a result.

    Returns
    -------
    str
        A sentence, empty where there are none.
    """
    names = [name_of(item) for item in unmeasured if item.share is None and item.line]
    if not names:
        return ""
    return f"Nor measured, but not on the deciding way: {', '.join(names)}."


def remedies(unmeasured: tuple[Unmeasured, ...]) -> list[str]:
    """Say what would measure the costliest, and what is decisive and has no origin.

    Parameters
    ----------
    unmeasured : tuple of Unmeasured
        Of a result.

    Returns
    -------
    list of str
        A sentence each.
    """
    dearest = [item for item in unmeasured if item.share is not None][:DEAREST]
    decisive = [item for item in unmeasured if not item.line]
    said = [f"{name_of(item)}: {told(item.measure)}" for item in dearest]
    said += [
        f"{item.part}: stated without saying where from; {told(item.measure)}" for item in decisive
    ]
    return said


def assumption_parts(result: AdequacyResult) -> list[Block]:
    """Make the section on assumptions: unmeasured losses by share first, then the others.

    Parameters
    ----------
    result : AdequacyResult
        The answer.

    Returns
    -------
    list of Block
        Heading and words.
    """
    parts: list[Block] = [heading(f"Assumptions ({len(result.assumptions)})")]
    rows = loss_rows(result.unmeasured)
    if rows:
        parts.append(table(columns(), rows, left=2))
    others = without_share(result.unmeasured)
    if others:
        parts.append(paragraph(others))
    said = remedies(result.unmeasured)
    if said:
        parts += [paragraph("What would settle the costliest:"), bullets(said)]
    rest = result.assumptions[len(result.unmeasured) :]
    if rest:
        parts += [paragraph(f"Values assumed or filled in ({len(rest)}):"), bullets(rest)]
    return parts


def not_said_parts(system: FuelSystem) -> list[Block]:
    """List every value that the case states without saying where it is from.

    Parameters
    ----------
    system : FuelSystem
        The system that was judged.

    Returns
    -------
    list of Block
        Heading and words; nothing where every value says it.
    """
    if not system.not_said:
        return []
    said = (f"{item.item}: {item.value}" for item in system.not_said)
    title = f"Stated without saying where from ({len(system.not_said)})"
    remedy = 'Write { value = "...", from = "measured" } (or drawing, handbook, assumed).'
    return [heading(title), paragraph(remedy), bullets(said)]


def name_of(item: Unmeasured) -> str:
    """Give a part with its line, as one name."""
    return f"{item.part} ({item.line})" if item.line else item.part


def tag_words(tag: Tag) -> str:
    """Give a tag as it is shown."""
    return "stated, source not said" if tag is Tag.NOT_SAID else tag.value


def _share(share: float) -> str:
    return "under 1 %" if 0.0 <= share < 0.01 else share_words(share)


def _loss(loss: float | None) -> str:
    return LENGTH.cell(loss, 1)


def _plural(count: int, noun: str) -> str:
    return f"{count} {noun}" if count == 1 else f"{count} {noun}s"

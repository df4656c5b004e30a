"""A document: its title and its passages, each of which is known by what it is about."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import Enum, auto

from flowsim.document.blocks import Block
from flowsim.document.build import bullets, heading, paragraph
from flowsim.studies.saying import Said


class About(Enum):
    """What a passage is about, for those who take some of a document's passages."""

    HEAD = auto()
    """Which case, on what basis: a larger report says so once."""
    FOUND = auto()
    """What the study found."""
    UNUSABLE = auto()
    AIR = auto()
    VAPOUR = auto()
    ASSUMPTIONS = auto()
    CAUTIONS = auto()


@dataclass(frozen=True, slots=True)
class Passage:
    """Blocks that belong together."""

    about: About
    blocks: tuple[Block, ...]


@dataclass(frozen=True, slots=True)
class Document:
    """What one command says. Immutable.

    Attributes
    ----------
    title : str
        Cleaned; empty where there is none.
    passages : tuple of Passage
        In the order in which they are read.
    """

    title: str
    passages: tuple[Passage, ...]

    def blocks(self) -> list[Block]:
        """Give every block in order."""
        return [block for passage in self.passages for block in passage.blocks]

    def of(self, *about: About) -> list[Block]:
        """Give the blocks of the passages about some things."""
        return [b for passage in self.passages if passage.about in about for b in passage.blocks]

    def without(self, *about: About) -> list[Block]:
        """Give the blocks of all other passages."""
        return [
            b for passage in self.passages if passage.about not in about for b in passage.blocks
        ]


def passage(about: About, *blocks: Block | Iterable[Block]) -> Passage:
    """Make a passage of blocks and lists of blocks."""
    made: list[Block] = []
    for item in blocks:
        if isinstance(item, Iterable):
            made += item
        else:
            made.append(item)
    return Passage(about=about, blocks=tuple(made))


def assumptions(said: Sequence[Said]) -> Passage:
    """Give the passage of what was assumed, with its count."""
    return passage(About.ASSUMPTIONS, heading(f"Assumptions ({len(said)})"), bullets(said))


def cautions(said: Sequence[Said]) -> Passage:
    """Give the passage of what is to be kept in mind."""
    return passage(About.CAUTIONS, heading("Cautions"), bullets(said))


def rests_on(assumed: int, case_file: str, own: Sequence[Said] = ()) -> Passage:
    """Count what a study takes over from the case, say where it is listed, and list its own."""
    values = "1 value is" if assumed == 1 else f"{assumed} values are"
    listed = f"flowsim check {case_file} --full lists"
    said = f"{values} assumed or filled in: {listed} them, with the cautions on the case."
    if not assumed:
        said = f"No value is assumed or filled in; {listed} the cautions on the case."
    return passage(
        About.ASSUMPTIONS,
        heading("What it rests on"),
        paragraph(said),
        [paragraph(f"Besides, this study assumes ({len(own)}):"), bullets(own)] if own else [],
    )

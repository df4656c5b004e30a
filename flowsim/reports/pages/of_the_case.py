"""What a study takes over from the case: counted, with a pointer to where it is listed."""

from collections.abc import Sequence

from flowsim.document.document import Passage, cautions, rests_on
from flowsim.document.words.standing import ALWAYS
from flowsim.document.words.telling import once_told
from flowsim.reports.words.units import clean
from flowsim.studies.saying import Said


def of_the_case(
    assumed: Sequence[Said],
    case_file: str,
    *,
    own: Sequence[Said] = (),
    cautioned: Sequence[Said] = (),
) -> list[Passage]:
    """Give the passages on what the case assumes, and on what is a study's own.

    Parameters
    ----------
    assumed : sequence of Said
        What the case assumes, as a check lists it: counted.
    case_file : str
        The case file's name as it was given.
    own : sequence of Said
        What this study assumes besides: listed.
    cautioned : sequence of Said
        What this study cautions of: listed, after the standing cautions.

    Returns
    -------
    list of Passage
        The standing cautions are written out each time.
    """
    listed = [said for said in own if said not in assumed]
    return [
        rests_on(len(assumed), clean(case_file), listed),
        cautions(once_told((*ALWAYS, *cautioned))),
    ]

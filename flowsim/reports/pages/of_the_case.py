"""What a study takes over from the case: counted, with a pointer to where it is listed."""

from collections.abc import Sequence

from flowsim.document.document import Passage, cautions, rests_on
from flowsim.reports.words.units import clean
from flowsim.studies.review.remarks import ALWAYS


def of_the_case(
    assumed: Sequence[str],
    case_file: str,
    *,
    own: Sequence[str] = (),
    cautioned: Sequence[str] = (),
) -> list[Passage]:
    """Give the passages on what the case assumes, and on what is a study's own.

    Parameters
    ----------
    assumed : sequence of str
        What the case assumes, as a check lists it: counted.
    case_file : str
        The case file's name as it was given.
    own : sequence of str
        What this study assumes besides: listed.
    cautioned : sequence of str
        What this study cautions of: listed, after the standing cautions.

    Returns
    -------
    list of Passage
        The standing cautions are written out each time.
    """
    listed = [said for said in own if said not in assumed]
    told = tuple(dict.fromkeys((*ALWAYS, *cautioned)))
    return [rests_on(len(assumed), clean(case_file), listed), cautions(told)]

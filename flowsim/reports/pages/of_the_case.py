"""What a study takes over from the case: counted, with a pointer to where it is listed."""

from collections.abc import Sequence

from flowsim.document.document import Passage, cautions, rests_on
from flowsim.reports.words.units import clean
from flowsim.studies.review.remarks import ALWAYS


def of_the_case(assumed: Sequence[str], cautioned: Sequence[str], case_file: str) -> list[Passage]:
    """Give the passages on what the case assumes and what a check of it cautions.

    Parameters
    ----------
    assumed, cautioned : sequence of str
        As a check lists them.
    case_file : str
        The case file's name as it was given.

    Returns
    -------
    list of Passage
        The standing cautions are written out each time.
    """
    own = [said for said in cautioned if said not in ALWAYS]
    return [rests_on(len(assumed), len(own), clean(case_file)), cautions(ALWAYS)]

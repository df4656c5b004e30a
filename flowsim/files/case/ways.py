"""How many ways lead from an outlet to the engine: loops in a row multiply them."""

from collections import defaultdict

from flowsim.files.case.ledger import Ledger
from flowsim.files.case.models_lines import CaseFile
from flowsim.files.case.names import ENGINE
from flowsim.files.units.plausible import MOST_STEPS
from flowsim.files.units.quantities import shown

Around = dict[str, list[str]]


def check_ways(case: CaseFile, ledger: Ledger) -> None:
    """Refuse lines that form more ways to the engine than can be gone one by one.

    Humps, slips and losses are told along each way. Selectors count as open to all their lines.

    Parameters
    ----------
    case : CaseFile
        The file's model.
    ledger : Ledger
        Receives the mistake, at the first line of the outlet.
    """
    around: Around = defaultdict(list)
    outlets = {f"{tank.name}.{outlet.name}" for tank in case.tank for outlet in tank.outlet}
    for line in case.line:
        if not line.closed:
            around[line.start].append(line.to)
            around[line.to].append(line.start)
    for index, line in enumerate(case.line):
        for end in (line.start, line.to):
            if end in outlets and steps_to_engine(around, end, outlets) > MOST_STEPS:
                ledger.mistake(
                    ("line", index),
                    f"lines in loops form too many ways from {shown(end)} to the engine: to go all "
                    f"of them takes more than {MOST_STEPS} steps from line to line",
                    "leave out lines that join others side by side, or write lines side by side "
                    "as one line of their bore together",
                )
                return


def steps_to_engine(around: Around, outlet: str, outlets: set[str]) -> int:
    """Count the lines gone over on every way from an outlet; it stops soon after ``MOST_STEPS``.

    Parameters
    ----------
    around : dict
        Far ends of the lines at every place.
    outlet : str
        Where the ways begin.
    outlets : set of str
        Where no way leads through.

    Returns
    -------
    int
    """
    steps, on_way = 0, [outlet]
    left = [iter(around[outlet])]
    while left and steps <= MOST_STEPS:
        far = next(left[-1], None)
        if far is None:
            left.pop()
            on_way.pop()
        elif far not in on_way and far not in outlets:
            steps += 1
            on_way.append(far)
            left.append(iter(() if far == ENGINE else around[far]))
    return steps

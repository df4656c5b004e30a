"""What places without a loss of their own cost when a line that meets there has another size.

Where two lines meet at an angle the bend is made in the narrower one, and a tee of unknown kind is
taken in each line's own bore: as a case with the new size in it is read.
"""

from collections.abc import Sequence
from dataclasses import replace

from flowsim.physics.losses.fitting_catalogue import traits_of
from flowsim.physics.losses.formed_fittings import bend
from flowsim.system.lines import Drain, Line
from flowsim.system.parts import UNKNOWN_TEE, MinorLoss, Part


def with_joints_of(
    lines: Sequence[Line], drains: Sequence[Drain], before: Sequence[Line]
) -> tuple[Line, ...]:
    """Give every plain place the loss that it has with the bores as they are now.

    Parameters
    ----------
    lines : sequence of Line
        With their new sizes.
    drains : sequence of Drain
        Their own lines carry nothing, so they count for no bore.
    before : sequence of Line
        The same lines as they were.

    Returns
    -------
    tuple of Line

    Raises
    ------
    DomainError
        When the narrower line is too wide for the radius that is stated.
    """
    found = list(lines)
    names = {drain.name for drain in drains}
    for number, line in enumerate(lines):
        for part in line.parts:
            if not isinstance(part, MinorLoss) or not part.joint:
                continue
            here = [
                index
                for index, other in enumerate(lines)
                if part.joint in (other.start, other.end) and not names & {other.start, other.end}
            ]
            if all(lines[index].bore == before[index].bore for index in here):
                continue
            _rejoin(found, number, part, here, before)
    return tuple(found)


def _rejoin(
    found: list[Line], number: int, part: MinorLoss, here: list[int], before: Sequence[Line]
) -> None:
    """Change one loss of a plain place, in the line that holds it or in the one that does now."""
    if part.kind == UNKNOWN_TEE:  # each of its lines has its own
        has_own = part.bore < before[number].bore  # that of the case's fittings
        bore = found[number].bore
        _put(found, number, part, replace(part, bore=min(bore, part.bore) if has_own else bore))
        return
    narrow = min(here, key=lambda index: found[index].bore)
    bore = found[narrow].bore
    if traits_of(part.kind).is_bend and part.bend_angle is not None:
        stated = [radius for index in here if (radius := found[index].bend_radius) is not None]
        new = bend(part.bend_angle, min(stated, default=bore), bore, part.name)
        new = replace(new, joint=part.joint)
        found[number] = replace(
            found[number], parts=tuple(one for one in found[number].parts if one is not part)
        )
        own, *others = found[narrow].parts
        ends = found[narrow].end == part.joint
        parts: tuple[Part, ...] = (own, *others, new) if ends else (own, new, *others)
        found[narrow] = replace(found[narrow], parts=parts)
        return
    # A tee's bore may be its own: it goes with its lines where they are narrower than it is.
    was = min(before[index].bore for index in here)
    if bore < min(was, part.bore):
        _put(found, number, part, replace(part, bore=bore))


def _put(found: list[Line], number: int, old: Part, new: Part) -> None:
    parts = tuple(new if one is old else one for one in found[number].parts)
    found[number] = replace(found[number], parts=parts)

"""What the trade knows of a kind of part beside its loss: said once, asked by whoever needs it."""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from flowsim.system.parts import BLOCKED_METER, FINE_BOWL, FLOW_METER


@dataclass(frozen=True, slots=True, kw_only=True)
class Traits:
    """Traits of a kind of part.

    ``holds_steps``: its loss holds the steps of bore between the tube and itself, by its source or
    because it was measured between its ports. ``is_size_change``: charged as a step of bore.
    ``is_bend``: a formed bend of the tube itself. ``follows_tube``: bought with the tube, in its
    size. ``on_line_bore``: its loss is on the line's bore where it has none of its own.
    ``takes_fitting_bore``: on a bore of its own, which [defaults] may give. ``strains``: holds dirt
    back. ``divides_line``: the tube is cut there. ``is_tee``: the loss of a tee on one stream.
    ``is_barb``: holds a hose or soft tube by its inside.
    ``turns`` [rad]: what it turns a line by, as it is made.
    """

    holds_steps: bool = False
    is_size_change: bool = False
    is_bend: bool = False
    follows_tube: bool = False
    on_line_bore: bool = False
    takes_fitting_bore: bool = False
    strains: bool = False
    divides_line: bool = False
    is_tee: bool = False
    is_barb: bool = False
    turns: float = 0.0


NO_TRAITS = Traits()
"""Of a kind that nothing more is known of."""

OUTLET = NO_TRAITS
UNION = Traits(holds_steps=True, follows_tube=True, on_line_bore=True, divides_line=True)
BARB = Traits(holds_steps=True, is_barb=True)
ELBOW_45 = Traits(follows_tube=True, takes_fitting_bore=True, turns=math.pi / 4.0)
ELBOW_90 = Traits(follows_tube=True, takes_fitting_bore=True, turns=math.pi / 2.0)
BEND = Traits(is_bend=True, follows_tube=True, on_line_bore=True)
TEE = Traits(takes_fitting_bore=True, is_tee=True)
BALL_VALVE = Traits(follows_tube=True, on_line_bore=True)
ON_LINE = Traits(on_line_bore=True)
STRAINER = Traits(strains=True)

_MEASURED = Traits(holds_steps=True)
_FINE = Traits(holds_steps=True, strains=True)
_SIZE_CHANGE = Traits(is_size_change=True)

DEVICES: Mapping[str, Traits] = MappingProxyType(
    {
        FLOW_METER: _MEASURED,
        BLOCKED_METER: _MEASURED,
        "valve": _MEASURED,
        "small ball valve": _MEASURED,
        "filter": _FINE,
        FINE_BOWL: _FINE,
        "restrictor": _MEASURED,
        "needle and seat": _MEASURED,
        "screen": STRAINER,
        "expansion": _SIZE_CHANGE,
        "contraction": _SIZE_CHANGE,
    }
)
"""Traits of the kinds that are no fittings of the catalogue."""

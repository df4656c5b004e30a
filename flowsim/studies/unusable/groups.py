"""Limits by kind of attitude in joint draws: the bands of the table by attitude."""

import numpy as np

from flowsim.physics.air.dips import DIP_CAUTIOUS
from flowsim.physics.arrays import BoolArray
from flowsim.studies.judged.flight_attitudes import LEVEL
from flowsim.studies.sampling.draws import Draws
from flowsim.studies.unusable.bands import limits_in_draws
from flowsim.studies.unusable.drawn import DrawnTrials, band_of
from flowsim.studies.unusable.result import GroupBands, QuantityBand
from flowsim.studies.unusable.rows import BURN, DOUBT, REQUIRED
from flowsim.studies.unusable.table import LimitTable

GROUP_DRAWS = 64
"""[-] First draws that the table by attitude rests on: its limits do not decide, and there are ten
times as many as those that do."""


def group_bands(table: LimitTable, draws: Draws) -> tuple[GroupBands, ...]:
    """Work out the bands of every emptying in every kind of attitude, with the cautious dip.

    Parameters
    ----------
    table : LimitTable
        Limits on nominal values.
    draws : Draws
        Joint draws of the same system; the first ``GROUP_DRAWS`` are used.

    Returns
    -------
    tuple of GroupBands
        By emptying and kind, wings level nose-down apart from level and up.
    """
    drawn = DrawnTrials(table.trials, draws.take(np.arange(min(GROUP_DRAWS, draws.count))))
    rows, attitudes = table.rows, table.attitudes
    kinds, names = np.array(attitudes.kind), [tank.name for tank in table.assembly.system.tanks]
    down = (attitudes.pitch < 0.0) & (kinds == LEVEL)
    cautious = rows.times == DIP_CAUTIOUS
    found = []
    for number, way in enumerate(table.ways):
        position = table.assembly.positions[way.position]
        for kind, is_down in dict.fromkeys(zip(attitudes.kind, down.tolist(), strict=True)):
            here = cautious & (rows.emptying == number)
            here &= ((kinds == kind) & (down == is_down))[rows.attitude]
            found.append(
                GroupBands(
                    selector=position.name,
                    tanks=tuple(names[tank] for tank in way.tanks),
                    dry=tuple(names[tank] for tank in way.dry),
                    judged=position.judged,
                    kind=kind,
                    down=is_down,
                    burn=_band(table, drawn, here & (rows.kind == BURN)),
                    required=_band(table, drawn, here & (rows.kind == REQUIRED)),
                )
            )
    return tuple(found)


def _band(table: LimitTable, drawn: DrawnTrials, chosen: BoolArray) -> QuantityBand:
    return band_of(limits_in_draws(table, drawn, chosen, DOUBT), np.nan)

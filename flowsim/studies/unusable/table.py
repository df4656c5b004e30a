"""Limits of many emptyings in many attitudes, and the largest of them for a question."""

import math
from collections.abc import Iterable

import numpy as np
import numpy.typing as npt

from flowsim.network.assembly import Assembly, selector_words
from flowsim.network.scenarios import END_NAMES
from flowsim.physics.air.dips import DIP_CAUTIOUS, DIP_EXPECTED
from flowsim.physics.arrays import BoolArray, FloatArray
from flowsim.progress import Progress
from flowsim.studies.judged.flight_attitudes import Attitudes
from flowsim.studies.judged.limit_search import TOLERANCE, Limits, find_limits
from flowsim.studies.saying import NOTHING, Said, saying
from flowsim.studies.unusable.result import AttitudeLimits, Extreme
from flowsim.studies.unusable.rows import (
    AIR,
    BURN,
    DOUBT,
    FLOW,
    REQUIRED,
    STOP,
    Emptying,
    Rows,
    Trials,
    build_rows,
)

LARGE_SHARE = 0.25
"""[-] A line that loses its flow with outlets covered, and with more of the capacity than this in
the tank, is too small: no placard mends it (common practice, no source). Tag: common practice."""


class LimitTable:
    """Rows with their limits (row, criterion) [m3], and questions to them.

    Parameters
    ----------
    assembly : Assembly
    attitudes : Attitudes
    ways : tuple of Emptying
    kinds : tuple of int
        Which demands are asked.
    progress : callable, optional
    """

    def __init__(
        self,
        assembly: Assembly,
        attitudes: Attitudes,
        ways: tuple[Emptying, ...],
        kinds: tuple[int, ...] = (REQUIRED, BURN, STOP),
        progress: Progress | None = None,
    ) -> None:
        self.assembly, self.attitudes, self.ways = assembly, attitudes, ways
        self.rows: Rows = build_rows(assembly, attitudes, ways, kinds)
        self.trials = Trials(assembly, attitudes, ways, self.rows)
        self.kind_of_attitude = np.array(attitudes.kind)
        self.judged = np.array([assembly.positions[way.position].judged for way in ways])
        self.limit = np.full((self.rows.count, 3), np.nan)
        for number, kinds in enumerate(((REQUIRED, BURN), (STOP,))):
            if progress is not None:
                progress("emptying tanks", number, 2)
            self._fill(np.flatnonzero(np.isin(self.rows.kind, kinds)), stop=kinds == (STOP,))

    def _fill(self, chosen: npt.NDArray[np.intp], *, stop: bool) -> None:
        if not len(chosen):
            return
        trials = self.trials
        law = trials.any_flow if stop else trials.at_demand
        low, high = trials.range()
        found: Limits = find_limits(
            lambda rows, quantity: law(chosen[rows], quantity),
            low[chosen],
            high[chosen],
            trials.jumps()[chosen],
            1 if stop else 3,
        )
        self.limit[chosen, : found.quantity.shape[1]] = found.quantity

    def choose(
        self,
        tank: int,
        kind: int,
        groups: Iterable[str],
        *,
        times: float = DIP_EXPECTED,
        upward: bool = False,
    ) -> BoolArray:
        """Rows in judged positions that empty a tank, of some demand, attitudes and dip."""
        rows = self.rows
        empties = np.array([tank in way.tanks for way in self.ways]) & self.judged
        chosen: BoolArray = empties[rows.emptying] & (rows.kind == kind)
        chosen &= (rows.times == times) | (kind == STOP)
        chosen &= np.isin(self.kind_of_attitude[rows.attitude], list(groups))
        if upward:
            level = self.assembly.system.flight.level_pitch - 1e-12
            chosen &= self.attitudes.pitch[rows.attitude] >= level
        return chosen

    def extreme(self, chosen: BoolArray, *criteria: int) -> Extreme:
        """Find the largest limit of some rows and criteria."""
        rows = np.flatnonzero(chosen)
        if not len(rows):
            return Extreme(quantity=math.nan)
        values = self.limit[np.ix_(rows, np.array(criteria))]
        place = int(np.argmax(values))
        row, column = int(rows[place // len(criteria)]), place % len(criteria)
        way = self.ways[int(self.rows.emptying[row])]
        attitude = int(self.rows.attitude[row])
        return Extreme(
            quantity=float(values.ravel()[place]),
            reason="flow" if criteria[column] == FLOW else "air",
            selector=self.assembly.positions[way.position].name,
            together=len(way.tanks) > 1,
            dry=tuple(self.assembly.system.tanks[tank].name for tank in way.dry),
            kind=self.attitudes.kind[attitude],
            pitch=float(self.attitudes.pitch[attitude]),
            lean=float(self.attitudes.lean[attitude]),
            temperature=float(self.rows.temperature[row]),
            end=END_NAMES[int(self.rows.end[row])],
            times=float(self.rows.times[row]),
        )

    def line_too_small(self, chosen: BoolArray, capacity: float) -> bool:
        """Tell whether some rows lose their flow while outlets that feed stay covered.

        From ``LARGE_SHARE`` of the capacity up, and not where an outlet uncovers: there the depth
        of fuel in the tank makes up for what the line costs.
        """
        rows = np.flatnonzero(chosen)
        if not len(rows):
            return False
        limit = self.limit[rows, FLOW]
        jumps = self.trials.jumps()[rows]
        with np.errstate(invalid="ignore"):
            at_jump = (np.abs(jumps - limit[:, None]) <= 2.0 * TOLERANCE).any(axis=1)
            wet_when_full = (jumps < capacity - TOLERANCE).any(axis=1)
        large = (limit > LARGE_SHARE * capacity) & wet_when_full
        return bool((large & ~at_jump).any())

    def unsolved(self, chosen: BoolArray) -> Said:
        """Say where a solve failed among some rows; empty where none did."""
        rows = np.flatnonzero(self.trials.failed & chosen)
        if not len(rows):
            return NOTHING
        row = int(rows[0])
        place = self.assembly.positions[self.ways[int(self.rows.emptying[row])].position].name
        attitude = int(self.rows.attitude[row])
        more = saying("unusable.more", rows=len(rows) - 1) if len(rows) > 1 else None
        return saying(
            "unusable.pitch_deg",
            selector=selector_words(place),
            pitch=self.attitudes.pitch[attitude],
            kind=self.attitudes.kind[attitude],
            more=more,
        )

    def attitude_limits(self) -> Iterable[AttitudeLimits]:
        """Give the limits of every emptying in every attitude."""
        rows, names = self.rows, [tank.name for tank in self.assembly.system.tanks]
        size = (len(self.ways), self.attitudes.count)
        cautious = rows.times == DIP_CAUTIOUS
        worst = np.full((2, 3, *size, 3), -np.inf)
        for kind in (REQUIRED, BURN, STOP):
            for which in (0, 1):
                mine = np.flatnonzero((rows.kind == kind) & (cautious == bool(which)))
                at = (rows.emptying[mine], rows.attitude[mine])
                np.maximum.at(worst[which, kind], at, self.limit[mine])
        worst = np.where(np.isneginf(worst), np.nan, worst)
        for number, way in enumerate(self.ways):
            position = self.assembly.positions[way.position]
            for attitude in range(self.attitudes.count):
                here: FloatArray = worst[0, :, number, attitude]
                safe: FloatArray = worst[1, :, number, attitude, :DOUBT].max(axis=-1)
                yield AttitudeLimits(
                    selector=position.name,
                    tanks=tuple(names[tank] for tank in way.tanks),
                    dry=tuple(names[tank] for tank in way.dry),
                    judged=position.judged,
                    kind=self.attitudes.kind[attitude],
                    pitch=float(self.attitudes.pitch[attitude]),
                    lean=float(self.attitudes.lean[attitude]),
                    stops=float(here[STOP, 0]),
                    burn_flow=float(here[BURN, FLOW]),
                    burn_air=float(here[BURN, AIR]),
                    required_flow=float(here[REQUIRED, FLOW]),
                    required_air=float(here[REQUIRED, AIR]),
                    burn_cautious=float(safe[BURN]),
                    required_cautious=float(safe[REQUIRED]),
                )

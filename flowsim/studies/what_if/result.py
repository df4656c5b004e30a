"""What is asked of a what-if, and what comes of it."""

from dataclasses import dataclass
from typing import Literal, get_args

from flowsim.studies.result import ScenarioResult, Verdict
from flowsim.studies.saying import Said

WhatIfKind = Literal[
    "dirty-screens",
    "blocked-vent",
    "meter-blocked",
    "tank-empty",
    "hot-fuel",
    "cold-fuel",
    "altitude",
    "part",
]
KINDS: tuple[str, ...] = get_args(WhatIfKind)


@dataclass(frozen=True, slots=True, kw_only=True)
class WhatIf:
    """One what-if.

    ``word`` is how it was asked for. ``target`` names a tank (tank-empty), a vent group
    (blocked-vent) or a part (part), empty for every one there is. ``value`` is the clear fraction
    [-], temperature [K], altitude [m] or loss factor [-]; None for the usual one. ``coefficient``
    says whether a part's value is "k" or "kv" [m3/h].
    """

    word: str
    kind: WhatIfKind
    target: str = ""
    value: float | None = None
    coefficient: Literal["k", "kv"] = "k"


@dataclass(frozen=True, slots=True, kw_only=True)
class WhatIfCell:
    """One result line in one what-if: least ratio [-], nominal and 5th percentile, and verdict."""

    line: Said
    verdict: Verdict
    least: float
    least_low: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class WhatIfRow:
    """One what-if judged: what was changed, in words; cells by result line; what decides.

    ``verdict`` None where it does not apply or could not be worked out, then ``note`` says why.
    ``verdict_words`` is the verdict as it is said, empty without one.
    """

    word: str
    words: Said
    verdict: Verdict | None
    verdict_words: str
    cells: tuple[WhatIfCell, ...]
    deciding: ScenarioResult | None
    reasons: tuple[Said, ...]
    note: Said


@dataclass(frozen=True, slots=True, kw_only=True)
class WhatIfResult:
    """The matrix: rows are what-ifs, the first the case as stated; columns are result lines."""

    title: str
    columns: tuple[Said, ...]
    rows: tuple[WhatIfRow, ...]
    draws: int
    seed: int
    assumptions: tuple[Said, ...]
    cautions: tuple[Said, ...]

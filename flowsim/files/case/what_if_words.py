"""What-ifs as they are written, in the case or on the command line: one word each."""

import re

from flowsim.errors import FlowsimError
from flowsim.files.units.kinds import ALTITUDE, TEMPERATURE
from flowsim.files.units.plausible import (
    LARGEST_FLOW_COEFFICIENT,
    LARGEST_LOSS_FACTOR,
    LEAST_FLOW_COEFFICIENT,
    LEAST_SHARE,
)
from flowsim.files.units.quantities import QuantityError, parse_quantity, shown
from flowsim.physics.losses.fitting_catalogue import cv_to_kv
from flowsim.studies.what_if.result import KINDS, WhatIf, WhatIfKind

_LOSS = re.compile(r"(?:(k|kv|cv)\s+)?([0-9]*\.?[0-9]+(?:[eE][+-]?[0-9]+)?)", re.IGNORECASE)
_WORDS: dict[str, WhatIfKind] = {kind: kind for kind in KINDS if kind != "part"}  # type: ignore[misc]

HELP = (
    "dirty-screens[=SHARE CLEAR], blocked-vent[=GROUP], meter-blocked, tank-empty[=TANK], "
    "hot-fuel[=T], cold-fuel[=T], altitude[=H], or PART=K (PART=cv N, PART=kv N)"
)


class WhatIfError(FlowsimError):
    """A what-if cannot be read; the words say what to write."""

    exit_code = 4


def parse_what_if(text: str) -> WhatIf:
    """Read one what-if.

    Parameters
    ----------
    text : str
        Such as ``dirty-screens``, ``dirty-screens=0.05``, ``tank-empty=left``,
        ``hot-fuel=45 degC``, ``altitude=10000 ft``, ``bowl=2.5`` or ``bowl=kv 0.4``.

    Returns
    -------
    WhatIf

    Raises
    ------
    WhatIfError
        Anything else.
    """
    word, equals, rest = text.strip().partition("=")
    word, rest = word.strip(), rest.strip()
    kind = _WORDS.get(word)
    if kind is None:
        return _part(text, word, rest)
    if not equals:
        return WhatIf(word=kind, kind=kind)
    if kind in ("blocked-vent", "tank-empty"):
        if not rest:
            raise WhatIfError(f"{shown(text)}: the name is missing; write {kind} or {kind}=NAME")
        return WhatIf(word=f"{kind}={rest}", kind=kind, target=rest)
    if kind == "meter-blocked":
        raise WhatIfError(f"{shown(text)}: takes no value; write meter-blocked")
    return WhatIf(word=f"{kind}={rest}", kind=kind, value=_value(text, kind, rest))


def _value(text: str, kind: WhatIfKind, rest: str) -> float:
    """Read the value of a what-if [SI]."""
    if kind == "dirty-screens":
        try:
            share = float(rest)
        except ValueError:
            share = -1.0
        if not LEAST_SHARE <= share <= 1.0:
            raise WhatIfError(
                f"{shown(text)}: is no plausible clear fraction; write one from {LEAST_SHARE:g} to "
                "1, for example dirty-screens=0.1"
            )
        return share
    wanted = ALTITUDE if kind == "altitude" else TEMPERATURE
    try:
        return parse_quantity(rest, wanted).value
    except QuantityError as error:
        raise WhatIfError(f"{shown(text)}: {error}") from error


def _part(text: str, word: str, rest: str) -> WhatIf:
    """Read the loss of a part in another part's place."""
    match = _LOSS.fullmatch(rest)
    if not word or match is None or not float(match[2]) > 0.0:
        raise WhatIfError(f"{shown(text)}: is no what-if; write {HELP}")
    how, value = (match[1] or "k").lower(), float(match[2])
    low, high = (
        (0.0, LARGEST_LOSS_FACTOR) if how == "k"
        else (LEAST_FLOW_COEFFICIENT, LARGEST_FLOW_COEFFICIENT)
    )  # fmt: skip
    if not low <= value <= high:
        raise WhatIfError(
            f"{shown(text)}: {value:g} is not a plausible {how}; write one from {low:g} to {high:g}"
        )
    if how == "cv":
        value = cv_to_kv(value)
    coefficient = "k" if how == "k" else "kv"
    return WhatIf(
        word=f"{word}={rest}",
        kind="part",
        target=word,
        value=value,
        coefficient="k" if coefficient == "k" else "kv",
    )

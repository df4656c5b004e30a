"""Formulas written in symbols, worked out with numbers: each line as one does it by hand.

A line is "words SYMBOL = formula | unit and words": the formula in x, /, ^, blanks for a product,
brackets, sqrt( ), pi and numbers. Its value is known by its symbol in the lines behind it. A line
without "=" is said as it is, with {SYMBOL} filled in. Nothing of the solver is used.
"""

import math
import re
from collections.abc import Mapping, Sequence

from flowsim.measures import digits

_TOKEN = re.compile(r" x |[A-Za-z][A-Za-z0-9]*|\d+(?:\.\d+)?|[-+/^() ]")
_NAMED = re.compile(r"\{(\w+)\}")


def worked_out(lines: Sequence[str], values: Mapping[str, float]) -> tuple[tuple[str, ...], float]:
    """Put numbers into formulas, one after the other.

    Parameters
    ----------
    lines : sequence of str
        As the module says.
    values : mapping of str to float
        Value of every symbol that no line gives, SI.

    Returns
    -------
    tuple of (tuple of str, float)
        The lines with their numbers, and the value of the last formula (NaN without one).

    Raises
    ------
    KeyError
        A symbol has no value.
    ValueError
        A formula cannot be read.
    """
    known, made, last = dict(values), [], math.nan
    for line in lines:
        if " = " not in line:
            made.append(_NAMED.sub(lambda found: digits(known[found.group(1)]), line))
            continue
        formula, _, behind = line.partition(" | ")
        left, right = formula.split(" = ")
        last, text = _Reader(right, known).whole()
        known[left.split()[-1]] = last
        behind = _NAMED.sub(lambda found: digits(known[found.group(1)]), behind)
        made.append(f"{formula} = {text} = {digits(last)}{behind and f' {behind}'}")
    return tuple(made), last


class _Reader:
    """Reads one formula from left to right; gives its value and the same with numbers put in."""

    def __init__(self, text: str, known: Mapping[str, float]) -> None:
        self.tokens, self.known, self.at = _TOKEN.findall(text), known, 0
        if "".join(self.tokens) != text:
            raise ValueError(f"formula {text!r} cannot be read")

    def whole(self) -> tuple[float, str]:
        value, text = self._sum()
        if self.at != len(self.tokens):
            raise ValueError(f"formula {''.join(self.tokens)!r} cannot be read to its end")
        return value, text

    def _next(self, *wanted: str) -> str | None:
        """Take the tokens if they come next (a sign stands between blanks)."""
        if tuple(self.tokens[self.at : self.at + len(wanted)]) != wanted:
            return None
        self.at += len(wanted)
        return "".join(wanted)

    def _sum(self) -> tuple[float, str]:
        value, text = self._product()
        while sign := self._next(" ", "+", " ") or self._next(" ", "-", " "):
            more, words = self._product()
            value, text = value + (more if "+" in sign else -more), f"{text}{sign}{words}"
        return value, text

    def _product(self) -> tuple[float, str]:
        value, text = self._power()
        while True:
            if self._next("/"):
                more, words = self._power()
                value, text = value / more, f"{text}/{words}"
            elif self._next(" x ") or (not self._sign_follows() and self._next(" ")):
                more, words = self._power()
                value, text = value * more, f"{text} x {words}"
            else:
                return value, text

    def _sign_follows(self) -> bool:
        return tuple(self.tokens[self.at + 1 : self.at + 2]) in (("+",), ("-",))

    def _power(self) -> tuple[float, str]:
        value, text = self._single()
        if self._next("^"):
            power, words = self._single()
            return value**power, f"{text}^{words}"
        return value, text

    def _single(self) -> tuple[float, str]:
        if self.at == len(self.tokens):
            raise ValueError(f"formula {''.join(self.tokens)!r} breaks off")
        token = self.tokens[self.at]
        self.at += 1
        if token in ("(", "sqrt"):
            if token == "sqrt" and not self._next("("):
                raise ValueError("sqrt without a bracket")
            value, text = self._sum()
            if not self._next(")"):
                raise ValueError("a bracket is not closed")
            return (math.sqrt(value), f"sqrt({text})") if token == "sqrt" else (value, f"({text})")
        if token == "pi":
            return math.pi, token
        if token[0].isdigit():
            return float(token), token
        if not token[0].isalpha():
            raise ValueError(f"{token!r} stands where a number or a symbol should")
        return self.known[token], digits(self.known[token])

"""A text laid out for cutting: its spans, its data, and what stands on which lines."""

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from flowsim.errors import FlowsimError
from flowsim.files.toml.spans import KeyPath, Spans, TableHeading, TextSpan

TextCut = tuple[int, int, str]
"""Begin, end, and what stands there instead."""

_REMARKS = re.compile(r"#[^\n]*")


class EditError(FlowsimError):
    """An edit cannot be made; the words say why and what to do."""

    exit_code = 4


@dataclass(frozen=True, slots=True)
class TextSheet:
    """A text with its spans and data, and the usual order of the keys of each table."""

    text: str
    spans: Spans
    data: Any
    order: Callable[[KeyPath], Sequence[str]]

    def is_inline(self, path: KeyPath) -> bool:
        """Tell whether the table or list at a path is written as a value."""
        return path in self.spans.values

    def headings(self, path: KeyPath) -> list[TableHeading]:
        """Give the headings of the section at a path and of everything in it."""
        size = len(path)
        return [h for h in self.spans.headings[1:] if h.path[:size] == path]

    def line(self, start: int, end: int) -> TextSpan:
        """Give the whole lines that a piece of text stands on, with the last line end."""
        stop = self.text.find("\n", end)
        begin = self.text.rfind("\n", 0, start) + 1
        if begin == 0 and self.text.startswith("\ufeff"):
            begin = 1
        return begin, len(self.text) if stop < 0 else stop + 1

    def owns_its_lines(self, span: TextSpan) -> bool:
        """Tell whether nothing but blanks, a comma and a remark stand on a piece's lines."""
        begin, stop = self.line(*span)
        before = self.text[begin : span[0]]
        after = _REMARKS.sub("", self.text[span[1] : stop])
        return not before.strip() and not after.strip().strip(",").strip()


def named(path: KeyPath) -> str:
    """Give a path in words for messages."""
    return ".".join(str(step + 1) if isinstance(step, int) else step for step in path) or "the top"


def line_end(text: str) -> str:
    """Give the line end that a text uses first."""
    first = text.find("\n")
    return "\r\n" if first > 0 and text[first - 1] == "\r" else "\n"

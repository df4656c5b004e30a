"""The page ``docs/reference/python.md``, made from the public face's own docstrings.

    python -m tests.support.reference_page

writes it; a test holds the two together.
"""

import inspect
import re
from dataclasses import fields, is_dataclass
from enum import Enum
from pathlib import Path

import flowsim

PAGE = Path(__file__).parents[2] / "docs" / "reference" / "python.md"

_HEAD = """# flowsim as a library

Made from the docstrings by `python -m tests.support.reference_page`. Everything is in SI units; the
units stand in brackets. What comes out is an estimate, not an approval; the ground test decides.

"""


def reference_page() -> str:
    """Give the page."""
    first = inspect.cleandoc(flowsim.__doc__ or "")
    blocks = [_HEAD + _example(first)]
    blocks += [_entry(name, getattr(flowsim, name)) for name in flowsim.__all__]
    return "\n".join(blocks)


def _example(text: str) -> str:
    lines = [line for line in text.splitlines() if line.startswith((">>>", "True"))]
    return "```python\n" + "\n".join(lines) + "\n```\n"


def _entry(name: str, thing: object) -> str:
    text = inspect.cleandoc(inspect.getdoc(thing) or "")
    head = f"## {name}\n"
    if inspect.isfunction(thing):
        head = f"## {name}\n\n```python\n{name}{inspect.signature(thing)}\n```\n"
    elif isinstance(thing, type) and issubclass(thing, Enum):
        members = "\n".join(f"- `{member.name}`: {member.value}" for member in thing)
        text = f"{text}\n\n{members}"
    elif is_dataclass(thing):
        listed = "\n".join(f"- `{item.name}`: `{_type(item.type)}`" for item in fields(thing))
        text = f"{text}\n\n{listed}"
    return f"{head}\n{_indented(text)}\n"


def _type(kind: object) -> str:
    return kind.__name__ if isinstance(kind, type) else re.sub(r"flowsim\.[\w.]+\.", "", str(kind))


def _indented(text: str) -> str:
    """Keep numpydoc's sections readable: underlined headings become bold words."""
    lines = text.splitlines()
    shown = []
    for number, line in enumerate(lines):
        below = lines[number + 1] if number + 1 < len(lines) else ""
        if below and set(below) == {"-"} and line:
            shown.append(f"**{line}**")
        elif line and set(line) == {"-"}:
            shown.append("")
        else:
            shown.append(line.replace("``", "`"))
    return "\n".join(shown)


def main() -> None:
    """Write the page."""
    PAGE.write_text(reference_page(), encoding="utf-8")


if __name__ == "__main__":
    main()

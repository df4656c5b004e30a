"""A file that a page or a module names is there: modules and tests move, and words stay behind."""

import itertools
import re
from pathlib import Path

ROOT = Path(__file__).parents[2]
NAMED = re.compile(r"`((?:flowsim|tests|docs|cases)/[\w/.*{},-]+)`|\"(flowsim/[\w/.-]+\.\w+)\"")
OLD = {"changelog.md"}
"""What has been is told there by the names of its time."""


def alternatives(path: str) -> list[str]:
    """Give each path of ``a/{b,c}/d``."""
    parts = re.split(r"\{([\w,-]+)\}", path)
    return ["".join(chosen) for chosen in itertools.product(*(part.split(",") for part in parts))]


def test_alternatives_are_told_apart():
    assert alternatives("a/{b,c}/d") == ["a/b/d", "a/c/d"]
    assert alternatives("a/b.md") == ["a/b.md"]


def test_every_file_that_is_named_is_there():
    pages = [*ROOT.glob("*.md"), *(ROOT / "docs").rglob("*.md"), *(ROOT / "cases").rglob("*.md")]
    modules = [*(ROOT / "flowsim").rglob("*.py"), *(ROOT / "tests").rglob("*.py")]
    missing = {
        f"{page.relative_to(ROOT)}: {one}"
        for page in [*pages, *modules]
        if page.name not in OLD and page != Path(__file__)
        for found in NAMED.findall(page.read_text(encoding="utf-8"))
        for one in alternatives("".join(found).rstrip("/"))
        if not any(ROOT.glob(one))
    }
    assert not missing, "\n".join(sorted(missing))

"""The page's own files: read once, with kinds that do not depend on the computer."""

from functools import cache
from importlib import resources

from flowsim.page.guards import Answer
from flowsim.reports.figures.looks import DARK, LIGHT, sheet, variables

KINDS = {
    "html": "text/html; charset=utf-8",
    "css": "text/css; charset=utf-8",
    "js": "text/javascript; charset=utf-8",
    "svg": "image/svg+xml",
}
"""Fixed: some computers' registries take scripts for plain text."""


def static_answer(path: str) -> Answer:
    """Give one of the page's own files, by its path on the page."""
    found = static_files().get(path)
    return Answer(404, b"nothing here") if found is None else Answer(200, found[1], found[0])


@cache
def static_files() -> dict[str, tuple[str, bytes]]:
    """Give the page's own files by their path on the page: kind and bytes."""
    files: dict[str, tuple[str, bytes]] = {}
    for item in resources.files("flowsim.page").joinpath("static").iterdir():
        kind = KINDS.get(item.name.rpartition(".")[2])
        if kind is None:
            continue
        content = item.read_bytes()
        if item.name == "page.css":
            content = (_pictures() + content.decode()).encode()
        files["/" if item.name == "page.html" else f"/{item.name}"] = (kind, content)
    return files


def _pictures() -> str:
    """Give the colours and classes of the report's pictures."""
    dark = f"@media screen and (prefers-color-scheme:dark){{:root{{{variables(DARK)}}}}}"
    return f":root{{{variables(LIGHT)}}}\n{dark}\n{sheet()}\n"

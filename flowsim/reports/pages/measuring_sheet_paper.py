"""The measuring sheet on paper: its blocks as plain data for the layout."""

from collections.abc import Sequence
from dataclasses import asdict
from typing import Any

import flowsim
from flowsim.document.blocks import block_object
from flowsim.reports.pages.measuring_sheet_cells import (
    Chapter,
    Form,
    Ruled,
    SheetDrawing,
    SheetPiece,
)
from flowsim.reports.pages.measuring_sheet_words import TITLE
from flowsim.reports.render.html import STANDING, cleaned
from flowsim.reports.render.pdf import FONT, MONO, PAPERS, Paper, typeset

SHORT = 50
"""Characters of a title that stand on top of every page."""


def measuring_sheet_pdf(
    pieces: Sequence[SheetPiece], title: str, file: str, paper: Paper, date: str
) -> bytes:
    """Give the sheet as a PDF.

    Parameters
    ----------
    pieces : sequence of SheetPiece
        The sheet.
    title, file : str
        Of the case; empty for an empty sheet.
    paper : {"a4", "letter"}
    date : str
        Such as 2026-01-31.

    Returns
    -------
    bytes

    Raises
    ------
    OutputError
        When the optional part that makes PDFs is missing (says what to install), or it fails.
    """
    content = {
        "title": TITLE,
        "about": title,
        "short": f"{TITLE} · {title[:SHORT]}" if title else TITLE,
        "file": file,
        "meta": f"{date} · flowsim {flowsim.__version__}",
        "standing": STANDING,
        "fonts": [FONT, MONO],
        "paper": PAPERS[paper],
        "blocks": [_plain(piece) for piece in pieces],
    }
    made: dict[str, Any] = cleaned(content)
    return typeset("measuring-sheet.typ", made, date)


def _plain(piece: SheetPiece) -> dict[str, Any]:
    """Give one piece as plain data."""
    if isinstance(piece, Form):
        return {
            "type": "form",
            "caption": piece.caption,
            "columns": [{"name": name, "width": width} for name, width in piece.columns],
            "rows": [[asdict(cell) for cell in row] for row in piece.rows],
        }
    if isinstance(piece, SheetDrawing):
        return {"type": "drawing", "svg": piece.svg.replace("\n", " "), "alt": piece.alt}
    if isinstance(piece, Chapter):
        return {"type": "chapter", "text": piece.title, "fresh": piece.fresh}
    if isinstance(piece, Ruled):
        return {"type": "ruled"}
    return block_object(piece)

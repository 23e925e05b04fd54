"""The quote as a PDF: one or two pages, tagged, the same bytes for the same view."""

from __future__ import annotations

import json
import re
from dataclasses import asdict
from datetime import UTC, datetime
from functools import cache
from pathlib import Path
from threading import Lock
from typing import TYPE_CHECKING, Any

from app.documents.chart import chart_svg
from app.views.customer_words import LABELS

if TYPE_CHECKING:
    from app.views.customer import CustomerView

HERE = Path(__file__).parent
FONT = "Noto Sans"
PAGES = 2

# Type is made smaller only where a quote would not fit on two pages otherwise.
SIZES_PT = (10.0, 9.0, 8.0)

_compiling = Lock()


def quote_pdf(view: CustomerView) -> bytes:
    """Write the quote as a PDF.

    Parameters
    ----------
    view
        The customer's view. It reaches the typesetter as JSON, never as markup.

    Returns
    -------
    A tagged PDF on US letter paper.

    Notes
    -----
    The type is 10 pt and falls to 9 and 8 pt where a quote is too long for two pages;
    past that it runs on to a third. Fonts are the packaged ones only, so a quote looks
    the same everywhere; a letter in none of them is drawn as an empty box.
    """
    data = _data(view)
    made = datetime.fromisoformat(view.heading.day_iso).replace(tzinfo=UTC)
    document = b""
    for size in SIZES_PT:
        document = _compile(data, size, int(made.timestamp()))
        if page_count(document) <= PAGES:
            break
    return document


def page_count(document: bytes) -> int:
    """Count the pages of a PDF made here.

    Parameters
    ----------
    document
        The PDF, with its page tree uncompressed as the typesetter writes it.

    Returns
    -------
    The number of pages.
    """
    counts = re.findall(rb"/Type\s*/Pages\s*/Count (\d+)", document)
    return max((int(count) for count in counts), default=0)


def _data(view: CustomerView) -> str:
    data: dict[str, Any] = asdict(view)
    data["labels"] = LABELS
    data["chart_svg"] = chart_svg(view.chart, FONT) if view.chart else None
    return json.dumps(data, ensure_ascii=True)


@cache
def _compiler() -> Any:
    """Make the typesetter once a process; importing it late keeps the command line quick."""
    import typst  # noqa: PLC0415

    return typst.Compiler(
        root=str(HERE), font_paths=[str(HERE / "fonts")], ignore_system_fonts=True
    )


def _compile(data: str, size_pt: float, made: int) -> bytes:
    with _compiling:  # one compiler serves every thread
        document: bytes = _compiler().compile(
            input=str(HERE / "quote.typ"),
            sys_inputs={"view": data, "size": str(size_pt)},
            format="pdf",
            timestamp=made,
            pdf_standards=["ua-1"],
        )
    return document

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
from app.documents.glyphs import drawable
from app.documents.printable import printable
from app.documents.qr import qr_svg
from app.formatting import Formats
from estimator.errors import Trouble

if TYPE_CHECKING:
    from app.documents.logo import Logo
    from app.views.customer import CustomerView

HERE = Path(__file__).parent
FONT = "Noto Sans"
PAGES = 2

# Type is made smaller only where a quote would not fit on two pages otherwise. Trying a
# size takes a whole typesetting, so a long quote starts at a smaller one: size [pt], and
# the longest view [characters of JSON] that was seen to fit at it.
SIZES_PT = (
    (10.0, 13_450),
    (9.75, 14_450),
    (9.5, 14_650),
    (9.25, 15_400),
    (9.0, 15_700),
    (8.75, 16_500),
    (8.5, 17_500),
    (8.25, 18_500),
    (8.0, 10_000_000),
)

_compiling = Lock()


def quote_pdf(view: CustomerView, logo: Logo | None = None) -> bytes:
    """Write the quote as a PDF.

    Parameters
    ----------
    view
        The customer's view. It reaches the typesetter as JSON, never as markup.
    logo
        The shop's logo, checked by `read_logo`.

    Returns
    -------
    A tagged PDF on US letter paper.

    Notes
    -----
    The type is 10 pt and falls as far as 8 pt where a quote is too long for two pages;
    past that it runs on to a third. Fonts are the packaged ones only, so a quote looks
    the same everywhere; a letter in none of them is written as its number in brackets. Every
    quote claims PDF/UA (ISO 14289-1) but one that the typesetter will not call so.

    Raises
    ------
    Trouble
        If the typesetter refuses the quote.
    """
    shown = _shown(view)
    length = len(json.dumps(shown, ensure_ascii=False))
    data = _with_pictures(shown, view, logo)
    made = datetime.fromisoformat(view.heading.day_iso).replace(tzinfo=UTC)
    document = b""
    for size in [size for size, most in SIZES_PT if length <= most]:
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


def _shown(view: CustomerView) -> dict[str, Any]:
    """Return the view as plain values, with every text fit to be printed."""
    # What opens a number is for the page, where it can be opened.
    printed = {key: value for key, value in asdict(view).items() if key != "grounds"}
    shown: dict[str, Any] = printable(printed, drawable)
    return shown


def _with_pictures(shown: dict[str, Any], view: CustomerView, logo: Logo | None) -> str:
    formats = Formats(view.language, view.units)
    pictures = {
        "chart_svg": chart_svg(view.chart, FONT, formats) if view.chart else None,
        "qr_svg": qr_svg(view.customer_link) if view.customer_link else None,
        "logo": logo.for_typesetter() if logo else None,
    }
    return json.dumps(shown | pictures, ensure_ascii=True)


@cache
def _compiler() -> Any:
    """Make the typesetter once a process; importing it late keeps the command line quick."""
    import typst  # noqa: PLC0415

    return typst.Compiler(
        root=str(HERE), font_paths=[str(HERE / "fonts")], ignore_system_fonts=True
    )


def _compile(data: str, size_pt: float, made: int) -> bytes:
    """Compile as PDF/UA, or without its name where a letter has no font."""
    import typst  # noqa: PLC0415

    refusal = ""
    for standards in (["ua-1"], []):
        try:
            with _compiling:  # one compiler serves every thread
                document: bytes = _compiler().compile(
                    input=str(HERE / "quote.typ"),
                    sys_inputs={"view": data, "size": str(size_pt)},
                    format="pdf",
                    timestamp=made,
                    pdf_standards=standards,
                )
        except (typst.TypstError, RuntimeError) as refused:
            refusal = str(refused)
        else:
            return document
    raise Trouble(
        f"The quote could not be written as a PDF: {refusal[:200]}",
        mend="Look for odd characters in the names and notes of the visit and try again.",
    )

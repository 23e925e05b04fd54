"""The QR code read as a phone reads it: from the page as it is printed, by a decoder."""

from __future__ import annotations

import shutil
import subprocess
from datetime import date
from typing import TYPE_CHECKING

import pytest
import zxingcpp
from PIL import Image

from app.documents.pdf import quote_pdf
from app.links import new_token
from app.views.customer import build_customer_view
from app.views.customer_state import Issued
from tests.app import estimates

if TYPE_CHECKING:
    from pathlib import Path

PDFTOPPM = shutil.which("pdftoppm")
ISSUED = Issued("2026-000042", 1, date(2026, 3, 5), date(2026, 4, 4))


def codes_in(document: bytes, folder: Path, dots_per_inch: int, *, gray: bool) -> list[str]:
    if PDFTOPPM is None:
        pytest.skip("pdftoppm (poppler-utils) draws the page that is read; it is not installed")
    (folder / "quote.pdf").write_bytes(document)
    how = ["-gray"] if gray else []
    subprocess.run(
        [PDFTOPPM, "-r", str(dots_per_inch), *how, "-png", "quote.pdf", "page"],
        cwd=folder,
        check=True,
    )
    pages = sorted(folder.glob("page*.png"))
    assert pages
    return [
        found.text
        for page in pages
        for found in zxingcpp.read_barcodes(Image.open(page), formats=zxingcpp.BarcodeFormat.QRCode)
    ]


@pytest.mark.parametrize(("dots_per_inch", "gray"), [(100, False), (150, True)])
@pytest.mark.parametrize("host", ["http://192.168.1.20:8501", "https://quotes.example.test"])
def test_the_code_on_the_printed_page_opens_the_customers_link(
    tmp_path: Path, host: str, dots_per_inch: int, gray: bool
) -> None:
    link = f"{host}/?link={new_token(tmp_path)}"
    visit, shop, terms = estimates.visit(), estimates.SHOP, estimates.TERMS
    view = build_customer_view(visit, estimates.estimate(), shop, terms, ISSUED, customer_link=link)
    assert codes_in(quote_pdf(view), tmp_path, dots_per_inch, gray=gray) == [link]


def test_a_page_without_a_link_holds_no_code(tmp_path: Path) -> None:
    view = build_customer_view(
        estimates.visit(), estimates.estimate(), estimates.SHOP, estimates.TERMS, ISSUED
    )
    assert codes_in(quote_pdf(view), tmp_path, 100, gray=False) == []

"""The written quotes of the demo visits: real estimates, from the catalog to the page."""

from __future__ import annotations

import io
import tomllib
from collections import Counter
from datetime import date
from typing import TYPE_CHECKING

import pypdf
import pytest

from app import formatting
from app.documents.pdf import quote_pdf
from app.views.customer import CustomerView, build_customer_view
from app.views.customer_state import Issued
from app.visiting import PricedVisit, price_visit, visit_from
from app.wiring import DEMO_DATA, set_up_shop
from estimator.verdict import VerdictKind
from tests.acting import TESTER

if TYPE_CHECKING:
    from collections.abc import Iterator

    from app.shop import Shop

VISITS = sorted((DEMO_DATA / "visits").glob("*.toml"))


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Shop]:
    opened = set_up_shop(
        tmp_path_factory.mktemp("shop"),
        DEMO_DATA / "catalog",
        DEMO_DATA / "rates.toml",
        date(2020, 1, 1),
        "owner",
    )
    yield opened
    opened.close()


def priced(shop: Shop, path: object) -> PricedVisit:
    text = path.read_text(encoding="utf-8")  # type: ignore[attr-defined]
    return price_visit(shop, TESTER, visit_from(tomllib.loads(text), str(path)))


def view_of(found: PricedVisit, language: str = "en") -> CustomerView:
    sheet = found.rate_sheet.sheet
    issued = Issued("Q-0001", 1, date(2026, 3, 5), date(2026, 4, 4))
    return build_customer_view(
        found.visit, found.estimate, sheet.shop, sheet.quote, issued, language=language,
        incentives=found.supply.incentives,
    )  # fmt: skip


@pytest.mark.parametrize("path", VISITS, ids=lambda path: path.stem)
def test_a_demo_quote_takes_two_pages_and_says_its_totals_and_no_cost(
    shop: Shop, path: object
) -> None:
    found = priced(shop, path)
    view = view_of(found)
    document = quote_pdf(view)
    pages = pypdf.PdfReader(io.BytesIO(document)).pages
    text = " ".join(" ".join(page.extract_text() for page in pages).split())
    assert len(pages) <= 2
    assert b"pdfuaid" in document
    for side in (view.repair, view.replace):
        assert side.price_today is None or side.price_today in text
    owner = found.owner
    margins = [owner.repair_margin, *owner.replacement_margins.values()]
    assert not [m.cost for m in margins if m.cost > 0 and formatting.money(m.cost) in text]
    assert "margin" not in text.lower()


@pytest.mark.parametrize("path", VISITS, ids=lambda path: path.stem)
def test_the_headline_of_a_demo_quote_goes_with_its_verdict(shop: Shop, path: object) -> None:
    found = priced(shop, path)
    view, verdict = view_of(found), found.estimate.verdict
    assert view.repair.open == (verdict.kind is not VerdictKind.CLOSED)
    if verdict.kind in (VerdictKind.REPAIR, VerdictKind.REPLACE) and view.replace.open:
        word = "Repairing" if verdict.kind is VerdictKind.REPAIR else "Replacing"
        assert view.verdict.headline == f"{word} is likely to cost you less"
        assert verdict.reasons[0].startswith(f"{word} is expected to cost")


@pytest.mark.parametrize("path", VISITS, ids=lambda path: path.stem)
def test_a_demo_quote_is_set_in_nine_points_or_more(shop: Shop, path: object) -> None:
    document = quote_pdf(view_of(priced(shop, path)))
    assert size_of_its_text(document) >= 9.0


@pytest.mark.parametrize("path", VISITS, ids=lambda path: path.stem)
def test_a_demo_quote_in_spanish_takes_two_pages(shop: Shop, path: object) -> None:
    view = view_of(priced(shop, path), language="es")
    document = quote_pdf(view)
    pages = pypdf.PdfReader(io.BytesIO(document)).pages
    text = " ".join(" ".join(page.extract_text() for page in pages).split())
    assert len(pages) <= 2
    assert size_of_its_text(document) >= 8.75
    assert pypdf.PdfReader(io.BytesIO(document)).trailer["/Root"]["/Lang"].startswith("es")
    assert "Cotización Q-0001" in text
    for side in (view.repair, view.replace):
        assert side.price_today is None or side.price_today in text


def size_of_its_text(document: bytes) -> float:
    """Return the size [pt] in which most letters of the first page are set."""
    letters: Counter[float] = Counter()

    def count(text: str, _cm: object, matrix: list[float], _font: object, size: float) -> None:
        letters[round(abs(matrix[3]) * size, 2)] += len(text.strip())

    pypdf.PdfReader(io.BytesIO(document)).pages[0].extract_text(visitor_text=count)
    return letters.most_common(1)[0][0]


def test_there_are_demo_visits_to_look_at() -> None:
    assert len(VISITS) >= 12

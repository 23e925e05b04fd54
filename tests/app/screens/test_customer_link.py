"""The customer's own page by his link, without a browser: every state, every answer."""

from __future__ import annotations

import io
import re
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING

import pypdf
import pytest

from app import answering, customer_links, customer_page, quoting, session, visiting, wiring
from app.documents.pdf import quote_pdf
from app.people.guard import customer
from app.views.customer_acceptance import hash_of
from tests.acting import TESTER
from tests.app.screens.reading import sound, text_of

if TYPE_CHECKING:
    from collections.abc import Callable

    from streamlit.testing.v1 import AppTest

    from app.ledger.records import IssuedQuote
    from app.shop import Shop

    Open = Callable[..., AppTest]

REPLACEMENT = "tank-40-ng-damper"


def issue(shop: Shop, *, days_ago: int = 0, revises: str | None = None) -> IssuedQuote:
    visit = visiting.visit_from(wiring.demo_visit("worn_element"), "the demo visit")
    at = datetime.now(UTC) - timedelta(days=days_ago)
    priced = visiting.price_visit(shop, TESTER, visit)
    return quoting.issue_quote(shop, priced, TESTER, at, revises=revises)


@pytest.fixture
def quote(shop: Shop) -> IssuedQuote:
    return issue(shop)


def by_link(shop: Shop, open_page: Open, quote: IssuedQuote, **address: str) -> AppTest:
    token = customer_links.make_link(shop, TESTER, quote, datetime.now(UTC))
    return open_page(None, link=token, **address)


def sign(page: AppTest, choice: str, name: str = "J. Sample") -> AppTest:
    page.radio[0].set_value(choice).run()
    page.text_input[0].set_value(name).run()
    return page.button(key=_key(page, "-sign")).click().run()


def _key(page: AppTest, end: str) -> str:
    return next(each.key for each in page.button if each.key and each.key.endswith(end))


def agreed_on(page: AppTest) -> str:
    """Return the text to be signed as it stands on the page."""
    body = next(b.proto.body for b in page.get("html") if 'class="agreed"' in b.proto.body)
    lines = re.search(r'class="agreed">(.*?)</p>', body, re.DOTALL)
    assert lines is not None
    return lines.group(1).replace("<br>", "\n").replace("&quot;", '"').replace("&amp;", "&")


def test_declining_keeps_the_very_text_on_the_page(
    shop: Shop, open_page: Open, quote: IssuedQuote
) -> None:
    page = by_link(shop, open_page, quote)
    sound(page)
    assert "Waiting for your answer" in text_of(page)
    assert page.radio[0].value is None
    page.radio[0].set_value("neither").run()
    shown = agreed_on(page)
    assert "I do not order any work now." in shown
    sign(page, "neither")
    sound(page)
    assert "This quote was declined" in text_of(page)
    assert not page.radio
    kept = answering.answer_to(shop, TESTER, quote)
    assert kept is not None
    assert (kept.choice, kept.typed_name, kept.via) == ("declined", "J. Sample", "link")
    assert kept.agreed_text == shown
    assert kept.text_hash == hash_of(shown)
    assert kept.text_hash in text_of(page)


def test_another_open_new_heater_is_chosen(shop: Shop, open_page: Open, quote: IssuedQuote) -> None:
    page = by_link(shop, open_page, quote)
    offered = set(answering.choices(quote))
    compared = next(key for key in page.radio[0].options if key.startswith("Replace"))
    assert len(page.radio[0].options) == len(offered) + 1  # and neither
    assert REPLACEMENT in offered
    assert "damper" not in compared
    sign(page, REPLACEMENT)
    sound(page)
    assert "What was agreed" in text_of(page)
    kept = answering.answer_to(shop, TESTER, quote)
    assert kept is not None
    assert kept.choice == REPLACEMENT
    assert "40 gal gas tank with flue damper" in kept.agreed_text


def test_a_lapsed_quote_is_read_and_not_answered(shop: Shop, open_page: Open) -> None:
    old = issue(shop, days_ago=45)
    page = by_link(shop, open_page, old)
    sound(page)
    text = text_of(page)
    assert "Lapsed" in text
    assert "no longer do. Ask us for a new quote." in text
    assert f"${old.repair_price:,.2f}" in text
    assert not page.radio
    assert "Ya no" not in text
    spanish = text_of(by_link(shop, open_page, old, lang="es"))
    assert "Vencida" in spanish


def test_a_revised_quote_is_read_again_and_leads_to_the_one_that_holds(
    shop: Shop, open_page: Open, quote: IssuedQuote
) -> None:
    issue(shop, revises=quote.number)
    page = by_link(shop, open_page, quote)
    sound(page)
    assert f"Quote {quote.number}, revision 2" in text_of(page)
    assert page.radio, "the last revision is open"
    page.button(key="revision-1").click().run()
    sound(page)
    text = text_of(page)
    assert "Revision 2 has taken the place of revision 1." in text
    assert f"${quote.repair_price:,.2f}" in text
    assert not page.radio
    assert f"Quote {quote.number}, revision 1" in text
    page.button(key="last-revision").click().run()
    assert page.radio
    page.button(key="revision-1").click().run()
    page.button(key="revision-2").click().run()
    assert page.radio
    sign(page, "repair")
    sound(page)
    assert "What was agreed" in text_of(page)


@pytest.mark.parametrize("asked", ["0", "7", "-1", "x", "9" * 40, "²"])
def test_a_revision_that_is_not_there_opens_the_last(
    shop: Shop, open_page: Open, quote: IssuedQuote, asked: str
) -> None:
    page = by_link(shop, open_page, quote, revision=asked)
    sound(page)
    assert page.radio


def test_what_goes_wrong_is_said_in_spanish_where_one_signs(
    shop: Shop, open_page: Open, quote: IssuedQuote
) -> None:
    page = by_link(shop, open_page, quote, lang="es")
    sign(page, "repair", name="  ")
    assert [each.value for each in page.error] == [
        "Falta el nombre. Escriba su nombre para firmar."
    ]
    page.text_input[0].set_value("J. Sample").run()
    assert not page.error
    # Meanwhile the shop revises it.
    issue(shop, revises=quote.number)
    page.button(key=_key(page, "-sign")).click().run()
    assert [each.value for each in page.error] == [
        f"La cotización {quote.number} fue revisada después; la revisión 1 ya no vale. "
        "Abra la última revisión."
    ]
    nothing = open_page(None, link="x", lang="es")
    assert [each.value for each in nothing.error] == [
        "Este enlace no abre nada. Pida uno nuevo a la empresa."
    ]


def test_what_nobody_foresaw_is_said_in_his_language_and_tells_nothing_of_the_shop(
    shop: Shop, open_page: Open, quote: IssuedQuote, monkeypatch: pytest.MonkeyPatch
) -> None:
    page = by_link(shop, open_page, quote, lang="es")

    def fails(*_given: object) -> None:
        raise OSError("/srv/secret/ledger.sqlite")

    monkeypatch.setattr(customer_page, "answer", fails)
    sign(page, "repair")
    [said] = [each.value for each in page.error]
    assert said.startswith("Esto no se pudo hacer ahora.")
    assert "secret" not in said


@pytest.mark.parametrize(
    ("asked", "browser", "spoken"),
    [(None, "es-MX", "es"), (None, "en-US", "en"), (None, "fr", "en"), (None, None, "en"),
     ("en", "es-US", "en"), ("es", "en-US", "es"), ("xx", "es", "en")],
)  # fmt: skip
def test_the_page_begins_in_the_language_of_the_browser(
    monkeypatch: pytest.MonkeyPatch, asked: str | None, browser: str | None, spoken: str
) -> None:
    class Page:
        query_params = {"lang": asked} if asked else {}
        context = type("Context", (), {"locale": browser})

    monkeypatch.setattr(session, "st", Page)
    assert session.language() == spoken


@pytest.mark.parametrize("units", ["us", "si"])
def test_the_pdf_from_the_customers_page_is_in_his_language_and_units(
    shop: Shop, quote: IssuedQuote, units: str
) -> None:
    view = customer_page.customers_view(
        shop, customer(quote.number), quote, quote.issued_at.date(), language="es", units=units
    )
    pages = pypdf.PdfReader(io.BytesIO(quote_pdf(view))).pages
    text = " ".join(" ".join(page.extract_text() for page in pages).split())
    assert f"Cotización {quote.number}" in text
    assert ("litros" in text) == (units == "si")
    assert ("galones" in text) == (units == "us")


def test_the_choice_and_the_name_stay_when_the_language_is_changed(
    shop: Shop, open_page: Open, quote: IssuedQuote
) -> None:
    page = by_link(shop, open_page, quote, lang="es")
    page.radio[0].set_value("repair").run()
    page.text_input[0].set_value("J. Sample").run()
    page.query_params["lang"] = "en"
    page.run()
    page.run()
    assert page.radio[0].value == "repair"
    assert page.text_input[0].value == "J. Sample"
    page.button(key=_key(page, "-sign")).click().run()
    sound(page)
    kept = answering.answer_to(shop, TESTER, quote)
    assert kept is not None
    assert kept.agreed_text.startswith(f"Quote {quote.number}, revision 1,")


def test_changing_a_quote_opens_its_visit_and_issues_the_next_revision(
    shop: Shop, open_page: Open, quote: IssuedQuote
) -> None:
    page = open_page(issued=quote.number)
    page.button(key="revise").click().run()
    sound(page)
    assert "Heater" in text_of(page)
    page.query_params["step"] = "show"
    page.run()
    sound(page)
    page.button(key="issue").click().run()
    sound(page)
    assert quoting.issued(shop, TESTER, quote.number).revision == 2


def test_a_name_that_is_too_long_is_refused_where_he_signs_and_the_choice_stays(
    shop: Shop, open_page: Open, quote: IssuedQuote
) -> None:
    page = by_link(shop, open_page, quote)
    page.radio[0].set_value("repair").run()
    page.text_input[0].set_value("J" * 10_000).run()
    page.button(key=_key(page, "-sign")).click().run()
    assert not page.exception
    assert ["The name or the text is too long" in each.value for each in page.error] == [True]
    assert page.radio[0].value == "repair"
    assert answering.answer_to(shop, TESTER, quote) is None


def test_a_link_on_the_screen_is_not_made_again(
    open_page: Callable[..., AppTest], shop: Shop, quote: IssuedQuote
) -> None:
    def buttons() -> list[str]:
        return [each.key for each in page.button if "link" in str(each.key)]

    page = open_page(issued=quote.number)
    page.button(key="make-link").click().run()
    sound(page)
    assert buttons() == ["revoke-links"]
    customer_links.revoke_links(shop, TESTER, quote, datetime.now(UTC))  # on another phone
    page.run()
    assert buttons() == ["make-link"]
    page.button(key="make-link").click().run()
    assert "/?link=" in text_of(page)
    made = customer_links.links(shop, TESTER, quote)
    assert [each.revoked_at is None for each in made] == [True, False]

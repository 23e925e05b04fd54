"""Lives on the page: outcomes recorded on quotes, fitted, adopted into a new rate sheet."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING

import pytest

from app import outcomes, quoting, session, visiting, wiring
from app.people.guard import operator
from estimator.errors import LedgerTrouble
from estimator.heater import HeaterClass
from tests.acting import TESTER
from tests.app.screens.reading import box, keys_beside_the_refusal, said_under, sound, text_of

if TYPE_CHECKING:
    from collections.abc import Callable

    from streamlit.testing.v1 import AppTest

    from app.shop import Shop

    OwnerAt = Callable[[str], AppTest]


def test_lives_say_so_where_there_are_no_records(owner_at: OwnerAt) -> None:
    page = owner_at("life")
    sound(page)
    assert "There are no records yet." in text_of(page)


def test_an_outcome_is_recorded_on_the_quote(open_page: Callable[..., AppTest], shop: Shop) -> None:
    priced = visiting.price_visit(
        shop, TESTER, visiting.visit_from(wiring.demo_visit("thermopile"), "it")
    )
    quote = quoting.issue_quote(shop, priced, TESTER, datetime.now(UTC))
    page = open_page(issued=quote.number)
    note, seen = f"outcome-note-{quote.number}", f"seen-{quote.number}"
    page.text_input(key=note).set_value("x" * 501).run()
    page.button(key=f"record-{quote.number}").click().run()
    assert said_under(page)[note].startswith("The note has 501 characters; at most 500")
    page.text_input(key=note).set_value("Runs well").run()
    page.date_input(key=seen).set_value(session.today() + timedelta(days=1)).run()
    page.button(key=f"record-{quote.number}").click().run()
    assert list(said_under(page)) == [seen]
    assert "is still to come. Give the day on which it was seen." in said_under(page)[seen]
    page.date_input(key=seen).set_value(session.today()).run()
    page.button(key=f"record-{quote.number}").click().run()
    sound(page)
    [kept] = shop.ledger.outcomes.every(quote.number)
    assert (kept.note, kept.failed_on) == ("Runs well", None)
    assert "Runs well" in text_of(page)


def no_room(*_: object) -> None:
    raise LedgerTrouble("There is no room left on the disk")


def test_lives_are_fitted_from_outcomes_and_adopted(owner_at: OwnerAt, shop: Shop) -> None:
    by, day = operator("it"), datetime(2026, 1, 6, 12, tzinfo=UTC)
    for at in range(36):
        payload = wiring.demo_visit("thermopile")
        made = (day - timedelta(days=365 * (4 + at % 12))).date()
        payload = {
            **payload,
            "visit": {"date": day.date()},
            "heater": {**payload["heater"], "manufactured": made},
        }
        priced = visiting.price_visit(shop, TESTER, visiting.visit_from(payload, "it"))
        quote = quoting.issue_quote(shop, priced, TESTER, day)
        seen = day + timedelta(days=20 + 8 * at)
        failed = seen.date() if at % 12 > 6 else None
        outcomes.record_outcome(shop, by, quote.number, seen.date(), seen, failed_on=failed)
    page = owner_at("life")
    sound(page)
    text = text_of(page)
    assert "Gas tank 15 failures, 21 still running, 36 recorded only from" in text
    assert "Mean life when new" in text
    box(page, "lives:delay").set_value("abc").run()
    assert "It must be a number from 0 to 50." in text_of(page)
    box(page, "lives:delay").set_value("1,5").run()
    sound(page)
    assert "Mean life when new" in text_of(page)
    box(page, "lives:delay").set_value("").run()
    before = len(shop.ledger.rate_sheets.every())
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr("app.screens.life.adopt_lives", no_room)
        page.button(key="adopt-lives").click().run()
        assert keys_beside_the_refusal(page) == {"lives-from", "adopt-lives"}
    page.button(key="adopt-lives").click().run()
    sound(page)
    versions = shop.ledger.rate_sheets.every()
    assert len(versions) == before + 1
    old, new = versions[0].sheet.economics.lives, versions[-1].sheet.economics.lives
    assert new[HeaterClass.GAS_STORAGE] != old.get(HeaterClass.GAS_STORAGE)

"""The customer's data on the owner's page, and one's own password on anybody's."""

from __future__ import annotations

import io
import json
import zipfile
from collections.abc import Callable
from datetime import UTC, datetime
from typing import TYPE_CHECKING

import pytest

from app import answering, customer_data, quoting, replaying, visiting, wiring
from app.people import signing_in
from app.people.accounts import DEMO_OWNER, DEMO_PASSWORD, DEMO_TECHNICIAN
from estimator.errors import InputTrouble
from tests.acting import TESTER
from tests.app.screens.reading import said_under, sound, text_of

if TYPE_CHECKING:
    from streamlit.testing.v1 import AppTest

    from app.ledger.records import IssuedQuote
    from app.shop import Shop

OwnerAt = Callable[..., "AppTest"]
NAME = "Zebulon Quux (invented)"


def issued_to(shop: Shop, name: str = NAME) -> IssuedQuote:
    now = datetime.now(UTC)
    given = wiring.demo_visit("worn_element")
    given["visit"] = {**given["visit"], "customer_name": name, "customer_address": "1 Quux Road"}
    draft = visiting.start_visit(shop, TESTER, now, given)
    shop.ledger.photos.attach(draft.draft_id, "plate", b"\xff\xd8 a plate", (1, 1), "T", now)
    priced = visiting.price_visit(shop, TESTER, visiting.visit_from(given, "a test"))
    return quoting.issue_quote(shop, priced, TESTER, now, draft_id=draft.draft_id)


def test_a_customer_is_found_by_number_and_by_name(shop: Shop) -> None:
    first, second = issued_to(shop), issued_to(shop)
    issued_to(shop, "Somebody Else (invented)")
    both = [first.number, second.number]
    for asked in (NAME, f"  {NAME.upper()} ", first.number, second.number):
        found = customer_data.quotes_found(shop, TESTER, asked)
        assert sorted(quote.number for quote in found) == both, asked
    for asked in ("", " ", "Quux", "2026-999999", "%", "' OR 1=1"):
        assert customer_data.quotes_found(shop, TESTER, asked) == ()


def test_what_is_given_out_is_all_of_his_and_nothing_of_cost(shop: Shop) -> None:
    quote = issued_to(shop)
    other = issued_to(shop, "Somebody Else (invented)")
    now = datetime.now(UTC)
    answering.accept(shop, TESTER, quote, "repair", "Z. Quux", "I, Quux, agree.", now)
    packed = zipfile.ZipFile(
        io.BytesIO(customer_data.customer_archive(shop, TESTER, [quote.number], now))
    )
    given = json.loads(packed.read("customer.json"))
    assert given["quotes"][0]["customer_name"] == NAME
    assert given["quotes"][0]["inputs"]["visit"]["customer_address"] == "1 Quux Road"
    assert given["answers"][0]["typed_name"] == "Z. Quux"
    [photo] = [name for name in packed.namelist() if name.startswith("photos/")]
    assert packed.read(photo) == b"\xff\xd8 a plate"
    everything = packed.read("customer.json").decode()
    assert "Somebody Else" not in everything
    assert other.number not in everything
    assert not any(word in everything for word in ("unit_cost", "gross_margin", "markup"))
    alone = customer_data.customer_json(shop, TESTER, [quote.number], now)
    assert json.loads(alone)["quotes"] == given["quotes"]


def test_erasing_on_the_page_leaves_totals_and_chains_and_no_name(
    owner_at: OwnerAt, shop: Shop
) -> None:
    quote = issued_to(shop)
    page = owner_at("customers")
    sound(page)
    page.text_input(key="customer-asked").set_value(NAME).run()
    sound(page)
    assert f"{quote.number}, {NAME}" in page.checkbox[0].label
    page.button(key="erase-customer").click().run()
    assert said_under(page) == {"customer-sure": "Erasing cannot be undone. Tick that first."}
    sound(page)
    assert shop.ledger.quotes.get(quote.number).customer_name == NAME
    page.checkbox(key="customer-sure").check().run()
    page.button(key="erase-customer").click().run()
    sound(page)
    assert "1 quote emptied of the customer, 1 photo taken away" in text_of(page)
    assert "Backups made before still hold the data" in text_of(page)
    left = shop.ledger.quotes.get(quote.number)
    assert left.customer_name == ""
    assert left.repair_price == quote.repair_price
    assert replaying.verify_ledger(shop, TESTER).problems == ()
    page.text_input(key="customer-asked").set_value(quote.number).run()
    sound(page)
    assert f"{quote.number}, erased" in page.checkbox[0].label
    assert page.button(key="erase-customer").disabled


def test_a_name_that_is_nobodys_is_said(owner_at: OwnerAt) -> None:
    page = owner_at("customers")
    page.text_input(key="customer-asked").set_value("Nobody At All").run()
    sound(page)
    assert "No quote is to a customer of this name." in text_of(page)


def test_a_quote_that_is_not_ticked_is_left_alone(owner_at: OwnerAt, shop: Shop) -> None:
    his, another = issued_to(shop), issued_to(shop)
    page = owner_at("customers")
    page.text_input(key="customer-asked").set_value(NAME).run()
    page.checkbox(key=f"customer-chosen-{another.number}").uncheck().run()
    page.checkbox(key="customer-sure").check().run()
    page.button(key="erase-customer").click().run()
    assert shop.ledger.quotes.get(his.number).customer_name == ""
    assert shop.ledger.quotes.get(another.number).customer_name == NAME


@pytest.mark.parametrize("name", [DEMO_OWNER, DEMO_TECHNICIAN])
def test_anybody_changes_his_own_password_and_signs_in_again(
    owner_at: OwnerAt, shop: Shop, name: str
) -> None:
    page = owner_at("password", by=name)
    sound(page)
    assert f"Your own, {name}." in text_of(page)

    def asked(old: str, new: str, again: str) -> AppTest:
        for key, text in (("own-old", old), ("own-new", new), ("own-again", again)):
            page.text_input(key=key).set_value(text)
        return page.button[0].click().run()

    new, now = "four plain words here", datetime.now(UTC)
    assert "are not the same" in text_of(asked(DEMO_PASSWORD, new, "something else"))
    assert "The old password is not right" in text_of(asked("a guess here", new, new))
    assert "at least 10 are needed" in text_of(asked(DEMO_PASSWORD, "short", "short"))
    asked(DEMO_PASSWORD, new, new)
    assert "You are not signed in" in page.error[0].value
    assert signing_in.sign_in(shop, name, new, now).actor.name == name
    with pytest.raises(InputTrouble):
        signing_in.sign_in(shop, name, DEMO_PASSWORD, now)
    changed = shop.ledger.journal.lines(1, action="change person")[0]
    assert (changed.person, changed.subject) == (name, name)

"""Every action, by every role, through the use cases themselves: hiding a button is no check."""

from __future__ import annotations

import io
import shutil
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from decimal import Decimal
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from PIL import Image

from app import (
    allowing,
    answering,
    cataloging,
    customer_data,
    customer_links,
    customer_page,
    doubting,
    handing_over,
    journaling,
    keeping,
    lives,
    outcomes,
    photos,
    price_lists,
    price_uploads,
    publishing,
    quoting,
    recent,
    replaying,
    reserving,
    restocking,
    revising,
    shop_check,
    stopping,
    visiting,
    wiring,
)
from app.desk import book_rows, books, heater_lives, part_costs, rate_trials, what_if
from app.fleet import shop_offers
from app.people import accounts
from app.people.guard import Actor, customer, operator, refusal, require
from app.people.passwords import hash_password
from app.people.roles import MATRIX, Action, Role
from app.shop import Shop
from estimator.errors import Trouble
from estimator.heater import HeaterClass
from tests.app.people.support import PASSWORD, everyone

if TYPE_CHECKING:
    from app.ledger.records import Draft, IssuedQuote
    from app.visit import Visit
    from app.visiting import PricedVisit
    from estimator.rates import RateSheet

NUMBER = "2026-000001"
OTHER_NUMBER = "2026-000002"
NOW = datetime(2026, 11, 24, 9, 0, tzinfo=UTC)
TODAY = NOW.date()
SETUP = operator("setup")


@pytest.fixture(scope="module")
def issued_shop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder of a shop with two issued quotes, from which each test gets a copy."""
    folder = tmp_path_factory.mktemp("matrix") / "shop"
    data, day = wiring.DEMO_DATA, wiring.DEMO_RATES_HOLD_FROM
    shop = wiring.set_up_shop(folder, data / "catalog", data / "rates.toml", day, "setup")
    for _ in range(2):
        quoting.issue_quote(shop, priced(shop), SETUP, NOW)
    visiting.start_visit(shop, SETUP, NOW, wiring.demo_visit("worn_element"))
    shop.close()
    return folder


@pytest.fixture
def desk(tmp_path: Path, issued_shop: Path) -> Iterator[Shop]:
    shop = wiring.open_shop(shutil.copytree(issued_shop, tmp_path / "shop"))
    yield shop
    shop.close()


@cache
def _visit() -> Visit:
    return visiting.visit_from(wiring.demo_visit("worn_element"), "a test")


def priced(shop: Shop) -> PricedVisit:
    return visiting.price_visit(shop, SETUP, _visit())


def quote(shop: Shop) -> IssuedQuote:
    return shop.ledger.quotes.get(NUMBER)


def draft(shop: Shop) -> Draft:
    return shop.ledger.drafts.every()[0]


def sheet(shop: Shop) -> RateSheet:
    return shop.ledger.rate_sheets.on(TODAY).sheet


def _photo(shop: Shop) -> str:
    kept = shop.ledger.photos.attach(draft(shop).draft_id, "plate", b"x", (1, 1), "setup", NOW)
    return kept.photo_id


def _under_floor(shop: Shop) -> PricedVisit:
    """A job that needs the owner's word, because the floor was raised."""
    terms = sheet(shop).quote.model_copy(update={"margin_floor": Decimal("0.9")})
    high = sheet(shop).model_copy(update={"quote": terms})
    publishing.publish_rates(shop, high, _visit().visit.date, SETUP, NOW)
    return priced(shop)


def _asked(shop: Shop) -> str:
    return shop.ledger.allowances.ask("digest", "A job", [{"cost": "1"}], "T", NOW).allowance_id


def _png() -> bytes:
    out = io.BytesIO()
    Image.new("RGB", (8, 8)).save(out, "PNG")
    return out.getvalue()


@cache
def _hash() -> str:
    return hash_password(PASSWORD, "")


def _own_password(shop: Shop, who: Actor) -> None:
    """Change the password of whoever acts, in whose account one is put first."""
    if who.person_id is not None:
        shop.ledger.people.change(who.person_id, "setup", NOW, password_hash=_hash())
    accounts.change_own_password(shop, who, PASSWORD, "other wet copper pipes", NOW)


def _restore(shop: Shop, who: Actor) -> None:
    archive = shop.folder.parent / "whole.zip"
    if not archive.exists():
        keeping.back_up(shop, SETUP, archive, NOW)
    # Who may not, tries it on the shop itself; who may, beside it, for it is in use.
    folder = shop.folder.parent / "other" if who.role is Role.OWNER else shop.folder
    keeping.restore(folder, who, archive, NOW, replace=True)


def _price_list(shop: Shop) -> Path:
    path = shop.folder / "list.csv"
    path.write_text("number,price\nSE-20104,9.10\n", encoding="utf-8")
    return path


Use = Callable[[Shop, Actor], object]
# Action → every use case that asks for it, called as the page and the command line call it,
# with what is at hand in the shop: who may do it does it, and who may not is refused.
USE_CASES: dict[Action, dict[str, Use]] = {
    Action.WORK_VISIT: {
        "start": lambda shop, who: visiting.start_visit(shop, who, NOW),
        "start or go on": lambda shop, who: visiting.own_visit(shop, who, NOW, {}),
        "open": lambda shop, who: visiting.draft_of(shop, who, draft(shop).draft_id),
        "list": visiting.drafts,
        "save": lambda shop, who: visiting.save_draft(shop, who, draft(shop), "part", {}, NOW),
        "price": lambda shop, who: visiting.price_visit(shop, who, _visit()),
        "doubt of the finding": lambda shop, who: doubting.doubt_of(shop, who, priced(shop)),
        "rates behind the price": lambda shop, who: publishing.rates_of_visit(shop, who, TODAY),
        "families and van of the last visits": recent.recent_visits,
        "what a quote set aside": lambda shop, who: reserving.set_aside_for(
            shop, who, quote(shop), TODAY
        ),
        "all that is set aside": lambda shop, who: reserving.held(shop, who, TODAY),
        "stock of a van": lambda shop, who: reserving.stock_on(shop, who, "van-1", TODAY),
        "what runs low": lambda shop, who: restocking.running_low(shop, who, TODAY),
        "stops of a visit": lambda shop, who: stopping.kept_stops(shop, who, "x"),
        "stops of a quote": lambda shop, who: stopping.kept_stops_of_quote(shop, who, NUMBER),
        "terms of a fleet": lambda shop, who: shop_offers.setting_from_shop(
            shop.folder, who, TODAY, 10, 250.0
        ),
    },
    Action.ATTACH_PHOTO: {
        "attach": lambda shop, who: photos.attach_photo(
            shop, who, draft(shop).draft_id, "plate", _png(), NOW
        ),
        "take away": lambda shop, who: photos.remove_photo(shop, who, _photo(shop), NOW),
    },
    Action.SEE_PHOTO: {
        "list": lambda shop, who: photos.visit_photos(shop, who, draft(shop).draft_id),
        "open": lambda shop, who: photos.photo_jpeg(shop, who, _photo(shop)),
    },
    Action.ISSUE_QUOTE: {
        "issue": lambda shop, who: quoting.issue_quote(shop, priced(shop), who, NOW),
        "change": lambda shop, who: revising.revise_quote(shop, who, quote(shop), NOW),
        "let stock go": lambda shop, who: reserving.release(shop, who, NUMBER, NOW),
    },
    Action.SEE_QUOTE: {
        "read": lambda shop, who: quoting.issued(shop, who, NUMBER),
        "the customer's view": lambda shop, who: customer_page.customers_view(
            shop, who, quote(shop), TODAY
        ),
        "its last revision": lambda shop, who: customer_page.last_revision(shop, who, quote(shop)),
        "its answer": lambda shop, who: answering.answer_to(shop, who, quote(shop)),
        "as a calendar file": lambda shop, who: handing_over.calendar_file(
            shop, who, quote(shop), NOW, 60, NOW
        ),
        "as UBL": lambda shop, who: handing_over.ubl_file(shop, who, quote(shop), "repair"),
        "its state": lambda shop, who: answering.quote_state(shop, who, quote(shop), TODAY),
    },
    Action.LIST_QUOTES: {
        "list": quoting.quotes,
        "where they stand": lambda shop, who: answering.states(
            shop, who, shop.ledger.quotes.listed(9), TODAY
        ),
    },
    Action.ANSWER_QUOTE: {
        "accept": lambda shop, who: answering.accept(
            shop, who, quote(shop), "repair", "A. Sample", "I agree.", NOW
        ),
        "decline": lambda shop, who: answering.decline(
            shop, who, quote(shop), "A. Sample", "None of them.", NOW
        ),
        "as the page does": lambda shop, who: customer_page.answer(
            shop, who, quote(shop), "repair", "A. Sample", "I agree.", NOW
        ),
    },
    Action.MAKE_LINK: {
        "make": lambda shop, who: customer_links.make_link(shop, who, quote(shop), NOW),
        "list": lambda shop, who: customer_links.links(shop, who, quote(shop)),
    },
    Action.REVOKE_LINK: {
        "revoke": lambda shop, who: customer_links.revoke_links(shop, who, quote(shop), NOW)
    },
    Action.RECORD_OUTCOME: {
        "record": lambda shop, who: outcomes.record_outcome(
            shop, who, NUMBER, TODAY, NOW, repair_held=True
        ),
        "list": lambda shop, who: outcomes.outcomes(shop, who, NUMBER),
    },
    Action.ASK_ALLOWANCE: {
        "ask": lambda shop, who: allowing.ask_allowance(shop, who, _under_floor(shop), NOW),
        "how it stands": lambda shop, who: allowing.allowance_of(shop, who, priced(shop)),
    },
    Action.DECIDE_ALLOWANCE: {
        "list": allowing.allowances,
        "decide": lambda shop, who: allowing.decide_allowance(
            shop, who, _asked(shop), allow=True, reason="A regular.", at=NOW
        ),
    },
    Action.SEE_MARGINS: {
        "of a quote": lambda shop, who: quoting.owner_results(shop, who, quote(shop))
    },
    Action.SEE_BOOKS: {
        "count": lambda shop, who: books.books(shop, who, books.BookFilter(), TODAY),
        "list": lambda shop, who: book_rows.book_quotes(shop, who, books.BookFilter(), TODAY, 5),
        "export": lambda shop, who: book_rows.export_books(
            shop, who, books.BookFilter(), TODAY, shop.folder / "books.csv", NOW
        ),
        "who is in them": books.book_people,
        "costs of parts": lambda shop, who: part_costs.part_costs(
            shop, who, books.BookFilter(), TODAY
        ),
        "what if": lambda shop, who: what_if.what_if(
            shop, who, sheet(shop), books.BookFilter(), TODAY
        ),
        "lives": heater_lives.heater_records,
    },
    Action.SEE_RATES: {
        "in force": lambda shop, who: publishing.rate_sheet_on(shop, who, TODAY),
        "every version": publishing.rate_sheets,
        "versions as listed": lambda shop, who: rate_trials.rate_versions(shop, who, TODAY),
        "files of reference visits": lambda shop, who: rate_trials.reference_files(
            shop, who, wiring.DEMO_DATA / "visits"
        ),
        "reference visits": lambda shop, who: rate_trials.reference_visits(
            shop, who, {"a": wiring.demo_visit("worn_element")}
        ),
        "the last quotes": lambda shop, who: rate_trials.last_issued(shop, who, 1),
        "trial": lambda shop, who: rate_trials.try_rates(
            shop, who, sheet(shop), rate_trials.last_issued(shop, SETUP, 1), TODAY
        ),
    },
    Action.PUBLISH_RATES: {
        "publish": lambda shop, who: publishing.publish_rates(shop, sheet(shop), TODAY, who, NOW),
        "bring back": lambda shop, who: rate_trials.bring_back(shop, who, 1, TODAY, NOW),
        "adopt lives": lambda shop, who: lives.adopt_lives(
            shop,
            {HeaterClass.GAS_STORAGE: sheet(shop).economics.lives[HeaterClass.GAS_STORAGE]},
            TODAY,
            who,
            NOW,
        ),
    },
    Action.MANAGE_PEOPLE: {
        "list": accounts.people,
        "add": lambda shop, who: accounts.add_person(shop, who, "New", "technician", PASSWORD, NOW),
        "find": lambda shop, who: accounts.person_named(shop, who, "T. Sample"),
        "give a password": lambda shop, who: accounts.set_password(
            shop, who, _hand(shop), PASSWORD, NOW
        ),
        "remove": lambda shop, who: accounts.remove_person(shop, who, _hand(shop), NOW),
    },
    Action.CHANGE_OWN_PASSWORD: {"change": _own_password},
    Action.READ_JOURNAL: {"read": journaling.journal, "head": journaling.journal_head},
    Action.VERIFY_LEDGER: {"verify": replaying.verify_ledger},
    Action.EXPORT_CUSTOMER: {
        "find": lambda shop, who: customer_data.quotes_of_customer(shop, who, "A"),
        "export": lambda shop, who: customer_data.export_customer(shop, who, [NUMBER], NOW),
        "find his quotes": lambda shop, who: customer_data.quotes_found(shop, who, NUMBER),
        "as JSON": lambda shop, who: customer_data.customer_json(shop, who, [NUMBER], NOW),
        "as ZIP": lambda shop, who: customer_data.customer_archive(shop, who, [NUMBER], NOW),
    },
    Action.ERASE_CUSTOMER: {
        "erase": lambda shop, who: customer_data.erase_customer(shop, who, [NUMBER], NOW)
    },
    Action.BUILD_CATALOG: {
        "build": lambda shop, who: cataloging.put_in_force(
            shop.folder, who, wiring.DEMO_DATA / "catalog", NOW
        ),
        "bring back": lambda shop, who: cataloging.bring_back(
            shop.folder, who, shop.catalog().version, NOW
        ),
        "look at a price list": lambda shop, who: price_lists.look_at_price_list(
            shop, who, _price_list(shop), "supplier-1", TODAY
        ),
        "columns of a price list": lambda shop, who: price_lists.columns_of(
            shop, who, _price_list(shop), "supplier-1"
        ),
        "keep a price list": lambda shop, who: price_uploads.keep_upload(
            shop, who, "list.csv", b"number,price"
        ),
        "catalogs that were": price_lists.kept_catalogs,
        "publish a price list": lambda shop, who: price_lists.publish_prices(
            shop, who, _price_list(shop), "supplier-1", TODAY
        ),
    },
    Action.BACK_UP: {
        "back up": lambda shop, who: keeping.back_up(shop, who, shop.folder / "b.zip", NOW)
    },
    Action.RESTORE: {"restore": _restore},
    Action.CHECK_SHOP: {
        "check": lambda shop, who: shop_check.check_shop(shop.folder, who, NOW, wiring.open_shop)
    },
}
EVERY = [(action, name) for action, uses in USE_CASES.items() for name in uses]


def _hand(shop: Shop) -> str:
    """The id of a technician, whatever the test has added so far."""
    return next(each.person_id for each in shop.ledger.people.every() if each.role != Role.OWNER)


# Written out a second time on purpose: a slip in the matrix must not go unseen.
TECHNICIAN_MAY = {
    *(Action.WORK_VISIT, Action.ATTACH_PHOTO, Action.SEE_PHOTO, Action.ISSUE_QUOTE),
    *(Action.SEE_QUOTE, Action.LIST_QUOTES, Action.ANSWER_QUOTE, Action.MAKE_LINK),
    *(Action.REVOKE_LINK, Action.RECORD_OUTCOME, Action.ASK_ALLOWANCE),
    Action.CHANGE_OWN_PASSWORD,
}
CUSTOMER_MAY = {Action.SEE_QUOTE, Action.ANSWER_QUOTE}


def test_every_action_has_its_roles_and_its_use_case() -> None:
    assert set(MATRIX) == set(USE_CASES) == set(Action)


def test_the_matrix_says_what_it_should() -> None:
    for action, roles in MATRIX.items():
        expected = {Role.OWNER}
        expected |= {Role.TECHNICIAN} if action in TECHNICIAN_MAY else set()
        expected |= {Role.CUSTOMER} if action in CUSTOMER_MAY else set()
        assert roles == expected, action


MAY = [(action, name, role) for action, name in EVERY for role in Role if role in MATRIX[action]]


@pytest.mark.parametrize(("action", "name", "role"), MAY)
def test_who_may_do_it_does_it(desk: Shop, action: Action, name: str, role: Role) -> None:
    USE_CASES[action][name](desk, everyone(desk, NUMBER)[role])
    assert desk.ledger.journal.lines(1, action="refused") == ()


@pytest.mark.parametrize(("action", "name"), EVERY)
def test_who_may_not_is_refused_and_it_is_written_down(
    desk: Shop, action: Action, name: str
) -> None:
    roles = everyone(desk, NUMBER)
    strangers = [customer(OTHER_NUMBER), Actor("customer", Role.CUSTOMER)]
    for actor in [*strangers, *(roles[each] for each in Role if each not in MATRIX[action])]:
        _is_refused(desk, action, name, actor)
    assert desk.ledger.verify(lambda quote, _: quote.results_json).problems == ()


def _is_refused(shop: Shop, action: Action, name: str, actor: Actor) -> None:
    lines = len(shop.ledger.journal.lines(1000, action="refused"))
    with pytest.raises(Trouble) as refused:
        USE_CASES[action][name](shop, actor)
    assert str(refused.value) == f"You may not {action.value}. Ask the owner."
    written = shop.ledger.journal.lines(1000, action="refused")
    assert len(written) == lines + 1
    assert (written[0].person, written[0].detail) == (
        actor.name,
        {"action": action.value, "role": actor.role.value},
    )


def test_a_customer_without_a_quote_may_nothing(desk: Shop) -> None:
    nobody = Actor("customer", Role.CUSTOMER)
    for action in Action:
        with pytest.raises(Trouble, match="You may not"):
            require(desk, nobody, action, NOW)


def test_a_refusal_names_no_figure() -> None:
    for action in Action:
        assert not any(sign.isdigit() for sign in str(refusal(action)))

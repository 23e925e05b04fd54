"""The owner's price lists without a browser: looked at, published, refused, taken back."""

from __future__ import annotations

import gzip
from datetime import UTC, date, datetime
from decimal import Decimal
from io import BytesIO
from threading import Event
from typing import TYPE_CHECKING, Any

import pytest

from app import price_lists, price_uploads, quoting, visiting, wiring
from app.people.accounts import DEMO_OWNER, DEMO_TECHNICIAN
from app.people.guard import Actor
from app.people.roles import Role
from app.screens import price_list_seen
from catalog.offers import best_offer, suppliers
from catalog.versions import current_version
from estimator.errors import Trouble
from estimator.rates import PartPricing
from tests.acting import TESTER
from tests.app.screens.reading import said_under, sound, text_of

if TYPE_CHECKING:
    from collections.abc import Callable

    from streamlit.testing.v1 import AppTest

    from app.shop import Shop

SOUTH = "Counter South (invented)"
LIST = "Part Number,Net Price\nSE-20104,99.00\nSE-99999,1\nSE-20101,=1+1\n"


@pytest.fixture
def lists(shop: Shop, owner_at: Callable[..., AppTest]) -> Callable[..., AppTest]:
    """Return a function that opens the screen with a list uploaded, and waits until it is read."""

    def opened(content: bytes, name: str = "prices.csv", supplier: str = SOUTH) -> AppTest:
        token = price_uploads.keep_upload(shop, TESTER, name, content)
        page = owner_at("price_lists")
        page.query_params["list"] = token
        page.query_params["supplier"] = supplier
        return done(page.run())

    return opened


def done(page: AppTest) -> AppTest:
    """Run the page until the work beside it is done."""
    for _ in range(60):
        if "the list …" not in text_of(page):
            return page
        page.run()
    raise AssertionError("the list was never read")


def press(page: AppTest, key: str) -> AppTest:
    return done(page.button(key=key).click().run())


def cost_of(shop: Shop, part: str, supplier: str = SOUTH) -> Any:
    from catalog.offers import offers  # noqa: PLC0415 - beside what it is of

    held = offers(shop.catalog(), [part], date.today())[part]  # noqa: DTZ011 - the page's day
    return next((offer.cost for offer in held if offer.supplier == supplier), None)


def test_a_list_is_looked_at_published_and_taken_back(
    lists: Callable[..., AppTest], shop: Shop
) -> None:
    before = current_version(shop.catalogs)
    page = lists(LIST.encode())
    sound(page)
    said = text_of(page)
    assert "1 changed" in said
    assert "2 rejected" in said
    assert "Row 3: number SE-99999 is not in the catalog" in said
    assert "Row 4: a cell holds a formula" in said
    assert "1 margin falls by a point or more, most that of SE-20104: 66.7% to 50%." in said
    assert "SE-20104: $12.74 → $99.00, +677.1%" in said
    assert "No quote since" in said  # the shop has issued none
    assert current_version(shop.catalogs) == before
    assert page.button(key="publish-list").disabled  # whole or a part? he must say
    page.radio(key="list-partial").set_value("It is a part: they keep their price")
    page.run()
    page = press(page, "publish-list")
    sound(page)
    after = current_version(shop.catalogs)
    assert after != before
    assert f"is published as catalog {after}" in text_of(page)
    assert str(cost_of(shop, "SE-20104")) == "99.00"
    assert len(suppliers(shop.catalog())) > 1
    [line] = shop.ledger.journal.lines(1, action="publish price list")
    assert (line.person, line.subject, line.detail) == (DEMO_OWNER, after, {"partial": True})
    page = press(page, f"back-{before}")
    sound(page)
    assert current_version(shop.catalogs) == before
    [back] = shop.ledger.journal.lines(1, action="bring back catalog")
    assert (back.person, back.subject) == (DEMO_OWNER, before)


def test_what_the_shop_uses_comes_before_what_the_whole_list_does(
    lists: Callable[..., AppTest], shop: Shop
) -> None:
    visit = visiting.visit_from(wiring.demo_visit("worn_element"), "worn_element")
    priced = visiting.price_visit(shop, TESTER, visit)
    quoting.issue_quote(shop, priced, TESTER, datetime.now(UTC))
    page = lists(LIST.encode())
    sound(page)
    said = text_of(page)
    assert "The list moves what you pay or ask for 1 of the 2 parts in your quotes since" in said
    assert "No accepted repair is known; the 1 piece quoted would come to" in said
    assert said.index("What you use") < said.index("What it would change")
    # At 99.00 the part is dearer than with the next supplier, who then gets the order.
    assert "is the cheapest then; this list asks $99.00." in said


def test_margins_follow_a_rate_sheet_published_meanwhile(
    lists: Callable[..., AppTest], shop: Shop
) -> None:
    page = lists(LIST.encode())
    assert "66.7% today" in text_of(page)
    today = date.today()  # noqa: DTZ011 - the page's day
    sheet = shop.ledger.rate_sheets.on(today).sheet
    half = PartPricing(target_margin=Decimal("0.5"))
    changed = sheet.model_copy(update={"parts": half})
    shop.ledger.rate_sheets.publish(changed, today, "Owner", datetime.now(UTC))
    assert "50% today" in text_of(done(page.run()))


def test_columns_are_said_once_and_remembered(lists: Callable[..., AppTest], shop: Shop) -> None:
    odd = b"What;Worth\nSE-20104;21.00\n"
    page = lists(odd)
    sound(page)
    assert "Say where number and cost stand." in text_of(page)
    assert not [button for button in page.button if button.key == "publish-list"]
    boxes = {box.label: box for box in page.selectbox}
    boxes["Part number"].set_value("What")
    boxes["What you pay"].set_value("Worth")
    page = press(page, "take-columns")
    assert "1 changed" in text_of(page)
    page.radio(key="list-partial").set_value("It is a part: they keep their price")
    page = press(page.run(), "publish-list")
    assert "is published as catalog" in text_of(page)
    again = lists(odd.replace(b"21", b"22"))
    assert "Say where number and cost stand." not in text_of(again)
    assert "Part number: What, What you pay: Worth" in text_of(again)
    other = lists(odd, supplier="Counter North (invented)")
    assert "Say where number and cost stand." in text_of(other)


def test_a_workbook_and_a_parquet_file_are_read(lists: Callable[..., AppTest]) -> None:
    import openpyxl  # type: ignore[import-untyped]  # noqa: PLC0415 - for this test alone
    import pandas as pd  # noqa: PLC0415 - for this test alone

    book = openpyxl.Workbook()
    for row in (("Item", "Cost"), ("SE-20104", 31.5)):
        book.active.append(row)
    out = BytesIO()
    book.save(out)
    assert "1 changed" in text_of(lists(out.getvalue(), "prices.xlsx"))
    frame = BytesIO()
    pd.DataFrame({"item": ["SE-20104"], "cost": [32.5]}).to_parquet(frame)
    assert "1 changed" in text_of(lists(frame.getvalue(), "prices.parquet"))


@pytest.mark.parametrize(
    ("name", "content", "said"),
    [
        ("latin.csv", "Part Number,Prix café\n".encode("latin-1"), "is not UTF-8"),
        ("cut.csv.gz", gzip.compress(LIST.encode() * 50, mtime=0)[:-40], "cut short"),
        ("merged.csv", b"Number,,Cost\nSE-20104,,1\n", "Column 2 has no name"),
        ("not.parquet", b"PAR1 no more", "cannot be read"),
        ("no.xlsx", b"no workbook", "cannot be read"),
        ("blank.csv", b"\n\n", "no header row"),
    ],
)
def test_a_broken_file_is_told_at_the_upload(
    lists: Callable[..., AppTest], shop: Shop, name: str, content: bytes, said: str
) -> None:
    page = lists(content, name)
    assert not page.exception
    told = text_of(page)
    assert "This list cannot be used." in told
    assert said in told
    assert str(shop.folder) not in told  # the file's own name, and not where it lies here
    assert not [button for button in page.button if button.key == "publish-list"]


def test_an_empty_upload_is_refused_under_the_file(owner_at: Callable[..., AppTest]) -> None:
    page = owner_at("price_lists")
    page.file_uploader(key="list-file").set_value(("prices.csv", b"", "text/csv")).run()
    assert said_under(page) == {"list-file": "The file is empty in prices.csv. Choose another."}
    sound(page)


def test_an_address_of_no_upload_opens_nothing(owner_at: Callable[..., AppTest]) -> None:
    for token in ("../../ledger.sqlite", "0123456789abcdef-gone.csv", "x"):
        page = owner_at("price_lists")
        page.query_params["list"] = token
        page.query_params["supplier"] = SOUTH
        assert "That file is no longer here." in text_of(page.run())


def test_a_technician_does_not_get_in(owner_at: Callable[..., AppTest], shop: Shop) -> None:
    page = owner_at("price_lists", by=DEMO_TECHNICIAN)
    assert "Price list: CSV" not in text_of(page)
    technician = Actor(DEMO_TECHNICIAN, Role.TECHNICIAN)
    with pytest.raises(Trouble, match="You may not build a catalog"):
        price_uploads.keep_upload(shop, technician, "prices.csv", b"x")


def test_only_the_last_uploads_are_kept_and_an_empty_one_is_refused(shop: Shop) -> None:
    made = [price_uploads.keep_upload(shop, TESTER, f"{n}.csv", b"%d" % n) for n in range(5)]
    assert [price_uploads.upload_path(shop, token) is not None for token in made[-1:]] == [True]
    assert len(list((shop.folder / price_uploads.UPLOADS).iterdir())) == price_uploads.KEPT
    with pytest.raises(Trouble, match="The file is empty"):
        price_uploads.keep_upload(shop, TESTER, "prices.csv", b"")
    odd = price_uploads.keep_upload(shop, TESTER, "../Prix d'été 2026.csv", b"x")
    assert price_uploads.upload_path(shop, odd) is not None
    assert best_offer(shop.catalog(), "SE-20104", date(2026, 2, 2)) is not None


def test_a_list_that_takes_long_leaves_the_page_free(
    lists: Callable[..., AppTest], shop: Shop, owner_at: Callable[..., AppTest],
    monkeypatch: pytest.MonkeyPatch,
) -> None:  # fmt: skip
    go = Event()
    truly = price_lists.look_at_price_list

    def held_up(*given: Any, **named: Any) -> Any:
        go.wait(60)
        return truly(*given, **named)

    monkeypatch.setattr(price_lists, "look_at_price_list", held_up)
    monkeypatch.setattr(price_list_seen, "AT_ONCE_SECONDS", 0.0)
    token = price_uploads.keep_upload(shop, TESTER, "large.csv", LIST.encode())
    page = owner_at("price_lists")
    page.query_params["list"] = token
    page.query_params["supplier"] = SOUTH
    page.run()
    sound(page)
    assert "Reading the list …" in text_of(page)
    assert not [button for button in page.button if button.key == "publish-list"]
    other = owner_at("parts", by=DEMO_TECHNICIAN)  # while the list is still being read
    sound(other)
    assert "Parts" in text_of(other)
    go.set()
    monkeypatch.setattr(price_list_seen, "AT_ONCE_SECONDS", 30.0)
    page.run()
    assert "1 changed" in text_of(page)

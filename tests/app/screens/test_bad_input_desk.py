"""Whatever is typed in the owner's rooms is taken or refused with a word, and nothing else is lost.

The fields are found on the page itself. All fields of a room are typed into at once, each with
another text, so that one run shows that none takes away what stands in another.
"""

from __future__ import annotations

import re
from datetime import UTC, datetime
from decimal import Decimal
from typing import TYPE_CHECKING, Any

import pytest
from streamlit.testing.v1 import AppTest

from app import price_uploads, publishing, wiring
from app.people.accounts import DEMO_OWNER, DEMO_TECHNICIAN
from app.people.guard import operator
from app.views.typed import number_shown, typed_number
from tests.acting import TESTER
from tests.app.screens.conftest import signed_in
from tests.app.screens.reading import asked, base, boxes, said_under, sound, text_of

if TYPE_CHECKING:
    from collections.abc import Callable

    from app.shop import Shop

    OwnerAt = Callable[..., AppTest]

NASTY = (
    "😀🔥",
    "<script>alert(1)</script>",
    "9" * 10_000,
    "lang " * 2_000,
    "-1",
    "1,5",
    "١٫٥",  # noqa: RUF001 - meant as digits
    "inf",
    "nan",
    "snan",
    "1e999999",
    "1_0",
    "a\nb",
)
PROBLEM = r'class="problem" role="alert">(.*?)</span>'
FILLED_AT_LEAST = {"rates": 65, "life": 1}
ANSWERS = ("No quote is to", "Read as", "no letter and no digit", "Type a number")
ANSWERED = ("selectbox", "date_input", "button_group", "toggle", "radio", "checkbox")


@pytest.mark.parametrize("room", FILLED_AT_LEAST)
def test_every_number_field_takes_or_refuses_at_the_field_and_keeps_what_was_typed(
    owner_at: OwnerAt, room: str
) -> None:
    page = owner_at(room)
    if room == "rates":
        page.button(key="place-more").click().run()
    sound(page)
    heading = _heading(page)
    others = _answers(page)
    before = {base(each.key): each.value for each in boxes(page)}
    assert len(before) >= FILLED_AT_LEAST[room]
    for turn in range(len(NASTY)):
        typed = {key: NASTY[(at + turn) % len(NASTY)] for at, key in enumerate(before)}
        _type(page, typed)
        assert _heading(page) == heading
        assert _answers(page) == others
        said = _said_at(page)
        for field in boxes(page):
            _taken_or_refused(field, typed[base(field.key)], said[base(field.key)])
        if room == "rates":
            assert page.button(key="publish").disabled
    _type(page, before)
    assert {base(each.key): each.value for each in boxes(page)} == before
    assert {key for key, said in _said_at(page).items() if said} <= {"rates:tax.places.0.name"}


def test_what_is_refused_in_one_half_of_the_rates_leaves_the_other_half(owner_at: OwnerAt) -> None:
    page = owner_at("rates")
    before = {base(each.key): each.value for each in boxes(page)}
    numbers = [base(each.key) for each in boxes(page) if _asks_number(each)]
    assert len(numbers) >= 55
    for half in (0, 1):
        typed = dict.fromkeys(numbers[half::2], "inf")
        _type(page, typed)
        assert {base(each.key): each.value for each in boxes(page)} == {**before, **typed}
        assert {key for key, said in _said_at(page).items() if said} == set(typed)
        _type(page, before)


def test_a_changed_price_beside_a_text_is_told_short(owner_at: OwnerAt) -> None:
    page = owner_at("rates")
    _type(page, {"rates:labor.regular_per_h": "x" * 10_000, "rates:tax.rate": "<b>7</b>"})
    text = text_of(page)
    assert "x" * 40 in text
    assert "x" * 200 not in text
    assert "Sales tax is <b>7</b>; it must be a number." in text


def test_people_are_added_or_refused_with_a_word(owner_at: OwnerAt, shop: Shop) -> None:
    page = owner_at("people")
    keys = [base(each.key) for each in boxes(page)]
    assert len(keys) == 5
    [other] = [each for each in shop.ledger.people.every() if each.name == DEMO_TECHNICIAN]
    for turn in range(len(NASTY)):
        typed = {key: NASTY[(at + turn) % len(NASTY)] for at, key in enumerate(keys)}
        _type(page, typed)
        stood = {base(each.key): typed[base(each.key)] for each in boxes(page)}
        assert {base(each.key): each.value for each in boxes(page)} == stood
        page.button(key="add-person").click().run()
        _refused_in_words(page)
        assert {base(each.key): each.value for each in boxes(page)} == stood
        page.button(key=f"set-{other.person_id}").click().run()
        if "has a new password" in text_of(page):
            sound(page)
            stood[f"password-{other.person_id}"] = ""
        else:
            _refused_in_words(page)
        assert {base(each.key): each.value for each in boxes(page)} == stood
        assert len(shop.ledger.people.every()) == 2
    page.text_input(key="new-name").set_value("Añá 😀 <script>")
    page.text_input(key="new-password").set_value("١٢٣ four <b>words</b> 😀")
    page.text_input(key="new-email").set_value("").run()
    page.button(key="add-person").click().run()
    sound(page)
    assert "Añá 😀 <script>" in [each.name for each in shop.ledger.people.every()]
    assert "<script>" not in _markup(page)


def test_ones_own_password_is_refused_with_a_word_whatever_is_typed(owner_at: OwnerAt) -> None:
    page = owner_at("password")
    keys = [base(each.key) for each in boxes(page)]
    assert len(keys) == 3
    for turn, new in enumerate(NASTY[:4]):
        for key, text in zip(keys, (NASTY[-turn], new, new), strict=True):
            page.text_input(key=key).set_value(text)
        page.button[0].click().run()
        _refused_in_words(page)
        assert _heading(page) == "Password"


@pytest.mark.parametrize(("room", "key"), [("customers", "customer-asked"), ("parts", "q")])
def test_a_search_for_anything_answers(owner_at: OwnerAt, room: str, key: str) -> None:
    page = owner_at(room)
    heading = _heading(page)
    for text in (*NASTY, "%", "' OR 1=1 --", "\\", "\x00"):
        _type(page, {key: text})
        assert _heading(page) == heading
        field = page.text_input(key=key)
        assert field.value == text
        said = text_of(page)
        assert any(word in said for word in ANSWERS), text[:40]
        digits = any(sign.isdecimal() for sign in text)
        assert not (digits and "There is no letter and no digit" in said)
        assert "<script>alert" not in _markup(page)


@pytest.mark.parametrize("family", ["Sensing element", "Orifice"])
def test_a_measure_of_a_part_is_read_or_refused_at_its_field(
    owner_at: OwnerAt, family: str
) -> None:
    page = owner_at("parts", by=DEMO_TECHNICIAN, family=family)
    keys = [base(each.key) for each in boxes(page) if "." in each.key]
    assert keys
    for turn in range(len(NASTY)):
        typed = {key: NASTY[(at + turn) % len(NASTY)] for at, key in enumerate(keys)}
        _type(page, typed)
        assert {base(each.key): each.value for each in boxes(page)} == {
            "q": "",
            **{base(each.key): typed[base(each.key)] for each in boxes(page)[1:]},
        }
        said, read = _said_at(page), _said_at(page, r'class="hint">(read as .*?)</span>')
        for field in boxes(page)[1:]:
            one = said[base(field.key)] or read[base(field.key)]
            assert one or "[" not in field.label, (
                f"{base(field.key)}: nothing is said of {field.value}"
            )
            assert not (said[base(field.key)] and read[base(field.key)])
            assert len(one) < 300
        assert "<script>alert" not in _markup(page)


@pytest.mark.parametrize("text", NASTY)
def test_a_supplier_of_any_name_is_taken_or_refused_and_the_file_stays(
    shop: Shop, monkeypatch: pytest.MonkeyPatch, text: str
) -> None:
    monkeypatch.setenv("HEATER_SHOP", str(shop.folder))
    token = price_uploads.keep_upload(
        shop, TESTER, "prices.csv", b"Part Number,Net Price\nSE-20104,99.00\n"
    )
    page = AppTest.from_string(
        "from app.screens.price_lists import show_page\n"
        "from app import session\n"
        "with session.guard(): show_page()",
        default_timeout=300,
    )
    page.query_params["list"], page.query_params["supplier"] = token, text
    signed_in(page, shop, DEMO_OWNER).run()
    sound(page)
    assert _heading(page) == "Price lists"
    assert asked(page, "list") == token
    assert page.selectbox(key="list-supplier").value == text
    assert "<script>alert" not in _markup(page)


@pytest.mark.parametrize(
    ("room", "names"),
    [("books", ("from", "to", "person", "finding", "state", "age")), ("stock", ("van",))],
)
def test_an_address_that_asks_for_anything_opens_the_room(
    owner_at: OwnerAt, room: str, names: tuple[str, ...]
) -> None:
    plain = owner_at(room)
    page = owner_at(room)
    for text in NASTY:
        for name in names:
            page.query_params[name] = text
        page.run()
        sound(page)
        assert text_of(page) == text_of(plain)
        assert _answers(page) == _answers(plain)


def test_a_reason_for_the_books_is_taken_or_refused_with_a_word(
    open_page: Callable[..., AppTest],
    owner_at: OwnerAt,
    start_draft: Callable[[dict[str, Any]], str],
    shop: Shop,
) -> None:
    now, day = datetime.now(UTC), wiring.DEMO_RATES_HOLD_FROM
    sheet = publishing.rate_sheet_on(shop, TESTER, now.date()).sheet
    quote = sheet.quote.model_copy(update={"margin_floor": Decimal("0.9")})
    sheet = sheet.model_copy(update={"quote": quote})
    publishing.publish_rates(shop, sheet, day, operator("owner"), now)
    draft = start_draft(wiring.demo_visit("worn_element"))
    open_page(draft=draft, step="show").button(key="ask-owner").click().run()
    [waits] = shop.ledger.allowances.every(undecided=True)
    page = owner_at("desk")
    for text in ("", " \n"):
        _type(page, {f"reason-{waits.allowance_id}": text})
        page.button(key=f"allow-{waits.allowance_id}").click().run()
        _refused_in_words(page)
        assert page.text_input(key=f"reason-{waits.allowance_id}").value == text
    text = "😀 <script>alert(1)</script> ١٫٥"  # noqa: RUF001 - meant as digits
    _type(page, {f"reason-{waits.allowance_id}": text})
    page.button(key=f"allow-{waits.allowance_id}").click().run()
    sound(page)
    assert text in text_of(page)
    assert "<script>alert" not in _markup(page)


def _type(page: AppTest, texts: dict[str, str]) -> None:
    for field in boxes(page):
        if base(field.key) in texts:
            field.set_value(texts[base(field.key)])
    page.run()
    sound(page)
    assert "<script>alert" not in _markup(page)


def _taken_or_refused(field: Any, text: str, said: str) -> None:
    asks_number = _asks_number(field)
    number = typed_number(text) if asks_number else None
    shown = {text} if number is None else {text, number_shown(number)}
    assert field.value in shown, f"{base(field.key)} lost {text[:40]}: {field.value[:40]}"
    if asks_number and number is None:
        assert said, f"{base(field.key)}: nothing is said of {text[:40]}"
    assert len(said) < 300


def _asks_number(field: Any) -> bool:
    return field.type == "text_input" and field.proto.autocomplete == "off"


def _said_at(page: AppTest, words: str = PROBLEM) -> dict[str, str]:
    """Return what is said of each field, as it stands in the box with that field alone."""
    said: dict[str, str] = {}

    def walk(block: Any) -> tuple[list[str], str]:
        keys, markup = [], ""
        for child in block.children.values():
            if hasattr(child, "children"):
                below, inside = walk(child)
                keys, markup = keys + below, markup + inside
            elif child.type in ("text_input", "text_area", "number_input"):
                keys.append(base(child.key))
            elif child.type == "html":
                markup += child.proto.body
        if len(keys) == 1:  # the outermost box is walked last
            said[keys[0]] = " ".join(re.findall(words, markup, re.DOTALL))
        return keys, markup

    walk(page.main)
    return said


def _answers(page: AppTest) -> dict[str, Any]:
    """Return what every choice, day and tick on the page stands at."""
    return {base(each.key): each.value for kind in ANSWERED for each in page.get(kind) if each.key}


def _heading(page: AppTest) -> str:
    found = re.search(r"<h1[^>]*>(.*?)</h1>", _markup(page))
    assert found, "the page has no heading"
    return found[1]


def _markup(page: AppTest) -> str:
    return "".join(
        block.proto.body for block in page.get("html") if "pageWatched" not in block.proto.body
    )


def _refused_in_words(page: AppTest) -> None:
    """Hold a page to one refusal: at the head of its form, or under the field it is about."""
    assert not page.exception
    [said] = [*(each.value for each in page.error), *said_under(page).values()]
    assert "went wrong" not in said
    assert "Traceback" not in said
    assert 10 < len(said) < 300

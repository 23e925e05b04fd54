"""Signing in, the first owner, the people of the shop, and what a technician is refused."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING

import pytest
from streamlit.testing.v1 import AppTest

from app import session, wiring
from app.ledger.ledger import Ledger
from app.people import accounts, signing_in
from app.people.accounts import DEMO_OWNER, DEMO_PASSWORD, DEMO_TECHNICIAN
from app.people.guard import operator
from app.screens.rooms import ROOMS
from tests.app.screens.conftest import MAIN
from tests.app.screens.reading import box, keys_beside_the_refusal, said_under, sound, text_of

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from app.shop import Shop

    OpenPage = Callable[..., AppTest]

OWNERS = ("desk", "rates", "books", "life", "people", "customers", "journal")


def test_demo_says_its_passwords_are_published_and_leads_to_the_visit_in_two_taps(
    open_page: OpenPage, shop: Shop
) -> None:
    page = open_page(by=None)
    sound(page)
    text = text_of(page)
    assert "This is the demo shop." in text
    assert "its passwords are published" in text
    assert DEMO_PASSWORD in text
    page.button(key="demo-technician").click().run()
    sound(page)
    page.button(key=f"resume-{shop.ledger.drafts.every()[0].draft_id}").click().run()
    sound(page)
    assert "Heater" in text_of(page)


def test_sign_in_by_name_and_password_and_out(open_page: OpenPage) -> None:
    page = open_page(by=None)
    page.text_input(key="sign-in-name").set_value(DEMO_OWNER)
    page.text_input(key="sign-in-password").set_value(DEMO_PASSWORD)
    page.button[-1].click().run()
    sound(page)
    assert "New visit" in text_of(page)
    token = page.session_state[session.TOKEN]
    page.button(key="sign-out").click().run()
    assert "Sign in" in text_of(page)
    again = AppTest.from_file(str(MAIN), default_timeout=300)
    again.session_state[session.TOKEN] = token
    assert "For those who work in this shop." in text_of(again.run())


def test_wrong_passwords_lock_the_name_and_say_how_long(open_page: OpenPage) -> None:
    page = open_page(by=None)
    said = []
    for _ in range(signing_in.FREE_TRIES + 1):
        page.text_input(key="sign-in-name").set_value(DEMO_OWNER)
        page.text_input(key="sign-in-password").set_value("not the password")
        page.button[-1].click().run()
        said.append(page.error[0].value)
    assert said[0].startswith("The name or the password is not right")
    assert "Wait 15 seconds and try again" in said[-1]


def test_a_session_ends_when_idle(open_page: OpenPage, monkeypatch: pytest.MonkeyPatch) -> None:
    page = open_page()
    assert "New visit" in text_of(page)
    later = datetime.now(UTC) + max(signing_in.IDLE.values()) + timedelta(seconds=5)
    monkeypatch.setattr("app.session.now", lambda: later)
    assert "For those who work in this shop." in text_of(page.run())


def test_first_step_makes_the_owner_and_there_is_no_default_password(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    data = wiring.DEMO_DATA
    day = wiring.DEMO_RATES_HOLD_FROM
    wiring.set_up_shop(tmp_path, data / "catalog", data / "rates.toml", day, "setup").close()
    monkeypatch.setenv("HEATER_SHOP", str(tmp_path))
    page = AppTest.from_file(str(MAIN), default_timeout=300).run()
    sound(page)
    assert "Nobody can sign in yet." in text_of(page)
    assert DEMO_PASSWORD not in text_of(page)
    page.text_input(key="owner-name").set_value("Owner One")
    page.text_input(key="owner-password").set_value("short")
    page.text_input(key="owner-again").set_value("short")
    page.button[0].click().run()
    said = said_under(page)["owner-password"]
    assert said.startswith("The password has 5 characters; at least 10 are needed.")
    page.text_input(key="owner-password").set_value("four plain words here")
    page.button[0].click().run()
    assert said_under(page) == {
        "owner-again": "The two passwords are not the same. Type both again."
    }
    page.text_input(key="owner-name").set_value(" ")
    page.text_input(key="owner-again").set_value("four plain words here")
    page.button[0].click().run()
    assert list(said_under(page)) == ["owner-name"]
    page.text_input(key="owner-name").set_value("Owner One")
    for key in ("owner-password", "owner-again"):
        page.text_input(key=key).set_value("four plain words here")
    page.button[0].click().run()
    sound(page)
    assert "New visit" in text_of(page)
    with Ledger.open(f"sqlite:///{tmp_path / 'ledger.sqlite'}", create=False) as ledger:
        assert [each.role for each in ledger.people.every()] == ["owner"]


@pytest.mark.parametrize("room", OWNERS)
def test_a_technician_at_the_owners_address_is_refused_and_it_is_written_down(
    owner_at: Callable[..., AppTest], shop: Shop, room: str
) -> None:
    page = owner_at(room, by=DEMO_TECHNICIAN)
    assert not page.exception
    [said] = [each.value for each in page.error]
    assert said.startswith("You may not ")
    assert not page.button
    line = shop.ledger.journal.lines(1)[0]
    assert (line.person, line.action) == (DEMO_TECHNICIAN, "refused")


@pytest.mark.parametrize("room", [each.address for each in ROOMS])
def test_nobody_sees_a_room_without_signing_in(
    shop: Shop, monkeypatch: pytest.MonkeyPatch, room: str
) -> None:
    monkeypatch.setenv("HEATER_SHOP", str(shop.folder))
    module = {"visits": "visit", "lives": "life"}.get(room, room).replace("-", "_")
    asks = f"from app.screens import {module} as it\nwith session.guard():\n    it.show_page()"
    page = AppTest.from_string(f"from app import session\n{asks}").run()
    assert not page.exception
    assert "You are not signed in" in page.error[0].value


@pytest.mark.parametrize(
    ("room", "button"), [("people", "add-person"), ("rates", "publish"), ("desk", None)]
)
def test_a_technician_pressing_the_owners_button_changes_nothing(
    owner_at: Callable[..., AppTest], shop: Shop, room: str, button: str | None
) -> None:
    """The page was the owner's when it was laid out; the session is another's when pressed."""
    page = owner_at(room)
    if room == "people":
        page.text_input(key="new-name").set_value("Somebody")
        page.text_input(key="new-password").set_value("four plain words here")
    if room == "rates":
        box(page, "rates:labor.regular_per_h").set_value("1").run()
    token = signing_in.sign_in(shop, DEMO_TECHNICIAN, DEMO_PASSWORD, datetime.now(UTC)).token
    page.session_state[session.TOKEN] = token
    page = page.button(key=button).click().run() if button else page.run()
    assert "You may not " in " ".join(each.value for each in page.error)
    assert len(shop.ledger.people.every()) == 2
    assert len(shop.ledger.rate_sheets.every()) == 1
    refused = shop.ledger.journal.lines(10, action="refused")
    assert {line.person for line in refused} == {DEMO_TECHNICIAN}


def test_owner_adds_gives_a_password_and_removes(
    owner_at: Callable[..., AppTest], shop: Shop
) -> None:
    page = owner_at("people")
    sound(page)
    assert "Published password" in text_of(page)
    page.text_input(key="new-name").set_value("New Hand")
    page.text_input(key="new-password").set_value("four plain words here")
    page.button(key="add-person").click().run()
    sound(page)
    assert "New Hand may sign in as technician." in text_of(page)
    [made] = [each for each in shop.ledger.people.every() if each.name == "New Hand"]
    token = signing_in.sign_in(shop, "New Hand", "four plain words here", datetime.now(UTC)).token
    page.text_input(key=f"password-{made.person_id}").set_value("five other words entirely")
    page.button(key=f"set-{made.person_id}").click().run()
    sound(page)
    assert signing_in.who(shop, token, datetime.now(UTC)) is None
    page.button(key=f"remove-{made.person_id}").click().run()
    sound(page)
    assert "New Hand is removed" in text_of(page)
    assert "New Hand" not in [each.name for each in shop.ledger.people.every()]


def test_journal_shows_the_last_lines_first(owner_at: Callable[..., AppTest], shop: Shop) -> None:
    for number in range(60):
        shop.ledger.journal.note(datetime.now(UTC), "tester", "tried", f"thing {number}")
    page = owner_at("journal")
    sound(page)
    text = text_of(page)
    assert text.index("thing 59") < text.index("thing 30")
    assert "thing 3 " not in text
    page.button(key="journal-older").click().run()
    assert "thing 3 " in text_of(page)


WORDS = "four plain words here"


@pytest.mark.parametrize(
    ("given", "at", "says"),
    [
        ({"new-name": " "}, "new-name", "A name has 1 to 80 characters"),
        ({"new-name": DEMO_OWNER}, "new-name", "There is a person called Demo owner"),
        ({"new-password": "short"}, "new-password", "The password has 5 characters"),
        ({"new-email": "no address"}, "new-email", '"no address" is no address'),
        ({"new-email": "it@example.org"}, "new-email", "The address it@example.org is another"),
        ({"new-role": None}, "new-role", '"" is no role. Take owner or technician.'),
    ],
)
def test_a_refusal_of_one_answer_stands_under_it_and_nowhere_else(
    owner_at: Callable[..., AppTest],
    shop: Shop,
    given: dict[str, str | None],
    at: str,
    says: str,
) -> None:
    it = operator("it")
    accounts.add_person(
        shop, it, "Somebody", "owner", WORDS, datetime.now(UTC), email="it@example.org"
    )
    page = owner_at("people")
    for key, value in {"new-name": "New Hand", "new-password": WORDS, **given}.items():
        box = page.button_group(key=key) if key == "new-role" else page.text_input(key=key)
        box.set_value(value)
    page.button(key="add-person").click().run()
    assert list(said_under(page)) == [at]
    assert said_under(page)[at].startswith(says)
    sound(page)  # nothing at the head
    page.run()
    assert said_under(page) == {}, "said once"


def test_a_new_password_is_refused_under_its_field(
    owner_at: Callable[..., AppTest], shop: Shop
) -> None:
    page = owner_at("people")
    own, other = shop.ledger.people.every()
    page.text_input(key=f"password-{own.person_id}").set_value("short").run()
    page.button(key=f"set-{own.person_id}").click().run()
    assert list(said_under(page)) == [f"password-{own.person_id}"]
    assert page.text_input(key=f"password-{own.person_id}").value == "short"
    assert page.text_input(key=f"password-{other.person_id}").value == ""


def test_a_refusal_of_several_answers_stands_at_the_head_of_the_form_that_was_sent(
    owner_at: Callable[..., AppTest],
) -> None:
    page = owner_at("people")
    page.text_input(key="new-name").set_value("New Hand")
    page.button(key="add-person").click().run()
    assert said_under(page) == {}
    assert "There is neither a password nor an address" in page.error[0].value
    fields = {"new-name", "new-role", "new-password", "new-email"}
    assert keys_beside_the_refusal(page) == fields | {"add-person"}


def test_the_last_owner_is_kept_and_a_person_who_is_gone_already_is_said(
    owner_at: Callable[..., AppTest], shop: Shop
) -> None:
    it, now = operator("it"), datetime.now(UTC)
    second = accounts.add_person(shop, it, "Second", "owner", WORDS, now)
    page = owner_at("people")
    first = next(each for each in shop.ledger.people.every() if each.name == DEMO_OWNER)
    hand = next(each for each in shop.ledger.people.every() if each.name == DEMO_TECHNICIAN)
    accounts.remove_person(shop, it, hand.person_id, now)
    page.button(key=f"remove-{hand.person_id}").click().run()
    assert "There is no such person (any more)" in page.error[0].value
    page.run()
    sound(page)
    # The page as it stands offers to remove the other owner; meanwhile that one is the last.
    token = signing_in.sign_in(shop, "Second", WORDS, now).token
    accounts.remove_person(shop, it, first.person_id, now)
    page.session_state[session.TOKEN] = token
    page.button(key=f"remove-{second.person_id}").click().run()
    assert "Second is the last owner" in page.error[0].value
    assert keys_beside_the_refusal(page) == {
        f"password-{second.person_id}",
        f"set-{second.person_id}",
    }


@pytest.mark.parametrize(
    ("old", "new", "again", "at", "says"),
    [
        (DEMO_PASSWORD, WORDS, "something else", "own-again", "The two new passwords are not"),
        ("a guess here", WORDS, WORDS, "own-old", "The old password is not right. Type it again."),
        (DEMO_PASSWORD, "short", "short", "own-new", "The password has 5 characters; at least 10"),
    ],
)
def test_ones_own_password_is_refused_under_the_field_that_it_is_about(
    owner_at: Callable[..., AppTest], old: str, new: str, again: str, at: str, says: str
) -> None:
    page = owner_at("password")
    for key, text in (("own-old", old), ("own-new", new), ("own-again", again)):
        page.text_input(key=key).set_value(text)
    page.button[-1].click().run()
    assert list(said_under(page)) == [at]
    assert said_under(page)[at].startswith(says)
    sound(page)


def test_too_many_tries_of_the_old_password_are_said_under_it(
    owner_at: Callable[..., AppTest],
) -> None:
    page = owner_at("password")
    for key, text in (("own-old", "a guess"), ("own-new", WORDS), ("own-again", WORDS)):
        page.text_input(key=key).set_value(text)
    for _ in range(signing_in.FREE_TRIES + 1):
        page.button[-1].click().run()
    assert "Wait 15 seconds and try again" in said_under(page)["own-old"]


def test_a_refused_sign_in_is_said_in_its_form(open_page: OpenPage) -> None:
    page = open_page(by=None)
    page.text_input(key="sign-in-name").set_value("Nobody")
    page.button[-1].click().run()
    beside = keys_beside_the_refusal(page)
    assert {key for key in beside if key.startswith("sign-in-")} == {
        "sign-in-name",
        "sign-in-password",
    }
    assert not any(key.startswith("demo-") for key in beside), "in its form, not at the head"

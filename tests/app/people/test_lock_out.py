"""Tries to sign in: counted by name, across restarts, and apart in a browser known by the name."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta
from pathlib import Path

import argon2
import pytest

from app.people import accounts, passwords, signing_in
from app.people.devices import known_device, new_device
from app.people.signing_in import FREE_TRIES, LONGEST_DELAY, delay_after, sign_in
from app.shop import Shop
from estimator.errors import InputTrouble, Trouble
from tests.app.ledger.support import NOW
from tests.app.people.support import PASSWORD, bare_shop

OWNER = "O. Sample"


@pytest.fixture
def owned(tmp_path: Path) -> Iterator[Shop]:
    shop = bare_shop(tmp_path)
    accounts.create_first_owner(shop, OWNER, PASSWORD, NOW)
    yield shop
    shop.close()


@pytest.fixture
def quick(monkeypatch: pytest.MonkeyPatch) -> None:
    """Passwords held against each other as they are: these tests are about counting."""
    monkeypatch.setattr(signing_in, "password_fits", lambda _, typed: typed == PASSWORD)
    monkeypatch.setattr(signing_in, "is_weaker", lambda _: False)


def tried(shop: Shop, at: datetime, times: int = 1, device: str | None = None) -> None:
    for _ in range(times):
        with pytest.raises(Trouble):
            sign_in(shop, OWNER, "not this one", at, device=device)


@pytest.mark.usefixtures("quick")
def test_the_delay_grows_with_each_failure_and_a_restart_forgets_none(tmp_path: Path) -> None:
    shop = bare_shop(tmp_path)
    accounts.create_first_owner(shop, OWNER, PASSWORD, NOW)
    at, waits = NOW, []
    tried(shop, at, FREE_TRIES)
    for failures in range(FREE_TRIES + 1, FREE_TRIES + 9):
        tried(shop, at)
        wait = delay_after(failures)
        waits.append(wait)
        shop.close()
        shop = bare_shop(tmp_path)
        with pytest.raises(Trouble, match="too many tries"):
            sign_in(shop, OWNER, PASSWORD, at + wait - timedelta(seconds=1))
        at += wait
    assert waits == sorted(waits)
    assert waits[0] < waits[1]
    assert waits[-1] == LONGEST_DELAY
    assert sign_in(shop, OWNER, PASSWORD, at).actor.name == OWNER
    shop.close()


@pytest.mark.usefixtures("quick")
def test_a_stranger_who_tries_on_and_on_does_not_keep_the_owner_out_of_his_own_browser(
    owned: Shop,
) -> None:
    his = new_device(owned.folder, OWNER)
    at = NOW
    for _ in range(30):
        tried(owned, at)
        at += timedelta(minutes=5)
    tried(owned, at, FREE_TRIES)
    with pytest.raises(Trouble, match="too many tries"):
        sign_in(owned, OWNER, PASSWORD, at)
    done = sign_in(owned, OWNER, PASSWORD, at, device=his)
    assert done.actor.name == OWNER
    with pytest.raises(Trouble, match="too many tries"):
        sign_in(owned, OWNER, PASSWORD, at)
    assert signing_in.who(owned, done.token, at) is not None, "who is in stays in"


@pytest.mark.usefixtures("quick")
def test_a_known_browser_is_locked_too_by_its_own_tries(owned: Shop) -> None:
    his = new_device(owned.folder, OWNER)
    tried(owned, NOW, FREE_TRIES + 1, his)
    with pytest.raises(Trouble, match="too many tries"):
        sign_in(owned, OWNER, PASSWORD, NOW, device=his)
    assert sign_in(owned, OWNER, PASSWORD, NOW).actor.name == OWNER


def test_the_word_of_a_browser_is_of_one_name_in_one_shop_and_cannot_be_made_up(
    tmp_path: Path,
) -> None:
    folders = [tmp_path / "a", tmp_path / "b"]
    for each in folders:
        each.mkdir()
    word = new_device(folders[0], OWNER)
    assert known_device(folders[0], "  o. SAMPLE ", word)
    assert known_device(folders[0], "T. Sample", word) == ""
    assert known_device(folders[1], OWNER, word) == ""
    other = "0" if word[-1] != "0" else "1"
    for altered in (None, "", "x", word[:-1], word[:-1] + other, word + "0", "é" * 96, "0" * 999):
        assert known_device(folders[0], OWNER, altered) == ""


@pytest.mark.usefixtures("quick")
def test_the_owner_who_gives_a_new_password_takes_the_lock_away(owned: Shop) -> None:
    owner = sign_in(owned, OWNER, PASSWORD, NOW)
    tried(owned, NOW, FREE_TRIES + 1)
    accounts.set_password(owned, owner.actor, owner.person.person_id, PASSWORD, NOW)
    assert sign_in(owned, OWNER, PASSWORD, NOW).actor.name == OWNER


def test_guessing_at_the_old_password_on_a_page_left_open_is_locked(
    owned: Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    actor = sign_in(owned, OWNER, PASSWORD, NOW).actor
    monkeypatch.setattr(signing_in, "password_fits", lambda _, typed: typed == PASSWORD)
    for _ in range(FREE_TRIES):
        with pytest.raises(InputTrouble, match="The old password is not right"):
            accounts.change_own_password(owned, actor, "a guess", "other words entirely", NOW)
    with pytest.raises(Trouble, match="Wait 15 seconds"):
        accounts.change_own_password(owned, actor, "a guess", "other words entirely", NOW)
    with pytest.raises(Trouble, match="too many tries"):
        accounts.change_own_password(owned, actor, PASSWORD, "other words entirely", NOW)
    assert sign_in(owned, OWNER, PASSWORD, NOW).actor.name == OWNER, "signing in is not locked"


def test_a_changed_password_ends_every_session_and_the_old_one_opens_nothing(owned: Shop) -> None:
    first, second = (sign_in(owned, OWNER, PASSWORD, NOW) for _ in range(2))
    accounts.change_own_password(owned, first.actor, PASSWORD, "other words entirely", NOW)
    assert [signing_in.who(owned, each.token, NOW) for each in (first, second)] == [None, None]
    with pytest.raises(InputTrouble, match="not right"):
        sign_in(owned, OWNER, PASSWORD, NOW)
    assert sign_in(owned, OWNER, "other words entirely", NOW).actor.name == OWNER


@pytest.mark.parametrize("name", [OWNER, "Nobody"])
def test_an_unknown_name_takes_the_same_work_as_a_wrong_password(
    owned: Shop, monkeypatch: pytest.MonkeyPatch, name: str
) -> None:
    """No time is measured: one hash is worked out for each, with the same settings."""
    worked: list[argon2.Parameters] = []
    verify = argon2.PasswordHasher.verify

    def watched(self: argon2.PasswordHasher, kept: str, typed: str) -> bool:
        worked.append(argon2.extract_parameters(kept))
        return verify(self, kept, typed)

    passwords.password_fits(None, "the hash of nobody is made once")
    monkeypatch.setattr(argon2.PasswordHasher, "verify", watched)
    with pytest.raises(InputTrouble, match="not right"):
        sign_in(owned, name, "not this one", NOW)
    assert worked == [argon2.profiles.RFC_9106_LOW_MEMORY]

from __future__ import annotations

from datetime import timedelta

import pytest

from app.people import accounts, passwords
from app.people.roles import Role
from app.people.signing_in import (
    FIRST_DELAY,
    FREE_TRIES,
    IDLE,
    LONGEST_DELAY,
    LONGEST_SESSION,
    delay_after,
    sign_in,
    sign_in_by_provider,
    sign_out,
    who,
)
from estimator.errors import InputTrouble, LedgerTrouble, Trouble
from tests.app.ledger.support import NOW, replay
from tests.app.people.support import PASSWORD, person


@pytest.fixture
def owned(bare):
    accounts.create_first_owner(bare, "O. Sample", PASSWORD, NOW)
    return bare


def test_the_hash_is_argon2id_with_the_settings_of_rfc_9106(owned):
    # RFC 9106 section 4, second recommended option: t=3, p=4, m=2^16 KiB, 128-bit salt.
    kept = owned.ledger.people.by_name("O. Sample")[1]
    assert kept.startswith("$argon2id$v=19$m=65536,t=3,p=4$")
    assert PASSWORD not in kept


def test_a_person_signs_in_and_out(owned):
    done = sign_in(owned, "  o. SAMPLE ", PASSWORD, NOW)
    assert (done.actor.name, done.actor.role) == ("O. Sample", Role.OWNER)
    assert who(owned, done.token, NOW) == done.actor
    for _ in range(2):
        sign_out(owned, done.token, NOW)
        assert who(owned, done.token, NOW) is None
    lines = owned.ledger.journal.lines(3)
    assert [(line.person, line.action) for line in lines][:2] == [
        ("O. Sample", "sign out"), ("O. Sample", "sign in"),
    ]  # fmt: skip


@pytest.mark.parametrize("token", [None, "", "x", "x" * 1000, "\ud800", "None"])
def test_what_is_no_token_is_nobody(owned, token):
    assert who(owned, token, NOW) is None


def test_a_session_ends_when_idle_and_at_the_latest(owned):
    done = sign_in(owned, "O. Sample", PASSWORD, NOW)
    at = NOW
    while at + IDLE[Role.OWNER] / 2 < NOW + LONGEST_SESSION:
        at += IDLE[Role.OWNER] / 2
        assert who(owned, done.token, at) is not None
    assert who(owned, done.token, NOW + LONGEST_SESSION) is None
    assert who(owned, done.token, at) is None, "an ended session does not come back"
    again = sign_in(owned, "O. Sample", PASSWORD, NOW)
    assert who(owned, again.token, NOW + IDLE[Role.OWNER]) is None


def test_the_ledger_does_not_hold_the_token(owned):
    done = sign_in(owned, "O. Sample", PASSWORD, NOW)
    owned.ledger.close()
    for file in owned.folder.iterdir():
        assert done.token.encode() not in file.read_bytes()


def test_an_unknown_name_and_a_wrong_password_are_told_alike(owned):
    said = set()
    for name, password in (("O. Sample", "wrong password"), ("Nobody", PASSWORD)):
        with pytest.raises(InputTrouble) as refused:
            sign_in(owned, name, password, NOW)
        said.add(str(refused.value))
    assert said == {"The name or the password is not right. Type both again."}


def test_the_delay_grows_and_stops_growing():
    delays = [delay_after(n) for n in range(1, 40)]
    assert delays[:FREE_TRIES] == [timedelta(0)] * FREE_TRIES
    assert delays[FREE_TRIES : FREE_TRIES + 3] == [FIRST_DELAY, 2 * FIRST_DELAY, 4 * FIRST_DELAY]
    assert delays == sorted(delays)
    assert delays[-1] == LONGEST_DELAY


@pytest.mark.parametrize("name", ["O. Sample", "Nobody"])
def test_too_many_tries_lock_the_name_even_for_the_right_password(owned, name, monkeypatch):
    monkeypatch.setattr("app.people.signing_in.password_fits", lambda *_: False)
    for _ in range(FREE_TRIES):
        with pytest.raises(InputTrouble):
            sign_in(owned, name, "wrong", NOW)
    with pytest.raises(Trouble, match=r"Wait 15 seconds and try again\.$"):
        sign_in(owned, name, "wrong", NOW)
    monkeypatch.setattr("app.people.signing_in.password_fits", passwords.password_fits)
    with pytest.raises(Trouble, match=r"^There were too many tries with this name\. Wait 1"):
        sign_in(owned, name, PASSWORD, NOW + timedelta(seconds=1))
    if name == "O. Sample":
        after = NOW + FIRST_DELAY
        assert sign_in(owned, name, PASSWORD, after).actor.name == name
        with pytest.raises(InputTrouble, match="Type both again"):
            sign_in(owned, name, "wrong password", after)


def test_failures_are_in_the_journal_without_what_was_typed_as_an_unknown_name(owned):
    for name in ("O. Sample", "my secret password in the wrong field"):
        with pytest.raises(InputTrouble):
            sign_in(owned, name, "wrong password", NOW)
    lines = owned.ledger.journal.lines(action="sign-in failed")
    assert [line.person for line in lines] == ["unknown", "O. Sample"]
    assert owned.ledger.verify(replay).sound


def test_the_first_owner_is_made_once(owned):
    assert not accounts.needs_first_owner(owned)
    with pytest.raises(LedgerTrouble, match="There are people already"):
        accounts.create_first_owner(owned, "Second", PASSWORD, NOW)


@pytest.mark.parametrize(
    ("password", "says"),
    [
        ("", "The password has 0 characters; at least 10 are needed"),
        ("short", "The password has 5 characters; at least 10 are needed"),
        ("x" * 10_000, "The password has 10000 characters; at most 200 are taken"),
        ("abababababab", "The password repeats the same few characters"),
        ("qwertyuiop123", "The password is one of the first that anybody tries"),
        ("o sample 1234", "The password is the person's own name"),
    ],
)
def test_a_weak_password_is_refused(bare, password, says):
    with pytest.raises(InputTrouble) as refused:
        accounts.create_first_owner(bare, "O. Sample", password, NOW)
    assert str(refused.value).startswith(says)
    assert accounts.needs_first_owner(bare)


def test_the_same_letters_typed_otherwise_are_the_same_password():
    kept = passwords.hash_password("señor cañería azul", "X")
    decomposed = "sen\u0303or can\u0303eri\u0301a azul"
    assert passwords.password_fits(kept, decomposed)
    assert not passwords.password_fits(kept, "señor cañeria azul")
    assert not passwords.password_fits(None, "no person has this password")
    assert not passwords.password_fits("", "no person has this password")
    assert not passwords.password_fits("damaged", "x")


def test_a_removed_person_is_out_at_once_and_stays_in_what_he_did(owned):
    owner = sign_in(owned, "O. Sample", PASSWORD, NOW).actor
    added = accounts.add_person(owned, owner, "T. Sample", "technician", PASSWORD, NOW)
    token = sign_in(owned, "T. Sample", PASSWORD, NOW).token
    accounts.remove_person(owned, owner, added.person_id, NOW)
    assert who(owned, token, NOW) is None
    with pytest.raises(InputTrouble, match="not right"):
        sign_in(owned, "T. Sample", PASSWORD, NOW)
    assert [each.name for each in owned.ledger.people.every()] == ["O. Sample"]
    assert len(owned.ledger.people.every(removed=True)) == 2
    again = accounts.add_person(owned, owner, "T. Sample", Role.OWNER, PASSWORD, NOW)
    assert again.person_id != added.person_id
    assert owned.ledger.verify(replay).sound


def test_the_last_owner_stays(owned):
    owner = sign_in(owned, "O. Sample", PASSWORD, NOW)
    with pytest.raises(LedgerTrouble, match=r"O\. Sample is the last owner"):
        accounts.remove_person(owned, owner.actor, owner.person.person_id, NOW)


def test_a_name_is_there_once_whatever_its_capitals(owned):
    owner = sign_in(owned, "O. Sample", PASSWORD, NOW).actor
    with pytest.raises(LedgerTrouble, match="There is a person called"):
        accounts.add_person(owned, owner, "o. SAMPLE", "technician", PASSWORD, NOW)
    with pytest.raises(InputTrouble, match='"boss" is no role'):
        accounts.add_person(owned, owner, "B", "boss", PASSWORD, NOW)
    with pytest.raises(InputTrouble, match='"customer" is no role'):
        accounts.add_person(owned, owner, "B", "customer", PASSWORD, NOW)


def test_a_new_password_ends_every_session(owned):
    done = sign_in(owned, "O. Sample", PASSWORD, NOW)
    with pytest.raises(InputTrouble, match="The old password is not right"):
        accounts.change_own_password(owned, done.actor, "wrong", "another long one", NOW)
    accounts.change_own_password(owned, done.actor, PASSWORD, "another long one", NOW)
    assert who(owned, done.token, NOW) is None
    sign_in(owned, "O. Sample", "another long one", NOW)


def test_a_provider_signs_in_whom_the_owner_added(bare):
    owner = person(bare, "O. Sample", Role.OWNER)
    accounts.add_person(bare, owner, "T", "technician", "", NOW, email="T@Example.invalid")
    done = sign_in_by_provider(bare, "t@example.invalid", NOW)
    assert who(bare, done.token, NOW).name == "T"
    for other in ("", "x@example.invalid"):
        with pytest.raises(Trouble, match="Nobody in this shop has the address"):
            sign_in_by_provider(bare, other, NOW)
    with pytest.raises(InputTrouble, match="not right"):
        sign_in(bare, "T", "", NOW)


def test_the_demo_people_are_marked_until_their_password_is_changed(bare):
    accounts.create_demo_people(bare, NOW)
    accounts.create_demo_people(bare, NOW)
    assert [each.name for each in accounts.demo_people(bare)] == [
        "Demo owner (invented)",
        "Demo technician (invented)",
    ]
    owner = sign_in(bare, accounts.DEMO_OWNER, accounts.DEMO_PASSWORD, NOW).actor
    accounts.change_own_password(bare, owner, accounts.DEMO_PASSWORD, PASSWORD, NOW)
    assert len(accounts.demo_people(bare)) == 1


def test_demo_people_are_not_made_where_anybody_is(owned):
    accounts.create_demo_people(owned, NOW)
    assert accounts.demo_people(owned) == ()

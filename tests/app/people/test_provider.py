"""The shop's sign-in provider: settings checked, and whose word is taken."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
import tomli_w

from app.people import accounts
from app.people.provider import FRESH, provider_of, provider_secrets, vouched_email
from app.people.roles import Role
from app.people.signing_in import sign_in, sign_in_by_provider, who
from app.shop import Shop
from estimator.errors import InputTrouble, Trouble
from tests.app.ledger.support import NOW
from tests.app.people.support import PASSWORD, person

GIVEN = {
    "server_metadata_url": "https://id.example.com/.well-known/openid-configuration",
    "client_id": "shop",
    "client_secret": "s3cret",
    "redirect_uri": "https://quotes.example.com/oauth2callback",
}
AT = datetime(2026, 11, 24, 12, 0, tzinfo=UTC)


def written(folder: Path, mode: int = 0o600, **changed: Any) -> Path:
    path = folder / "sign_in.toml"
    path.write_text(tomli_w.dumps({**GIVEN, **changed}), encoding="utf-8")
    path.chmod(mode)
    return path


def test_a_shop_without_the_file_has_no_provider(tmp_path: Path) -> None:
    assert provider_of(tmp_path) is None
    assert provider_secrets(tmp_path) is None


def test_the_page_gets_what_the_file_holds_and_a_secret_of_the_shops_own(tmp_path: Path) -> None:
    written(tmp_path)
    given = provider_secrets(tmp_path)
    assert given is not None
    auth = given["auth"]
    secret = auth.pop("cookie_secret")
    assert auth == GIVEN
    assert len(bytes.fromhex(secret)) == 32
    again = provider_secrets(tmp_path)
    assert again is not None
    assert again["auth"]["cookie_secret"] == secret
    assert secret not in (tmp_path / "link.key").read_bytes().hex()


def test_a_file_that_others_can_read_is_refused(tmp_path: Path) -> None:
    path = written(tmp_path, 0o640)
    with pytest.raises(InputTrouble) as refused:
        provider_of(tmp_path)
    assert str(refused.value) == (
        f"Others can read the provider's secret in {path}. Take their right away (chmod 600)."
    )


@pytest.mark.parametrize(
    ("changed", "says"),
    [
        ({"client_secrets": "x"}, "client_secrets"),
        ({"client_id": ""}, "client_id"),
        ({"server_metadata_url": "http://id.example.com/x"}, "must begin with https://"),
        ({"redirect_uri": "http://quotes.example.com/oauth2callback"}, "must begin with https://"),
        ({"redirect_uri": "https://quotes.example.com/"}, "with /oauth2callback"),
    ],
)
def test_a_setting_that_cannot_be_is_named(
    tmp_path: Path, changed: dict[str, str], says: str
) -> None:
    written(tmp_path, **changed)
    with pytest.raises(Trouble) as refused:
        provider_of(tmp_path)
    assert says in str(refused.value)
    assert "s3cret" not in str(refused.value)


@pytest.mark.parametrize("secret", [123_454_321, "123454321" * 400, "", ["123454321"]])
def test_a_secret_that_cannot_be_is_refused_without_showing_it(
    tmp_path: Path, secret: object
) -> None:
    path = written(tmp_path, client_secret=secret)
    with pytest.raises(InputTrouble) as refused:
        provider_of(tmp_path)
    assert str(refused.value) == (
        f"client_secret is not text of 1 to 2,000 characters in {path}. "
        "Write it in quotes, as the provider gave it."
    )


def test_a_provider_on_this_machine_needs_no_tls(tmp_path: Path) -> None:
    written(tmp_path, server_metadata_url="http://127.0.0.1:9000/x")
    assert provider_of(tmp_path) is not None


def claims(**changed: Any) -> dict[str, Any]:
    return {"email": "t@example.com", "email_verified": True, "iat": AT.timestamp(), **changed}


def test_a_verified_address_is_taken() -> None:
    assert vouched_email(claims(), AT) == "t@example.com"


@pytest.mark.parametrize("verified", [False, None, "true", 1])
def test_an_address_that_the_provider_does_not_vouch_for_is_refused(verified: object) -> None:
    with pytest.raises(Trouble, match="does not vouch for this address"):
        vouched_email(claims(email_verified=verified), AT)


@pytest.mark.parametrize(
    "made",
    [
        (AT - FRESH - timedelta(seconds=1)).timestamp(),
        (AT + timedelta(minutes=2)).timestamp(),
        None,
        "now",
        True,
    ],
)
def test_the_word_of_long_ago_opens_no_new_session(made: object) -> None:
    with pytest.raises(Trouble, match="Your sign-in at the provider is over"):
        vouched_email(claims(iat=made), AT)


def test_the_address_leads_to_the_person_and_his_role(bare: Shop) -> None:
    owner = person(bare, "O. Sample", Role.OWNER)
    added = accounts.add_person(
        bare, owner, "T. Sample", Role.TECHNICIAN, "", NOW, email="T.Sample@example.com"
    )
    done = sign_in_by_provider(bare, "t.sample@EXAMPLE.com", NOW)
    assert (done.actor.person_id, done.actor.role) == (added.person_id, Role.TECHNICIAN)
    accounts.remove_person(bare, owner, added.person_id, NOW)
    assert who(bare, done.token, NOW) is None
    for address in ("t.sample@example.com", "stranger@example.com", "", " "):
        with pytest.raises(Trouble, match="Nobody in this shop has the address"):
            sign_in_by_provider(bare, address, NOW)
    lines = bare.ledger.journal.lines(9, action="sign-in failed")
    assert {line.person for line in lines} == {"unknown"}
    assert "example.com" not in "".join(str(line.detail) + line.subject for line in lines)


def test_who_has_no_password_signs_in_by_no_password(bare: Shop) -> None:
    owner = person(bare, "O. Sample", Role.OWNER)
    accounts.add_person(bare, owner, "T. Sample", "technician", "", NOW, email="t@example.com")
    for guessed in ("", PASSWORD):
        with pytest.raises(InputTrouble, match="not right"):
            sign_in(bare, "T. Sample", guessed, NOW)

"""The shop's own sign-in provider (OpenID Connect): its settings, and whom it vouches for.

References
----------
OpenID Connect Core 1.0, section 2 (the claims `iat` and `exp`) and section 5.1
(`email`, `email_verified`).
"""

from __future__ import annotations

import hmac
import stat
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING, Annotated, Any
from urllib.parse import urlsplit

from pydantic import BaseModel, ConfigDict, Field, field_validator

from app.files import read_toml
from app.links import key_of
from estimator.errors import InputTrouble, Trouble, checked

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

PROVIDER_FILE = "sign_in.toml"
CALLBACK = "/oauth2callback"
FRESH = timedelta(minutes=5)
"""How old a provider's word may be; the browser keeps it for longer than a session lasts."""
SLACK = timedelta(minutes=1)
_HERE = ("127.0.0.1", "localhost", "::1")

LONGEST = 2000
Text = Annotated[str, Field(min_length=1, max_length=LONGEST)]


class Provider(BaseModel):
    """What `sign_in.toml` in the shop's folder holds, as the provider gave it to the shop."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    server_metadata_url: Text
    client_id: Text
    client_secret: Text
    redirect_uri: Text

    @field_validator("server_metadata_url", "redirect_uri")
    @classmethod
    def _over_tls(cls, url: str) -> str:
        parts = urlsplit(url)
        plain = parts.scheme == "http" and parts.hostname in _HERE
        if parts.hostname is None or not (parts.scheme == "https" or plain):
            raise ValueError("it must begin with https://, for passwords and tokens go there")
        return url

    @field_validator("redirect_uri")
    @classmethod
    def _to_callback(cls, url: str) -> str:
        if urlsplit(url).path != CALLBACK:
            raise ValueError(f"it must be the page's own address with {CALLBACK}")
        return url


def provider_of(folder: Path) -> Provider | None:
    """Return the provider that a shop configured, or ``None``.

    Parameters
    ----------
    folder
        The shop's folder.

    Raises
    ------
    InputTrouble
        If the file cannot be read, a key is misspelt, or others may read the secret in it.
    """
    path = folder / PROVIDER_FILE
    if not path.exists():
        return None
    if path.stat().st_mode & (stat.S_IRWXG | stat.S_IRWXO):
        raise InputTrouble(
            "Others can read the provider's secret", str(path), "Take their right away (chmod 600)."
        )
    given = read_toml(path)
    secret = given.get("client_secret", "-")
    if not (isinstance(secret, str) and 1 <= len(secret) <= LONGEST):
        # said here, for the words of a key that is wrong show what it holds
        raise InputTrouble(
            f"client_secret is not text of 1 to {LONGEST:,} characters",
            str(path),
            "Write it in quotes, as the provider gave it.",
        )
    return checked(Provider, given, str(path))


def provider_secrets(folder: Path) -> dict[str, Any] | None:
    """Return a shop's provider as Streamlit takes it, with a secret for its cookies.

    Parameters
    ----------
    folder
        The shop's folder; every server of one shop makes the same secret of its key.
    """
    provider = provider_of(folder)
    if provider is None:
        return None
    secret = hmac.digest(key_of(folder), b"provider cookie 1", "sha256").hex()
    return {"auth": {**provider.model_dump(), "cookie_secret": secret}}


def vouched_email(claims: Mapping[str, Any], at: datetime) -> str:
    """Return the address that a provider vouches for, just now.

    Parameters
    ----------
    claims
        The claims of the provider's token, whose signature was checked.
    at
        Now, with its zone.

    Raises
    ------
    Trouble
        If the address is not verified there, or the token was not made just now: the session
        here would otherwise outlive its end, for as long as the browser keeps the token.
    """
    if claims.get("email_verified") is not True:
        raise Trouble("The provider does not vouch for this address", "", "Confirm it there first.")
    made = claims.get("iat")
    if not isinstance(made, int | float) or isinstance(made, bool):
        raise _too_old()
    age = at - datetime.fromtimestamp(made, UTC)
    if not -SLACK <= age <= FRESH:
        raise _too_old()
    return str(claims.get("email") or "")


def _too_old() -> Trouble:
    return Trouble("Your sign-in at the provider is over", "", "Sign in there again.")

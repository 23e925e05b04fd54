"""The cookie that brings a session back after a reload, set by the server and no script.

The page speaks over a websocket, which sets no cookie. So whoever signed in there gets a ticket,
good once and for a minute; the page's script hands it to the server at `ADDRESS`, and the answer
sets the cookie, which no script can read (HttpOnly) and no other site can use (SameSite=Strict).
"""

from __future__ import annotations

import hmac
import secrets
from datetime import UTC, datetime, timedelta
from threading import Lock
from typing import TYPE_CHECKING
from urllib.parse import urlsplit

from starlette.responses import Response

from app import wiring
from app.links import key_of
from app.people.signing_in import LONGEST_SESSION
from estimator.errors import Trouble

if TYPE_CHECKING:
    from pathlib import Path

    from starlette.requests import Request

ADDRESS = "/session"
TICKET_LIVES = timedelta(minutes=1)
LONGEST_BODY = 100
KNOWN_ENDING = "_known"
KNOWN = timedelta(days=365)
"""How long a browser is known by who signed in there; see `app.people.devices`."""


def cookie_name(folder: Path) -> str:
    """Return the name of a shop's cookie; browsers share cookies between the ports of a host.

    Parameters
    ----------
    folder
        The shop's folder; its key makes the name, so every server of one shop has the same.
    """
    return f"heater_{hmac.digest(key_of(folder), b'session cookie 1', 'sha256')[:6].hex()}"


class Tickets:
    """Tickets that wait to be handed in, each for one session's token."""

    def __init__(self) -> None:
        self._lock = Lock()
        self._waiting: dict[str, tuple[tuple[str, str], datetime]] = {}

    def give(self, token: str, at: datetime, device: str = "") -> str:
        """Return a new ticket for a session's token, and for the word of a known browser."""
        ticket = secrets.token_urlsafe(32)
        with self._lock:
            for old in [each for each, (_, ends) in self._waiting.items() if ends <= at]:
                del self._waiting[old]
            self._waiting[ticket] = ((token, device), at + TICKET_LIVES)
        return ticket

    def waits(self, ticket: str, at: datetime) -> bool:
        """Whether a ticket was not handed in yet and still can be."""
        with self._lock:
            return ticket in self._waiting and at < self._waiting[ticket][1]

    def take(self, ticket: str, at: datetime) -> tuple[str, str] | None:
        """Return token and word of a ticket, once; ``None`` where there is no such ticket."""
        with self._lock:
            held, ends = self._waiting.pop(ticket, (("", ""), at))
        return held if at < ends else None


TICKETS = Tickets()
"""Those of this process: the page's script and this address are served by the same one."""


async def answer(request: Request) -> Response:
    """Set the cookie for a ticket in the body, or take it away where the body is empty.

    Parameters
    ----------
    request
        A POST of the shop's own page; what another site sends is refused.
    """
    if not _from_own_page(request):
        return Response(status_code=403)
    body = b""
    async for piece in request.stream():
        body += piece
        if len(body) > LONGEST_BODY:
            return Response(status_code=413)
    try:
        name = cookie_name(wiring.named_shop_folder())
    except Trouble:
        return Response(status_code=503)
    done = Response(status_code=204, headers={"Cache-Control": "no-store"})
    secure = _over_tls(request)
    if not body:
        done.delete_cookie(name, httponly=True, samesite="strict", secure=secure)
        return done
    held = TICKETS.take(body.decode("ascii", "replace"), datetime.now(UTC))
    if held is None:
        return Response(status_code=403)
    token, device = held
    for called, value, lasts in (
        (name, token, LONGEST_SESSION),
        (name + KNOWN_ENDING, device, KNOWN),
    ):
        if value:
            seconds = int(lasts.total_seconds())
            done.set_cookie(called, value, seconds, httponly=True, samesite="strict", secure=secure)
    return done


def _from_own_page(request: Request) -> bool:
    said = request.headers.get("sec-fetch-site")
    if said is not None:
        return said == "same-origin"
    origin = urlsplit(request.headers.get("origin", ""))
    return bool(origin.netloc) and origin.netloc == request.headers.get("host")


def _over_tls(request: Request) -> bool:
    # A browser names the page's own scheme in Origin, also where a proxy takes the TLS off.
    return request.url.scheme == "https" or request.headers.get("origin", "").startswith("https:")

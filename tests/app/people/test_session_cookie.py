"""The session's cookie: set by the server for a ticket, once, and for the shop's own page alone."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from starlette.applications import Starlette
from starlette.routing import Route
from starlette.testclient import TestClient

from app import session_cookie
from app.people.signing_in import LONGEST_SESSION
from app.session_cookie import ADDRESS, TICKET_LIVES, TICKETS, Tickets, cookie_name

OWN = {"Origin": "http://testserver", "Host": "testserver"}


@pytest.fixture
def client(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> TestClient:
    monkeypatch.setenv("HEATER_SHOP", str(tmp_path))
    route = Route(ADDRESS, session_cookie.answer, methods=["POST"])
    return TestClient(Starlette(routes=[route]))


def ticket(token: str = "the-token") -> str:
    return TICKETS.give(token, datetime.now(UTC))


def test_a_ticket_sets_a_cookie_that_no_script_and_no_other_site_can_use(
    client: TestClient, tmp_path: Path
) -> None:
    done = client.post(ADDRESS, content=ticket(), headers=OWN)
    assert done.status_code == 204
    assert done.headers["cache-control"] == "no-store"
    first, *attributes = done.headers["set-cookie"].split("; ")
    assert first == f"{cookie_name(tmp_path)}=the-token"
    seconds = int(LONGEST_SESSION.total_seconds())
    assert set(attributes) == {"HttpOnly", f"Max-Age={seconds}", "Path=/", "SameSite=strict"}


def test_behind_tls_it_goes_over_tls_alone(client: TestClient) -> None:
    headers = {"Origin": "https://testserver", "Host": "testserver"}
    done = client.post(ADDRESS, content=ticket(), headers=headers)
    assert "Secure" in done.headers["set-cookie"].split("; ")


def test_a_ticket_is_good_once_and_for_a_minute(client: TestClient) -> None:
    given = ticket()
    assert client.post(ADDRESS, content=given, headers=OWN).status_code == 204
    again = client.post(ADDRESS, content=given, headers=OWN)
    assert again.status_code == 403
    assert "set-cookie" not in again.headers
    tickets, now = Tickets(), datetime.now(UTC)
    late = tickets.give("t", now)
    assert tickets.waits(late, now + TICKET_LIVES - timedelta(seconds=1))
    assert not tickets.waits(late, now + TICKET_LIVES)
    assert tickets.take(late, now + TICKET_LIVES) is None


@pytest.mark.parametrize("guessed", ["x", "the-token", "\u00ff" * 20, "None"])
def test_what_is_no_ticket_sets_nothing(client: TestClient, guessed: str) -> None:
    ticket()
    done = client.post(ADDRESS, content=guessed.encode("utf-8"), headers=OWN)
    assert done.status_code == 403
    assert "set-cookie" not in done.headers


@pytest.mark.parametrize(
    "headers",
    [
        {},
        {"Origin": "http://elsewhere.example"},
        {"Origin": "null"},
        {"Sec-Fetch-Site": "cross-site"},
        {"Sec-Fetch-Site": "same-site", "Origin": "http://testserver"},
    ],
)
def test_another_site_cannot_hand_a_ticket_in_or_sign_anybody_out(
    client: TestClient, headers: dict[str, str]
) -> None:
    given = ticket()
    for body in (given, ""):
        done = client.post(ADDRESS, content=body, headers=headers)
        assert done.status_code == 403
        assert "set-cookie" not in done.headers
    assert TICKETS.waits(given, datetime.now(UTC))


def test_an_empty_body_takes_the_cookie_away(client: TestClient, tmp_path: Path) -> None:
    said = client.post(ADDRESS, content="", headers=OWN).headers["set-cookie"]
    assert said.startswith(f'{cookie_name(tmp_path)}="";')
    assert "Max-Age=0" in said


def test_a_long_body_is_not_read(client: TestClient) -> None:
    assert client.post(ADDRESS, content="x" * 101, headers=OWN).status_code == 413


def test_it_answers_to_nothing_but_a_post(client: TestClient) -> None:
    assert client.get(f"{ADDRESS}?ticket={ticket()}").status_code == 405


def test_each_shop_has_a_name_of_its_own(tmp_path: Path) -> None:
    folders = [tmp_path / "a", tmp_path / "b"]
    for each in folders:
        each.mkdir()
    names = [cookie_name(each) for each in folders]
    assert names[0] != names[1]
    assert cookie_name(folders[0]) == names[0]
    copy = tmp_path / "server-2"
    copy.mkdir()
    (copy / "link.key").write_bytes((folders[0] / "link.key").read_bytes())
    assert cookie_name(copy) == names[0], "several servers of one shop share sessions"


def test_without_a_usable_shop_it_says_nothing_of_why(
    client: TestClient, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setenv("HEATER_SHOP", str(tmp_path / "none"))
    done = client.post(ADDRESS, content=ticket(), headers=OWN)
    assert (done.status_code, done.content) == (503, b"")

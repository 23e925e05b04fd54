"""What the desk's tests share: demo quotes issued into a shop, and days on which to look."""

from __future__ import annotations

from datetime import UTC, date, datetime
from typing import Any

from app.ledger.records import IssuedQuote
from app.people.guard import Actor, operator
from app.people.roles import Role
from app.quoting import issue_quote
from app.shop import Shop
from app.visiting import price_visit, visit_from
from app.wiring import demo_visit
from tests.acting import TESTER

OWNER = operator("O. Sample (invented)")
NOW = datetime(2026, 11, 2, 15, 0, tzinfo=UTC)
TODAY = date(2026, 11, 20)


def issue(
    shop: Shop, name: str, by: str = "T. Sample", at: datetime = NOW, **more: Any
) -> IssuedQuote:
    """Issue the quote of a demo visit."""
    priced = price_visit(shop, TESTER, visit_from(demo_visit(name), name))
    return issue_quote(shop, priced, operator(by), at, **more)


def technician() -> Actor:
    return Actor("T. Sample", Role.TECHNICIAN, "x")

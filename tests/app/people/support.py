"""What the tests of people share: a shop with a ledger alone, and invented people."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path

from app.ledger.ledger import Ledger
from app.people.guard import Actor, customer, staff
from app.people.roles import Role
from app.shop import Shop
from tests.app.ledger.support import NOW

PASSWORD = "seven wet copper pipes"
LATER = timedelta(minutes=1)


def bare_shop(folder: Path) -> Shop:
    """A shop whose catalog nobody asks for."""
    return Shop(folder, folder / "catalogs", Ledger.open(f"sqlite:///{folder / 'ledger.sqlite'}"))


def person(shop: Shop, name: str, role: Role) -> Actor:
    """Add a person without the work of hashing a password."""
    return staff(shop.ledger.people.add(name, role, "", "setup", NOW))


def everyone(shop: Shop, number: str = "2026-000001") -> dict[Role, Actor]:
    """One actor of each role; the customer holds the link to one quote."""
    return {
        Role.OWNER: person(shop, "O. Sample", Role.OWNER),
        Role.TECHNICIAN: person(shop, "T. Sample", Role.TECHNICIAN),
        Role.CUSTOMER: customer(number),
    }

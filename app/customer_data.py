"""A customer's own data in the owner's hands: found, given out with the photos, erased."""

from __future__ import annotations

import io
import json
import re
import zipfile
from typing import TYPE_CHECKING, Any

from app.people.guard import Actor, require
from app.people.roles import Action
from estimator.errors import LedgerTrouble

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import datetime

    from app.ledger.customers import Erased
    from app.ledger.records import IssuedQuote
    from app.shop import Shop

_NUMBER = re.compile(r"[0-9]{4}-[0-9]{6}")
DATA = "customer.json"


def quotes_found(shop: Shop, actor: Actor, asked: str) -> tuple[IssuedQuote, ...]:
    """Find the quotes to a customer, the last revision of each.

    Parameters
    ----------
    shop
        The shop.
    actor
        The owner.
    asked
        The number of one of his quotes, or his name exactly as it stands on them, capitals
        aside. Two customers may have one name: who asks must look at what is found.

    Returns
    -------
    By a number, that quote and those to the same name; none where nothing is found.
    """
    require(shop, actor, Action.EXPORT_CUSTOMER)
    asked = " ".join(asked.split())
    numbers: list[str] = []
    name = asked
    if _NUMBER.fullmatch(asked):
        try:
            name = shop.ledger.quotes.get(asked).customer_name
        except LedgerTrouble:
            return ()
        numbers.append(asked)
    numbers += shop.ledger.customers.numbers(name)
    return tuple(shop.ledger.quotes.get(number) for number in dict.fromkeys(numbers))


def quotes_of_customer(shop: Shop, actor: Actor, name: str) -> tuple[str, ...]:
    """Return the numbers of the quotes to customers of exactly this name, capitals aside."""
    require(shop, actor, Action.EXPORT_CUSTOMER)
    return shop.ledger.customers.numbers(name)


def export_customer(
    shop: Shop, actor: Actor, numbers: Sequence[str], at: datetime
) -> dict[str, Any]:
    """Return all that the shop keeps about the customer of some quotes, as plain values.

    Parameters
    ----------
    shop
        The shop.
    actor
        The owner.
    numbers
        The numbers of the quotes; two customers may have one name, so numbers it is.
    at
        Now, with its zone.
    """
    require(shop, actor, Action.EXPORT_CUSTOMER, at)
    for number in numbers:
        shop.ledger.quotes.revisions(number)
    found = shop.ledger.customers.export(numbers)
    detail = {"quotes": list(numbers)}
    shop.ledger.journal.note(at, actor.name, "export customer", "", detail)
    return found


def erase_customer(shop: Shop, actor: Actor, numbers: Sequence[str], at: datetime) -> Erased:
    """Erase all that may name the customer of some quotes; totals and chains stay.

    Parameters
    ----------
    shop, actor, numbers, at
        As for `export_customer`; drafts to the same name go too.

    Notes
    -----
    Backups made before still hold the data, until the shop takes them away.
    """
    require(shop, actor, Action.ERASE_CUSTOMER, at)
    names: set[str] = set()
    for number in numbers:
        names |= {quote.customer_name for quote in shop.ledger.quotes.revisions(number)}
    return shop.ledger.customers.erase(numbers, sorted(names - {""}), actor.name, at)


def customer_json(shop: Shop, actor: Actor, numbers: Sequence[str], at: datetime) -> bytes:
    """Return all that the shop keeps about the customer of some quotes, as JSON to hand over."""
    return _json(export_customer(shop, actor, numbers, at))


def customer_archive(shop: Shop, actor: Actor, numbers: Sequence[str], at: datetime) -> bytes:
    """Return what `customer_json` does as a ZIP file, with the photos themselves."""
    found = export_customer(shop, actor, numbers, at)
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr(DATA, _json(found))
        for photo in found["photos"]:
            jpeg = shop.ledger.photos.jpeg(photo["photo_id"])
            archive.writestr(f"photos/{photo['photo_id']}.jpg", jpeg, zipfile.ZIP_STORED)
    return out.getvalue()


def _json(found: dict[str, Any]) -> bytes:
    return json.dumps(found, indent=1, ensure_ascii=False).encode()

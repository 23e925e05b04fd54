"""The nearest part of each kind that goes with a job, against picking it by hand."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

import pytest

from catalog.offers import offers, stocks, vans

if TYPE_CHECKING:
    from app.shop import Shop
    from catalog.snapshots import Catalog


def by_hand(catalog: Catalog, van: str, on: date) -> dict[str, str]:
    """Sort every part of each kind that can be bought: van, branch, order; then price; number."""
    rows = catalog.cursor().execute(
        "SELECT sundry_kind, part.number FROM sundry JOIN part USING (number)"
        " WHERE NOT discontinued"
    )
    numbers: dict[str, list[str]] = {}
    for kind, number in rows.fetchall():
        numbers.setdefault(kind, []).append(number)
    best = {}
    for kind, held in numbers.items():
        prices = offers(catalog, held, on)
        places = stocks(catalog, held, van, prices)

        def near(
            number: str, prices: object = prices, places: object = places
        ) -> tuple[int, object, str]:
            stock = places[number]  # type: ignore[index]
            place = 0 if stock.van else 1 if stock.branch else 2
            return place, min(offer.cost for offer in prices[number]), number  # type: ignore[index]

        if prices:
            best[kind] = min(prices, key=near)
    return best


@pytest.mark.parametrize("on", [date(2026, 11, 24), date(2026, 2, 2), date(1999, 1, 1)])
def test_the_nearest_of_each_kind_is_that_picked_by_hand(shop: Shop, on: date) -> None:
    catalog = shop.catalog()
    for van in ("", *vans(catalog)):
        rows = catalog.rows("nearest_sundries", {"van": van, "on": on})
        found = {row["sundry_kind"]: row["number"] for row in rows}
        assert found == by_hand(catalog, van, on)
        assert bool(found) is (on.year > 1999)

"""The nearest part of each kind that goes with a job, against picking it by hand."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

import pytest

from catalog.companions import companions_of_part
from catalog.offers import offers, stocks, vans
from estimator.supply import PartFamily

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
        rows = catalog.rows("nearest_sundries", {"van": van, "on": on, "set_aside": []})
        found = {row["sundry_kind"]: row["number"] for row in rows}
        assert found == by_hand(catalog, van, on)
        assert bool(found) is (on.year > 1999)


def test_a_companion_whose_last_piece_on_the_van_is_set_aside_is_judged_by_what_is_free(
    shop: Shop,
) -> None:
    catalog, on, van = shop.catalog(), date(2026, 11, 24), "van-2"
    best = by_hand(catalog, van, on)["thread_sealant"]
    pieces = stocks(catalog, [best], van, {})[best].van
    assert pieces > 0
    taken = catalog.less({(best, van): pieces})
    assert catalog.less({(best, van): pieces}) is taken
    for each in (catalog, taken):
        wanted = by_hand(each, van, on)
        held = companions_of_part(
            each, PartFamily.GAS_CONTROL, None, sealed=False, van=van, on=on
        ).parts
        assert [part.number for part in held] == [wanted["leak_solution"], wanted["thread_sealant"]]
        [sealant] = [part for part in held if part.number == wanted["thread_sealant"]]
        assert sealant.stock.van == (pieces if each is catalog else 0)

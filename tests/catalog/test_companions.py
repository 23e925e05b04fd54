"""The nearest part of each kind that goes with a job, against picking it by hand."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

import pytest

from catalog.companions import companions_of_part
from catalog.database import Catalog, build_catalog
from catalog.offers import offers, stocks, vans
from estimator.supply import PartFamily
from tests.catalog.small_catalog import ON, SmallCatalog

if TYPE_CHECKING:
    from pathlib import Path

    from app.shop import Shop


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


def test_a_companion_held_at_the_branch_gives_way_to_one_that_is_free_there(
    tmp_path: Path,
) -> None:
    shelf = SmallCatalog()
    for number, cost in (("SU-1", "1.00"), ("SU-2", "2.00"), ("SU-3", "0.50")):
        shelf.part(PartFamily.SUNDRY, number, {"sundry_kind": "leak_solution"}, cost=cost)
    for number in ("SU-1", "SU-2"):
        shelf.stock(number, "branch-1", 1)
    build_catalog(shelf.write(tmp_path / "source"), tmp_path / "catalogs")

    def chosen(catalog: Catalog) -> tuple[str, int]:
        made = companions_of_part(
            catalog, PartFamily.GAS_CONTROL, None, sealed=False, van="", on=ON
        ).parts
        [solution] = [part for part in made if part.number.startswith("SU-")]
        return solution.number, solution.stock.branch

    with Catalog.open_current(tmp_path / "catalogs") as catalog:
        one, two = ("SU-1", "branch-1"), ("SU-2", "branch-1")
        assert chosen(catalog) == ("SU-1", 1)
        assert chosen(catalog.less({one: 1})) == ("SU-2", 1)
        assert chosen(catalog.less({one: 1, two: 1})) == ("SU-3", 0)
        assert chosen(catalog) == ("SU-1", 1)

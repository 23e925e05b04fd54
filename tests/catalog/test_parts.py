"""Look-up of parts and heater families, chains, offers and stock."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from decimal import Decimal

import pytest

from catalog.database import build_catalog
from catalog.numbers import fold
from catalog.parts import (
    alike,
    best_offer,
    chain,
    counted_stock,
    families_like,
    heater_families,
    heater_family,
    part,
    parts_of_family,
    stock,
    vans,
)
from catalog.snapshots import Catalog
from estimator.errors import CatalogTrouble, PartNotFound
from estimator.heater import Chamber
from estimator.supply import PartFamily, Stock
from tests.catalog.small_catalog import HEATER, PLATE, SmallCatalog

SE = PartFamily.SENSING_ELEMENT


@pytest.fixture(scope="module")
def catalog(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Catalog]:
    shelf = SmallCatalog()
    shelf.part(SE, "SE-20101", replaced_by="SE-20102", cost=None)
    shelf.part(SE, "SE-20102", replaced_by="SE-20103", cost=None)
    shelf.part(SE, "SE-20103", cost="11.00")
    shelf.part(SE, "SE-30140", discontinued=True, cost=None)
    shelf.part(SE, "LIO 100", cost="5.00")
    shelf.offer("SE-20103", "10.50", supplier="B (invented)", valid_to="2026-02-28", order_days=5)
    shelf.offer("SE-20103", "9.00", supplier="C (invented)", valid_from="2026-03-01")
    shelf.alike("SE-20103", "LIO 100")
    shelf.listed("sensing_element", "SE-20101")
    shelf.stock("SE-20103", "van-1", 2)
    shelf.stock("SE-20103", "branch-1", 3)
    shelf.stock("SE-20103", "branch-2", 4)
    shelf.stock("SE-20103", "van-2", 1)
    shelf.heaters.append({**HEATER, "slug": "sealed-one", "chamber": "sealed"})
    shelf.heaters.append({**HEATER, "slug": "large-one", "tank_volume_gal": 75})
    shelf.heaters.append({**HEATER, "slug": "propane-one", "fuel": "propane"})
    shelf.heaters.append({**HEATER, "slug": "later-one", "made_from": "2010-01-01"})
    folder = tmp_path_factory.mktemp("parts")
    build_catalog(shelf.write(folder / "source"), folder / "catalogs")
    with Catalog.open_current(folder / "catalogs") as opened:
        yield opened


@pytest.mark.parametrize(
    ("typed", "folded"),
    [
        ("se-20101", "SE20101"),
        ("SE 2OI0l", "SE20101"),
        (" s.e/2-0-1 01", "SE20101"),
        ("Lio 1oo", "110100"),
    ],
)
def test_numbers_are_folded(typed: str, folded: str) -> None:
    assert fold(typed) == folded


@pytest.mark.parametrize("typed", ["SE-20103", "se20103", "SE 2o1o3", "5"])
def test_a_number_is_read_as_it_is_stamped(catalog: Catalog, typed: str) -> None:
    if typed == "5":
        with pytest.raises(PartNotFound, match=r"Read the number again, or find the part by its"):
            part(catalog, typed)
        return
    found = part(catalog, typed)
    assert found.number == "SE-20103"
    assert found.features["length_in"] == 24.0
    assert found.features["cut_off_built_in"] is False


def test_letters_are_read_as_digits_both_ways(catalog: Catalog) -> None:
    assert part(catalog, "110-100").number == "LIO 100"


def test_a_number_that_is_not_there_names_near_ones(catalog: Catalog) -> None:
    with pytest.raises(PartNotFound) as told:
        part(catalog, "SE-20104")
    assert str(told.value) == (
        'The part number "SE-20104" is not in the catalog. '
        "Near it are SE-20101, SE-20102, SE-20103."
    )


@pytest.mark.parametrize("typed", ["", "   ", "--", "x" * 5000, "'; DROP TABLE part; --", "\x00"])
def test_odd_numbers_are_only_not_found(catalog: Catalog, typed: str) -> None:
    with pytest.raises(PartNotFound):
        part(catalog, typed)


def test_chain_ends_in_the_part_sold_today(catalog: Catalog) -> None:
    assert [step.number for step in chain(catalog, "se20101")] == [
        "SE-20101",
        "SE-20102",
        "SE-20103",
    ]
    assert [step.number for step in chain(catalog, "SE-20103")] == ["SE-20103"]
    assert chain(catalog, "SE-30140")[-1].discontinued
    assert part(catalog, "SE-20101").sold_as == "SE-20103"
    assert part(catalog, "SE-30140").sold_as is None


def test_alike_runs_both_ways(catalog: Catalog) -> None:
    assert [other.number for other in alike(catalog, "SE-20103")] == ["LIO 100"]
    assert [other.number for other in alike(catalog, "LIO 100")] == ["SE-20103"]
    assert alike(catalog, "SE-20101") == ()


@pytest.mark.parametrize(
    ("on", "cost"),
    [
        (date(2024, 12, 31), None),
        (date(2025, 1, 1), "10.50"),
        (date(2026, 2, 28), "10.50"),
        (date(2026, 3, 1), "9.00"),
    ],
)
def test_best_offer_of_a_day(catalog: Catalog, on: date, cost: str | None) -> None:
    offer = best_offer(catalog, "SE-20103", on)
    assert (offer.cost if offer else None) == (Decimal(cost) if cost else None)


def test_stock_is_that_van_and_all_branches(catalog: Catalog) -> None:
    assert stock(catalog, "SE-20103", "van-1") == Stock(van=2, branch=7, order_days=2)
    assert stock(catalog, "SE-20103", "van-2") == Stock(van=1, branch=7, order_days=2)
    assert stock(catalog, "SE-20103", "") == Stock(van=0, branch=7, order_days=2)
    assert stock(catalog, "SE-30140", "") == Stock()
    assert vans(catalog) == ("van-1", "van-2")
    with pytest.raises(CatalogTrouble, match=r'The van "van-9" is not in the catalog'):
        stock(catalog, "SE-20103", "van-9")


def test_heater_families(catalog: Catalog) -> None:
    slugs = [family.slug for family in heater_families(catalog)]
    assert slugs == ["heater", "large-one", "later-one", "propane-one", "sealed-one"]
    made = heater_family(catalog, "heater").plate(date(2003, 3, 1))
    assert made.energy_factor == 0.59
    assert made.parts_warranty_years == 6


def test_families_like_a_plate_put_the_likeliest_first(catalog: Catalog) -> None:
    like = families_like(catalog, PLATE)
    assert [family.slug for family in like] == ["heater", "later-one", "sealed-one"]
    sealed = PLATE.model_copy(update={"chamber": Chamber.SEALED})
    assert families_like(catalog, sealed)[0].slug == "sealed-one"


def test_the_parts_list_shows_the_part_of_today(catalog: Catalog) -> None:
    (line,) = parts_of_family(catalog, "heater")
    assert line.position == "sensing_element"
    assert line.listed.number == "SE-20101"
    assert line.today is not None
    assert line.today.number == "SE-20103"


def test_all_stock_as_counted(catalog: Catalog) -> None:
    assert counted_stock(catalog) == {
        ("SE-20103", "van-1"): 2,
        ("SE-20103", "branch-1"): 3,
        ("SE-20103", "branch-2"): 4,
        ("SE-20103", "van-2"): 1,
    }

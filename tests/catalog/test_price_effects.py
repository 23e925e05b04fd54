"""What all changed rows of a price list do to costs and margins, worked by hand and row by row."""

from __future__ import annotations

import math
import random
from collections.abc import Sequence
from datetime import date
from decimal import ROUND_HALF_UP, Decimal
from pathlib import Path
from typing import Any

import pytest

from catalog.database import build_catalog
from catalog.price_effects import CostMove, ListedPart, PriceEffect, price_effect
from catalog.price_lists import preview_price_list
from catalog.price_staging import staged
from estimator.price_lines import part_price
from estimator.rates import PartPricing
from estimator.supply import PartFamily
from tests.catalog.small_catalog import SmallCatalog

SE = PartFamily.SENSING_ELEMENT
MINE, NEW = "Counter A (invented)", "Counter New (invented)"
FROM = date(2026, 2, 1)
HALF = PartPricing(target_margin=Decimal("0.5"))
BANDS = PartPricing.model_validate(
    {"markup_bands": [{"up_to_cost": "15.00", "markup": "2.0"}, {"markup": "1.0"}]}
)


def built(folder: Path, costs: Sequence[tuple[str, str | None]], **more: str) -> Path:
    """A catalog of parts SE-1000 on that Counter A offers at cost and list price."""
    shelf = SmallCatalog()
    for n, (cost, list_price) in enumerate(costs):
        shelf.part(SE, f"SE-{1000 + n}", cost=None)
        shelf.offer(f"SE-{1000 + n}", cost, list_price=list_price or "")
    for number, cost in more.items():
        shelf.part(SE, number.replace("_", "-"), cost=None)
        if cost:
            shelf.offer(number.replace("_", "-"), cost, supplier="Counter B (invented)")
    build_catalog(shelf.write(folder / "source"), folder / "catalogs")
    return folder / "catalogs"


def effect_of(catalogs: Path, text: str, pricing: PartPricing, supplier: str = MINE) -> Any:
    path = catalogs.parent / "prices.csv"
    path.write_text(text, encoding="utf-8")
    return preview_price_list(catalogs, path, supplier, FROM, pricing=pricing).effect


def dollars(amount: str) -> Decimal:
    return Decimal(amount)


def test_a_small_list_worked_by_hand(tmp_path: Path) -> None:
    catalogs = built(
        tmp_path, [("10.00", "40.00"), ("20.00", None), ("14.00", "60.00"), ("8.00", None)]
    )
    # 10 -> 12 (+20 %), 20 -> 18 (-10 %), 14 -> 16 (+14.29 %, out of the band of markup 2),
    # 8 stays. At markup 2 up to 15.00 and 1 above: prices 30 -> 36, 40 -> 36, 42 -> 32.
    effect = effect_of(
        catalogs, "Item,Net\nSE-1000,12.00\nSE-1001,18.00\nSE-1002,16.00\nSE-1003,8.00\n", BANDS
    )
    dearest = CostMove(
        "SE-1000", dollars("10.00"), dollars("12.00"), Decimal("0.2000"),
        Decimal("0.6667"), Decimal("0.6667"),
    )  # fmt: skip
    cheapest = CostMove(
        "SE-1001", dollars("20.00"), dollars("18.00"), Decimal("-0.1000"),
        Decimal("0.5000"), Decimal("0.5000"),
    )  # fmt: skip
    out_of_band = CostMove(
        "SE-1002", dollars("14.00"), dollars("16.00"), Decimal("0.1429"),
        Decimal("0.6667"), Decimal("0.5000"),
    )  # fmt: skip
    assert effect == PriceEffect(
        rows=3,
        rises=2,
        falls=1,
        # Nearest rank of three: the first, the second, the third.
        spread=(Decimal("-0.1000"), Decimal("0.1429"), Decimal("0.2000")),
        largest_rise=dearest,
        largest_fall=cheapest,
        cost_before=dollars("44.00"),  # 10 + 20 + 14
        cost=dollars("46.00"),  # 12 + 18 + 16
        price_before=dollars("112.00"),  # 30 + 40 + 42
        price=dollars("104.00"),  # 36 + 36 + 32
        margin_before=Decimal("0.6071"),  # 68 / 112
        margin_kept=Decimal("0.5893"),  # 66 / 112
        margin=Decimal("0.5577"),  # 58 / 104
        margins_fall=1,
        worst=out_of_band,
        under_cost=0,
    )


def test_a_cost_above_the_price_of_today_sells_below_cost_until_prices_follow(
    tmp_path: Path,
) -> None:
    catalogs = built(tmp_path, [("10.00", None), ("10.00", None)])
    # At a margin of half, 10 sells for 20: at 20.00 nothing is left, at 20.01 it is a loss.
    effect = effect_of(catalogs, "Item,Net\nSE-1000,20.00\nSE-1001,20.01\n", HALF)
    assert effect.under_cost == 1
    assert effect.margin_kept == Decimal("-0.0003")  # (40 - 40.01) / 40, rounded half up


def test_a_list_price_alone_moves_the_price_where_it_caps_and_no_cost(tmp_path: Path) -> None:
    catalogs = built(tmp_path, [("10.00", "25.00")])
    capped = HALF.model_copy(update={"cap_at_list_price": True})
    text = "Item,Net,List\nSE-1000,10.00,16.00\n"
    effect = effect_of(catalogs, text, capped)
    assert (effect.rows, effect.rises, effect.falls, effect.spread) == (1, 0, 0, None)
    assert (effect.price_before, effect.price) == (dollars("20.00"), dollars("16.00"))
    assert (effect.margins_fall, effect.worst.part) == (1, "SE-1000")  # 50 % to 37.5 %
    assert effect_of(catalogs, text, HALF).price == dollars("20.00")


@pytest.mark.parametrize("supplier", [MINE, NEW])
def test_a_list_without_a_changed_row_has_no_effect(tmp_path: Path, supplier: str) -> None:
    """The same costs again, or from a supplier of whom all is new."""
    catalogs = built(tmp_path, [("10.00", None), ("11.00", None)], SE_2000="")
    text = "Item,Net\nSE-1000,10.00\nSE-1001,11.00\n" + (
        "SE-2000,9.00\n" if supplier == NEW else ""
    )
    effect = effect_of(catalogs, text, BANDS, supplier)
    nothing = dollars("0.00")
    assert effect == PriceEffect(
        0, 0, 0, None, None, None, nothing, nothing, nothing, nothing, None, None, None, 0, None, 0
    )


def test_no_effect_is_worked_out_where_the_pricing_is_not_given(tmp_path: Path) -> None:
    catalogs = built(tmp_path, [("10.00", None)])
    path = tmp_path / "prices.csv"
    path.write_text("Item,Net\nSE-1000,12\n")
    seen = preview_price_list(catalogs, path, MINE, FROM, parts=["SE-1000"])
    assert (seen.effect, seen.asked_for) == (None, ())


def test_the_list_tells_of_the_parts_asked_for_and_of_no_other(tmp_path: Path) -> None:
    catalogs = built(
        tmp_path, [(f"{n}.00", "50.00") for n in range(10, 20)], SE_2000="", SE_2001="9.00"
    )
    path = tmp_path / "prices.csv"
    path.write_text(
        "Item,Net,List,Days\nse 1000,12,,3\nSE-1001,12.50,31,\nSE-1002,12,50,\nSE-2000,7,20,4\n"
        "SE-1004,ask,,\nSE-2001,8,,\n"
    )
    told = {"number": "Item", "cost": "Net", "list_price": "List", "order_days": "Days"}
    asked = ["SE-1000", "SE-1001", "SE-1002", "SE-1003", "SE-1004", "SE-2000", "SE-9999"]
    seen = preview_price_list(catalogs, path, MINE, FROM, told, pricing=BANDS, parts=asked)
    d = dollars
    assert seen.asked_for == (
        ListedPart("SE-1000", "changed", d("10.00"), d("12.00"), None, 3),
        ListedPart("SE-1001", "changed", d("11.00"), d("12.50"), d("31.00"), 2),
        # SE-1002 is as before, and the rejected row of SE-1004 leaves it its price.
        ListedPart("SE-1003", "vanished"),
        ListedPart("SE-2000", "new", None, d("7.00"), d("20.00"), 4),
    )


def test_a_first_list_tells_of_the_parts_asked_for(tmp_path: Path) -> None:
    catalogs = built(tmp_path, [(f"{n}.00", None) for n in range(10, 20)])
    path = tmp_path / "prices.csv"
    path.write_text("Item,Net\nSE-1000,9\nSE-1001,9\nse1002,9\n")
    seen = preview_price_list(
        catalogs, path, NEW, FROM, pricing=BANDS, parts=["SE-1001", "SE-1002", "SE-1003"]
    )
    assert [(each.part, each.kind, each.order_days) for each in seen.asked_for] == [
        ("SE-1001", "new", 7), ("SE-1002", "new", 7),
    ]  # fmt: skip


PRICINGS = {
    "bands": {"markup_bands": [
        {"up_to_cost": "9.995", "markup": "2.333"}, {"up_to_cost": "50", "markup": "1.505"},
        {"markup": "0.65"},
    ]},
    "one band": {"markup_bands": [{"markup": "0"}]},
    "margin": {"target_margin": "0.485"},
    "margin of many decimals": {"target_margin": "0.333333333333333"},
    "markup of many decimals": {"markup_bands": [{"markup": "1.66666666666666666666666666"}]},
    "capped": {"target_margin": "0.6", "cap_at_list_price": True},
    "capped bands": {"cap_at_list_price": True, "markup_bands": [
        {"up_to_cost": "20.00", "markup": "1.5"}, {"markup": "1.1"},
    ]},
}  # fmt: skip


@pytest.fixture(scope="module")
def many(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Three hundred parts at every kind of cost, most with a list price."""
    chance = random.Random(7)
    costs = [
        (f"{chance.choice([0.01, 0.05, 5, 9.99, 10, 50, 99999.99, chance.uniform(1, 300)]):.2f}",
         chance.choice([None, "12.00", "55.55", f"{chance.uniform(1, 900):.2f}"]))
        for _ in range(300)
    ]  # fmt: skip
    return built(tmp_path_factory.mktemp("effects"), costs)


@pytest.mark.parametrize("first_pass", [True, False])
@pytest.mark.parametrize("pricing", PRICINGS)
@pytest.mark.parametrize("with_list_prices", [True, False])
def test_the_sums_are_those_of_every_row_by_itself(
    many: Path, tmp_path: Path, pricing: str, with_list_prices: bool, first_pass: bool
) -> None:
    """Held against the estimator's own pricing, one row after another."""
    chance = random.Random(f"{pricing}{with_list_prices}")
    rates = PartPricing.model_validate(PRICINGS[pricing])
    path = tmp_path / "prices.csv"
    head = "Item,Net,List" if with_list_prices else "Item,Net"
    lines = [head]
    for n in chance.sample(range(300), 250):
        cost = f"{chance.choice([0.01, 9.99, 15, 50.01, chance.uniform(1, 300)]):.2f}"
        more = f",{chance.choice(['', '12.00', '77.10'])}" if with_list_prices else ""
        lines.append(f"SE-{1000 + n},{cost}{more}")
    path.write_text("\n".join(lines))
    with staged(many, path, MINE, FROM, None) as read:
        read.compare()
        if not first_pass:
            read.judge(every=True)
        assert read.compared == first_pass
        effect = price_effect(read, rates)
        read.judge(every=True)  # by now, where the first pass settled them: every row by itself
        rows = read.connection.execute(
            "SELECT cost_before, cost, list_before, list_price FROM price_judged"
            " WHERE kind = 'changed'"
        ).fetchall()
    assert effect.rows == len(rows) > 200
    before = [part_price(row[0], row[2], rates) for row in rows]
    after = [part_price(row[1], row[3], rates) for row in rows]
    assert effect.cost_before == sum(row[0] for row in rows)
    assert effect.cost == sum(row[1] for row in rows)
    assert (effect.price_before, effect.price) == (sum(before), sum(after))
    assert effect.rises == sum(row[1] > row[0] for row in rows)
    assert effect.falls == sum(row[1] < row[0] for row in rows)
    assert effect.under_cost == sum(row[1] > price for row, price in zip(rows, before, strict=True))
    moved = sorted(rounded((row[1] - row[0]) / row[0]) for row in rows if row[1] != row[0])
    ranks = [math.ceil(len(moved) * share / 100) - 1 for share in (10, 50, 90)]
    assert effect.spread == tuple(moved[rank] for rank in ranks)
    assert effect.largest_rise is not None
    assert effect.largest_fall is not None
    assert (effect.largest_fall.share, effect.largest_rise.share) == (moved[0], moved[-1])
    lost = [
        rounded((was - row[0]) / was) - rounded((now - row[1]) / now)
        for row, was, now in zip(rows, before, after, strict=True)
    ]
    assert effect.margins_fall == sum(each >= Decimal("0.01") for each in lost)
    if effect.worst is not None:
        assert effect.worst.margin_before - effect.worst.margin == max(lost)


def rounded(share: Decimal) -> Decimal:
    return share.quantize(Decimal("0.0001"), ROUND_HALF_UP)

"""What a price list does to the parts that the shop uses: by hand, and row by row."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from decimal import ROUND_HALF_UP, Decimal
from typing import TYPE_CHECKING

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app import quoting, visiting, wiring
from app.ledger.entries import REPAIR
from app.ledger.records import PartTaken
from app.price_effects import GonePart, UsedPart, used_effect, year_before
from app.price_lists import look_at_price_list
from catalog.offers import Offer
from catalog.price_effects import ListedPart
from estimator.price_lines import part_price
from estimator.rates import PartPricing
from tests.acting import TESTER

if TYPE_CHECKING:
    from pathlib import Path

    from app.price_effects import UsedEffect
    from app.shop import Shop

MINE, OTHER = "Counter A (invented)", "Counter B (invented)"
TODAY = date(2026, 12, 1)
HALF = PartPricing(target_margin=Decimal("0.5"))
D = Decimal


def taken(part: str, quoted: str, used: str) -> PartTaken:
    return PartTaken(part, D(quoted), D(used))


def offer(part: str, cost: str, supplier: str = MINE, list_price: str | None = None) -> Offer:
    return Offer(
        part=part, supplier=supplier, cost=D(cost), order_days=2, valid_to=None,
        list_price=None if list_price is None else D(list_price), valid_from=date(2025, 1, 1),
    )  # fmt: skip


def changed(part: str, before: str, cost: str, list_price: str | None = None) -> ListedPart:
    return ListedPart(
        part, "changed", D(before), D(cost), None if list_price is None else D(list_price), 2
    )


def effect(
    uses: list[PartTaken], listed: list[ListedPart], held: list[Offer],
    pricing: PartPricing = HALF,
) -> UsedEffect:  # fmt: skip
    offers: dict[str, list[Offer]] = {}
    for each in held:
        offers.setdefault(each.part, []).append(each)
    return used_effect(uses, listed, offers, MINE, pricing, TODAY)


def test_used_parts_worked_by_hand() -> None:
    found = effect(
        [taken("A", "10", "4"), taken("B", "3", "3"), taken("C", "9", "2"), taken("D", "5", "5")],
        [changed("A", "10.00", "12.00"), changed("B", "20.00", "16.00"),
         changed("C", "8.00", "9.00"), changed("D", "7.00", "8.00")],
        [offer("A", "10.00"), offer("B", "20.00"), offer("C", "8.00"), offer("C", "8.50", OTHER),
         offer("D", "7.00"), offer("D", "5.00", OTHER)],
    )  # fmt: skip
    # At a margin of half a price is twice the cost. A: 4 x 2 = 8 more. B: 3 x 4 = 12 less.
    # C is bought from the other from then on: 2 x 0.50 = 1 more. D was never bought here.
    a, c, b = found.parts
    assert a == UsedPart(
        part="A", quoted=D(10), used=D(4), pieces=D(4), cost_before=D("10.00"), cost=D("12.00"),
        paid_before=D("10.00"), paid=D("12.00"), supplier=MINE, price_before=D("20.00"),
        price=D("24.00"), margin_before=D("0.5000"),
        margin_kept=D("0.4000"),  # (20 - 12) / 20
        margin=D("0.5000"), dearer=D("8.00"),
    )  # fmt: skip
    assert (c.part, c.paid, c.supplier, c.cost, c.dearer) == (
        "C", D("8.50"), OTHER, D("9.00"), D("1.00"),
    )  # fmt: skip
    assert (b.part, b.dearer) == ("B", D("-12.00"))
    assert found.unmoved == 1
    assert (found.taken, found.by_quoted, found.pieces) == (4, False, D(9))
    assert found.cost_before == D("116.00")  # 4 x 10 + 3 x 20 + 2 x 8
    assert found.cost == D("113.00")  # 4 x 12 + 3 x 16 + 2 x 8.50
    assert (found.price_before, found.price) == (D("232.00"), D("226.00"))
    assert found.margin_before == D("0.5000")
    assert found.margin_kept == D("0.5129")  # 119 / 232
    assert found.margin == D("0.5000")
    assert (found.since, found.until) == (date(2025, 12, 2), TODAY)


def test_without_an_accepted_repair_all_that_was_quoted_counts() -> None:
    found = effect([taken("A", "3", "0")], [changed("A", "10.00", "11.00")], [offer("A", "10.00")])
    assert found.by_quoted
    assert (found.pieces, found.cost - found.cost_before) == (D(3), D("3.00"))


def test_nothing_listed_is_no_effect() -> None:
    for uses in ([], [taken("A", "3", "2")]):
        found = effect(uses, [], [offer("A", "10.00")])
        assert (found.parts, found.gone, found.unmoved, found.taken) == ((), (), 0, len(uses))
        assert (found.cost, found.price, found.margin) == (D("0.00"), D("0.00"), None)


def test_a_new_part_moves_what_is_paid_only_where_it_is_cheaper() -> None:
    def new(cost: str) -> ListedPart:
        return ListedPart("A", "new", None, D(cost), None, 7)

    held = [offer("A", "10.00", OTHER)]
    cheaper = effect([taken("A", "1", "1")], [new("9.00")], held)
    (part,) = cheaper.parts
    assert (part.cost_before, part.paid_before, part.paid, part.supplier) == (
        None, D("10.00"), D("9.00"), MINE,
    )  # fmt: skip
    assert part.dearer == D("-1.00")
    dearer = effect([taken("A", "1", "1")], [new("11.00")], held)
    assert (dearer.parts, dearer.unmoved) == ((), 1)
    # As dear as the other, but a week to order: the other keeps it.
    assert effect([taken("A", "1", "1")], [new("10.00")], held).unmoved == 1


def test_used_parts_that_vanish_are_told_apart_from_the_sums() -> None:
    uses = [taken("A", "5", "2"), taken("B", "4", "4"), taken("C", "1", "1"), taken("D", "1", "1")]
    found = effect(
        uses,
        [ListedPart(each, "vanished") for each in "ABCD"],
        [offer("A", "10.00"), offer("A", "13.00", OTHER), offer("B", "10.00"),
         offer("C", "9.00"), offer("C", "8.00", OTHER), offer("D", "7.00"),
         offer("D", "9.00", OTHER)],
    )  # fmt: skip
    assert found.gone == (
        GonePart("B", D(4), D(4), D("10.00"), None, ""),  # nobody else: first
        GonePart("A", D(5), D(2), D("10.00"), D("13.00"), OTHER),
        GonePart("D", D(1), D(1), D("7.00"), D("9.00"), OTHER),
    )
    assert (found.parts, found.unmoved, found.cost) == ((), 0, D("0.00"))


def test_a_list_price_that_caps_moves_the_price_though_no_cost_moves() -> None:
    capped = HALF.model_copy(update={"cap_at_list_price": True})
    held = [offer("A", "10.00", list_price="18.00")]
    row = changed("A", "10.00", "10.00", "16.00")
    (part,) = effect([taken("A", "1", "1")], [row], held, capped).parts
    assert (part.price_before, part.price, part.dearer) == (D("18.00"), D("16.00"), D("0.00"))
    assert (part.margin_before, part.margin) == (D("0.4444"), D("0.3750"))
    assert effect([taken("A", "1", "1")], [row], held).unmoved == 1


def test_a_year_ends_on_a_leap_day_too() -> None:
    assert year_before(date(2028, 2, 29)) == date(2027, 2, 28)
    assert year_before(date(2026, 12, 1)) == date(2025, 12, 1)


cents = st.integers(1, 30_000).map(lambda n: Decimal(n).scaleb(-2))
part_names = st.sampled_from([f"P-{n}" for n in range(8)])
PRICING = st.one_of(
    st.integers(0, 90).map(lambda n: PartPricing(target_margin=Decimal(n).scaleb(-2))),
    st.integers(0, 3000).map(
        lambda n: PartPricing.model_validate(
            {"markup_bands": [{"up_to_cost": "50", "markup": n / 1000}, {"markup": "0.6"}]}
        )
    ),
)


@given(
    uses=st.dictionaries(part_names, st.tuples(st.integers(1, 30), st.integers(0, 30))),
    mine=st.dictionaries(part_names, st.tuples(cents, cents)),
    others=st.dictionaries(part_names, st.lists(cents, max_size=3)),
    pricing=PRICING,
)
def test_the_sums_over_used_parts_are_those_of_every_row_by_itself(
    uses: dict[str, tuple[int, int]], mine: dict[str, tuple[Decimal, Decimal]],
    others: dict[str, list[Decimal]], pricing: PartPricing,
) -> None:  # fmt: skip
    """Costs of each offer are drawn; each is added up plainly, part after part."""
    held = [offer(part, str(cost)) for part, (cost, _) in mine.items()]
    held += [
        offer(part, str(cost), f"Counter {n} (invented)")
        for part, costs in others.items()
        for n, cost in enumerate(costs)
    ]
    counts = [taken(part, str(many + more), str(more)) for part, (many, more) in uses.items()]
    listed = [
        changed(part, str(cost), str(now))
        for part, (cost, now) in mine.items()
        if part in uses and cost != now
    ]
    found = effect(counts, listed, held, pricing)
    known = any(used for _, used in uses.values())
    sums = dict.fromkeys(("cost_before", "cost", "price_before", "price"), Decimal(0))
    for part, (many, more) in uses.items():
        if part not in mine:
            continue
        elsewhere = others.get(part, [])
        paid = min([*elsewhere, mine[part][0]])
        pays = min([*elsewhere, mine[part][1]])
        if paid == pays:
            continue
        pieces = more if known else many + more
        sums["cost_before"] += pieces * paid
        sums["cost"] += pieces * pays
        sums["price_before"] += pieces * part_price(paid, None, pricing)
        sums["price"] += pieces * part_price(pays, None, pricing)
    assert {name: getattr(found, name) for name in sums} == sums
    assert sum(each.dearer for each in found.parts) == sums["cost"] - sums["cost_before"]
    costs = [each.dearer for each in found.parts]
    assert costs == sorted(costs, reverse=True)
    if sums["price"]:
        margin = (sums["price"] - sums["cost"]) / sums["price"]
        assert found.margin == margin.quantize(Decimal("0.0001"), ROUND_HALF_UP)
    else:
        assert found.margin is None


@pytest.fixture
def worked(shop: Shop) -> Shop:
    """The demo shop with three quotes for the same part: accepted, open, and a year old."""
    now = datetime(2026, 12, 1, 12, tzinfo=UTC)
    visit = visiting.visit_from(wiring.demo_visit("worn_element"), "worn_element")
    priced = visiting.price_visit(shop, TESTER, visit)
    for at, answer in ((now, REPAIR), (now, None), (now - timedelta(days=365), REPAIR)):
        quote = quoting.issue_quote(shop, priced, TESTER, at)
        if answer:
            shop.ledger.answers.keep(
                quote.number, quote.revision, answer, "A. Sample", "I agree.", "customer", "link",
                at,
            )  # fmt: skip
    return shop


def test_a_look_tells_of_the_parts_in_the_shops_own_quotes(worked: Shop, tmp_path: Path) -> None:
    path = tmp_path / "prices.csv"
    path.write_text("Item,Net\nSE-20104,12.00\nSE-20101,50\n")
    south, first = "Counter South (invented)", date(2026, 12, 1)
    seen = look_at_price_list(worked, TESTER, path, south, first, today=TODAY)
    # Counter South asks 12.74 today and is the cheapest; SE-20101 is in no quote.
    (part,) = seen.used.parts
    assert (part.part, part.quoted, part.used) == ("SE-20104", D(2), D(1))
    assert (part.paid_before, part.paid, part.dearer) == (D("12.74"), D("12.00"), D("-0.74"))
    assert seen.preview.effect is not None
    assert seen.preview.effect.rows == 2
    later = look_at_price_list(
        worked, TESTER, path, south, first, today=TODAY + timedelta(days=365)
    )
    assert (later.used.taken, later.used.parts) == (0, ())

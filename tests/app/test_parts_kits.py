"""Kits by remedy, and stock that is free, reserved and low."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

from app.kits import kits
from app.ledger.entries import Reservation, Wish
from app.shop import Shop
from app.stock import free_stock, low_stock, wishes_for
from app.views.kits import build_kit_cards
from app.views.stock import HeldCard, build_held_cards, set_aside_label
from app.visit import Visit
from app.visiting import price_visit, visit_from
from app.wiring import demo_visit
from estimator.findings import FINDINGS, Remedy
from estimator.heater import Access
from estimator.supply import FitClass, PartFamily, Stock, SuppliedPart
from tests.acting import TESTER

DAY = date(2026, 2, 2)


def visit(name: str) -> Visit:
    return visit_from(demo_visit(name), name)


def test_every_remedy_of_the_finding_has_its_kit_cheapest_first(shop: Shop) -> None:
    worn = visit("worn_element")
    sheet = shop.ledger.rate_sheets.on(worn.visit.date).sheet
    made = kits(shop.catalog(), worn, sheet)
    assert {kit.remedy for kit in made} == set(FINDINGS[worn.work.finding].remedies) - {
        Remedy.REPLACE_HEATER
    }
    element, assembly = made
    assert element.priced.total < assembly.priced.total
    assert [part.family for part in element.parts] == [
        PartFamily.SENSING_ELEMENT, PartFamily.SUNDRY,
    ]  # fmt: skip
    assert element.on_the_van
    assert element.days == 0


def test_a_kit_costs_what_the_quote_of_its_remedy_costs(shop: Shop) -> None:
    for name in ("worn_element", "thermopile", "limit_opened", "sealed_door"):
        held = visit(name)
        sheet = shop.ledger.rate_sheets.on(held.visit.date).sheet
        for kit in kits(shop.catalog(), held, sheet):
            work = held.work.model_copy(update={"remedy": kit.remedy, "part_number": None})
            priced = price_visit(shop, TESTER, held.model_copy(update={"work": work}))
            if kit.closed_reason is None:
                assert kit.priced.total == priced.estimate.repair.priced.total, (name, kit.name)
                assert kit.parts == priced.supply.parts


def test_hard_access_lengthens_the_labor(shop: Shop) -> None:
    worn = visit("worn_element")
    sheet = shop.ledger.rate_sheets.on(worn.visit.date).sheet
    hard = worn.model_copy(update={"site": worn.site.model_copy(update={"access": Access.TIGHT})})
    easy_kit, hard_kit = kits(shop.catalog(), worn, sheet)[0], kits(shop.catalog(), hard, sheet)[0]
    assert hard_kit.access_factor > easy_kit.access_factor
    assert hard_kit.hours == easy_kit.hours * hard_kit.access_factor / easy_kit.access_factor


def test_a_kit_card_says_operations_hours_and_what_the_reach_makes_of_them(shop: Shop) -> None:
    worn = visit("worn_element")
    sheet = shop.ledger.rate_sheets.on(worn.visit.date).sheet
    site = worn.site.model_copy(update={"access": Access.TIGHT})
    hard = kits(shop.catalog(), worn.model_copy(update={"site": site}), sheet)
    [card, *_] = build_kit_cards(hard, sheet.parts)
    [easy, *_] = build_kit_cards(kits(shop.catalog(), worn, sheet), sheet.parts)
    assert easy.labor == card.labor
    assert card.labor[0].endswith(f"{hard[0].operations[0].hours.normalize():f} h")
    assert easy.access == ""
    assert card.access == (
        f"Times {hard[0].access_factor.normalize():f} for how hard it is to reach"
    )
    open_hours = sum(each.hours for each in hard[0].operations)
    assert card.hours == f"{(open_hours * hard[0].access_factor).normalize():f} h"
    assert [each.because for each in card.besides] == [
        each.needed_because for each in hard[0].parts[1:]
    ]


def test_a_remedy_without_a_part_that_fits_says_why(shop: Shop) -> None:
    gone = visit("part_no_longer_made")
    sheet = shop.ledger.rate_sheets.on(gone.visit.date).sheet
    made = kits(shop.catalog(), gone, sheet)
    closed = [kit for kit in made if kit.closed_reason]
    cards = build_kit_cards(made, sheet.parts)
    for kit, card in zip(made, cards, strict=True):
        assert bool(card.price) == (kit.closed_reason is None)
        assert card.closed_reason == (kit.closed_reason or "")
    assert made[: len(made) - len(closed)] == tuple(
        kit for kit in made if kit.closed_reason is None
    )


def part(number: str, van: int, quantity: str = "1") -> SuppliedPart:
    return SuppliedPart(
        number=number, description=number, family=PartFamily.SUNDRY, fit_class=FitClass.LISTED,
        quantity=Decimal(quantity), unit_cost=Decimal(1), stock=Stock(van=van, branch=9),
    )  # fmt: skip


def test_a_quote_asks_for_what_lies_somewhere_on_the_van_before_at_the_branch() -> None:
    parts = (part("A", 3), part("B", 0), part("C", 1, "2"), part("A", 3, "0.5"))
    on_van, at_branch = (("van-1", 3),), (("branch-1", 1),)
    made = wishes_for(parts, {"A": (*on_van, *at_branch), "C": at_branch})
    assert [(each.part, each.pieces, each.counted) for each in made] == [
        ("A", 2, (*on_van, *at_branch)),
        ("C", 2, at_branch),
    ]
    assert wishes_for(parts, {}) == ()


def test_the_tick_names_what_would_be_set_aside_where() -> None:
    def label(*found: tuple[str, int, int, int], van: str = "van-1") -> str:
        parts = [
            part(number, on_van).model_copy(update={"stock": Stock(van=on_van, branch=at_branch)})
            for number, _, on_van, at_branch in found
        ]
        wishes = [Wish(number, wanted, (("van-1", 9),)) for number, wanted, _, _ in found]
        return set_aside_label(wishes, parts, van)

    assert label(("A", 1, 1, 0), ("B", 1, 2, 5)) == "Set the parts aside on van-1: A, B"
    assert label(("A", 1, 1, 0), ("B", 1, 0, 5), ("C", 1, 0, 0)) == (
        "Set the parts aside on van-1: A; at the branch: B. Reserved by another quote: C"
    )
    assert label(("A", 2, 1, 1)) == "Set the parts aside on van-1: A; at the branch: A"
    assert label(("A", 1, 0, 1), van="") == "Set the parts aside at the branch: A"
    assert label(("A", 1, 0, 0)) == label() == ""


def test_what_a_quote_holds_is_one_card_with_the_van_before_the_branches() -> None:
    until = date(2026, 3, 4)
    held = [
        Reservation("2026-2", 1, "A", "North", 1, 1, until),
        Reservation("2026-1", 2, "C", "Van East", 1, 1, until),
        Reservation("2026-1", 2, "B", "North", 2, 2, until),
        Reservation("2026-1", 2, "A", "Van East", 1, 1, date(2026, 3, 1)),
    ]
    first, second = build_held_cards(held, ("North",))
    assert first == HeldCard(
        "2026-1", ("On Van East: 1 of A, 1 of C", "At North: 2 of B"), "until March 4, 2026"
    )
    assert second.lines == ("At North: 1 of A",)
    assert build_held_cards(held, ("North",), "Van East") == (first,)
    assert build_held_cards(held, ("North",), "North") == (first, second)
    assert build_held_cards(held, ("North",), "Van West") == ()


def test_what_is_set_aside_is_not_free() -> None:
    counted = {("A", "van-1"): 3, ("A", "van-2"): 1, ("B", "van-1"): 2}
    taken = {("A", "van-1"): 2, ("A", "van-2"): 5}
    free = free_stock(counted, taken)
    assert free == {("A", "van-1"): 1, ("A", "van-2"): 0, ("B", "van-1"): 2}


def test_low_stock_is_by_what_the_quotes_use() -> None:
    free = {("A", "van-1"): 1, ("B", "van-1"): 9}
    used = [("A", "van-1", 4), ("B", "van-1", 4), ("C", "van-2", 1)]
    found = low_stock(free, used, weeks=4.0)
    assert [(each.part, each.place, each.free, each.wanted, each.short) for each in found] == [
        ("A", "van-1", 1, 2, 1),
        ("C", "van-2", 0, 1, 1),
    ]


def test_measures_of_the_old_element_do_not_trouble_the_assembly(shop: Shop) -> None:
    measured = visit("no_label")
    assert measured.old_part.features
    sheet = shop.ledger.rate_sheets.on(measured.visit.date).sheet
    made = {kit.remedy: kit for kit in kits(shop.catalog(), measured, sheet)}
    assert made[Remedy.REPLACE_ELEMENT].closed_reason is None
    assert made[Remedy.REPLACE_PILOT_ASSEMBLY].name

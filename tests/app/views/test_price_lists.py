"""What a price list would change, in the owner's words."""

from __future__ import annotations

from datetime import UTC, date, datetime
from decimal import Decimal

from app.price_effects import used_effect
from app.price_lists import KeptCatalog, ListColumns, MarginEffect, PriceListPreview
from app.views.price_lists import build_column_fields, build_kept_rows, build_price_list_view
from catalog.price_lists import PriceChange, PricePreview
from estimator.rates import PartPricing

TODAY = date(2026, 12, 1)
SOUTH = "Counter South (invented)"


def effect(part: str, cost: tuple[str, str], price: tuple[str, str]) -> MarginEffect:
    before, after = map(Decimal, cost)
    sold, sells = map(Decimal, price)
    return MarginEffect(
        part, before, after, sold, sells, (sold - before) / sold, (sells - after) / sells
    )


def preview(effects: tuple[MarginEffect, ...] = (), **changes: object) -> PriceListPreview:
    counts = {"new": 1, "changed": 2, "same": 0, "vanished": 300, "rejected": 1}
    told = {
        "file": "prices.csv", "supplier": SOUTH, "holds_from": date(2026, 3, 1),
        "mapping": {"number": "Item", "cost": "Net"}, "counts": counts,
        "new": (PriceChange(4, "SE-1", None, Decimal("4.50"), None),),
        "vanished": ("A-1", "A-2"), "rejected": ((7, "cost is missing"),),
    }  # fmt: skip
    used = used_effect((), (), {}, SOUTH, PartPricing(target_margin=Decimal("0.5")), TODAY)
    return PriceListPreview(PricePreview(**told | changes), effects, used)  # type: ignore[arg-type]


def test_a_changed_part_shows_cost_price_and_margin_before_and_after() -> None:
    dearer = effect("SE-1", ("10", "12"), ("20", "22"))
    steady = effect("SE-2", ("10", "10"), ("20", "20"))
    view = build_price_list_view(preview((dearer, steady)), "prices.csv")
    assert [row.tone for row in view.changes] == ["check", "plain"]
    assert (view.changes[0].cost, view.changes[0].price) == ("$10.00 → $12.00", "$20.00 → $22.00")
    assert view.changes[0].margin == "50% → 45.5%"


def test_what_is_shown_in_part_says_of_how_many() -> None:
    view = build_price_list_view(preview(), "prices.csv")
    assert view.heads[1:] == (
        "New (1)", "Not in the list (the first 2 of 300)", "Rejected (1)",
    )  # fmt: skip
    assert view.ask_partial
    assert view.leaves == f"300 parts that {SOUTH} sells today are not in the list."
    assert view.rejected == ("Row 7: cost is missing",)
    assert view.new == ("SE-1, cost $4.50",)
    assert view.title == f"prices.csv, {SOUTH}, from March 1, 2026"


def test_a_list_without_a_usable_row_cannot_be_published() -> None:
    none = {"new": 0, "changed": 0, "same": 0, "vanished": 0, "rejected": 9}
    view = build_price_list_view(preview(counts=none, vanished=()), "x")
    assert not view.usable
    assert not view.ask_partial


def test_columns_are_asked_for_each_thing_a_list_holds() -> None:
    fields = build_column_fields(ListColumns(("Item", "Net"), {"number": "Item"}))
    assert [(each.field, each.needed, each.value) for each in fields] == [
        ("number", True, "Item"), ("cost", True, None), ("list_price", False, None),
        ("order_days", False, None), ("supplier_number", False, None),
    ]  # fmt: skip
    assert [choice.value for choice in fields[0].choices] == ["Item", "Net"]


def test_a_kept_catalog_says_when_by_what_and_by_whom() -> None:
    at = datetime(2026, 3, 1, 12, tzinfo=UTC)
    listed, unknown = build_kept_rows(
        (
            KeptCatalog("0af1", at, "publish price list", "Owner", in_use=True),
            KeptCatalog("0af2", at, "", "", in_use=False),
        )
    )
    assert (listed.under, listed.in_use) == ("a price list by Owner · 0af1", True)
    assert unknown.under == "published · 0af2"
    assert "2026" in listed.title

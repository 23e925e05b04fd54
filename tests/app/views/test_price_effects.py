"""What a price list does to costs and margins, in the owner's words."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal

from app.price_effects import GonePart, UsedEffect, UsedPart
from app.views.price_effects import (
    LISTED,
    OPEN,
    build_used_view,
    effect_lines,
    effect_sentence,
)
from catalog.price_effects import CostMove, PriceEffect

SOUTH, NORTH = "Counter South (invented)", "Counter North (invented)"
D = Decimal
PART = UsedPart(
    part="SE-1", quoted=D(30), used=D(12), pieces=D(12), cost_before=D(10), cost=D(12),
    paid_before=D(10), paid=D(12), supplier=SOUTH, price_before=D(20), price=D(24),
    margin_before=D("0.5"), margin_kept=D("0.4"), margin=D("0.5"), dearer=D(24),
)  # fmt: skip
USED = UsedEffect(
    since=date(2025, 12, 2), until=date(2026, 12, 1), taken=9, by_quoted=False, parts=(PART,),
    gone=(), unmoved=0, pieces=D(12), cost_before=D(120), cost=D(144), price_before=D(240),
    price=D(288), margin_before=D("0.5"), margin_kept=D("0.4"), margin=D("0.5"),
)  # fmt: skip
MOVE = CostMove("SE-1", D(10), D(12), D("0.2"), D("0.5"), D("0.455"))
EFFECT = PriceEffect(
    rows=3000, rises=2000, falls=900, spread=(D("-0.05"), D("0.012"), D("0.2")),
    largest_rise=MOVE, largest_fall=None, cost_before=D(1000), cost=D(1100),
    price_before=D(2000), price=D(2150), margin_before=D("0.5"), margin_kept=D("0.45"),
    margin=D("0.4884"), margins_fall=1, worst=MOVE, under_cost=2,
)  # fmt: skip


def test_what_all_changed_rows_do_is_a_sentence() -> None:
    assert effect_sentence(EFFECT) == (
        "Over one of each of 3,000 changed parts, costs rise by 10%. 1 margin falls by a point or"
        " more, most that of SE-1: 50% to 45.5%."
    )
    steady = replace(EFFECT, rows=1, cost=D(900), worst=None, margins_fall=0)
    assert effect_sentence(steady) == (
        "Over one of each of 1 changed part, costs fall by 10%. No margin falls by a point: your"
        " prices follow your costs."
    )
    assert effect_sentence(replace(EFFECT, rises=0, falls=0)) == "No cost changes."


def test_the_figures_of_all_changed_rows() -> None:
    assert dict(effect_lines(EFFECT)) == {
        "Costs": "2,000 rise, 900 fall, 100 stay",
        "Change of cost": (
            "10 of 100 at \N{MINUS SIGN}5% or below, half at +1.2%, 90 of 100 at +20%"
        ),
        "Largest rise": "SE-1: $10.00 → $12.00, +20%",
        "Largest fall": "none",
        "Cost, one of each": "$1,000.00 → $1,100.00",
        "Price as it follows": "$2,000.00 → $2,150.00",
        "Gross margin": "50% today; 45% if your prices stay, 48.8% as they follow",
        "Below cost": "2 parts sell below cost if your prices stay",
    }
    assert "Below cost" not in dict(effect_lines(replace(EFFECT, under_cost=0)))
    assert effect_lines(replace(EFFECT, rows=0)) == ()


def test_a_used_part_says_how_many_and_what_it_costs_more() -> None:
    view = build_used_view(USED, SOUTH)
    assert view.said == (
        "The list moves what you pay or ask for 1 of the 9 parts in your quotes since December 2,"
        " 2025. The 12 pieces of accepted repairs come to $24.00 more at cost.",
        "Gross margin on them: 50% today; 40% if your prices stay, 50% as they follow.",
    )
    (row,) = view.open_rows
    assert (row.part, row.tag, row.tone) == ("SE-1", "costs $24.00 more a year", "check")
    assert dict(row.figures) == {
        "Used": "12 of 30 quoted",
        "You pay": "$10.00 → $12.00",
        "Your price": "$20.00 → $24.00",
    }
    assert row.under == ("Margin 50% today; 40% if your prices stay, 50% as they follow.",)
    assert (view.more_head, view.more_rows, view.gone_head, view.gone) == ("", (), "", ())


def test_a_used_part_says_where_it_is_bought_if_that_changes() -> None:
    def under(**changes: object) -> str:
        (row,) = build_used_view(
            replace(USED, parts=(replace(PART, **changes),)), SOUTH  # type: ignore[arg-type]
        ).open_rows  # fmt: skip
        return row.under[-1]

    assert under(supplier=NORTH) == f"{NORTH} is the cheapest then; this list asks $12.00."
    assert under(cost_before=None) == f"New with {SOUTH}, and the cheapest."
    assert under(cost_before=D(11)) == f"{SOUTH} becomes the cheapest."


def test_without_an_accepted_repair_that_is_said_and_the_quoted_pieces_count() -> None:
    part = replace(PART, used=D(0), pieces=D(1), quoted=D(1), dearer=D(-2))
    view = build_used_view(
        replace(USED, by_quoted=True, parts=(part,), pieces=D(1), cost=D(118), unmoved=2), SOUTH
    )
    assert view.said[0].endswith(
        "No accepted repair is known; the 1 piece quoted would come to $2.00 less at cost."
    )
    assert view.said[-1] == (
        "2 more parts of your quotes change in the list, and nothing that you pay or ask with it."
    )
    assert view.open_rows[0].figures[0] == ("Quoted", "1")
    assert (view.open_rows[0].tag, view.open_rows[0].tone) == ("saves $2.00 a year", "good")


def test_no_quote_and_no_part_that_moves_are_said() -> None:
    none = replace(USED, taken=0, parts=())
    assert build_used_view(none, SOUTH).said == ("No quote since December 2, 2025 holds a part.",)
    still = replace(USED, taken=1, parts=(), unmoved=1)
    assert build_used_view(still, SOUTH).said == (
        "The list moves nothing that you pay or ask for the 1 part in your quotes since"
        " December 2, 2025.",
        "1 more part of your quotes changes in the list, and nothing that you pay or ask with it.",
    )
    unused = replace(USED, pieces=D(0), cost=D(0), cost_before=D(0), price_before=D(0))
    assert build_used_view(unused, SOUTH).said == (
        "The list moves what you pay or ask for 1 of the 9 parts in your quotes since December 2,"
        " 2025. No accepted repair took one of them.",
    )


def test_many_used_parts_open_on_a_tap() -> None:
    view = build_used_view(replace(USED, parts=(PART,) * (OPEN + 3)), SOUTH)
    assert (len(view.open_rows), len(view.more_rows)) == (OPEN, 3)
    assert view.more_head == "3 more parts that you use"
    view = build_used_view(replace(USED, parts=(PART,) * (LISTED + 40)), SOUTH)
    assert len(view.more_rows) == LISTED - OPEN
    assert view.more_head == "235 more parts that you use, the first 195 of them"


def test_used_parts_that_the_list_leaves_out() -> None:
    gone = (
        GonePart("SE-2", D(4), D(3), D(10), None, ""),
        GonePart("SE-3", D(4), D(1), D(10), D(11), NORTH),
    )
    view = build_used_view(replace(USED, gone=gone), SOUTH)
    assert view.gone_head == (
        "2 parts that you use and buy here are not in the list. If it is the whole list:"
    )
    assert view.gone == (
        "SE-2 (used 3 of 4 quoted): nobody else offers it.",
        f"SE-3 (used 1 of 4 quoted): $10.00 → $11.00, from {NORTH}.",
    )
    quoted = build_used_view(replace(USED, gone=gone[:1], by_quoted=True), SOUTH)
    assert quoted.gone_head.startswith("1 part that you use and buy here is not in the list.")
    assert quoted.gone == ("SE-2 (quoted 4): nobody else offers it.",)

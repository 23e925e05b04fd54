"""The labor rate built up from a year's figures."""

from __future__ import annotations

from decimal import Decimal

import pytest

from app.desk.labor import build_labor_rate, labor_sheet_from
from estimator.errors import InputTrouble
from estimator.money import to_cents

YEAR = {
    "workers": "2",
    "wage_per_h": "30",
    "paid_hours": "2000",
    "billable_hours": "1200",
    "burden": {"payroll tax": "0.08", "compensation insurance": "0.12"},
    "burden_per_year": {"health": "6000"},
    "overhead": {"rent": "24000", "vans": "36000"},
    "target_margin": "0.25",
}


def test_labor_rate_against_remodeling_magazine() -> None:
    """Labor-only jobs: 20.00 $/h with 56.5 % burden, 175,000 over 1,912 h times 4.5 workers."""
    built = build_labor_rate(
        labor_sheet_from(
            {
                "workers": "4.5",
                "wage_per_h": "20.00",
                "paid_hours": "1912",
                "billable_hours": "1912",
                "burden": {"burden": "0.565"},
                "overhead": {"overhead": "175000"},
            },
            "as printed",
        )
    )
    assert built.rate.rate_per_h == Decimal("51.64")
    assert [(it.name, it.per_h) for it in built.parts] == [
        ("Wages of billed hours", Decimal("20.00")),
        ("burden", Decimal("11.30")),
        ("overhead", Decimal("20.34")),
    ]


def test_every_part_is_shown_and_they_add_up() -> None:
    built = build_labor_rate(labor_sheet_from(YEAR, "x"))
    # By hand: wages 120,000; burden 24,000 + 12,000; overhead 60,000; over 2,400 h; over 0.75.
    assert built.rate.rate_per_h == to_cents(Decimal(216_000) / 2400 / Decimal("0.75"))
    assert built.rate.rate_per_h == Decimal("120.00")
    assert {it.name: it.per_h for it in built.parts} == {
        "Wages of billed hours": Decimal("30.00"),
        "Wages of hours paid and not billed": Decimal("20.00"),
        "payroll tax": Decimal("4.00"),
        "compensation insurance": Decimal("6.00"),
        "health": Decimal("5.00"),
        "rent": Decimal("10.00"),
        "vans": Decimal("15.00"),
        "Margin": Decimal("30.00"),
    }
    assert sum(it.per_h for it in built.parts) == Decimal("120.00")


def test_more_billable_hours_make_a_cheaper_hour() -> None:
    rate = build_labor_rate(labor_sheet_from(YEAR, "x")).rate
    prices = [it.rate_per_h for it in rate.sensitivity]
    assert prices == sorted(prices, reverse=True)
    assert prices[0] == Decimal("150.00")


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (
            {"billable_hours": "2001"},
            "More hours are billed (2001) than paid (2000) in x; give billable_hours and "
            "paid_hours of one worker in a year.",
        ),
        ({"billable_hours": "0"}, 'billable_hours is "0" in x; it must be above 0.'),
        ({"wage_per_h": "0"}, 'wage_per_h is "0" in x; it must be above 0.'),
        ({"target_margin": "1"}, 'target_margin is "1" in x; it must be below 1.'),
        ({"overheads": {}}, 'The key "overheads" is not known in x; did you mean "overhead"?'),
        ({"burden": {"tax": "6"}}, 'burden.tax is "6" in x; it must be 5 or less.'),
    ],
)
def test_what_cannot_be_is_refused_in_words(change: dict[str, object], said: str) -> None:
    with pytest.raises(InputTrouble) as told:
        labor_sheet_from({**YEAR, **change}, "x")
    assert str(told.value) == f"{said} Correct this and try again."

"""The verdict: stops, fit, money, chance; and the words of it."""

from __future__ import annotations

from decimal import Decimal

import pytest

from estimator.cautions import Stop
from estimator.verdict import OpenReplacement, Verdict, VerdictKind, Weighing, judge

D = Decimal
NEW = OpenReplacement(name="40 gal tank, invented", price=D("1800.00"), lcc=5178.39)
LEAK = Stop(code="tank_leak", why="The tank leaks", what_to_do="Turn off the gas.")
SPILL = Stop(
    code="flue_spills_or_co",
    why="Flue gas spills",
    what_to_do="Correct the vent.",
    closes_replacement=True,
)


def weighing(**changes: object) -> Weighing:
    values = {
        "repair_price": D("280.00"),
        "repair_lcc": 4878.35,
        "break_even_price": D("580.04"),
        "replacement": NEW,
        "indifference_band": D(150),
        "age_years": 8.0,
        "mean_life_years": 13.0,
    }
    return Weighing.model_validate(values | changes)


def verdict(**changes: object) -> Verdict:
    return judge(weighing(**changes))


def test_repair_where_it_costs_less_by_more_than_the_band() -> None:
    given = verdict(break_even_age_years=11.3, best_planned_year=5, best_planned_saves=D("42.10"))
    assert given.kind is VerdictKind.REPAIR
    assert given.reasons == (
        "Repairing is expected to cost $300 less than replacing over the years compared.",
        "Once repaired, replacing it on plan in 5 years costs least, "
        "$42 less than waiting for it to fail.",
    )
    assert given.turns_at == (
        "Replacing would be the cheaper path if the repair cost more than $580.04; "
        "it is quoted at $280.00.",
        "With all else the same, the two paths cost the same at an age of 11.3 years; "
        "this heater is 8.0.",
    )


def test_replace_where_it_costs_less_by_more_than_the_band() -> None:
    given = verdict(
        repair_price=D("900.00"), repair_lcc=5498.35, best_planned_year=2, best_planned_saves=D(9)
    )
    assert given.kind is VerdictKind.REPLACE
    assert given.reasons == (
        "Replacing is expected to cost $320 less than repairing over the years compared.",
    )
    assert given.turns_at == (
        "Repairing would be the cheaper path at a price below $580.04; it is quoted at $900.00.",
    )


@pytest.mark.parametrize(
    ("repair_lcc", "kind"),
    [
        (5028.38, VerdictKind.REPAIR),  # 150.01 less
        (5028.39, VerdictKind.EITHER),  # 150.00 less: the band itself
        (5328.39, VerdictKind.EITHER),  # 150.00 more
        (5328.40, VerdictKind.REPLACE),  # 150.01 more
    ],
)
def test_the_edges_of_the_band_belong_to_it(repair_lcc: float, kind: VerdictKind) -> None:
    assert verdict(repair_lcc=repair_lcc).kind is kind


def test_either_says_why() -> None:
    assert verdict(repair_lcc=5100.00).reasons[0] == (
        "Repairing is expected to cost $78 less than replacing over the years compared; "
        "up to $150 counts as no difference."
    )


@pytest.mark.parametrize(
    ("repair_lcc", "chance", "kind"),
    [
        (4878.35, 0.56, VerdictKind.REPAIR),
        (4878.35, 0.55, VerdictKind.EITHER),
        (4878.35, 0.30, VerdictKind.EITHER),  # the mean and the odds disagree
        (5498.35, 0.44, VerdictKind.REPLACE),
        (5498.35, 0.45, VerdictKind.EITHER),
        (5498.35, 0.70, VerdictKind.EITHER),
    ],
)
def test_the_chance_must_point_the_same_way(
    repair_lcc: float, chance: float, kind: VerdictKind
) -> None:
    assert verdict(repair_lcc=repair_lcc, chance_repair_cheaper=chance).kind is kind


def test_chance_and_deciding_inputs_are_said() -> None:
    given = verdict(chance_repair_cheaper=0.52, deciding=("the life left", "the gas price"))
    assert given.kind is VerdictKind.EITHER
    assert given.reasons[:3] == (
        "Repairing is expected to cost $300 less than replacing over the years compared, "
        "but that is not sure enough to call.",
        "Repairing turns out cheaper in 52 of 100 likely futures.",
        "What decides most: the life left, the gas price.",
    )


def test_no_repair_price_would_help_where_break_even_is_below_nothing() -> None:
    given = verdict(repair_lcc=6000.0, break_even_price=D("-541.61"))
    assert given.turns_at == ("Even a repair that cost nothing would not be the cheaper path.",)


def test_running_to_failure_is_said_where_no_plan_saves() -> None:
    given = verdict(best_planned_year=3, best_planned_saves=D("-4"))
    assert given.reasons[1] == "Once repaired, running the heater until it fails costs least."


def test_a_stop_closes_repair_whatever_the_money_says() -> None:
    given = verdict(stops=(LEAK,), repair_lcc=0.0, repair_price=D(0))
    assert given == Verdict(
        kind=VerdictKind.CLOSED,
        reasons=(
            "The tank leaks. Turn off the gas.",
            "Repair is closed as things stand. To replace the heater: 40 gal tank, invented "
            "at $1,800.00.",
        ),
    )


def test_a_stop_on_both_paths_says_what_comes_first() -> None:
    given = verdict(stops=(SPILL,))
    assert given.kind is VerdictKind.CLOSED
    assert given.reasons == (
        "Flue gas spills. Correct the vent.",
        "A new heater may not be lit either until that is corrected; after that, replacing it "
        "would be with 40 gal tank, invented at $1,800.00.",
    )


def test_no_part_that_fits_closes_repair_for_today() -> None:
    given = verdict(no_part_reason="the gas control is no longer made.")
    assert given.kind is VerdictKind.CLOSED
    assert given.reasons[0] == (
        "No part that fits can be had today: the gas control is no longer made."
    )


def test_both_paths_closed_is_said() -> None:
    given = verdict(
        stops=(LEAK,), replacement=None, replacement_closed_reason="no vent for any on the list"
    )
    assert given.kind is VerdictKind.CLOSED
    assert given.reasons[-1] == (
        "No replacement may go here either as things stand: no vent for any on the list."
    )


def test_repair_where_no_replacement_is_open() -> None:
    given = verdict(replacement=None, break_even_price=None)
    assert given.kind is VerdictKind.REPAIR
    assert given.reasons == ("No replacement may go here as things stand: none is on the list.",)
    assert given.rules_of_thumb == ()


@pytest.mark.parametrize(
    ("price", "age", "says"),
    [
        ("900.00", 13.0, ("repair", "repair")),  # half and mean life themselves
        ("900.01", 13.1, ("replace", "replace")),
        ("280.00", 20.0, ("repair", "replace")),
    ],
)
def test_rules_of_thumb_stand_beside_the_verdict(
    price: str, age: float, says: tuple[str, str]
) -> None:
    given = verdict(repair_price=D(price), age_years=age)
    assert tuple(rule.says.value for rule in given.rules_of_thumb) == says
    assert given.kind is VerdictKind.REPAIR, "the rules never make the verdict"


def test_the_words_of_the_rules_of_thumb() -> None:
    half, past = verdict().rules_of_thumb
    assert half.why == "The repair at $280.00 is no more than half of a new heater at $1,800.00."
    assert past.why == "The heater is 8.0 years old; heaters like it live 13.0 years on average."

"""What holds for every verdict."""

from __future__ import annotations

from decimal import Decimal

from hypothesis import assume, given
from hypothesis import strategies as st

from estimator.cautions import Stop
from estimator.money import from_float
from estimator.priced_job import Job
from estimator.pricing import price_job
from estimator.rates import RateSheet
from estimator.supply import Operation
from estimator.verdict import OpenReplacement, VerdictKind, Weighing, judge

TOWARD_REPLACE = {VerdictKind.REPAIR: 0, VerdictKind.EITHER: 1, VerdictKind.REPLACE: 2}
CENTS = st.integers(0, 500_000).map(lambda cents: Decimal(cents) / 100)
BANDS = st.integers(0, 50_000).map(lambda cents: Decimal(cents) / 100)


def weigh(
    price: Decimal,
    running: float,
    replacement_lcc: float,
    band: Decimal,
    chance: float | None = None,
    **changes: object,
) -> Weighing:
    """A weighing derived as the engine derives it: the repair price adds to its path one to one."""
    repair_lcc = float(price) + running
    values = {
        "repair_price": price,
        "repair_lcc": repair_lcc,
        "break_even_price": from_float(float(price) + replacement_lcc - repair_lcc),
        "replacement": OpenReplacement(name="New", price=Decimal(1800), lcc=replacement_lcc),
        "indifference_band": band,
        "chance_repair_cheaper": chance,
        "age_years": 8.0,
        "mean_life_years": 13.0,
    }
    return Weighing.model_validate(values | changes)


@given(
    CENTS,
    CENTS,
    st.floats(0, 9000),
    st.floats(0, 9000),
    BANDS,
    st.none() | st.lists(st.floats(-4000, 4000), min_size=1, max_size=60),
)
def test_a_dearer_repair_never_turns_the_verdict_toward_repair(
    a: Decimal,
    b: Decimal,
    running: float,
    replacement_lcc: float,
    band: Decimal,
    draws: list[float] | None,
) -> None:
    def kind(price: Decimal) -> VerdictKind:
        chance = None
        if draws is not None:
            # common draws for both prices, as the engine has them
            gap = replacement_lcc - running - float(price)
            chance = sum(gap + draw > 0 for draw in draws) / len(draws)
        return judge(weigh(price, running, replacement_lcc, band, chance)).kind

    cheap, dear = sorted((a, b))
    assert TOWARD_REPLACE[kind(cheap)] <= TOWARD_REPLACE[kind(dear)]


@given(CENTS, st.floats(0, 9000), st.floats(0, 9000), BANDS)
def test_the_band_holds_exactly_what_differs_by_no_more(
    price: Decimal, running: float, replacement_lcc: float, band: Decimal
) -> None:
    weighing = weigh(price, running, replacement_lcc, band)
    gap = from_float(replacement_lcc - weighing.repair_lcc)
    expected = VerdictKind.EITHER
    if gap > band:
        expected = VerdictKind.REPAIR
    elif gap < -band:
        expected = VerdictKind.REPLACE
    assert judge(weighing).kind is expected


@given(CENTS, st.floats(0, 9000), st.floats(0, 9000), BANDS, st.none() | st.floats(0, 1))
def test_a_stop_or_no_part_closes_repair_whatever_the_money_says(
    price: Decimal, running: float, replacement_lcc: float, band: Decimal, chance: float | None
) -> None:
    stop = Stop(code="tank_leak", why="The tank leaks", what_to_do="Replace the heater.")
    for closing in ({"stops": (stop,)}, {"no_part_reason": "no longer made"}):
        weighing = weigh(price, running, replacement_lcc, band, chance, **closing)
        assert judge(weighing).kind is VerdictKind.CLOSED


@given(
    CENTS,
    st.floats(0, 9000),
    st.floats(0, 9000),
    BANDS,
    st.floats(0, 60),
    st.floats(1, 40),
    st.integers(0, 10_000_000),
)
def test_rules_of_thumb_never_make_the_verdict(
    price: Decimal,
    running: float,
    replacement_lcc: float,
    band: Decimal,
    age: float,
    mean: float,
    new_price: int,
) -> None:
    plain = judge(weigh(price, running, replacement_lcc, band))
    other = weigh(
        price,
        running,
        replacement_lcc,
        band,
        age_years=age,
        mean_life_years=mean,
        replacement=OpenReplacement(
            name="New", price=Decimal(new_price) / 100, lcc=replacement_lcc
        ),
    )
    assert judge(other).kind is plain.kind
    assert judge(other).reasons == plain.reasons


@given(
    st.decimals("0.1", "8", places=2),
    st.decimals("0", "90", places=2),
    st.decimals("0", "90", places=2),
    st.floats(0, 9000),
    st.floats(0, 9000),
)
def test_what_a_job_costs_the_shop_never_alters_the_verdict(
    hours: Decimal, cost_a: Decimal, cost_b: Decimal, running: float, replacement_lcc: float
) -> None:
    assume(abs(cost_a - cost_b) * hours >= Decimal("0.01"))

    def outcome(cost_per_h: Decimal) -> tuple[object, object]:
        rates = RateSheet.model_validate(
            {
                "shop": {"name": "Invented shop"},
                "labor": {
                    "regular_per_h": 120,
                    "after_hours_per_h": 180,
                    "cost_per_h": cost_per_h,
                },
                "trip": {"amount": 89},
                "parts": {"target_margin": "0.5"},
                "quote": {"margin_floor": "0.5"},
                "fuel_prices": {
                    "natural_gas_per_therm": 1.5,
                    "propane_per_gal": 2.8,
                    "electricity_per_kwh": 0.17,
                },
            }
        )
        job = Job(name="J", operations=(Operation(slug="op", name="Operation", hours=hours),))
        priced, margin = price_job(job, rates)
        weighing = weigh(priced.total, running, replacement_lcc, Decimal(150))
        return judge(weighing), margin

    (verdict_a, margin_a), (verdict_b, margin_b) = outcome(cost_a), outcome(cost_b)
    assert verdict_a == verdict_b
    assert margin_a != margin_b, "the costs did differ"


def test_no_input_of_the_verdict_is_a_cost_or_a_margin() -> None:
    names = {*Weighing.model_fields, *OpenReplacement.model_fields, *Stop.model_fields}
    assert not [name for name in names if "margin" in name or "unit_cost" in name]

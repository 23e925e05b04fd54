"""Random futures: each one against a plain loop, and what they must keep to."""

import numpy as np
import pytest

from estimator.comparison import Challenger, Defender, Terms
from estimator.draws import (
    LIVES_ALONE,
    Spread,
    Stream,
    fuel_price_paths,
    mean_one_factor,
    repairs_to_come,
    stream,
)
from estimator.errors import InputTrouble
from estimator.survival import LifeDistribution, conditional_survival, mean_life_left
from estimator.uncertainty import draw_futures

YEARS = 12
TANK = LifeDistribution(shape=2.0, scale_years=12.0, delay_years=1.0)
SHORT = LifeDistribution(shape=1.3, scale_years=3.0)


def unit(kind=Challenger, **changed):
    values = {
        "name": "like for like",
        "life": TANK,
        "energy_cost_per_year": 265.0,
        "price_indices": tuple(1.01**j for j in range(1, YEARS + 1)),
        "upkeep_per_year": 20.0,
        "later_repairs_per_year": 0.03,
        "later_repair_price": 240.0,
        "installed_price": 1800.0,
    }
    return kind(**(values | changed))


def defender(**changed):
    values = {
        "name": "in place",
        "energy_cost_per_year": 310.0,
        "later_repairs_per_year": 0.06,
        "age_years": 8.0,
        "repair_price": 280.0,
    }
    return unit(Defender, **(values | changed))


TERMS = Terms(years=YEARS, urgency_premium=0.15, failure_damage=150.0)


def plain_costs(kept, challengers, terms, spread, draws, seed):
    """Cumulative cost and life-cycle cost of each future, one year after another.

    Takes only the random numbers from the estimator; returns the repair path first, which
    renews with the first challenger.
    """
    years = terms.years
    lives = stream(seed, Stream.LIVES)
    luck = [lives.random(draws) for _ in range(years + 3)]
    fuel = fuel_price_paths(
        stream(seed, Stream.FUEL_PRICE), spread.fuel_price_deviation, years, draws
    )
    drawn = mean_one_factor(
        stream(seed, Stream.HOT_WATER_DRAW), spread.hot_water_draw_deviation, draws
    )
    price = mean_one_factor(
        stream(seed, Stream.INSTALLED_PRICE), spread.installed_price_deviation, draws
    )
    highest = max(each.later_repairs_per_year for each in (kept, *challengers))
    repairs = repairs_to_come(stream(seed, Stream.LATER_REPAIRS), highest, years, draws)
    marks = {}
    for year, draw, mark in zip(*repairs, strict=True):
        marks.setdefault((int(year), int(draw)), []).append(float(mark))

    def one(draw, running, first_cost, later, number):
        rate, rise = terms.real_discount_rate, terms.install_price_escalation
        age = running.age_years if isinstance(running, Defender) else 0.0
        age_then, bought, total = age, 0, first_cost
        paid = [total]
        for year in range(1, years + 1):
            energy = running.energy_cost_per_year * (1 + terms.aging) ** (age + year - 1 - bought)
            energy *= running.price_indices[year - 1] * fuel[year - 1, draw]
            energy *= 1 + spread.energy_with_draw * (drawn[draw] - 1)
            mended = sum(m < running.later_repairs_per_year for m in marks.get((year, draw), []))
            spent = energy + running.upkeep_per_year + mended * running.later_repair_price
            alive = conditional_survival(running.life, age_then, float(year - bought))
            if luck[number][draw] >= alive:
                new = later.installed_price * price[draw] * (1 + rise) ** year
                spent += new * (1 + terms.urgency_premium) + terms.failure_damage
                running, age, age_then, bought, number = later, 0.0, 0.0, year, number + 1
            total += spent * (1 + rate) ** -year
            paid.append(total)
        left = mean_life_left(running.life, age + years - bought) / mean_life_left(
            running.life, 0.0
        )
        worth = running.installed_price * price[draw] * (1 + rise) ** years * left
        return paid, total - worth * (1 + rate) ** -years

    paths = [(kept, kept.repair_price, challengers[0], 0)]
    paths += [(each, each.installed_price - each.incentives, each, 1) for each in challengers]
    return [[one(draw, *path) for draw in range(draws)] for path in paths]


@pytest.mark.parametrize(
    ("terms", "kept"),
    [
        (TERMS, defender()),
        (
            TERMS.model_copy(update={"aging": 0.01, "install_price_escalation": 0.02}),
            defender(life=SHORT, price_indices=tuple(1.03**j for j in range(YEARS))),
        ),
        (TERMS.model_copy(update={"years": 1}), defender(age_years=30.5)),
    ],
    ids=["plain", "aging-short-lives", "one-year"],
)
def test_every_future_against_a_plain_loop(terms, kept):
    spread = Spread(
        fuel_price_deviation=0.1, hot_water_draw_deviation=0.3, installed_price_deviation=0.2
    )
    challengers = [
        unit(life=SHORT if terms.aging else TANK, later_repairs_per_year=0.5),
        unit(name="dear", installed_price=4000.0, energy_cost_per_year=240.0, incentives=100.0),
    ]
    if terms.aging:
        challengers[0] = challengers[0].model_copy(update={"installed_price": 150.0})
        terms = terms.model_copy(update={"failure_damage": 0.0})
    futures = draw_futures(kept, challengers, terms, spread, draws=300, seed=7)
    assert futures.cheapest == challengers[0].name
    expected = plain_costs(kept, challengers, terms, spread, 300, 7)
    lcc = [np.array([cost for _, cost in path]) for path in expected]
    for at, path in enumerate((futures.repair, *futures.challengers)):
        assert path.mean == pytest.approx(lcc[at].mean(), rel=1e-11)
        assert path.standard_error == pytest.approx(lcc[at].std(ddof=1) / 300**0.5, rel=1e-9)
        by_year = np.sort([paid for paid, _ in expected[at]], axis=0)[[29, 149, 269]].T
        shown = [[band.low, band.middle, band.high] for band in path.by_year]
        np.testing.assert_allclose(shown, by_year, rtol=1e-11)
        ordered = np.sort(lcc[at])[[29, 149, 269]]
        band = [path.lcc.low, path.lcc.middle, path.lcc.high]
        np.testing.assert_allclose(band, ordered, rtol=1e-11)
        if at:
            assert path.chance_repair_cheaper == np.mean(lcc[0] < lcc[at])
    assert futures.chance_repair_cheaper == futures.challengers[0].chance_repair_cheaper


def test_the_same_seed_gives_the_same_futures_and_another_one_others():
    once = draw_futures(defender(), [unit()], TERMS, draws=500, seed=3)
    assert draw_futures(defender(), [unit()], TERMS, draws=500, seed=3) == once
    assert draw_futures(defender(), [unit()], TERMS, draws=500, seed=4).repair != once.repair


def test_a_spread_turned_on_leaves_the_lives_as_they_were():
    kept, new = (
        each.model_copy(update={"energy_cost_per_year": 0.0}) for each in (defender(), unit())
    )
    alone = draw_futures(kept, [new], TERMS, LIVES_ALONE, draws=500)
    fuel = LIVES_ALONE.model_copy(
        update={"fuel_price_deviation": 0.3, "hot_water_draw_deviation": 0.3}
    )
    assert draw_futures(kept, [new], TERMS, fuel, draws=500).repair == alone.repair
    price = LIVES_ALONE.model_copy(update={"installed_price_deviation": 0.3})
    assert draw_futures(kept, [new], TERMS, price, draws=500).repair != alone.repair


def test_bands_are_one_a_year_in_order_and_begin_with_todays_price():
    futures = draw_futures(defender(), [unit(incentives=100.0)], TERMS, draws=500)
    for path, first in ((futures.repair, 280.0), (futures.challengers[0], 1700.0)):
        assert len(path.by_year) == YEARS + 1
        assert path.by_year[0].low == path.by_year[0].high == first
        middles = [band.middle for band in path.by_year]
        assert middles == sorted(middles)
        assert all(band.low <= band.middle <= band.high for band in path.by_year)
        assert path.lcc.low < path.lcc.middle < path.lcc.high


def test_a_dearer_repair_is_never_more_often_the_cheaper_path():
    chances = [
        draw_futures(defender(repair_price=price), [unit()], TERMS, draws=500).chance_repair_cheaper
        for price in (0.0, 200.0, 600.0, 1200.0, 50_000.0)
    ]
    assert chances == sorted(chances, reverse=True)
    assert chances[0] > 0.5
    assert chances[-1] == 0.0


def test_a_wider_spread_widens_the_band_of_each_path():
    def width(**changed):
        spread = LIVES_ALONE.model_copy(update=changed)
        lcc = draw_futures(defender(), [unit()], TERMS, spread, draws=2000).repair.lcc
        return lcc.high - lcc.low

    alone = width()
    assert width(fuel_price_deviation=0.2) > 1.05 * alone
    assert width(hot_water_draw_deviation=0.4) > 1.05 * alone


def test_chance_is_given_against_the_cheapest_challenger():
    dear = unit(name="dear", installed_price=6000.0)
    futures = draw_futures(defender(), [dear, unit()], TERMS, draws=500)
    assert futures.cheapest == "like for like"
    assert futures.chance_repair_cheaper == futures.challengers[1].chance_repair_cheaper
    assert futures.challengers[0].chance_repair_cheaper > futures.chance_repair_cheaper
    chance = futures.chance_repair_cheaper
    assert futures.chance_standard_error == pytest.approx((chance * (1 - chance) / 500) ** 0.5)


@pytest.mark.parametrize(
    ("changed", "message"),
    [
        (
            {"draws": 99},
            "The number of draws is 99; it must be from 100 to 100,000. "
            "Give another number; 10,000 is usual.",
        ),
        (
            {"draws": 100_001},
            "The number of draws is 100,001; it must be from 100 to 100,000. "
            "Give another number; 10,000 is usual.",
        ),
        (
            {"seed": -1},
            "The seed of the draws is -1; it must be 0 or more. Give another seed.",
        ),
        (
            {"draws": 100_000, "challengers": [unit(later_repairs_per_year=5.0)]},
            "like for like needs 5 repairs a year, which comes to more than 5,000,000 in "
            "100,000 draws of 12 years. Give fewer repairs a year, or fewer draws.",
        ),
        (
            {"challengers": []},
            "There is no challenger to compare with. "
            "Give at least one heater that could replace the one in place.",
        ),
        (
            {"challengers": [unit(price_indices=(1.0,))]},
            "like for like has 1 price indices for a study of 12 years; "
            "it must have one for each year. Give more indices or a shorter study period.",
        ),
    ],
)
def test_what_cannot_be_drawn_is_refused_in_plain_words(changed, message):
    given = {"defender": defender(), "challengers": [unit()], "terms": TERMS} | changed
    with pytest.raises(InputTrouble) as refused:
        draw_futures(**given)
    assert str(refused.value) == message

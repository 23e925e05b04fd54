"""A finding in doubt: worked by hand, by simulation, and by trying every order."""

from itertools import permutations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from estimator.doubt import BeingWrong, PossibleFinding, cheapest_order, doubtful_repair
from estimator.errors import InputTrouble

NEVER_REPLACED = 1e9


def finding(name, weight, price):
    return PossibleFinding(name=name, weight=weight, repair_price=price)


ELEMENT = finding("element_worn", 3.0, 200.0)
CONTROL = finding("control_magnet", 1.0, 500.0)
LEAK = finding("tank_leak", 1.0, None)
COMING_BACK = BeingWrong(second_visit_price=80.0, restock_price=20.0)


def test_two_findings_worked_by_hand():
    """Three in four 200; one in four 80 + 20 for being wrong, then 500. After it 4,000."""
    cost = doubtful_repair([ELEMENT, CONTROL], 4000.0, NEVER_REPLACED, COMING_BACK)
    assert cost.tried == ("element_worn", "control_magnet")
    assert cost.lcc == pytest.approx(0.75 * 4200 + 0.25 * 4600)
    assert cost.lcc_if_known == pytest.approx(0.75 * 4200 + 0.25 * 4500)
    assert cost.doubt_cost == pytest.approx(25.0)
    assert cost.chance_first_is_right == 0.75
    assert cost.chance_replaced == 0.0
    assert cost.dearest_price == 600.0


def test_a_share_of_the_wrong_repair_that_is_kept_is_paid():
    kept = BeingWrong(second_visit_price=80.0, price_kept=0.5)
    cost = doubtful_repair([ELEMENT, CONTROL], 4000.0, NEVER_REPLACED, kept)
    assert cost.lcc == pytest.approx(0.75 * 4200 + 0.25 * (80 + 100 + 4500))


def test_after_a_wrong_attempt_the_cheaper_of_going_on_and_replacing_is_taken():
    """Going on would cost 4,500, replacing 4,300: after the wrong first, replace."""
    cost = doubtful_repair([ELEMENT, CONTROL], 4000.0, 4300.0, COMING_BACK)
    assert cost.tried == ("element_worn",)
    assert cost.chance_replaced == pytest.approx(0.25)
    assert cost.lcc == pytest.approx(0.75 * 4200 + 0.25 * (100 + 4300))
    assert cost.lcc_if_known == pytest.approx(0.75 * 4200 + 0.25 * 4300)
    assert cost.dearest_price == 200.0
    assert doubtful_repair([ELEMENT, CONTROL], 4000.0, 4501.0, COMING_BACK).chance_replaced == 0.0


def test_a_finding_that_no_repair_mends_ends_in_replacing():
    cost = doubtful_repair([ELEMENT, LEAK], 4000.0, 5000.0, COMING_BACK)
    assert cost.tried == ("element_worn",)
    assert cost.chance_replaced == pytest.approx(0.25)
    assert cost.lcc == pytest.approx(0.75 * 4200 + 0.25 * 5100)
    assert cost.doubt_cost == pytest.approx(25.0)


def test_one_certain_finding_has_no_doubt():
    cost = doubtful_repair([ELEMENT], 4000.0, 5000.0, COMING_BACK)
    assert cost.lcc == cost.lcc_if_known == 4200.0
    assert (cost.doubt_cost, cost.chance_first_is_right, cost.chance_replaced) == (0.0, 1.0, 0.0)


FINDINGS = st.lists(
    st.tuples(st.floats(0.1, 10), st.one_of(st.none(), st.floats(0, 900))), min_size=1, max_size=4
).filter(lambda given: any(price is not None for _, price in given))
WRONG = st.builds(
    BeingWrong,
    second_visit_price=st.floats(0, 200),
    restock_price=st.floats(0, 100),
    price_kept=st.floats(0, 1),
)


def named(given):
    return [finding(f"finding {at}", *each) for at, each in enumerate(given)]


@settings(max_examples=150, deadline=None)
@given(FINDINGS, st.floats(0, 6000), st.floats(0, 6000), WRONG)
def test_doubt_never_pays_and_shares_add_up(given_findings, after, replace, wrong):
    cost = doubtful_repair(named(given_findings), after, replace, wrong)
    assert cost.doubt_cost >= -1e-6
    assert 0 < cost.chance_first_is_right <= 1
    assert 0 <= cost.chance_replaced < 1
    later = doubtful_repair(named(given_findings), after, replace, BeingWrong())
    assert later.lcc <= cost.lcc + 1e-6


@settings(max_examples=60, deadline=None)
@given(FINDINGS, st.floats(3000, 6000), st.floats(3000, 6000), WRONG)
def test_expected_cost_against_every_place_to_stop(given_findings, after, replace, wrong):
    """The least over all numbers of attempts, each cost by going through the true findings."""
    findings = named(given_findings)
    mendable = [each for each in findings if each.repair_price is not None]
    total = sum(each.weight for each in findings)

    def cost_of(attempts):
        expected = 0.0
        for true in findings:
            paid = 0.0
            for tried in mendable[:attempts]:
                if tried is true:
                    paid += true.repair_price + after
                    break
                paid += (
                    wrong.second_visit_price
                    + wrong.restock_price
                    + wrong.price_kept * tried.repair_price
                )
            else:
                paid += replace
            expected += true.weight / total * paid
        return expected

    least = min(cost_of(attempts) for attempts in range(1, len(mendable) + 1))
    ours = doubtful_repair(findings, after, replace, wrong)
    assert ours.lcc == pytest.approx(least, rel=1e-9)
    assert ours.lcc == pytest.approx(cost_of(len(ours.tried)), rel=1e-9)


@settings(max_examples=60, deadline=None)
@given(FINDINGS, WRONG)
def test_cheapest_order_against_every_order(given_findings, wrong):
    findings = named(given_findings)

    def cost(order):
        return doubtful_repair(order, 4000.0, NEVER_REPLACED, wrong).lcc

    least = min(cost(order) for order in permutations(findings))
    assert cost(cheapest_order(findings, wrong)) == pytest.approx(least, rel=1e-9)


def test_expected_cost_against_a_simulation():
    findings = [ELEMENT, CONTROL, finding("limit_open", 2.0, 150.0)]
    exact = doubtful_repair(findings, 4000.0, NEVER_REPLACED, COMING_BACK).lcc
    random = np.random.default_rng(5)
    true = random.choice(3, 20_000, p=[3 / 6, 1 / 6, 2 / 6])
    paid = 4000.0 + np.array([200.0, 500.0, 150.0])[true] + 100.0 * true
    assert abs(paid.mean() - exact) < 4 * paid.std() / np.sqrt(20_000)


@pytest.mark.parametrize(
    ("findings", "message"),
    [
        (
            [ELEMENT, ELEMENT],
            "The finding element_worn is given twice. "
            "Give each finding once, with its whole weight.",
        ),
        (
            [LEAK],
            "There is no finding that a repair mends. Give at least one finding with the price "
            "of its repair, or replace the heater.",
        ),
        (
            [],
            "There is no finding that a repair mends. Give at least one finding with the price "
            "of its repair, or replace the heater.",
        ),
    ],
)
def test_what_cannot_be_weighed_is_refused_in_plain_words(findings, message):
    with pytest.raises(InputTrouble) as refused:
        doubtful_repair(findings, 4000.0, 5000.0)
    assert str(refused.value) == message

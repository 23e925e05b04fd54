"""Which choices stand on the frontier."""

from __future__ import annotations

from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from estimator.frontier import frontier

POINTS = st.lists(st.tuples(st.integers(0, 6), st.integers(0, 6)), max_size=12)


def test_the_dearer_on_both_counts_falls_out() -> None:
    assert frontier([1_500, 1_200, 1_600, 2_400], [6_000, 7_000, 6_500, 5_000]) == (1, 0, 3)


def test_equal_choices_all_stay() -> None:
    assert frontier([1, 1, 1], [2, 2, 3]) == (0, 1)


def test_no_choice_has_no_frontier() -> None:
    assert frontier([], []) == ()


@given(POINTS)
def test_what_fell_out_is_beaten_by_one_that_stays(points: list[tuple[int, int]]) -> None:
    stays = frontier([p for p, _ in points], [c for _, c in points])
    for place, (price, cost) in enumerate(points):
        beaten = any(
            points[at][0] <= price and points[at][1] <= cost and points[at] != (price, cost)
            for at in stays
        )
        assert beaten == (place not in stays)


@given(POINTS)
def test_along_the_frontier_a_lower_price_means_a_higher_cost(
    points: list[tuple[int, int]],
) -> None:
    along = sorted({points[at] for at in frontier([p for p, _ in points], [c for _, c in points])})
    assert all(a[1] > b[1] for a, b in pairwise(along))

"""Properties of the search by number and of slips, over generated numbers."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from catalog.numbers import fold, read_number, slip_between, slip_hashes

LETTERS = "ABCDEFGHJKMNPQRSTUVWXYZ0123456789"
numbers = st.text(LETTERS, min_size=4, max_size=14)


@given(numbers)
def test_reading_a_number_that_was_read_changes_nothing(number: str) -> None:
    assert read_number(read_number(number)) == read_number(number)


@given(numbers, st.sampled_from([" ", "-", ".", "/"]), st.data())
def test_dashes_spaces_and_case_change_nothing(number: str, sign: str, data: st.DataObject) -> None:
    at = data.draw(st.integers(1, len(number) - 1))
    spaced = f"{number[:at]}{sign}{number[at:]}".lower().replace("0", "o")
    assert fold(spaced) == fold(number)


@st.composite
def slipped(draw: st.DrawFn) -> tuple[str, str]:
    """A number, and what becomes of it by one slip."""
    number = draw(numbers)
    at = draw(st.integers(0, len(number) - 1))
    kind = draw(st.sampled_from(["wrong", "lost", "doubled", "extra", "swapped", "before"]))
    other = draw(st.sampled_from(LETTERS))
    if kind == "swapped" and at + 1 < len(number):
        return number, number[:at] + number[at + 1] + number[at] + number[at + 2 :]
    return number, {
        "wrong": number[:at] + other + number[at + 1 :],
        "lost": number[:at] + number[at + 1 :],
        "doubled": number[:at] + number[at] + number[at:],
        "extra": number[:at] + other + number[at:],
        "swapped": number,
        "before": draw(st.text(LETTERS, min_size=2, max_size=4)) + number,
    }[kind]


@given(slipped())
def test_one_slip_is_always_found_and_always_told(pair: tuple[str, str]) -> None:
    meant, typed = pair
    assert set(slip_hashes(meant)) & set(slip_hashes(typed))
    slip = slip_between(typed, meant)
    assert slip is not None
    assert (slip.cost == 0) == (typed == meant)


@given(numbers, numbers)
def test_a_slip_costs_nothing_only_where_nothing_slipped(one: str, other: str) -> None:
    slip = slip_between(one, other)
    if slip is not None:
        assert (slip.cost == 0) == (one == other)
        assert slip.cost < 5

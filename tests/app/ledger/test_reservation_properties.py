"""However quotes come and go: never more set aside than counted, and all of it comes back."""

from __future__ import annotations

import tempfile
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import timedelta
from itertools import pairwise
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st

from app.ledger.entries import Wish
from app.ledger.ledger import Ledger
from app.ledger.reservations import KEPT_AFTER_ACCEPTANCE_DAYS, shares
from tests.app.ledger.support import BACKENDS, NOW, fresh_url, published, quote_to_issue

TODAY = NOW.date()
PLACES = ("van-1", "branch-1", "branch-2")
PATHS = {
    "estimate": {
        "repair": {"open": True, "priced": {"name": "Replace the element"}},
        "replacements": [{"slug": "tank-40", "name": "40 gallon tank", "closed_reason": None}],
    }
}
few = st.integers(min_value=0, max_value=3)
counts = st.lists(few, min_size=1, max_size=3).map(
    lambda pieces: tuple(zip(PLACES, pieces, strict=False))
)


@given(few, counts, st.lists(few, min_size=3, max_size=3))
def test_a_wish_gets_what_is_free_nearest_first_and_no_more(
    pieces: int, counted: tuple[tuple[str, int], ...], held: list[int]
) -> None:
    taken = dict(zip(PLACES, held, strict=True))
    made = shares(Wish("INV-1", pieces, counted), taken)
    got = {place: found for place, _, found in made}
    free = {place: max(there - taken[place], 0) for place, there in counted}
    assert [place for place, _, _ in made] == [place for place in PLACES if place in got]
    assert sum(got.values()) == min(pieces, sum(free.values()))
    assert sum(wanted for _, wanted, _ in made) == min(pieces, sum(there for _, there in counted))
    for place, wanted, found in made:
        assert 0 <= found <= free[place]
        assert 0 < wanted <= dict(counted)[place]
    for near, far in pairwise(PLACES):
        if got.get(far):  # it goes on only once all that is nearer is taken
            assert got.get(near, 0) == free[near]


step = st.one_of(
    st.tuples(st.just("issue"), few),
    st.tuples(st.just("revise"), few),
    *(
        st.tuples(st.just(what), st.integers(min_value=0, max_value=7))
        for what in ("declined", "tank-40", "repair", "let go")
    ),
)


@contextmanager
def opened(backend: str) -> Iterator[Ledger]:
    with (
        tempfile.TemporaryDirectory() as folder,
        fresh_url(backend, Path(folder)) as url,
        Ledger.open(url) as ledger,
    ):
        published(ledger)
        yield ledger


@settings(max_examples=25, deadline=None)
@given(counts, st.lists(step, min_size=1, max_size=10))
def test_quotes_never_hold_more_than_is_counted_and_give_all_of_it_back(
    counted: tuple[tuple[str, int], ...], steps: list[tuple[str, int]]
) -> None:
    for backend in BACKENDS:
        with opened(backend) as ledger:
            _run(ledger, counted, steps)


def _run(
    ledger: Ledger, counted: tuple[tuple[str, int], ...], steps: list[tuple[str, int]]
) -> None:
    there = {("INV-1", place): pieces for place, pieces in counted}
    open_: list[tuple[str, int]] = []
    for what, number in steps:
        before = Counter(ledger.reservations.taken(TODAY))
        if what in ("issue", "revise"):
            revises = open_[0][0] if what == "revise" and open_ else None
            wish = Wish("INV-1", number, counted)
            made = ledger.quotes.issue(
                quote_to_issue(results=PATHS, wishes=(wish,), reserve=True, revises=revises)
            )
            open_ = [each for each in open_ if each[0] != made.number]
            open_.append((made.number, made.revision))
        elif open_:
            quote = open_[number % len(open_)]
            own = Counter(_held(ledger, quote[0]))
            if what == "let go":
                assert ledger.reservations.release(quote[0], "Tech 1", NOW) == own.total()
            else:
                open_.remove(quote)
                ledger.answers.keep(*quote, what, "A. Sample", "I agree.", "customer", "link", NOW)
            kept = own if what == "repair" else Counter()
            assert ledger.reservations.taken(TODAY) == before - own + kept
        taken = ledger.reservations.taken(TODAY)
        assert all(pieces <= there[key] for key, pieces in taken.items())
    for number, _ in open_:
        ledger.reservations.release(number, "Tech 1", NOW)
    late = TODAY + timedelta(days=KEPT_AFTER_ACCEPTANCE_DAYS + 1)
    assert ledger.reservations.taken(late) == {}


def _held(ledger: Ledger, number: str) -> dict[tuple[str, str], int]:
    found: Counter[tuple[str, str]] = Counter()
    for each in ledger.reservations.of(number):
        if each.released_at is None and each.pieces:
            found[each.part, each.place] += each.pieces
    return found

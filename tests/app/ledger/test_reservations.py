"""Stock set aside for quotes: once, moved by a revision, given back, and never twice."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from app.ledger.entries import Wish
from app.ledger.ledger import Ledger
from estimator.errors import QuoteNotFound
from tests.app.ledger.support import NOW, published, quote_to_issue, raw, replay, start_worker

TODAY = NOW.date()
UNTIL = date(2026, 6, 3)
ONE = Wish("INV-1", 1, (("van-1", 1),))
KEY = ("INV-1", "van-1")
AT_BRANCH = ("INV-1", "branch-1")
PATHS = {
    "estimate": {
        "repair": {"open": True, "priced": {"name": "Replace the element"}},
        "replacements": [{"slug": "tank-40", "name": "40 gallon tank", "closed_reason": None}],
    }
}


def issued(ledger, *wishes, reserve=True, **changes):
    return ledger.quotes.issue(
        quote_to_issue(results=PATHS, wishes=wishes or (ONE,), reserve=reserve, **changes)
    )


def answer(ledger, quote, choice):
    return ledger.answers.keep(
        quote.number, quote.revision, choice, "A. Sample", "I agree.", "customer", "link", NOW
    )


def told(ledger, number):
    """Return what the journal says of the stock of a quote, the first line first."""
    lines = ledger.journal.lines(subject=number)
    return [
        (line.action, line.detail["pieces"], line.detail.get("short"), line.detail.get("why"))
        for line in reversed(lines)
        if "pieces" in line.detail
    ]


def test_a_quote_sets_aside_only_when_it_is_told_to(ledger):
    published(ledger)
    plain = issued(ledger, reserve=False)
    silent = issued(ledger, reserve=None)
    assert ledger.reservations.taken(TODAY) == {}
    assert ledger.reservations.of(plain.number) == ledger.reservations.of(silent.number) == ()
    holding = issued(ledger)
    assert ledger.reservations.taken(TODAY) == {KEY: 1}
    [held] = ledger.reservations.of(holding.number)
    assert (held.wanted, held.pieces, held.short, held.held_until) == (1, 1, 0, UNTIL)
    assert told(ledger, holding.number) == [("reserve", 1, 0, None)]


def test_the_last_piece_is_set_aside_once_and_the_other_quote_is_issued_all_the_same(ledger):
    published(ledger)
    first, second = issued(ledger), issued(ledger)
    assert [each.pieces for each in ledger.reservations.of(first.number)] == [1]
    [missed] = ledger.reservations.of(second.number)
    assert (missed.wanted, missed.pieces, missed.short) == (1, 0, 1)
    assert told(ledger, second.number) == [("reserve", 0, 1, None)]
    assert ledger.reservations.taken(TODAY) == {KEY: 1}
    assert [held.number for held in ledger.reservations.held(TODAY)] == [first.number]


def test_a_declined_quote_gives_back_and_an_accepted_repair_keeps(ledger):
    published(ledger)
    declined, accepted, replaced = (
        issued(ledger, Wish("INV-1", 1, (("van-1", 3),))) for _ in range(3)
    )
    assert ledger.reservations.taken(TODAY) == {KEY: 3}
    answer(ledger, declined, "declined")
    answer(ledger, replaced, "tank-40")
    answer(ledger, accepted, "repair")
    assert ledger.reservations.taken(TODAY) == {KEY: 1}
    assert told(ledger, declined.number)[-1] == ("release", 1, None, "not repaired")
    assert told(ledger, replaced.number)[-1] == ("release", 1, None, "not repaired")
    assert told(ledger, accepted.number)[-1] == ("keep reserved", 1, None, "accepted")
    late = NOW.date() + timedelta(days=30)
    [held] = ledger.reservations.held(late)
    assert (held.number, held.held_until) == (accepted.number, max(late, UNTIL))


def test_an_accepted_repair_counts_past_the_days_of_its_quote(ledger):
    published(ledger)
    soon = TODAY + timedelta(days=1)
    kept, lapsed = (
        issued(ledger, Wish("INV-1", 1, (("van-1", 2),)), valid_until=soon) for _ in range(2)
    )
    answer(ledger, kept, "repair")
    after = soon + timedelta(days=1)
    assert ledger.reservations.taken(soon) == {KEY: 2}
    assert ledger.reservations.taken(after) == {KEY: 1}
    assert [held.number for held in ledger.reservations.held(after)] == [kept.number]
    assert ledger.reservations.of(lapsed.number)[0].released_at is None
    assert ledger.reservations.taken(after + timedelta(days=40)) == {}


def test_a_revision_moves_what_the_quote_held(ledger):
    published(ledger)
    first = issued(ledger)
    other = Wish("INV-2", 1, (("van-1", 1),))
    second = issued(ledger, other, reserve=None, revises=first.number)
    assert second.revision == 2
    assert ledger.reservations.taken(TODAY) == {("INV-2", "van-1"): 1}
    assert told(ledger, first.number) == [
        ("reserve", 1, 0, None), ("release", 1, None, "revised"), ("reserve", 1, 0, None),
    ]  # fmt: skip
    third = issued(ledger, ONE, reserve=False, revises=first.number)
    assert third.revision == 3
    assert ledger.reservations.taken(TODAY) == {}
    assert [held.revision for held in ledger.reservations.of(first.number)] == [1, 2]


def test_a_revision_takes_again_the_piece_that_it_gave_back(ledger):
    published(ledger)
    first = issued(ledger)
    issued(ledger, ONE, reserve=None, revises=first.number)
    assert ledger.reservations.taken(TODAY) == {KEY: 1}
    assert [held.pieces for held in ledger.reservations.of(first.number)] == [1, 1]


def test_a_second_tap_sets_nothing_aside_twice_wherever_the_parts_lie_by_then(ledger):
    published(ledger)
    draft = ledger.drafts.start("Tech 1", {}, NOW)

    def tapped(pieces):
        lies = {"parts": [{"number": "INV-1", "stock": {"van": pieces}}]}
        two = Wish("INV-1", 1, (("van-1", 2),))
        return issued(ledger, two, supply=lies, draft_id=draft.draft_id)

    first = tapped(2)
    assert tapped(1) == first
    assert ledger.reservations.taken(TODAY) == {KEY: 1}
    assert ledger.reservations.taken(TODAY, besides_draft=draft.draft_id) == {}
    assert ledger.reservations.taken(TODAY, besides_draft="another") == {KEY: 1}
    assert ledger.reservations.taken(TODAY, places=("van-2",)) == {}


def test_what_is_let_go_by_hand_is_free_and_told(ledger):
    published(ledger)
    kept = issued(ledger)
    assert ledger.reservations.release(kept.number, "Tech 1", NOW) == 1
    assert ledger.reservations.release(kept.number, "Tech 1", NOW) == 0
    assert ledger.reservations.taken(TODAY) == {}
    assert told(ledger, kept.number)[-1] == ("release", 1, None, "by hand")
    with pytest.raises(QuoteNotFound, match="There is no quote 2026-000009"):
        ledger.reservations.release("2026-000009", "Tech 1", NOW)


def test_a_reservation_changed_past_the_journal_is_found(ledger, ledger_url):
    published(ledger)
    kept = issued(ledger)
    answer(ledger, kept, "repair")
    assert ledger.verify(None).sound
    raw(ledger_url, "UPDATE reservations SET pieces = 0")
    found = [problem.message for problem in ledger.verify(None).problems]
    assert found == [f"The entry reservations {kept.number} 1 INV-1 van-1 was changed past the"
                     " journal"]  # fmt: skip


def test_an_erased_customer_leaves_the_stock_as_it_was(ledger):
    published(ledger)
    kept = issued(ledger)
    ledger.customers.erase([kept.number], [kept.customer_name], "Owner", NOW)
    assert ledger.reservations.taken(TODAY) == {KEY: 1}
    assert ledger.verify(None).sound


def test_a_copy_and_another_database_hold_the_same_stock(ledger, tmp_path):
    published(ledger)
    ledger.quotes.issue(quote_to_issue(wishes=(ONE,), reserve=True))
    ledger.back_up(tmp_path / "copy.sqlite")
    with Ledger.open(f"sqlite:///{tmp_path / 'copy.sqlite'}", create=False) as copy:
        assert copy.reservations.held(TODAY) == ledger.reservations.held(TODAY)
        assert copy.verify(replay).sound
        with Ledger.open(f"sqlite:///{tmp_path / 'other.sqlite'}") as other:
            other.take_over(copy)
            assert other.reservations.taken(TODAY) == {KEY: 1}


def test_the_van_gives_first_then_the_branch_and_all_of_it_comes_back(ledger):
    published(ledger)
    three = Wish("INV-1", 3, (("van-1", 2), ("branch-1", 2)))
    first, second = issued(ledger, three), issued(ledger, three)
    rows = [(each.place, each.wanted, each.pieces) for each in ledger.reservations.of(first.number)]
    assert rows == [("branch-1", 1, 1), ("van-1", 2, 2)]
    # One is left at the branch, and the two more that are counted are held by the first.
    rows = [
        (each.place, each.wanted, each.pieces) for each in ledger.reservations.of(second.number)
    ]
    assert rows == [("branch-1", 1, 1), ("van-1", 2, 0)]
    assert told(ledger, first.number) == [("reserve", 3, 0, None)]
    assert told(ledger, second.number) == [("reserve", 1, 2, None)]
    assert ledger.reservations.taken(TODAY) == {KEY: 2, AT_BRANCH: 2}
    assert ledger.reservations.taken(TODAY, places=("branch-1", "van-2")) == {AT_BRANCH: 2}
    answer(ledger, first, "declined")
    assert ledger.reservations.taken(TODAY) == {AT_BRANCH: 1}
    moved = issued(ledger, three, reserve=None, revises=second.number)
    assert moved.number == second.number
    assert ledger.reservations.taken(TODAY) == {KEY: 2, AT_BRANCH: 1}
    answer(ledger, moved, "tank-40")
    assert ledger.reservations.taken(TODAY) == {}
    assert ledger.verify(None).sound


def test_what_is_held_at_the_branch_lapses_with_its_quote(ledger):
    published(ledger)
    soon = TODAY + timedelta(days=1)
    issued(ledger, Wish("INV-1", 1, (("branch-1", 1),)), valid_until=soon)
    assert ledger.reservations.taken(soon) == {AT_BRANCH: 1}
    assert ledger.reservations.taken(soon + timedelta(days=1)) == {}


def test_two_programs_never_set_the_same_piece_aside(ledger, ledger_url):
    published(ledger)
    workers = [start_worker("reserve", ledger_url, f"Tech {n}", "8") for n in (1, 2)]
    said = [worker.communicate() for worker in workers]
    assert [worker.returncode for worker in workers] == [0, 0], said
    lines = [line.split() for out, _ in said for line in out.splitlines()]
    assert len(lines) == len({number for number, _ in lines}) == 16
    assert sum(int(pieces) for _, pieces in lines) == 5  # of the five that are there
    assert ledger.reservations.taken(TODAY) == {KEY: 3, AT_BRANCH: 2}
    assert ledger.verify(replay).sound

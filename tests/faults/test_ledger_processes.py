"""Several programs on one ledger, and programs that are killed while they write."""

from __future__ import annotations

import random
import signal
import time
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

import pytest

from app.ledger.ledger import Ledger
from estimator.errors import LedgerTrouble
from tests.app.ledger.support import (
    BACKENDS,
    NOW,
    fresh_url,
    published,
    quote_to_issue,
    replay,
    start_worker,
)

WRITERS = 4
EACH = 40


@pytest.fixture(params=BACKENDS)
def ledger_url(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[str]:
    with fresh_url(request.param, tmp_path) as url:
        yield url


def finished(worker) -> list[str]:
    said, errors = worker.communicate()
    assert (worker.returncode, errors) == (0, "")
    return said.splitlines()


def test_several_programs_issue_at_once_and_none_is_lost_or_there_twice(ledger_url):
    _issue_at_once(ledger_url, WRITERS, EACH)


@pytest.mark.bench
@pytest.mark.timeout(1800)
def test_eight_programs_issue_a_thousand_each(ledger_url):
    started = time.monotonic()
    _issue_at_once(ledger_url, 8, 1000)
    took = time.monotonic() - started
    print(f"\n{ledger_url.split(':')[0]}: 8 programs, 1,000 quotes each, {took:.0f} s with checks")


def _issue_at_once(ledger_url: str, writers: int, each: int) -> None:
    with Ledger.open(ledger_url) as ledger:
        published(ledger)
        started = time.monotonic()
        workers = [
            start_worker("issue", ledger_url, f"Tech {n}", str(each)) for n in range(writers)
        ]
        said = [line.split() for worker in workers for line in finished(worker)]
        rate = writers * each / (time.monotonic() - started)
        numbers = [number for number, _, _ in said]
        assert sorted(numbers) == [f"2026-{n:06d}" for n in range(1, writers * each + 1)]
        kept = ledger.quotes.listed(100_000, every_revision=True)
        assert {(quote.issued_by, quote.title) for quote in kept} == {
            (f"Tech {n}", f"Tech {n} {turn}") for n in range(writers) for turn in range(each)
        }
        assert len(kept) == writers * each
        assert ledger.drafts.every() == ()
        report = ledger.verify(replay)
        assert (report.quotes_checked, report.problems) == (writers * each, ())
        # A line for each quote and for the rate sheet, none lost and none twice.
        assert report.journal_checked == writers * each + 1
        assert len(ledger.facts.after(limit=100_000)) == writers * each
        print(f"\n{rate:.0f} quotes a second")


def test_several_programs_revise_one_quote_and_each_gets_its_own_revision(ledger_url):
    with Ledger.open(ledger_url) as ledger:
        published(ledger)
        ledger.quotes.issue(quote_to_issue())
        workers = [start_worker("revise", ledger_url, f"Tech {n}", "15") for n in range(3)]
        said = [int(line.split()[1]) for worker in workers for line in finished(worker)]
        assert sorted(said) == list(range(2, 2 + 45))
        assert [quote.revision for quote in ledger.quotes.revisions("2026-000001")] == list(
            range(1, 47)
        )
        assert ledger.verify(replay).sound


def test_several_programs_make_the_ledger_at_once(ledger_url):
    workers = [start_worker("draft", ledger_url, f"Tech {n}", "1") for n in range(4)]
    made = {line for worker in workers for line in finished(worker)}
    with Ledger.open(ledger_url, create=False) as ledger:
        assert {draft.draft_id for draft in ledger.drafts.every()} == made
        assert len(made) == 4


@pytest.mark.parametrize("point", ["1", "4", "7", "commit", "after"])
def test_every_acknowledged_quote_is_there_after_kill_9(ledger_url, point):
    """The program kills itself at a point of its third quote, whatever the machine's speed."""
    with Ledger.open(ledger_url) as ledger:
        published(ledger)
    worker = start_worker("die", ledger_url, f"Tech 1@{point}", "5")
    said, _ = worker.communicate(timeout=300)
    assert worker.returncode == -signal.SIGKILL
    acknowledged = {line.split()[0]: line.split()[2] for line in said.splitlines()}
    assert list(acknowledged) == ["2026-000001", "2026-000002"]
    done = 3 if point == "after" else 2
    with Ledger.open(ledger_url, create=False) as ledger:
        assert {each: ledger.quotes.get(each).hash for each in acknowledged} == acknowledged
        report = ledger.verify(replay)
        assert (report.quotes_checked, report.problems) == (done, ())
        assert report.journal_checked == done + 1
        assert len(ledger.facts.after()) == done
        assert ledger.quotes.issue(quote_to_issue()).number == f"2026-{done + 1:06d}"


@pytest.mark.bench
@pytest.mark.timeout(1800)
def test_every_acknowledged_quote_is_there_after_fifty_kills(ledger_url):
    _killed_often(ledger_url, 50)


def _killed_often(ledger_url: str, kills: int) -> None:
    chance = random.Random(20260504)
    acknowledged: list[tuple[str, str]] = []
    with Ledger.open(ledger_url) as ledger:
        published(ledger)
    for turn in range(kills):
        worker = start_worker("issue", ledger_url, f"Tech {turn}", "100000")
        assert worker.stdout is not None
        lines = [worker.stdout.readline()]
        time.sleep(chance.uniform(0.0, 0.25))
        worker.kill()
        lines += worker.stdout.readlines()
        worker.wait()
        # A last line without its end was cut by the kill and acknowledges nothing.
        whole = [line.split() for line in lines if line.endswith("\n")]
        acknowledged += [(number, kept_hash) for number, _, kept_hash in whole]
    assert len(acknowledged) >= kills
    with Ledger.open(ledger_url, create=False) as ledger:
        kept = {number: ledger.quotes.get(number).hash for number, _ in acknowledged}
        assert kept == dict(acknowledged)
        assert len(acknowledged) == len(kept)
        report = ledger.verify(replay)
        assert report.problems == ()
        assert report.journal_checked == report.quotes_checked + 1
        # Beyond what was acknowledged there is at most the quote under way at each kill.
        assert len(kept) <= report.quotes_checked <= len(kept) + kills
        titles = Counter(
            quote.title for quote in ledger.quotes.listed(1_000_000, every_revision=True)
        )
        assert set(titles.values()) == {1}
        # And the ledger goes on where it stopped.
        assert (
            ledger.quotes.issue(quote_to_issue()).number == f"2026-{report.quotes_checked + 1:06d}"
        )


def test_a_writer_killed_inside_its_transaction_leaves_nothing_and_no_lock(ledger_url):
    with Ledger.open(ledger_url, busy_seconds=120.0) as ledger:
        published(ledger)
        holder = start_worker("hold", ledger_url, "Tech 1", "1")
        assert holder.stdout is not None
        assert holder.stdout.readline() == "held\n"
        holder.kill()
        holder.wait()
        assert ledger.quotes.issue(quote_to_issue()).number == "2026-000001"


def test_a_ledger_locked_by_another_program_says_so_and_stays_readable(tmp_path):
    url = f"sqlite:///{tmp_path / 'ledger.db'}"
    with Ledger.open(url, busy_seconds=0.2) as ledger:
        draft = ledger.drafts.start("Tech 1", {}, NOW)
        holder = start_worker("hold", url, "Tech 2", "1")
        assert holder.stdout is not None
        assert holder.stdout.readline() == "held\n"
        try:
            with pytest.raises(LedgerTrouble) as locked:
                ledger.drafts.save(draft.draft_id, "Tech 1", "", {}, NOW)
            assert str(locked.value) == (
                f"Another program is still writing in {ledger.where}."
                " Try again; if it stays so, close the other program."
            )
            assert ledger.drafts.of(draft.draft_id) == draft
            with Ledger.open(url, create=False, busy_seconds=0.2) as second:
                assert second.drafts.every() == (draft,)
        finally:
            holder.kill()
            holder.wait()
        assert ledger.drafts.save(draft.draft_id, "Tech 1", "x", {}, NOW).step == "x"


def test_threads_of_one_program_share_a_ledger(ledger_url):
    from concurrent.futures import ThreadPoolExecutor  # noqa: PLC0415 - only here

    with Ledger.open(ledger_url, busy_seconds=300.0) as ledger:
        published(ledger)
        with ThreadPoolExecutor(8) as threads:
            kept = list(threads.map(lambda _: ledger.quotes.issue(quote_to_issue()), range(48)))
        assert len({quote.number for quote in kept}) == 48
        assert ledger.verify(replay).sound

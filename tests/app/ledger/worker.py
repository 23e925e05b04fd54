"""A second program on the same ledger, for the tests with several processes.

Each line on stdout is written after the ledger's answer came back: it is acknowledged.
"""

from __future__ import annotations

import os
import signal
import sys
import time

from sqlalchemy import event

from app.ledger.entries import Wish
from app.ledger.ledger import Ledger
from tests.app.ledger.support import NOW, quote_to_issue


def die_at(ledger: Ledger, point: str) -> None:
    """Kill this program, as ``kill -9`` does, at one point of its next transaction.

    `point` is ``commit``, just before it, or how many statements are let through first.
    """
    engine = ledger._database._engine
    left = [0 if point == "commit" else int(point)]

    def die(*_: object) -> None:
        if left[0] == 0:
            os.kill(os.getpid(), signal.SIGKILL)
        left[0] -= 1

    event.listen(engine, "commit" if point == "commit" else "before_cursor_execute", die)


def main(action: str, url: str, who: str, count: str) -> None:
    with Ledger.open(url, busy_seconds=300.0) as ledger:
        for turn in range(int(count)):
            if action == "issue":
                draft = ledger.drafts.start(who, {"turn": turn}, NOW)
                kept = ledger.quotes.issue(
                    quote_to_issue(issued_by=who, title=f"{who} {turn}", draft_id=draft.draft_id)
                )
                print(kept.number, kept.revision, kept.hash, flush=True)
            elif action == "revise":
                kept = ledger.quotes.issue(quote_to_issue(issued_by=who, revises="2026-000001"))
                print(kept.number, kept.revision, kept.hash, flush=True)
            elif action == "reserve":
                wish = Wish("INV-1", 1, (("van-1", 3), ("branch-1", 2)))
                kept = ledger.quotes.issue(
                    quote_to_issue(issued_by=who, wishes=(wish,), reserve=True)
                )
                held = ledger.reservations.of(kept.number)
                print(kept.number, sum(each.pieces for each in held), flush=True)
            elif action == "draft":
                print(ledger.drafts.start(who, {"turn": turn}, NOW).draft_id, flush=True)
            elif action == "die":
                point = who.partition("@")[2]
                if turn == 2 and point != "after":
                    die_at(ledger, point)
                kept = ledger.quotes.issue(quote_to_issue(issued_by=who, title=f"{who} {turn}"))
                if turn == 2:  # done, and nobody was told
                    os.kill(os.getpid(), signal.SIGKILL)
                print(kept.number, kept.revision, kept.hash, flush=True)
            elif action == "hold":
                with ledger._database.writing():
                    print("held", flush=True)
                    time.sleep(900)  # until it is killed


if __name__ == "__main__":
    main(*sys.argv[1:])

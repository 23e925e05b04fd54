"""A second program on the same ledger, for the tests with several processes.

Each line on stdout is written after the ledger's answer came back: it is acknowledged.
"""

from __future__ import annotations

import sys
import time

from app.ledger.entries import Wish
from app.ledger.ledger import Ledger
from tests.app.ledger.support import NOW, quote_to_issue


def main(action: str, url: str, who: str, count: str) -> None:
    with Ledger.open(url, busy_seconds=300.0) as ledger:
        for turn in range(int(count)):
            if action == "issue":
                draft = ledger.new_draft(who, {"turn": turn}, NOW)
                kept = ledger.issue(
                    quote_to_issue(issued_by=who, title=f"{who} {turn}", draft_id=draft.draft_id)
                )
                print(kept.number, kept.revision, kept.hash, flush=True)
            elif action == "revise":
                kept = ledger.issue(quote_to_issue(issued_by=who, revises="2026-000001"))
                print(kept.number, kept.revision, kept.hash, flush=True)
            elif action == "reserve":
                wish = Wish("INV-1", "van-1", 1, 5)
                kept = ledger.issue(quote_to_issue(issued_by=who, wishes=(wish,), reserve=True))
                [held] = ledger.reservations.of(kept.number)
                print(kept.number, held.pieces, flush=True)
            elif action == "draft":
                print(ledger.new_draft(who, {"turn": turn}, NOW).draft_id, flush=True)
            elif action == "hold":
                with ledger._database.writing():
                    print("held", flush=True)
                    time.sleep(900)  # until it is killed


if __name__ == "__main__":
    main(*sys.argv[1:])

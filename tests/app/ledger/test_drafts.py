from __future__ import annotations

import subprocess
import sys
from datetime import datetime, timedelta

import pytest

from app.ledger.ledger import Ledger
from estimator.errors import LedgerTrouble
from tests.app.ledger.support import NOW, ROOT


def test_a_draft_comes_back_as_it_was_saved(ledger):
    payload = {"age": 9.25, "note": "ünï ✓ 漢字 🔥 <script>", "list": [1, None, True], "none": None}
    draft = ledger.drafts.start("Tech 1", payload, NOW, step="heater")
    assert draft.payload == payload
    assert ledger.drafts.of(draft.draft_id) == draft
    later = NOW + timedelta(minutes=3)
    saved = ledger.drafts.save(draft.draft_id, "Tech 1", "finding", {"age": 10}, later)
    assert ledger.drafts.of(draft.draft_id) == saved
    assert (saved.step, saved.payload, saved.made_at, saved.saved_at) == (
        "finding",
        {"age": 10},
        NOW,
        later,
    )


def test_ids_cannot_be_guessed(ledger):
    ids = {ledger.drafts.start("Tech 1", {}, NOW).draft_id for _ in range(50)}
    assert len(ids) == 50
    assert all(len(draft_id) >= 32 for draft_id in ids)


def test_drafts_of_one_person_or_of_all_the_last_saved_first(ledger):
    first = ledger.drafts.start("Tech 1", {}, NOW)
    second = ledger.drafts.start("Tech 2", {}, NOW + timedelta(seconds=1))
    third = ledger.drafts.start("Tech 1", {}, NOW + timedelta(seconds=2))
    assert ledger.drafts.every() == (third, second, first)
    assert ledger.drafts.every("Tech 1") == (third, first)
    ledger.drafts.save(first.draft_id, "Tech 1", "", {}, NOW + timedelta(seconds=9))
    assert [draft.draft_id for draft in ledger.drafts.every("Tech 1")] == [
        first.draft_id,
        third.draft_id,
    ]


def test_a_discarded_draft_is_gone_and_typing_on_brings_it_back(ledger):
    draft = ledger.drafts.start("Tech 1", {}, NOW)
    ledger.drafts.discard(draft.draft_id)
    ledger.drafts.discard(draft.draft_id)
    assert ledger.drafts.of(draft.draft_id) is None
    ledger.drafts.save(draft.draft_id, "Tech 1", "site", {"typed": "more"}, NOW)
    kept = ledger.drafts.of(draft.draft_id)
    assert kept is not None
    assert kept.payload == {"typed": "more"}


def test_the_first_field_survives_into_a_new_process(ledger_url):
    with Ledger.open(ledger_url) as ledger:
        draft = ledger.drafts.start("Tech 1", {"tank_gal": "4"}, NOW)
        ledger.drafts.save(draft.draft_id, "Tech 1", "heater", {"tank_gal": "40"}, NOW)
    script = (
        "import sys; from app.ledger.ledger import Ledger\n"
        "with Ledger.open(sys.argv[1], create=False) as ledger:\n"
        "    draft = ledger.drafts.of(sys.argv[2]); print(draft.step, draft.payload)"
    )
    said = subprocess.run(
        [sys.executable, "-c", script, ledger_url, draft.draft_id],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=True,
    )
    assert said.stdout == "heater {'tank_gal': '40'}\n"


def test_an_id_that_is_not_one_of_ours_is_refused(ledger):
    with pytest.raises(LedgerTrouble) as refused:
        ledger.drafts.save("1", "Tech 1", "", {}, NOW)
    assert str(refused.value) == (
        "There is a draft id that this program never gave in the page's address."
        " Start the visit anew."
    )


def test_a_time_without_a_zone_is_refused(ledger):
    with pytest.raises(LedgerTrouble) as refused:
        ledger.drafts.start("Tech 1", {}, datetime(2026, 5, 4))  # noqa: DTZ001 - the point of it
    assert str(refused.value) == (
        "The time 2026-05-04T00:00:00 has no time zone in what the ledger was given."
        " Give the time with its zone."
    )


def test_a_refused_save_leaves_what_was_kept(ledger):
    draft = ledger.drafts.start("Tech 1", {"a": 1}, NOW)
    with pytest.raises(LedgerTrouble):
        ledger.drafts.save(draft.draft_id, "Tech\ud800", "", {"a": 2}, NOW)
    assert ledger.drafts.of(draft.draft_id) == draft

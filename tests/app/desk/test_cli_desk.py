"""The owner's desk at the command line."""

from __future__ import annotations

import json
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from app import answering, outcomes
from app.quoting import owner_results
from app.shop import Shop
from app.wiring import DEMO_DATA
from tests.acting import TESTER
from tests.app.command import run
from tests.app.desk.support import OWNER, issue


@pytest.fixture
def draft(tmp_path: Path) -> Path:
    """The demo rate sheet with a dearer hour."""
    path = tmp_path / "draft.toml"
    text = (DEMO_DATA / "rates.toml").read_text()
    path.write_text(text.replace("regular_per_h = 148.00", "regular_per_h = 168.00"))
    return path


def test_a_draft_is_tried_and_nothing_is_published(
    shop: Shop, shop_folder: Path, draft: Path
) -> None:
    quote = issue(shop, "worn_element")
    done = run("rates", "try", draft, "--shop", shop_folder)
    assert done.status == 0, done.stderr
    assert "Labor, regular hours: $148/h → $168/h" in done.stdout
    assert quote.number in done.stdout
    assert "1 visit: 1 with another price, 0 with another verdict." in done.stdout
    assert "! A part that costs $15.00 sells for $45.00" in done.stdout
    assert len(shop.ledger.rate_sheets.every()) == 1


def test_a_trial_as_json_is_json_alone(shop: Shop, shop_folder: Path, draft: Path) -> None:
    quote = issue(shop, "worn_element")
    done = run("rates", "try", draft, "--json", "--shop", shop_folder)
    said = json.loads(done.stdout)
    (visit,) = said["visits"]
    assert visit["old"]["repair"]["price"] == str(quote.repair_price)
    assert said["against_version"] == 1


def test_a_misspelt_key_of_a_draft_is_named(shop_folder: Path, tmp_path: Path) -> None:
    path = tmp_path / "draft.toml"
    text = (DEMO_DATA / "rates.toml").read_text()
    path.write_text(text.replace("regular_per_h", "regularly_per_h"))
    done = run("rates", "try", path, "--demo", "--shop", shop_folder)
    assert done.status == 2
    assert done.stdout == ""
    assert 'The key "labor.regularly_per_h" is not known' in done.stderr


def test_versions_are_listed_and_brought_back(shop_folder: Path, draft: Path) -> None:
    run("rates", "publish", draft, "--from", "2026-02-01", "--shop", shop_folder)
    done = run("rates", "bring-back", "1", "--from", "2999-01-01", "--shop", shop_folder)
    assert done.stdout == "Rate sheet 3 holds the figures of version 1 from 2999-01-01.\n"
    done = run("rates", "list", "--shop", shop_folder)
    assert done.stdout.splitlines() == [
        "Version 3, from January 1, 2999: to come, the same as version 1",
        "Version 2, from February 1, 2026: in force",
        "Version 1, from January 1, 2026: past",
    ]
    refused = run("rates", "bring-back", "9", "--shop", shop_folder)
    assert refused.status == 2
    assert "There is no rate sheet version 9" in refused.stderr


def test_what_if_over_the_last_days(shop: Shop, shop_folder: Path, draft: Path) -> None:
    quote = issue(shop, "worn_element", at=datetime.now(UTC))
    done = run("rates", "what-if", draft, "--json", "--shop", shop_folder)
    said = json.loads(done.stdout)
    assert said["quotes"] == 1
    assert said["repair"]["old_total"] == str(quote.repair_price)
    assert float(said["repair"]["new_total"]) > float(said["repair"]["old_total"])
    words = run("rates", "what-if", draft, "--shop", shop_folder).stdout
    assert words.startswith("1 quote priced again at the draft.")
    assert quote.number in words


def test_the_labor_rate_from_options_and_from_a_file(tmp_path: Path) -> None:
    options = ("--wage", "20", "--paid-hours", "1912", "--billable-hours", "1912")
    more = ("--workers", "4.5", "--burden", "burden=0.565", "--overhead", "overhead=175000")
    done = run("rates", "labor", *options, *more)
    assert done.status == 0, done.stderr
    assert done.stdout.splitlines()[4] == "Rate                   $51.64/h"
    path = tmp_path / "labor.toml"
    path.write_text(
        "wage_per_h = 20\nworkers = 4.5\npaid_hours = 1912\nbillable_hours = 1912\n"
        "[burden]\nburden = 0.565\n[overhead]\noverhead = 175000\n"
    )
    said = json.loads(run("rates", "labor", path, "--json").stdout)
    assert said["rate"]["rate_per_h"] == "51.64"
    assert [part["per_h"] for part in said["parts"]] == ["20.00", "11.30", "20.34"]


@pytest.mark.parametrize("word", ["rent", "=5", "rent="])
def test_an_overhead_without_name_or_amount_is_refused(word: str) -> None:
    done = run("rates", "labor", "--wage", "20", "--billable-hours", "900", "--overhead", word)
    assert done.status == 2
    assert done.stdout == ""
    assert "--overhead" in done.stderr or "overhead." in done.stderr


def test_the_books_in_words_as_json_and_as_a_file(
    shop: Shop, shop_folder: Path, tmp_path: Path
) -> None:
    now = datetime.now(UTC)
    quote = issue(shop, "worn_element", at=now)
    issue(shop, "tank_leak", by="=cmd()", at=now)
    answering.accept(shop, OWNER, quote, "repair", "A. Sample", "I agree.", now)
    margin = owner_results(shop, TESTER, quote).repair_margin
    path = tmp_path / "books.csv"
    done = run(
        *("books", "--quotes", "5", "--parts", "--export", path, "--shop", shop_folder),
    )
    assert done.status == 0, done.stderr
    assert f"${margin.revenue:,.2f}" in done.stdout
    assert quote.number in done.stdout
    assert f"Written: {path} (2 quotes)" in done.stdout
    assert "'=cmd()" in path.read_text(encoding="utf-8-sig")
    said = json.loads(run("books", "--json", "--shop", shop_folder).stdout)["books"]
    assert said["total"]["revenue"] == str(margin.revenue)
    assert said["total"]["share_accepted"] == "1"
    assert (said["target"], said["target_is_floor"]) == ("0.45", False)
    yesterday = (now - timedelta(days=2)).date().isoformat()
    none = json.loads(run("books", "--json", "--to", yesterday, "--shop", shop_folder).stdout)
    assert none["books"]["total"]["quotes"] == 0


def test_an_unknown_person_and_a_wrong_target_are_refused(shop_folder: Path) -> None:
    done = run("books", "--person", "Nobody", "--shop", shop_folder)
    assert (done.status, done.stdout) == (2, "")
    assert done.stderr == 'The books know no person "Nobody". They know none yet.\n'
    done = run("books", "--target", "45", "--shop", shop_folder)
    assert done.status == 2
    assert 'target is "45" in --target; it must be below 1' in done.stderr


def test_records_of_heaters_are_written_for_the_fit(
    shop: Shop, shop_folder: Path, tmp_path: Path
) -> None:
    path = tmp_path / "lives.csv"
    done = run("life", "records", path, "--shop", shop_folder)
    assert done.status == 2
    assert "No heater was seen again after its quote" in done.stderr
    now = datetime.now(UTC)
    quote = issue(shop, "worn_element", at=now - timedelta(days=40))
    outcomes.record_outcome(shop, OWNER, quote.number, now.date(), now, repair_held=True)
    done = run("life", "records", path, "--shop", shop_folder)
    assert done.stdout == f"Written: {path} (1 heater)\n"
    assert path.read_text().splitlines()[0].startswith("installed,failed,heater_class")

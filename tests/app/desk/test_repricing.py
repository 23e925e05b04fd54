"""Issued quotes at another rate sheet: to the cent what `price_job` and an estimate give."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import NamedTuple

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.desk.book_table import book_table
from app.desk.books import BookFilter
from app.desk.repricing import Repricer, StoredJob
from app.desk.what_if import READ, reprice_all, stored_jobs, what_if
from app.ledger.canonical import canonical_json
from app.publishing import rate_sheet_on
from app.quoting import quote_visit
from app.shop import Shop
from app.visiting import price_visit, visit_from
from app.wiring import DEMO_DATA, demo_visit, open_shop
from estimator.errors import LedgerTrouble, Trouble
from estimator.estimating import estimate_case
from estimator.rates import RateSheet, rate_sheet_from, rate_sheet_to
from estimator.supply import Supply
from tests.acting import TESTER
from tests.app.desk.support import OWNER, TODAY, issue, technician

VISITS = sorted(path.stem for path in (DEMO_DATA / "visits").glob("*.toml"))
SHEETS: dict[str, dict[str, dict[str, object]]] = {
    "as it is": {},
    "dearer": {"labor": {"regular_per_h": "171.35"}, "other": {"heater_markup": "0.4137"}},
    "by margin": {"parts": {"target_margin": "0.437", "markup_bands": None}},
    "rounded to fives": {"quote": {"round_total_to": "5"}, "tax": {"rate": "0.08875"}},
    "another tax by place": {
        "tax": {
            "places": [
                {"name": "North", "rate": "0.0825"},
                {"name": "South", "rate": "0.0635", "taxable": ["labor", "heater"]},
            ]
        }
    },
    "capped, plan members half off": {
        "parts": {"cap_at_list_price": True},
        "discounts": {"plan_member": "0.5", "technician_limit": "0.6"},
    },
}


def other(sheet: RateSheet, changes: dict[str, dict[str, object]]) -> RateSheet:
    values = rate_sheet_to(sheet)
    for section, changed in changes.items():
        merged = {**values[section], **changed}
        values[section] = {key: value for key, value in merged.items() if value is not None}
    return rate_sheet_from(values, "test")


def job_of(shop: Shop, name: str, **work: object) -> tuple[StoredJob, date]:
    """What a quote of a demo visit would keep, every path of it open or not."""
    values = demo_visit(name)
    values["work"] = {**values["work"], **work}
    priced = price_visit(shop, TESTER, visit_from(values, name))
    estimate = priced.estimate
    slug = next((it.slug for it in estimate.replacements if it.closed_reason is None), None)
    stored = StoredJob(
        number=name,
        revision=1,
        inputs_json=canonical_json(priced.visit),
        supply_json=canonical_json(priced.supply),
        repair_open=estimate.repair.open,
        replace_slug=slug,
    )
    return stored, priced.visit.visit.date


def assert_as_estimated(stored: StoredJob, sheet: RateSheet, repricer: Repricer) -> None:
    new = repricer.reprice(stored)
    supply = Supply.model_validate_json(stored.supply_json)
    visit = visit_from(json.loads(stored.inputs_json), "stored")
    owner = estimate_case(visit.case(), supply, sheet, visit.visit.date)
    assert (new.repair is not None) == stored.repair_open
    if new.repair is not None:
        margin = owner.repair_margin
        assert new.repair.price == owner.estimate.repair.priced.total
        assert (new.repair.revenue, new.repair.cost) == (margin.revenue, margin.cost)
        assert new.repair.below_floor == margin.below_floor
    assert (new.replace is not None) == (stored.replace_slug is not None)
    if new.replace is not None:
        path = next(it for it in owner.estimate.replacements if it.slug == stored.replace_slug)
        margin = owner.replacement_margins[path.slug]
        assert new.replace.price == path.price_after_incentives
        assert (new.replace.revenue, new.replace.cost) == (margin.revenue, margin.cost)


@pytest.mark.parametrize("changes", SHEETS.values(), ids=SHEETS)
def test_every_demo_visit_reprices_as_it_is_estimated(
    shop: Shop, changes: dict[str, dict[str, object]]
) -> None:
    sheet = other(rate_sheet_on(shop, TESTER, TODAY).sheet, changes)
    repricer = Repricer(sheet)  # one for all: what is remembered of one job must fit the next
    works: list[dict[str, object]] = [
        {},
        {"after_hours": True},
        {"plan_member": True},
        {"discount": "0.07"},
    ]
    first = list(SHEETS.values()).index(changes)
    for at, name in enumerate(VISITS):
        stored, _ = job_of(shop, name, **works[(at + first) % len(works)])
        assert_as_estimated(stored, sheet, repricer)
        for place in sheet.tax.places:
            inputs = json.loads(stored.inputs_json)
            inputs["work"]["tax_place"] = place.name
            there = replace(stored, inputs_json=json.dumps(inputs))
            assert_as_estimated(there, sheet, repricer)


class Kept(NamedTuple):
    """Jobs and sheet, without a word of them in a failing example's text."""

    jobs: list[StoredJob]
    sheet: RateSheet

    def __repr__(self) -> str:
        return "kept"


@pytest.fixture(scope="module")
def kept(demo_shop_folder: Path) -> Kept:
    shop = open_shop(demo_shop_folder)
    jobs = [job_of(shop, name)[0] for name in VISITS]
    sheet = rate_sheet_on(shop, TESTER, TODAY).sheet
    shop.close()
    return Kept(jobs, sheet)


@settings(max_examples=20, deadline=None)
@given(data=st.data())
def test_costs_of_any_size_reprice_as_they_are_estimated(kept: Kept, data: st.DataObject) -> None:
    repricer = Repricer(kept.sheet)
    for at in data.draw(st.lists(st.integers(0, len(VISITS) - 1), min_size=1, max_size=2)):
        stored = kept.jobs[at]
        supply = json.loads(stored.supply_json)
        for part in supply["parts"]:
            cents = data.draw(st.integers(0, 90_000_000))
            part["unit_cost"] = f"{Decimal(cents).scaleb(-2):f}"
        heaters = [it for it in supply["replacements"] if it["slug"] == stored.replace_slug]
        for heater in heaters:
            heater["unit_cost"] = f"{data.draw(st.integers(0, 9_000_000))}.005"
        changed = replace(stored, supply_json=json.dumps(supply))
        assert_as_estimated(changed, kept.sheet, repricer)


def test_what_if_at_the_sheet_in_force_gives_back_what_was_issued(shop: Shop) -> None:
    quotes = [issue(shop, name) for name in ("worn_element", "tank_leak", "young_heater")]
    found = what_if(shop, OWNER, rate_sheet_on(shop, TESTER, TODAY).sheet, BookFilter(), TODAY)
    assert found.quotes == 3
    assert found.most_changed == ()
    repairs = [quote.repair_price for quote in quotes if quote.repair_price is not None]
    assert found.repair.jobs == len(repairs) == 2
    assert found.repair.old_total == found.repair.new_total == sum(repairs)
    assert found.repair.old_margin == found.repair.new_margin
    assert found.replace.new_total == sum(q.replace_price for q in quotes if q.replace_price)
    assert found.taken.jobs == 0


def test_what_if_counts_the_last_revision_in_the_days(shop: Shop) -> None:
    first = issue(shop, "worn_element")
    issue(shop, "young_heater", revises=first.number)
    sheet = other(rate_sheet_on(shop, TESTER, TODAY).sheet, {"labor": {"regular_per_h": "148.10"}})
    found = what_if(shop, OWNER, sheet, BookFilter(), TODAY)
    assert found.quotes == 1
    assert found.most_changed[0].number == first.number
    assert found.repair.new_total > found.repair.old_total
    none = what_if(shop, OWNER, sheet, BookFilter(last=date(2026, 1, 31)), TODAY)
    assert (none.quotes, none.repair.jobs, none.repair.new_margin) == (0, 0, None)


def test_a_job_that_the_draft_refuses_is_counted_apart(shop: Shop) -> None:
    stored, _ = job_of(shop, "worn_element", discount="0.10")
    sheet = other(
        rate_sheet_on(shop, TESTER, TODAY).sheet, {"discounts": {"technician_limit": "0.05"}}
    )
    new = Repricer(sheet).reprice(stored)
    assert new.repair is not None
    assert new.repair.price is None
    assert str(new.repair.refused).startswith("A discount of 10% is too large")


def test_a_job_of_a_place_that_the_draft_does_not_know_is_counted_as_refused(shop: Shop) -> None:
    stored, _ = job_of(shop, "worn_element")
    inputs = json.loads(stored.inputs_json)
    inputs["work"]["tax_place"] = "East"
    there = replace(stored, inputs_json=json.dumps(inputs))
    new = Repricer(rate_sheet_on(shop, OWNER, TODAY).sheet).reprice(there)
    assert new.repair is not None
    assert str(new.repair.refused).startswith('The rate sheet has no sales tax of "East"')


def test_what_an_older_program_left_out_is_filled_in(shop: Shop) -> None:
    stored, _ = job_of(shop, "worn_element")
    inputs, supply = json.loads(stored.inputs_json), json.loads(stored.supply_json)
    del inputs["hazards"], inputs["work"]["after_hours"], supply["parts"][0]["list_price"]
    older = replace(stored, inputs_json=json.dumps(inputs), supply_json=json.dumps(supply))
    sheet = rate_sheet_on(shop, TESTER, TODAY).sheet
    new, same = Repricer(sheet).reprice(older), Repricer(sheet).reprice(stored)
    assert new == same


def test_a_quote_that_cannot_be_read_is_named(shop: Shop) -> None:
    stored, _ = job_of(shop, "worn_element")
    broken = replace(stored, supply_json='{"parts": 3')
    with pytest.raises(LedgerTrouble, match="Quote worn_element holds inputs that can no longer"):
        list(reprice_all([broken], rate_sheet_on(shop, TESTER, TODAY).sheet))
    unread = replace(stored, inputs_json="{}")
    with pytest.raises(LedgerTrouble, match="can no longer be read"):
        list(reprice_all([unread], rate_sheet_on(shop, TESTER, TODAY).sheet))


def test_stored_jobs_are_those_of_the_rows(shop: Shop) -> None:
    quote = issue(shop, "tank_leak")
    (stored,) = stored_jobs(shop, book_table(shop, READ).to_pylist())
    assert (stored.number, stored.repair_open) == (quote.number, quote.repair_price is not None)
    assert quote_visit(quote) == visit_from(json.loads(stored.inputs_json), "stored")


def test_a_row_whose_quote_is_gone_is_named(shop: Shop) -> None:
    quote = issue(shop, "worn_element")
    (row,) = book_table(shop, READ).to_pylist()
    with pytest.raises(LedgerTrouble) as told:
        list(stored_jobs(shop, [row, {**row, "sequence": 99, "number": "2026-000099"}]))
    assert str(told.value) == (
        "The books tell of quote 2026-000099, which is not in the ledger in "
        f"{shop.ledger.where}. Run the ledger's check."
    )
    assert quote.number == row["number"]


def test_a_technician_may_not_ask_what_if(shop: Shop) -> None:
    sheet = rate_sheet_on(shop, TESTER, TODAY).sheet
    with pytest.raises(Trouble, match="You may not see the books"):
        what_if(shop, technician(), sheet, BookFilter(), TODAY)

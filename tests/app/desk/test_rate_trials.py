"""A draft rate sheet tried before it is published, and an old one brought back."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest

from app.desk.rate_trials import (
    REFERENCE,
    bring_back,
    draft_rates,
    last_issued,
    rate_versions,
    reference_files,
    reference_visits,
    try_rates,
)
from app.publishing import rate_sheet_on
from app.quoting import owner_results
from app.shop import Shop
from app.wiring import DEMO_DATA, demo_visit
from estimator.errors import InputTrouble, RateSheetTrouble, Trouble
from estimator.rates import RateSheet, rate_sheet_to
from tests.acting import TESTER
from tests.app.desk.support import NOW, OWNER, TODAY, issue, technician


def changed(shop: Shop, **sections: dict[str, object]) -> RateSheet:
    values = rate_sheet_to(rate_sheet_on(shop, TESTER, TODAY).sheet)
    return draft_rates({**values, **{k: {**values[k], **v} for k, v in sections.items()}}, "draft")


def test_the_sheet_in_force_tried_as_a_draft_changes_nothing(shop: Shop) -> None:
    quotes = [issue(shop, name) for name in ("worn_element", "tank_leak", "young_heater")]
    draft = rate_sheet_on(shop, TESTER, TODAY).sheet
    trial = try_rates(shop, OWNER, draft, last_issued(shop, OWNER, 10), TODAY)
    assert [each.name for each in trial.visits] == [quote.number for quote in reversed(quotes)]
    for each, quote in zip(trial.visits, reversed(quotes), strict=True):
        assert each.old == each.new
        kept = owner_results(shop, TESTER, quote)
        if kept.estimate.repair.open:
            assert each.new.repair is not None
            assert each.new.repair.price == kept.estimate.repair.priced.total == quote.repair_price
            assert each.new.repair.gross_margin == kept.repair_margin.gross_margin
        else:
            assert each.new.repair is None
        assert each.new.replacement is not None
        assert each.new.replacement.price == quote.replace_price
        assert each.new.verdict == kept.estimate.verdict.kind


def test_a_dearer_hour_shows_old_and_new_side_by_side(shop: Shop) -> None:
    visits = reference_visits(shop, OWNER, {"worn": demo_visit("worn_element")})
    draft = changed(shop, labor={"regular_per_h": "248.00"})
    trial = try_rates(shop, OWNER, draft, visits, TODAY)
    (tried,) = trial.visits
    assert tried.old.repair is not None
    assert tried.new.repair is not None
    # One hour at least is billed, and labor is not taxed in the demo shop.
    assert tried.new.repair.price - tried.old.repair.price >= Decimal("100.00")
    assert tried.new.repair.gross_margin > tried.old.repair.gross_margin
    assert len(shop.ledger.rate_sheets.every()) == 1, "a trial publishes nothing"


def test_a_charge_on_every_job_is_on_both_paths(shop: Shop) -> None:
    visits = reference_visits(shop, OWNER, {"worn": demo_visit("worn_element")})
    draft = changed(shop, trip={"amount": "5000", "credited_when_work_goes_ahead": False})
    (tried,) = try_rates(shop, OWNER, draft, visits, TODAY).visits
    assert tried.old.verdict == "repair"
    assert tried.new.repair is not None
    assert tried.new.repair.price > Decimal(5000)
    # The trip is on every job, so the replacement is dearer by as much: the verdict may stay.
    assert tried.new.replacement is not None
    assert tried.old.replacement is not None
    assert tried.new.replacement.price > tried.old.replacement.price + 4900


def test_what_the_draft_refuses_is_said_and_the_others_go_on(shop: Shop) -> None:
    values = demo_visit("worn_element")
    values["work"] = {**values["work"], "discount": "0.10"}
    visits = reference_visits(shop, OWNER, {"off": values, "plain": demo_visit("young_heater")})
    draft = changed(shop, discounts={"technician_limit": "0.05"})
    off, plain = try_rates(shop, OWNER, draft, visits, TODAY).visits
    assert off.old.refused is None
    assert off.new.refused == (
        "A discount of 10% is too large in work.discount; the rate sheet lets a technician give "
        "5% at most. Give a smaller discount, or have the owner raise the limit."
    )
    assert plain.new.refused is None


def test_a_figure_with_digits_too_many_is_told_and_not_a_crash(shop: Shop) -> None:
    visits = reference_visits(shop, OWNER, {"worn": demo_visit("worn_element")})
    draft = changed(shop, labor={"regular_per_h": "9000000", "minimum_h": "8"})
    (tried,) = try_rates(shop, OWNER, draft, visits, TODAY).visits
    assert tried.new.refused == (
        "Repair comes to $72,000,069; at most $10,000,000 can be judged. Look at the costs in "
        "the catalog and at the rate sheet's markups."
    )


def test_a_misspelt_key_is_refused_by_name(shop: Shop) -> None:
    values = rate_sheet_to(rate_sheet_on(shop, TESTER, TODAY).sheet)
    values["labor"]["regular_per_hour"] = values["labor"].pop("regular_per_h")
    with pytest.raises(RateSheetTrouble, match="regular_per_hour") as told:
        draft_rates(values, "draft.toml")
    assert "regular_per_h" in str(told.value)
    assert "draft.toml" in str(told.value)


def test_no_visit_to_try_on_is_said(shop: Shop) -> None:
    draft = rate_sheet_on(shop, TESTER, TODAY).sheet
    with pytest.raises(InputTrouble) as told:
        try_rates(shop, OWNER, draft, last_issued(shop, OWNER, 5), TODAY)
    assert str(told.value) == (
        "There is no visit to try the rates on. Issue a quote, or give visit files."
    )


def test_a_version_brought_back_is_a_new_one_and_the_old_stays(shop: Shop) -> None:
    first = shop.ledger.rate_sheets.version(1)
    dearer = changed(shop, labor={"regular_per_h": "199.00"})
    shop.ledger.rate_sheets.publish(dearer, date(2026, 6, 1), "owner", NOW)
    made = bring_back(shop, OWNER, 1, date(2026, 12, 1), NOW)
    assert (made.version, made.holds_from, made.sheet) == (3, date(2026, 12, 1), first.sheet)
    assert shop.ledger.rate_sheets.version(1) == first
    assert shop.ledger.rate_sheets.version(2).sheet == dearer
    told = [(it.version, it.standing, it.same_as) for it in rate_versions(shop, OWNER, TODAY)]
    assert told == [(1, "past", None), (2, "in force", None), (3, "to come", 1)]


def test_a_version_that_is_not_there_is_refused(shop: Shop) -> None:
    with pytest.raises(Trouble, match="There is no rate sheet version 7"):
        bring_back(shop, OWNER, 7, TODAY, NOW)


def test_a_technician_may_neither_try_nor_bring_back(shop: Shop) -> None:
    draft = rate_sheet_on(shop, TESTER, TODAY).sheet
    with pytest.raises(Trouble, match="You may not see the rate sheets"):
        try_rates(shop, technician(), draft, (), TODAY)
    with pytest.raises(Trouble, match="You may not see the rate sheets"):
        last_issued(shop, technician(), 3)
    with pytest.raises(Trouble, match="You may not publish a rate sheet"):
        bring_back(shop, technician(), 1, TODAY, NOW)
    assert len(shop.ledger.rate_sheets.every()) == 1


def test_a_shop_tries_on_reference_visits_of_its_own_where_it_keeps_some(shop: Shop) -> None:
    demo = DEMO_DATA / "visits"
    assert set(reference_files(shop, OWNER, demo)) == {path.stem for path in demo.glob("*.toml")}
    own = shop.folder / REFERENCE
    own.mkdir()
    (own / "ours.toml").write_bytes((demo / "worn_element.toml").read_bytes())
    files = reference_files(shop, OWNER, demo)
    assert list(files) == ["ours"]
    (visit,) = reference_visits(shop, OWNER, files)
    assert visit.visit.work.finding == "element_worn"

"""A changed quote is a new revision; the old one stays."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

import pytest

from app import answering, quoting, visiting, wiring
from app.people.guard import customer
from app.replaying import verify_ledger
from app.revising import revise_quote
from estimator.errors import Trouble
from tests.acting import TESTER
from tests.app.ledger.support import NOW

if TYPE_CHECKING:
    from app.ledger.records import IssuedQuote
    from app.shop import Shop

VISITS = sorted(path.stem for path in (wiring.DEMO_DATA / "visits").glob("*.toml"))


def issue(shop: Shop, name: str) -> IssuedQuote:
    visit = visiting.visit_from(wiring.demo_visit(name), name)
    return quoting.issue_quote(shop, visiting.price_visit(shop, TESTER, visit), TESTER, NOW)


@pytest.mark.parametrize("name", VISITS)
def test_a_draft_of_a_quote_is_its_visit_and_its_quote_the_next_revision(
    shop: Shop, name: str
) -> None:
    first = issue(shop, name)
    later = NOW + timedelta(days=40)
    draft = revise_quote(shop, TESTER, first, later)
    again = visiting.visit_from(draft.payload, "the draft")
    before = quoting.quote_visit(first)
    assert again.revises == first.number
    assert again.visit.date == later.date()
    same = {"revises": "", "visit": before.visit}
    assert again.model_copy(update=same) == before
    priced = visiting.price_visit(shop, TESTER, again)
    second = quoting.issue_quote(shop, priced, TESTER, later, draft_id=draft.draft_id)
    assert (second.number, second.revision) == (first.number, 2)
    assert quoting.issued(shop, TESTER, first.number, 1) == first
    assert answering.quote_state(shop, TESTER, first, later.date()) == "superseded"
    assert answering.quote_state(shop, TESTER, second, later.date()) == "issued"
    assert verify_ledger(shop, TESTER).problems == ()


def test_a_customer_cannot_change_his_quote(shop: Shop) -> None:
    quote = issue(shop, wiring.DEMO_VISIT)
    with pytest.raises(Trouble, match="You may not"):
        revise_quote(shop, customer(quote.number), quote, NOW)

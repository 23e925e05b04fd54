"""Every action, by every role, through the use case itself: hiding a button is not a check."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from app import (
    allowing,
    answering,
    customer_links,
    keeping,
    outcomes,
    photos,
    publishing,
    shop_check,
    visiting,
)
from app.desk.heater_lives import heater_records
from app.people import accounts
from app.people.guard import Actor, allowed, customer, refusal, require
from app.people.roles import MATRIX, Action, Role
from app.shop import Shop
from estimator.errors import Trouble
from tests.app.ledger.support import NOW, quote_to_issue, rate_sheet
from tests.app.people.support import PASSWORD, bare_shop, everyone

NUMBER = "2026-000001"
PATHS = {
    "estimate": {
        "repair": {"open": True, "priced": {"name": "Replace the element"}},
        "replacements": [{"slug": "tank-40", "name": "40 gallon tank", "closed_reason": None}],
    },
    "repair_margin": {"cost": "50.00", "revenue": "200.00"},
}


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Shop]:
    """A shop with one quote and one request to the owner."""
    shop = bare_shop(tmp_path)
    shop.ledger.publish_rate_sheet(rate_sheet(), date(2026, 1, 1), "setup", NOW)
    shop.ledger.issue(quote_to_issue(results=PATHS))
    shop.ledger.allowances.ask("digest", "A job", [{"cost": "1"}], "T", NOW)
    yield shop
    shop.close()


def quote(shop: Shop) -> Any:
    return shop.ledger.quote(NUMBER)


def _restore(shop: Shop, who: Actor) -> None:
    if not allowed(who, Action.RESTORE):
        keeping.restore(shop.folder / "other", who, shop.folder / "none.zip", NOW)
        return
    with pytest.raises(Trouble, match="There is no file"):
        keeping.restore(shop.folder / "other", who, shop.folder / "none.zip", NOW)


def _check(shop: Shop, who: Actor) -> None:
    shop_check.check_shop(shop.folder / "other", who, NOW, lambda _: shop)


# Action → the use case that does it. A use case that needs a catalog is tried with a job that
# cannot be priced: what must come first is the refusal. Those tested with `require` alone have
# no use case of their own here: the page and the books call it with the actor.
USE_CASES: dict[Action, Callable[[Shop, Actor], object]] = {
    Action.WORK_VISIT: lambda shop, who: visiting.start_visit(shop, who, NOW),
    Action.ATTACH_PHOTO: lambda shop, who: photos.remove_photo(shop, who, "x", NOW),
    Action.SEE_PHOTO: lambda shop, who: photos.visit_photos(shop, who, "x"),
    Action.ISSUE_QUOTE: lambda shop, who: require(shop, who, Action.ISSUE_QUOTE, NOW),
    Action.SEE_QUOTE: lambda shop, who: require(shop, who, Action.SEE_QUOTE, NOW, number=NUMBER),
    Action.LIST_QUOTES: lambda shop, who: require(shop, who, Action.LIST_QUOTES, NOW),
    Action.ANSWER_QUOTE: lambda shop, who: answering.accept(
        shop, who, quote(shop), "repair", "A. Sample", "I agree.", NOW
    ),
    Action.MAKE_LINK: lambda shop, who: customer_links.make_link(shop, who, quote(shop), NOW),
    Action.REVOKE_LINK: lambda shop, who: customer_links.revoke_links(shop, who, quote(shop), NOW),
    Action.RECORD_OUTCOME: lambda shop, who: outcomes.record_outcome(
        shop, who, NUMBER, NOW.date(), NOW, repair_held=True
    ),
    Action.ASK_ALLOWANCE: lambda shop, who: require(shop, who, Action.ASK_ALLOWANCE, NOW),
    Action.DECIDE_ALLOWANCE: allowing.allowances,
    Action.SEE_MARGINS: lambda shop, who: require(shop, who, Action.SEE_MARGINS, NOW),
    Action.SEE_BOOKS: heater_records,
    Action.SEE_RATES: lambda shop, who: require(shop, who, Action.SEE_RATES, NOW),
    Action.PUBLISH_RATES: lambda shop, who: publishing.publish_rates(
        shop, rate_sheet(), NOW.date(), who, NOW
    ),
    Action.MANAGE_PEOPLE: lambda shop, who: accounts.add_person(
        shop, who, "New", "technician", PASSWORD, NOW
    ),
    Action.CHANGE_OWN_PASSWORD: lambda shop, who: require(
        shop, who, Action.CHANGE_OWN_PASSWORD, NOW
    ),
    Action.READ_JOURNAL: keeping.journal,
    Action.VERIFY_LEDGER: lambda shop, who: require(shop, who, Action.VERIFY_LEDGER, NOW),
    Action.EXPORT_CUSTOMER: lambda shop, who: keeping.export_customer(shop, who, [NUMBER], NOW),
    Action.ERASE_CUSTOMER: lambda shop, who: keeping.erase_customer(shop, who, [NUMBER], NOW),
    Action.BUILD_CATALOG: lambda shop, who: require(shop, who, Action.BUILD_CATALOG, NOW),
    Action.BACK_UP: lambda shop, who: keeping.back_up(shop, who, shop.folder / "b.zip", NOW),
    Action.RESTORE: _restore,
    Action.CHECK_SHOP: _check,
}
# What is asked of a folder, before there is a ledger to write the refusal into.
NO_LEDGER_YET = {Action.RESTORE, Action.CHECK_SHOP}

# Written out a second time on purpose: a slip in the matrix must not go unseen.
TECHNICIAN_MAY = {
    *(Action.WORK_VISIT, Action.ATTACH_PHOTO, Action.SEE_PHOTO, Action.ISSUE_QUOTE),
    *(Action.SEE_QUOTE, Action.LIST_QUOTES, Action.ANSWER_QUOTE, Action.MAKE_LINK),
    *(Action.REVOKE_LINK, Action.RECORD_OUTCOME, Action.ASK_ALLOWANCE),
    Action.CHANGE_OWN_PASSWORD,
}
CUSTOMER_MAY = {Action.SEE_QUOTE, Action.ANSWER_QUOTE}


def test_every_action_has_its_roles_and_its_use_case() -> None:
    assert set(MATRIX) == set(USE_CASES) == set(Action)


def test_the_matrix_says_what_it_should() -> None:
    for action, roles in MATRIX.items():
        expected = {Role.OWNER}
        expected |= {Role.TECHNICIAN} if action in TECHNICIAN_MAY else set()
        expected |= {Role.CUSTOMER} if action in CUSTOMER_MAY else set()
        assert roles == expected, action


@pytest.mark.parametrize("role", Role)
@pytest.mark.parametrize("action", Action)
def test_each_role_may_do_its_actions_and_no_other(desk: Shop, action: Action, role: Role) -> None:
    actor = everyone(desk, NUMBER)[role]
    before = desk.ledger.journal.head()
    if role in MATRIX[action]:
        USE_CASES[action](desk, actor)
        return
    with pytest.raises(Trouble) as refused:
        USE_CASES[action](desk, actor)
    assert str(refused.value) == f"You may not {action.value}. Ask the owner."
    if action not in NO_LEDGER_YET:
        (line,) = desk.ledger.journal.lines(1)
        assert line.sequence == before.sequence + 1, "the refusal and nothing else was done"
        assert (line.person, line.action, line.detail) == (
            actor.name,
            "refused",
            {"action": action.value, "role": role.value},
        )


@pytest.mark.parametrize("action", sorted(CUSTOMER_MAY))
@pytest.mark.parametrize("number", [None, "2026-000002", ""])
def test_a_customer_is_bound_to_his_own_quote(
    desk: Shop, action: Action, number: str | None
) -> None:
    require(desk, customer(NUMBER), action, NOW, number=NUMBER)
    with pytest.raises(Trouble, match="You may not"):
        require(desk, customer(NUMBER), action, NOW, number=number)


def test_a_customer_without_a_quote_may_nothing(desk: Shop) -> None:
    nobody = Actor("customer", Role.CUSTOMER)
    for action in Action:
        with pytest.raises(Trouble, match="You may not"):
            require(desk, nobody, action, NOW)


def test_a_refusal_names_no_figure() -> None:
    for action in Action:
        assert not any(sign.isdigit() for sign in str(refusal(action)))


def test_refusals_keep_the_ledger_sound(desk: Shop) -> None:
    actor = everyone(desk)[Role.TECHNICIAN]
    for action in set(Action) - TECHNICIAN_MAY:
        with pytest.raises(Trouble):
            USE_CASES[action](desk, actor)
    report = desk.ledger.verify(lambda quote, _: quote.results_json)
    assert report.problems == ()

"""What the next visit takes from the last ones."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from typing import TYPE_CHECKING

from app import quoting, visiting, wiring
from app.people.guard import operator
from app.recent import recent_visits
from app.views.heater import build_heater_view
from tests.acting import TESTER

if TYPE_CHECKING:
    from app.shop import Shop
    from app.views.fields import Field
    from app.views.heater import HeaterView

NOW = datetime(2026, 11, 24, 9, 0, tzinfo=UTC)


def _quote(shop: Shop, name: str, by: str, at: datetime) -> str:
    visit = visiting.visit_from(wiring.demo_visit(name), name)
    quoting.issue_quote(shop, visiting.price_visit(shop, TESTER, visit), operator(by), at)
    assert visit.family is not None
    return visit.family


def test_families_met_last_come_first_from_drafts_and_quotes(shop: Shop) -> None:
    for draft in shop.ledger.drafts.every():
        shop.ledger.drafts.discard(draft.draft_id)
    assert recent_visits(shop, TESTER).families == ()
    older = _quote(shop, "thermopile", "A. Tester", NOW)
    newer = _quote(shop, "worn_element", "B. Tester", NOW + timedelta(hours=1))
    _quote(shop, "thermopile", "B. Tester", NOW - timedelta(days=1))
    assert recent_visits(shop, TESTER).families == (newer, older)
    started = {"visit": {"date": "2026-11-24"}, "family": older}
    visiting.start_visit(shop, TESTER, NOW + timedelta(hours=2), started)
    assert recent_visits(shop, TESTER).families == (older, newer)


def test_the_van_is_the_technicians_own(shop: Shop) -> None:
    mine = {"visit": {"date": "2026-11-24", "van": "van-2"}}
    visiting.start_visit(shop, TESTER, NOW, mine)
    visiting.start_visit(
        shop, operator("B. Tester"), NOW + timedelta(hours=1), {"visit": {"van": "van-1"}}
    )
    assert recent_visits(shop, TESTER).van == "van-2"
    assert recent_visits(shop, operator("C. Tester")).van == ""


def test_the_last_families_are_offered_until_one_is_taken(shop: Shop) -> None:
    families = visiting.heater_families(shop)
    last = families[-1].slug
    view = build_heater_view({}, families, date(2026, 11, 24), (last, "gone"))
    assert [choice.value for choice in view.recent] == [last]
    assert view.families[0].value == last
    assert len(view.families) == len(families)
    assert build_heater_view({"family": last}, families, date(2026, 11, 24), (last,)).recent == ()


def test_a_van_is_one_of_the_shops_and_says_where_it_came_from() -> None:
    day, vans = date(2026, 11, 24), ("van-1", "van-2")
    draft = {"visit": {"van": "van-1"}, "ui": {"last_van": "van-1"}}
    van = _van(build_heater_view(draft, (), day, (), vans))
    assert [choice.value for choice in van.choices] == list(vans)
    assert van.hint == "as on your last visit"
    other = _van(build_heater_view({"visit": {"van": "van 😀"}}, (), day, (), vans))
    assert other.problem == "van 😀 is none of the shop's vans."
    assert other.value == "van 😀"


def _van(view: HeaterView) -> Field:
    card = next(card for card in view.cards if card.key == "customer")
    return next(field for field in card.fields if field.path == "visit.van")

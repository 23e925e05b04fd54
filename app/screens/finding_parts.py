"""What the parts screen and the part step need found: by number, measure, heater, remedy."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from app import publishing, session
from app.kits import kits
from app.parts_query import Query
from app.parts_search import PartsAnswer, search_parts, standing_of
from app.recent import recent_visits
from app.reserving import free_catalog
from app.views.kits import build_kit_cards
from app.views.parts import (
    build_fit_cards,
    build_heater_parts,
    build_parts_view,
)
from app.views.parts_form import read_answers
from catalog.feature_checks import checked_features
from catalog.finding_numbers import find_number
from catalog.fit import fit_parts
from catalog.needs import Need
from catalog.parts import parts_of_family

if TYPE_CHECKING:
    from collections.abc import Mapping

    from app.people.guard import Actor
    from app.views.kits import KitCard
    from app.views.part import RejectedPart
    from app.views.parts import FitCard, PartsView, PositionRow
    from app.visit import OldPart, Visit
    from catalog.snapshots import Catalog
    from estimator.rates import PartPricing
    from estimator.supply import PartFamily


def van_of(technician: Actor) -> str:
    """Return the van that a technician last came with, or nothing."""
    return recent_visits(session.shop(), technician).van


def found(text: str, van: str, heater: str | None = None) -> PartsView:
    """Answer what was typed into the search box."""
    catalog = _free()
    answer = search_parts(catalog, text, van, session.today(), None, heater)
    return build_parts_view(answer, _pricing(), catalog.rules)


def by_number(old: OldPart, family: PartFamily | None, visit: Visit) -> PartsView:
    """Say what the number stamped on a visit's old part may mean, by what was measured of it."""
    catalog, day, number = _free(), session.today(), old.number or ""
    told = None
    if family is not None and old.features:
        told = {family: checked_features(catalog.rules, family, old.features)}
    answer = find_number(catalog, number, visit.family, told=told)
    shown = [part for each in answer.found for part in (each.part, each.today) if part]
    held = [*shown, *answer.chain, *answer.alike]
    standing = standing_of(catalog, held, visit.visit.van, day)
    query = Query(number, "number", number=number, told=told)
    read = PartsAnswer(query, numbers=answer, standing=standing)
    return build_parts_view(read, _pricing(), catalog.rules)


def fitting(
    family: PartFamily, answers: Mapping[str, Any], van: str, heater: str | None
) -> tuple[tuple[FitCard, ...], tuple[RejectedPart, ...], str, str]:
    """Return what fits measures: the fits, the near misses, why nothing fits, what is left."""
    catalog = _free()
    features = read_answers(catalog.rules, family, answers)
    need = Need(family, None, heater, None, features)
    answer = fit_parts(catalog, need, van, session.today())
    return (*build_fit_cards(answer, _pricing()), answer.more)


def of_heater(heater: str, van: str) -> tuple[PositionRow, ...]:
    """Return a heater's parts list, each position with today's part."""
    catalog, pricing = _free(), _pricing()
    listed = parts_of_family(catalog, heater)
    today = [each.today for each in listed if each.today is not None]
    return build_heater_parts(listed, standing_of(catalog, today, van, session.today()), pricing)


def kits_of(visit: Visit, draft_id: str | None) -> tuple[KitCard, ...]:
    """Return the kit of each remedy of a visit's finding, to be compared."""
    shop = session.shop()
    sheet = publishing.rates_of_visit(shop, session.signed_in(), visit.visit.date).sheet
    catalog = free_catalog(shop, visit.visit.date, draft_id, visit.revises)
    return build_kit_cards(kits(catalog, visit, sheet), sheet.parts)


def _free() -> Catalog:
    return free_catalog(session.shop(), session.today())


def _pricing() -> PartPricing:
    shop, actor = session.shop(), session.signed_in()
    return publishing.rates_of_visit(shop, actor, session.today()).sheet.parts

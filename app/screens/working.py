"""What a step needs worked out: the families, the parts that fit, the priced visit."""

from __future__ import annotations

import json
from functools import lru_cache
from typing import TYPE_CHECKING, Any

import streamlit as st

from app import publishing, session, visiting
from app.recent import recent_visits
from app.reserving import free_catalog
from app.screens import finding_parts
from app.supplying import fit_for
from app.views.part import build_part_view
from app.views.payload import put, visit_values
from catalog.parts import branches as catalog_branches
from catalog.parts import vans as catalog_vans
from estimator.errors import PartNotFound, Trouble
from estimator.findings import REMEDIES

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from datetime import date

    from app.views.heater import Family
    from app.views.kits import KitCard
    from app.views.part import PartView
    from app.views.parts import PartsView
    from app.visiting import PricedVisit

WHERE = "this visit"


def families() -> Sequence[Family]:
    """Return the heater families that the catalog knows."""
    return visiting.heater_families(session.shop())


def vans() -> tuple[str, ...]:
    """Return the vans whose stock the catalog knows."""
    return catalog_vans(session.shop().catalog())


def branches() -> tuple[str, ...]:
    """Return the branches whose stock the catalog knows."""
    return catalog_branches(session.shop().catalog())


def tax_places(day: date) -> tuple[str, ...]:
    """Return the places that the rate sheet of a day has a sales tax of."""
    try:
        version = publishing.rates_of_visit(session.shop(), session.signed_in(), day)
    except Trouble:
        return ()  # the price step says that no rate sheet holds on that day
    return tuple(place.name for place in version.sheet.tax.places)


def recent_families() -> tuple[str, ...]:
    """Return the heater families met last, by slug."""
    return recent_visits(session.shop(), session.signed_in()).families


def priced(payload: Mapping[str, Any]) -> PricedVisit:
    """Price the visit as it stands; the same visit at the same rates is worked out once."""
    shop, typed = session.shop(), visit_values(payload)
    visit = visiting.visit_from(typed, WHERE)
    rates = publishing.rates_of_visit(shop, session.signed_in(), visit.visit.date).version
    text = json.dumps(typed, sort_keys=True, default=str)
    held = shop.ledger.reservations.taken(
        visit.visit.date,
        places=(visit.visit.van, *branches()),
        besides_draft=_draft_id(),
        besides=visit.revises,
    )
    set_aside = tuple(sorted(held.items()))
    rests_on = (shop.catalog().version, rates, str(shop.folder), set_aside)
    return _priced(text, _draft_id(), rests_on)


@lru_cache(maxsize=32)
def _priced(typed: str, draft_id: str | None, _rests_on: tuple[object, ...]) -> PricedVisit:
    visit = visiting.visit_from(json.loads(typed), WHERE)
    shop, actor = session.shop(), session.signed_in()
    return visiting.price_visit(shop, actor, visit, draft_id=draft_id)


def _draft_id() -> str | None:
    return st.query_params.get("draft")


def part_step(
    payload: Mapping[str, Any],
) -> tuple[PartView, tuple[KitCard, ...], PartsView | None]:
    """Find the parts that fit, the kit of each remedy, and what the old part's number may mean.

    An old part that is not usable is said at its field, and then counts as not given.
    """
    shop = session.shop()
    without = visit_values(put(payload, "old_part", None))
    try:
        visit = visiting.visit_from(visit_values(payload), WHERE)
    except Trouble:  # where the old part is not to blame, this says what is
        visit = visiting.visit_from(without, WHERE)
    catalog = free_catalog(shop, visit.visit.date, _draft_id(), visit.revises)
    old, problem, meant = visit.old_part, "", None
    try:
        fit = fit_for(catalog, visit)
    except Trouble as trouble:
        # What a number may have been stands under it, ranked, each with a button.
        problem = f"{trouble.what}." if isinstance(trouble, PartNotFound) else str(trouble)
        visit = visiting.visit_from(without, WHERE)
        fit = fit_for(catalog, visit)
    if old.number:
        family = REMEDIES[visit.work.remedy].family
        try:
            meant = finding_parts.by_number(old, family, visit)
        except Trouble as trouble:
            problem = problem or str(trouble)
    pricing = publishing.rates_of_visit(shop, session.signed_in(), visit.visit.date).sheet.parts
    view = build_part_view(payload, fit, pricing, catalog.rules, problem)
    return view, finding_parts.kits_of(visit, _draft_id()), meant

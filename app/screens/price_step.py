"""Step four, joined: the priced visit, what else could go in, and what if the finding is wrong."""

from __future__ import annotations

from typing import TYPE_CHECKING

from app import session
from app.challengers import challengers_of
from app.doubting import doubt_of
from app.screens import fields, price, trying, working
from app.views.challengers import build_challengers_view
from app.views.doubt import build_doubt_view
from app.views.price import build_price_view
from app.views.study import build_study_card

if TYPE_CHECKING:
    from app.ledger.records import Draft


def show(draft: Draft) -> None:
    """Work the visit out as it stands and lay out its price; the years compared are chosen here."""
    priced = working.priced(draft.payload)
    if_wrong = doubt_of(session.shop(), session.signed_in(), priced)
    price.show(
        build_price_view(priced.estimate),
        build_challengers_view(challengers_of(priced)),
        build_doubt_view(if_wrong),
    )
    if priced.estimate.repair.open:
        trying.show(priced, draft.draft_id)
    if study := build_study_card(draft.payload):
        fields.show_card(study, draft.draft_id)

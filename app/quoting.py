"""A priced visit issued as a quote, and issued quotes read again."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import TYPE_CHECKING, Any

from app.job import job_digest
from app.ledger.entries import ALLOWED
from app.ledger.records import QuoteToIssue
from app.people.guard import Actor, require
from app.people.roles import Action
from app.reserving import reserves_by_default, wishes_of
from app.version import program_version
from app.views.customer import CustomerView, build_customer_view
from app.visit import Visit
from estimator.errors import Trouble
from estimator.estimate import Estimate, OwnerEstimate
from estimator.supply import Supply

if TYPE_CHECKING:
    from app.ledger.records import IssuedQuote, QuoteSummary
    from app.shop import Shop
    from app.visiting import PricedVisit


def issue_quote(
    shop: Shop,
    priced: PricedVisit,
    actor: Actor,
    at: datetime,
    *,
    draft_id: str | None = None,
    revises: str | None = None,
    reserve: bool | None = None,
) -> IssuedQuote:
    """Issue the quote for a priced visit; its draft goes with it.

    Parameters
    ----------
    shop
        The shop.
    priced
        The visit as priced.
    actor
        Who issues it.
    at
        Now, with its zone.
    draft_id
        The draft that it was typed in, if any; issuing the same draft twice gives the
        same quote.
    revises
        The number of the quote that this one takes the place of; what the visit says of it
        unless told.
    reserve
        Whether the repair's parts are set aside; as the shop has set it unless
        told, and a revision as the quote before it.

    Returns
    -------
    The issued quote.

    Raises
    ------
    Trouble
        If a job is under the margin floor and the owner has not allowed this very job, once;
        or if issuing is not the actor's to do.
    LedgerTrouble
        If the ledger cannot take it.
    """
    estimate, sheet = priced.estimate, priced.rate_sheet.sheet
    require(shop, actor, Action.ISSUE_QUOTE, at)
    revises = revises or priced.visit.revises or None
    under_floor = _needs_allowance(shop, priced)
    if reserve is None and revises is None:
        reserve = reserves_by_default(shop)
    cheapest = next((path for path in estimate.replacements if path.closed_reason is None), None)
    return shop.ledger.quotes.issue(
        QuoteToIssue(
            issued_at=at,
            issued_by=actor.name,
            valid_until=at.date() + timedelta(days=sheet.quote.valid_days),
            customer_name=priced.visit.visit.customer_name,
            title=priced.visit.title,
            rate_sheet_version=priced.rate_sheet.version,
            catalog_version=priced.supply.catalog_version,
            verdict=estimate.verdict.kind.value,
            inputs=priced.visit,
            supply=priced.supply,
            results=priced.owner,
            repair_price=estimate.repair.priced.total if estimate.repair.open else None,
            replace_price=cheapest.price_after_incentives if cheapest else None,
            revises=revises,
            draft_id=draft_id,
            program_version=program_version(),
            needs_allowance=under_floor,
            wishes=() if reserve is False else wishes_of(shop, priced),
            reserve=reserve,
        )
    )


def jobs_under_floor(priced: PricedVisit) -> list[dict[str, Any]]:
    """Return the open jobs of a visit that are under the owner's margin floor.

    Parameters
    ----------
    priced
        The visit as priced.

    Returns
    -------
    Name, price before tax, cost and gross margin of each, for the owner's eyes only.
    """
    owner, estimate = priced.owner, priced.estimate
    jobs = [(estimate.repair.priced.name, owner.repair_margin)] if estimate.repair.open else []
    jobs += [
        (path.name, owner.replacement_margins[path.slug])
        for path in estimate.replacements
        if path.closed_reason is None
    ]
    return [
        {
            "name": name,
            "revenue": margin.revenue,
            "cost": margin.cost,
            "gross_margin": margin.gross_margin,
        }
        for name, margin in jobs
        if margin.below_floor
    ]


def _needs_allowance(shop: Shop, priced: PricedVisit) -> str | None:
    """Return what an allowance is bound to where the job needs one; say no figure."""
    under = jobs_under_floor(priced)
    if not under:
        return None
    bound = job_digest(priced)
    asked = shop.ledger.allowances.of_job(bound)
    if asked is None or asked.decision != ALLOWED:
        raise Trouble(
            f"This quote cannot be issued as it stands: {', '.join(job['name'] for job in under)}",
            "",
            "Take the discount off, or ask the owner.",
        )
    return bound


def issued(shop: Shop, actor: Actor, number: str, revision: int | None = None) -> IssuedQuote:
    """Return an issued quote by its number; the last revision unless told."""
    require(shop, actor, Action.SEE_QUOTE, number=number)
    return shop.ledger.quotes.get(number, revision)


def quotes(shop: Shop, actor: Actor, limit: int = 50) -> tuple[QuoteSummary, ...]:
    """Return the last quotes, newest first."""
    require(shop, actor, Action.LIST_QUOTES)
    return shop.ledger.quotes.listed(limit)


def quote_visit(quote: IssuedQuote) -> Visit:
    """Return the visit that an issued quote rests on."""
    return Visit.model_validate_json(quote.inputs_json)


def quote_estimate(quote: IssuedQuote) -> Estimate:
    """Return what an issued quote said, as far as a customer may see it."""
    return OwnerEstimate.model_validate_json(quote.results_json).estimate


def quote_supply(quote: IssuedQuote) -> Supply:
    """Return what the catalog supplied to an issued quote, costs and all."""
    return Supply.model_validate_json(quote.supply_json)


def owner_results(shop: Shop, actor: Actor, quote: IssuedQuote) -> OwnerEstimate:
    """Return what an issued quote said, with its costs and margins, for the owner."""
    require(shop, actor, Action.SEE_MARGINS, number=quote.number)
    return OwnerEstimate.model_validate_json(quote.results_json)


def view_of_priced(priced: PricedVisit) -> CustomerView:
    """Return the customer's view of a visit that is not issued yet."""
    sheet = priced.rate_sheet.sheet
    return build_customer_view(
        priced.visit, priced.estimate, sheet.shop, sheet.quote,
        incentives=priced.supply.incentives,
    )  # fmt: skip

"""A priced visit issued as a quote, and issued quotes read again."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import TYPE_CHECKING, Any

from app.job import job_digest
from app.ledger.entries import ALLOWED
from app.ledger.records import QuoteToIssue
from app.people.guard import Actor, allowed_name, require
from app.people.roles import Action
from app.version import program_version
from app.views.customer import CustomerView, Issued, build_customer_view
from app.visit import Visit
from estimator.errors import Trouble
from estimator.estimate import OwnerEstimate

if TYPE_CHECKING:
    from app.ledger.records import IssuedQuote, QuoteSummary
    from app.shop import Shop
    from app.visiting import PricedVisit


def issue_quote(
    shop: Shop,
    priced: PricedVisit,
    person: Actor | str,
    at: datetime,
    *,
    draft_id: str | None = None,
    revises: str | None = None,
) -> IssuedQuote:
    """Issue the quote for a priced visit; its draft goes with it.

    Parameters
    ----------
    shop
        The shop.
    priced
        The visit as priced.
    person
        Who issues it: the actor, who must be allowed to, or the name of whoever runs the
        command line in the shop's folder.
    at
        Now, with its zone.
    draft_id
        The draft that it was typed in, if any; issuing the same draft twice gives the
        same quote.
    revises
        The number of the quote that this one takes the place of.

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
    by = allowed_name(shop, person, Action.ISSUE_QUOTE, at)
    under_floor = _needs_allowance(shop, priced)
    cheapest = next((path for path in estimate.replacements if path.closed_reason is None), None)
    return shop.ledger.issue(
        QuoteToIssue(
            issued_at=at,
            issued_by=by,
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


def issued(shop: Shop, number: str, revision: int | None = None) -> IssuedQuote:
    """Return an issued quote by its number; the last revision unless told."""
    return shop.ledger.quote(number, revision)


def quotes(shop: Shop, limit: int = 50) -> tuple[QuoteSummary, ...]:
    """Return the last quotes, newest first."""
    return shop.ledger.quotes(limit)


def quote_visit(quote: IssuedQuote) -> Visit:
    """Return the visit that an issued quote rests on."""
    return Visit.model_validate_json(quote.inputs_json)


def quote_results(quote: IssuedQuote) -> OwnerEstimate:
    """Return what an issued quote said, with its margins for the owner."""
    return OwnerEstimate.model_validate_json(quote.results_json)


def owner_results(shop: Shop, actor: Actor, quote: IssuedQuote) -> OwnerEstimate:
    """Return what an issued quote said, with its costs and margins, for the owner."""
    require(shop, actor, Action.SEE_MARGINS, number=quote.number)
    return quote_results(quote)


def view_of_priced(priced: PricedVisit) -> CustomerView:
    """Return the customer's view of a visit that is not issued yet."""
    sheet = priced.rate_sheet.sheet
    return build_customer_view(priced.visit, priced.estimate, sheet.shop, sheet.quote)


def view_of_issued(shop: Shop, quote: IssuedQuote) -> CustomerView:
    """Return the customer's view of an issued quote, as it was on the day of issue.

    Parameters
    ----------
    shop
        The shop, for the rate sheet version that the quote names.
    quote
        The issued quote.

    Returns
    -------
    The view.
    """
    sheet = shop.ledger.rate_sheet(quote.rate_sheet_version).sheet
    mark = Issued(
        number=quote.number,
        revision=quote.revision,
        issued_on=quote.issued_at.date(),
        valid_until=quote.valid_until,
    )
    estimate = quote_results(quote).estimate
    return build_customer_view(quote_visit(quote), estimate, sheet.shop, sheet.quote, mark)

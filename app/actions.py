"""Use cases: what a person can do, with no page and no command line in it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Any

from app.job import job_digest
from app.ledger.canonical import canonical_json
from app.ledger.entries import ALLOWED
from app.ledger.records import QuoteToIssue
from app.people.guard import Actor, require
from app.people.roles import Action
from app.supplying import fit_for, supply_for
from app.version import program_version
from app.views.customer import CustomerView, Issued, build_customer_view
from app.visit import Visit
from estimator.errors import LedgerTrouble, Trouble, checked
from estimator.estimate import Estimate, OwnerEstimate
from estimator.estimating import estimate_case
from estimator.rates import RateSheet, RateSheetVersion
from estimator.supply import Supply

if TYPE_CHECKING:
    from collections.abc import Mapping

    from app.ledger.ledger import Ledger
    from app.ledger.records import (
        Draft,
        IssuedQuote,
        JournalHead,
        QuoteSummary,
        VerifyReport,
    )
    from catalog.fit import FitAnswer
    from catalog.parts import HeaterFamily
    from catalog.snapshots import Catalog


class Shop:
    """One shop's folder: its catalogs and its ledger, open.

    Parameters
    ----------
    folder
        The shop's folder.
    catalogs
        Where its catalog snapshots are.
    ledger
        Its open ledger.
    """

    def __init__(self, folder: Path, catalogs: Path, ledger: Ledger) -> None:
        self.folder = folder
        self.catalogs = catalogs
        self.ledger = ledger
        self._catalog: Catalog | None = None

    def catalog(self) -> Catalog:
        """Return the catalog in force; a newly published one is taken up at once.

        Returns
        -------
        The open catalog.

        Raises
        ------
        CatalogTrouble
            If none is published, or it is damaged.
        """
        from catalog.snapshots import Catalog, current_version

        if self._catalog is None or self._catalog.version != current_version(self.catalogs):
            self._catalog = Catalog.open_current(self.catalogs)
        return self._catalog

    def close(self) -> None:
        """Close what is open."""
        if self._catalog is not None:
            self._catalog.close()
        self.ledger.close()


@dataclass(frozen=True)
class PricedVisit:
    """A visit with all that is worked out for it, and what that rests on."""

    visit: Visit
    owner: OwnerEstimate
    supply: Supply
    fit: FitAnswer | None
    rate_sheet: RateSheetVersion

    @property
    def estimate(self) -> Estimate:
        """What a customer may see of it."""
        return self.owner.estimate


def start_visit(
    shop: Shop, person: Actor | str, at: datetime, payload: Mapping[str, Any] | None = None
) -> Draft:
    """Start a visit as a draft, kept from the first field.

    Parameters
    ----------
    shop
        The shop.
    person
        The technician.
    at
        Now, with its zone.
    payload
        What is known already, under the keys of a visit file.

    Returns
    -------
    The draft.
    """
    known = dict(payload) if payload else {"visit": {"date": at.date().isoformat()}}
    name = _allowed_name(shop, person, Action.WORK_VISIT, at)
    return shop.ledger.new_draft(name, known, at, step="heater")


def save_draft(
    shop: Shop, draft_id: str, person: str, step: str, payload: Mapping[str, Any], at: datetime
) -> Draft:
    """Keep what was typed so far.

    Parameters
    ----------
    shop
        The shop.
    draft_id, person, step
        Which draft, whose, and at which step of the visit.
    payload
        All that was typed, under the keys of a visit file.
    at
        Now, with its zone.

    Returns
    -------
    The draft as kept.
    """
    return shop.ledger.save_draft(draft_id, person, step, payload, at)


def visit_from(values: Mapping[str, Any], where: str) -> Visit:
    """Check what was typed or read, and make a visit of it.

    Parameters
    ----------
    values
        Keys and values as in a visit file.
    where
        The file or form, for the message.

    Returns
    -------
    The visit.

    Raises
    ------
    InputTrouble
        If a key is missing, misspelt, or holds something that cannot be.
    """
    return checked(Visit, values, where)


def price_visit(shop: Shop, visit: Visit) -> PricedVisit:
    """Work out everything that a quote for a visit says.

    Parameters
    ----------
    shop
        The shop: its catalog in force, and its rate sheet on the day of the visit.
    visit
        The visit.

    Returns
    -------
    The priced visit.

    Raises
    ------
    Trouble
        If the catalog or the ledger cannot be read, the part chosen is not there, or the
        case cannot be estimated.
    """
    catalog = shop.catalog()
    on = visit.visit.date
    rate_sheet = shop.ledger.rate_sheet_on(on)
    fit = fit_for(catalog, visit)
    supply = supply_for(catalog, visit, fit)
    owner = estimate_case(visit.case(), supply, rate_sheet.sheet, on)
    return PricedVisit(visit, owner, supply, fit, rate_sheet)


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
    by = _allowed_name(shop, person, Action.ISSUE_QUOTE, at)
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


def _allowed_name(shop: Shop, person: Actor | str, action: Action, at: datetime) -> str:
    if isinstance(person, str):
        return person
    require(shop, person, action, at)
    return person.name


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


def quote_visit(quote: IssuedQuote) -> Visit:
    """Return the visit that an issued quote rests on."""
    return Visit.model_validate_json(quote.inputs_json)


def quote_results(quote: IssuedQuote) -> OwnerEstimate:
    """Return what an issued quote said, with its margins for the owner."""
    return OwnerEstimate.model_validate_json(quote.results_json)


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


def publish_rates(
    shop: Shop, sheet: RateSheet, holds_from: date, by: Actor | str, at: datetime
) -> RateSheetVersion:
    """Publish a rate sheet; the quotes already issued keep theirs.

    Parameters
    ----------
    shop
        The shop.
    sheet
        The checked sheet.
    holds_from
        The first day on which it holds.
    by, at
        Who publishes it (the actor, who must be allowed to, or a name at the command line),
        and when, with the zone.

    Returns
    -------
    The published version.
    """
    name = _allowed_name(shop, by, Action.PUBLISH_RATES, at)
    return shop.ledger.publish_rate_sheet(sheet, holds_from, name, at)


def rate_sheet_on(shop: Shop, day: date) -> RateSheetVersion:
    """Return the rate sheet in force on a day."""
    return shop.ledger.rate_sheet_on(day)


def issued(shop: Shop, number: str, revision: int | None = None) -> IssuedQuote:
    """Return an issued quote by its number; the last revision unless told."""
    return shop.ledger.quote(number, revision)


def quotes(shop: Shop, limit: int = 50) -> tuple[QuoteSummary, ...]:
    """Return the last quotes, newest first."""
    return shop.ledger.quotes(limit)


def heater_families(shop: Shop) -> tuple[HeaterFamily, ...]:
    """Return the heater families that the catalog knows."""
    from catalog.parts import heater_families as families

    return tuple(families(shop.catalog()))


def verify_ledger(shop: Shop, anchor: JournalHead | None = None) -> VerifyReport:
    """Check the ledger and work every quote again from what it keeps.

    Parameters
    ----------
    shop
        The shop.
    anchor
        The journal's head as it was taken down outside of the ledger some day.

    Returns
    -------
    What was checked and every problem found.
    """
    return shop.ledger.verify(replay, anchor=anchor, program_version=program_version())


def replay(quote: IssuedQuote, rate_sheet: RateSheetVersion) -> str:
    """Work an issued quote again from its inputs, its supply and its rate sheet.

    Parameters
    ----------
    quote
        The issued quote.
    rate_sheet
        The version that it names.

    Returns
    -------
    The results as canonical JSON, to be held against the stored ones.

    Raises
    ------
    LedgerTrouble
        If what is stored can no longer be read.
    """
    try:
        visit = quote_visit(quote)
        supply = Supply.model_validate_json(quote.supply_json)
    except ValueError as refused:
        raise LedgerTrouble(
            f"Quote {quote.number} holds inputs that can no longer be read", "the ledger"
        ) from refused
    again = estimate_case(visit.case(), supply, rate_sheet.sheet, visit.visit.date)
    return canonical_json(again)

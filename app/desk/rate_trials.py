"""A draft rate sheet tried on reference visits before it is published, and old sheets renewed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import TYPE_CHECKING, Any

from app.desk.rate_cautions import rate_cautions
from app.files import read_toml
from app.people.guard import Actor, require
from app.people.roles import Action
from app.publishing import publish_rates
from app.quoting import quote_visit
from app.supplying import fit_for, supply_for
from app.visiting import visit_from
from estimator.errors import InputTrouble, Trouble
from estimator.estimating import estimate_case
from estimator.rates import rate_sheet_from
from estimator.supply import Supply

if TYPE_CHECKING:
    from decimal import Decimal
    from pathlib import Path

    from app.shop import Shop
    from app.visit import Visit
    from estimator.cautions import Caution
    from estimator.estimate import OwnerEstimate
    from estimator.priced_job import JobMargin
    from estimator.rates import RateSheet, RateSheetVersion

REFERENCE = "reference_visits"
MOST_VISITS = 200
"""A trial works each visit twice in full; more would keep the owner waiting."""


@dataclass(frozen=True)
class ReferenceVisit:
    """A visit to try rates on, with what the catalog supplies to it; `name` is for the reader."""

    name: str
    visit: Visit
    supply: Supply


@dataclass(frozen=True)
class PathTried:
    """One path at one rate sheet: price with tax in [USD], gross margin [1]."""

    name: str
    price: Decimal
    gross_margin: Decimal
    below_floor: bool


@dataclass(frozen=True)
class SheetTried:
    """What a visit comes to at one rate sheet.

    `repair` is ``None`` where the repair path is closed; `replacement` is the open replacement
    with the least life-cycle cost, ``None`` where there is none. Where the sheet refuses the
    visit (a discount over the limit, say) only `refused` is set, with the reason.
    """

    repair: PathTried | None = None
    replacement: PathTried | None = None
    verdict: str | None = None
    refused: str | None = None


@dataclass(frozen=True)
class VisitTried:
    """A reference visit at the sheet in force (`old`) and at the draft (`new`)."""

    name: str
    old: SheetTried
    new: SheetTried

    @property
    def verdict_changes(self) -> bool:
        """Whether the verdict is another one at the draft."""
        return self.old.verdict != self.new.verdict


@dataclass(frozen=True)
class RateTrial:
    """A draft against the rate sheet in force, visit by visit; for the owner's eyes only."""

    draft: RateSheet
    against: RateSheetVersion
    visits: tuple[VisitTried, ...]
    cautions: tuple[Caution, ...]


@dataclass(frozen=True)
class VersionListed:
    """A published version and how it stands: ``in force``, ``to come`` or ``past``.

    `same_as` is the earliest version that holds exactly the same figures, where there is one.
    """

    version: int
    holds_from: date
    standing: str
    same_as: int | None


def draft_rates(values: Mapping[str, Any], where: str) -> RateSheet:
    """Check a draft, from a form or a file, by the model that published sheets are checked by.

    Parameters
    ----------
    values
        Sections and keys.
    where
        The file or form, for the message.

    Raises
    ------
    RateSheetTrouble
        Naming each unknown or misspelt key, and each bound that is broken.
    """
    return rate_sheet_from(values, where)


def reference_files(shop: Shop, actor: Actor, otherwise: Path) -> dict[str, dict[str, Any]]:
    """Return the visit files that a shop keeps to try rates on, in `reference_visits`.

    Parameters
    ----------
    shop
        The shop.
    actor
        The owner.
    otherwise
        The folder that is taken where the shop keeps none of its own.

    Returns
    -------
    Name of each file → its keys and values.

    Raises
    ------
    Trouble
        If it is not the actor's to see, or one is not TOML.
    """
    require(shop, actor, Action.SEE_RATES)
    own = sorted((shop.folder / REFERENCE).glob("*.toml"))
    return {path.stem: read_toml(path) for path in own or sorted(otherwise.glob("*.toml"))}


def reference_visits(
    shop: Shop, actor: Actor, files: Mapping[str, Mapping[str, Any]]
) -> tuple[ReferenceVisit, ...]:
    """Make reference visits of visit files, at what the catalog supplies today.

    Parameters
    ----------
    shop
        The shop.
    actor
        The owner.
    files
        Name → keys and values of a visit file.

    Raises
    ------
    Trouble
        If a file is not a visit, or the catalog cannot supply it.
    """
    require(shop, actor, Action.SEE_RATES)
    catalog = shop.catalog()
    found = []
    for name, values in files.items():
        visit = visit_from(values, name)
        supply = supply_for(catalog, visit, fit_for(catalog, visit))
        found.append(ReferenceVisit(name, visit, supply))
    return tuple(found)


def last_issued(shop: Shop, actor: Actor, count: int) -> tuple[ReferenceVisit, ...]:
    """Take the last issued quotes as reference visits, at what was supplied to them then.

    Parameters
    ----------
    shop
        The shop.
    actor
        The owner.
    count
        How many; fewer where fewer were issued.

    Returns
    -------
    The last revision of each, the last issued first.
    """
    require(shop, actor, Action.SEE_RATES)
    found = []
    for summary in shop.ledger.quotes.listed(min(count, MOST_VISITS)):
        quote = shop.ledger.quotes.get(summary.number, summary.revision)
        supply = Supply.model_validate_json(quote.supply_json)
        found.append(ReferenceVisit(quote.number, quote_visit(quote), supply))
    return tuple(found)


def try_rates(
    shop: Shop,
    actor: Actor,
    draft: RateSheet,
    visits: Sequence[ReferenceVisit],
    holds_from: date,
) -> RateTrial:
    """Try a draft rate sheet on reference visits beside the sheet in force.

    Parameters
    ----------
    shop
        The shop.
    actor
        The owner.
    draft
        The checked draft; it is not kept.
    visits
        The reference visits.
    holds_from
        The day on which the draft would hold; the sheet in force on it is the old one.

    Returns
    -------
    Old and new side by side with price, margin and verdict of each visit, and what the
    owner should know of the draft.

    Raises
    ------
    Trouble
        If it is not the actor's to see, or there is no visit or too many of them.

    Notes
    -----
    Both sheets work each visit on its own day, so that age and warranty are what they were.
    """
    require(shop, actor, Action.SEE_RATES)
    if not visits:
        raise InputTrouble(
            "There is no visit to try the rates on", "", "Issue a quote, or give visit files."
        )
    if len(visits) > MOST_VISITS:
        raise InputTrouble(
            f"There are {len(visits)} visits to try; at most {MOST_VISITS} are tried",
            "",
            "Try fewer, or re-price the books instead.",
        )
    against = shop.ledger.rate_sheets.on(holds_from)
    rows = tuple(
        VisitTried(each.name, _tried(each, against.sheet), _tried(each, draft)) for each in visits
    )
    return RateTrial(draft, against, rows, rate_cautions(draft))


def bring_back(
    shop: Shop, actor: Actor, version: int, holds_from: date, at: datetime
) -> RateSheetVersion:
    """Publish an earlier version's figures again, as a new version.

    Parameters
    ----------
    shop
        The shop.
    actor
        The owner.
    version
        The version to bring back; it stays as it is.
    holds_from
        The first day on which the new version holds.
    at
        Now, with its zone.

    Returns
    -------
    The new version.

    Raises
    ------
    Trouble
        If it is not the actor's to do, or there is no such version.
    """
    require(shop, actor, Action.PUBLISH_RATES, at)
    return publish_rates(
        shop, shop.ledger.rate_sheets.version(version).sheet, holds_from, actor, at
    )


def rate_versions(shop: Shop, actor: Actor, day: date) -> tuple[VersionListed, ...]:
    """Return the published versions and how each stands on a day, the first one first."""
    require(shop, actor, Action.SEE_RATES)
    every = shop.ledger.rate_sheets.every()
    begun = [each for each in every if each.holds_from <= day]
    in_force = max(begun, key=lambda each: (each.holds_from, each.version), default=None)
    found = []
    for each in every:
        standing = (
            "to come" if each.holds_from > day else "in force" if each is in_force else "past"
        )
        same = next((it.version for it in every if it.sheet == each.sheet), each.version)
        found.append(
            VersionListed(
                each.version, each.holds_from, standing, same if same != each.version else None
            )
        )
    return tuple(found)


def _tried(reference: ReferenceVisit, sheet: RateSheet) -> SheetTried:
    visit = reference.visit
    try:
        owner = estimate_case(visit.case(), reference.supply, sheet, visit.visit.date)
    except Trouble as refused:
        return SheetTried(refused=str(refused))
    return SheetTried(_repair(owner), _replacement(owner), owner.estimate.verdict.kind.value)


def _repair(owner: OwnerEstimate) -> PathTried | None:
    path = owner.estimate.repair
    return _path("Repair", path.priced.total, owner.repair_margin) if path.open else None


def _replacement(owner: OwnerEstimate) -> PathTried | None:
    path = next((it for it in owner.estimate.replacements if it.closed_reason is None), None)
    if path is None:
        return None
    return _path(path.name, path.price_after_incentives, owner.replacement_margins[path.slug])


def _path(name: str, price: Decimal, margin: JobMargin) -> PathTried:
    return PathTried(name, price, margin.gross_margin, margin.below_floor)

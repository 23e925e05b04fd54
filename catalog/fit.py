"""Which part fits: the fitting ranked, the near misses with why not."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from catalog.candidates import MOST_COUNTED, Candidate, candidates_for
from catalog.companions import Companions, companions_of_part, supplied_companions
from catalog.judging import Adapter, FeatureReason, Judgement, judge
from catalog.needs import LOOK_AT_THE_CHAMBER, Known, Need, gather
from catalog.offers import Offer, checked_van, offers, place_order, stocks
from catalog.part_lookup import Part
from catalog.why_none import no_such_part, nothing_known, why_none
from estimator.errors import CatalogTrouble
from estimator.supply import FitClass, Stock, SuppliedPart

if TYPE_CHECKING:
    from datetime import date
    from decimal import Decimal

    from catalog.snapshots import Catalog


MOST_REJECTED = 12
CLASS_ORDER = (
    FitClass.LISTED,
    FitClass.ALIKE,
    FitClass.UNIVERSAL,
    FitClass.ADAPTER,
    FitClass.NO_FIT,
)


@dataclass(frozen=True)
class Fit:
    """A part against a need.

    Parameters
    ----------
    part
        The part.
    fit_class
        How well it fits; "no fit" for a rejected one.
    reasons
        A sentence for every feature that matched, differs or is unknown.
    check_these
        What must be looked at before it goes in.
    lacks, adds
        What it comes without or with, against the old part.
    companions
        What the job needs besides.
    offer
        The cheapest offer that holds that day, if any.
    stock
        Where it is.
    faults
        Why it does not fit; empty for a fitting part.
    """

    part: Part
    fit_class: FitClass
    reasons: tuple[FeatureReason, ...]
    check_these: tuple[str, ...] = ()
    lacks: tuple[str, ...] = ()
    adds: tuple[str, ...] = ()
    companions: tuple[SuppliedPart, ...] = ()
    offer: Offer | None = None
    stock: Stock = field(default_factory=Stock)
    faults: tuple[str, ...] = ()

    @property
    def complete(self) -> bool:
        """Whether nothing is missing and nothing is left to look at."""
        return not self.lacks and not self.check_these

    def supplied(self) -> SuppliedPart:
        """Return the part as an estimate takes it.

        Returns
        -------
        The part with its cost and its reasons.

        Raises
        ------
        CatalogTrouble
            If the part does not fit, or nobody offers it.
        """
        if self.fit_class is FitClass.NO_FIT or self.offer is None:
            raise CatalogTrouble(
                f"Part {self.part.number} cannot be quoted: {' '.join(self.faults)}",
                "",
                "Pick one of the parts that fit.",
            )
        lacks = tuple(f"It comes without the {thing}." for thing in self.lacks)
        return SuppliedPart(
            number=self.part.number,
            description=self.part.description,
            family=self.part.family,
            fit_class=self.fit_class,
            reasons=tuple(r.sentence for r in self.reasons if r.status != "unknown"),
            check_these=(*self.check_these, *lacks),
            unit_cost=self.offer.cost,
            list_price=self.offer.list_price,
            stock=self.stock,
        )


@dataclass(frozen=True)
class FitAnswer:
    """The parts that fit, best first; the near misses; why none fits, if none does.

    `more` says how many further parts are as near by what is known, and what would tell
    them apart; where nothing is known, what was given and not gone by. It may be empty.
    """

    fitting: tuple[Fit, ...]
    rejected: tuple[Fit, ...]
    closed_reason: str | None = None
    more: str = ""


def fit_parts(catalog: Catalog, need: Need, van: str, on: date) -> FitAnswer:
    """Find the parts that fit a need.

    Parameters
    ----------
    catalog
        The open catalog.
    need
        What a part is looked for, and what is known.
    van
        The van to look on first; empty for none.
    on
        The day of the job: offers hold on it.

    Returns
    -------
    The fitting parts, listed before alike before universal before adapted, complete
    before partial, on the van before the branch before order, then by price; the near
    misses, the nearest first; and why the repair path is closed if nothing fits.

    Raises
    ------
    InputTrouble
        If a measured feature is not usable.
    CatalogTrouble
        If the van or heater family is not in the catalog.
    PartNotFound
        If the old part's number is not in the catalog.

    Notes
    -----
    Common practice, no source. The rating plate, the maker's instructions and the local
    code win over this answer.
    """
    checked_van(catalog, van)
    closed = no_such_part(need.family, need.plate)
    if closed:
        return FitAnswer((), (), closed)
    known = gather(catalog, need)
    if known.nothing:
        told = (each for each in known.conflicts if each != LOOK_AT_THE_CHAMBER)
        return FitAnswer((), (), nothing_known(catalog, known), " ".join(told))
    adapters = tuple(
        Adapter(row["number"], row["adapts_feature"], row["adapts_from"], row["adapts_to"])
        for row in catalog.fixed_rows("adapters")
    )
    candidates = candidates_for(catalog, known, van)
    judged = [
        (c, judge(catalog.rules, known, c.part, c.fit_class, c.standing, adapters))
        for c in candidates.held
    ]
    companions = companions_of_part(
        catalog, need.family, need.heater_family, sealed=known.sealed, van=van, on=on
    )
    fits = _made(catalog, known, judged, companions, van, on)
    fitting = sorted((fit for fit in fits if not fit[0].faults), key=lambda fit: fit[1])
    rejected = sorted((fit for fit in fits if fit[0].faults), key=lambda fit: fit[1])
    answer = tuple(fit for fit, _ in fitting)
    return FitAnswer(
        answer,
        tuple(fit for fit, _ in rejected)[:MOST_REJECTED],
        None if answer else why_none(catalog, known),
        _more(catalog, known, candidates.beyond),
    )


def _more(catalog: Catalog, known: Known, beyond: int) -> str:
    """Say that more parts are as near as those shown, and how to part them."""
    if not beyond:
        return ""
    count = f"At least {beyond}" if beyond >= MOST_COUNTED else str(beyond)
    said = f"{count} more part{'s are' if beyond > 1 else ' is'} as near by all that is known"
    open_ = [
        rule.name for rule in catalog.rules.families[known.need.family].features
        if known.wanted[rule.feature].value is None and not known.wanted[rule.feature].absent
    ][:2]  # fmt: skip
    if not open_:
        return f"{said}; those in stock are looked at first."
    return f"{said}: give the {' or the '.join(open_)} to tell them apart."


SortKey = tuple[int, int, int, bool, int, "Decimal | int", str]


def _made(
    catalog: Catalog, known: Known, judged: list[tuple[Candidate, Judgement]],
    companions: Companions, van: str, on: date,
) -> list[tuple[Fit, SortKey]]:  # fmt: skip
    numbers = [candidate.part.number for candidate, _ in judged]
    prices = offers(catalog, numbers, on)
    where = stocks(catalog, numbers, van, prices)
    fits = []
    for candidate, judgement in judged:
        number = candidate.part.number
        offer = prices.get(number, (None,))[0]
        faults, reasons = judgement.faults, judgement.reasons
        extra = _not_to_be_had(candidate.part, offer, on)
        if extra is not None:
            faults, reasons = (*faults, extra.sentence), (*reasons, extra)
        fit_class = FitClass.NO_FIT if faults else judgement.fit_class
        beside = companions.parts
        for adapter in judgement.adapters if not faults else ():
            because = f"it lets {number} serve where the heater has another connection"
            beside += supplied_companions(
                catalog, [adapter.number], because, FitClass.ADAPTER, van, on
            )
        fit = Fit(
            part=candidate.part,
            fit_class=fit_class,
            reasons=reasons,
            check_these=(*judgement.check_these, *known.conflicts, *companions.missing),
            lacks=judgement.lacks,
            adds=judgement.adds,
            companions=() if faults else beside,
            offer=offer,
            stock=where[number],
            faults=faults,
        )
        fits.append((fit, _rank(fit, candidate, judgement)))
    return fits


def _not_to_be_had(part: Part, offer: Offer | None, on: date) -> FeatureReason | None:
    if part.discontinued:
        sentence = f"{part.number} is no longer sold, and nothing replaces it."
        return FeatureReason("sold", "differs", sentence)
    if offer is None:
        sentence = f"No supplier offers {part.number} on {on.isoformat()}."
        return FeatureReason("offer", "differs", sentence)
    return None


def _rank(fit: Fit, candidate: Candidate, judgement: Judgement) -> SortKey:
    return (
        CLASS_ORDER.index(candidate.fit_class if fit.faults else fit.fit_class)
        if not fit.faults
        else len(fit.faults),
        len(judgement.lacks) + bool(judgement.check_these),
        judgement.safety_unknown,
        fit.part.universal,
        place_order(fit.stock),
        fit.offer.cost if fit.offer is not None else 0,
        fit.part.number,
    )

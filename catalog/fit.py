"""Which part fits: the fitting ranked, the near misses with why not."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from catalog.companions import Companions, companions_of_part, supplied_companions
from catalog.judging import Adapter, FeatureReason, Judgement, judge, listed_only
from catalog.needs import Known, Need, gather
from catalog.parts import (
    Offer,
    Part,
    checked_van,
    families_like,
    offers,
    parts_by_number,
    parts_of_features,
    stocks,
)
from catalog.rows import FEATURES
from estimator.errors import CatalogTrouble
from estimator.heater import Chamber, Ignition
from estimator.supply import FitClass, PartFamily, Stock, SuppliedPart

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import date
    from decimal import Decimal

    from catalog.snapshots import Catalog
    from estimator.heater import RatingPlate

__all__ = ["FeatureReason", "Fit", "FitAnswer", "Need", "fit_parts"]

MOST_CANDIDATES = 60
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
    """The parts that fit, best first; the near misses; why none fits, if none does."""

    fitting: tuple[Fit, ...]
    rejected: tuple[Fit, ...]
    closed_reason: str | None = None


@dataclass(frozen=True)
class _Candidate:
    part: Part
    fit_class: FitClass
    standing: FeatureReason


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
    closed = _no_such_part(need.family, need.plate)
    if closed:
        return FitAnswer((), (), closed)
    known = gather(catalog, need)
    if known.nothing:
        return FitAnswer((), (), _nothing_known(catalog, known))
    adapters = tuple(
        Adapter(row["number"], row["adapts_feature"], row["adapts_from"], row["adapts_to"])
        for row in catalog.fixed_rows("adapters")
    )
    judged = [
        (c, judge(catalog.rules, known, c.part, c.fit_class, c.standing, adapters))
        for c in _candidates(catalog, known)
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
        None if answer else _why_none(catalog, known),
    )


def _candidates(catalog: Catalog, known: Known) -> list[_Candidate]:
    """Gather parts to judge, each once, under the best class that it may have."""
    made: dict[str, _Candidate] = {}
    for listed in known.listed:
        _add_listed(catalog, made, listed, "listed by the maker for this heater")
    if known.old is not None and not known.listed:
        _add_listed(catalog, made, known.old, "the number on the old part")
    basis = [known.old, *known.listed] if known.old is not None else list(known.listed)
    numbers = {part.number for part in basis} | {part.sold_as for part in basis if part.sold_as}
    if numbers:
        _add_alike(catalog, made, sorted(numbers))
    if known.ambiguous:
        return list(made.values())
    limits = {name: known.wanted[name].value if name in known.wanted else None
              for name in FEATURES[known.need.family]}  # fmt: skip
    # A feature that no rule judges does not narrow the search either.
    rows = catalog.rows(
        f"candidates_{known.need.family.value}",
        {**_asked(known.need.family, limits), "most": MOST_CANDIDATES},
    )
    nearby = parts_of_features(catalog, [row for row in rows if row["number"] not in made])
    for number, part in nearby.items():
        if part.universal:
            standing = FeatureReason("listing", "matched", "Sold as universal.")
            made[number] = _Candidate(part, FitClass.UNIVERSAL, standing)
        else:
            standing = FeatureReason(
                "listing", "matched", f"Found by its features; {part.maker} makes it."
            )
            made[number] = _Candidate(part, FitClass.ALIKE, standing)
    return list(made.values())


def _asked(family: PartFamily, limits: Mapping[str, object]) -> dict[str, object]:
    unused = {
        PartFamily.PILOT_ASSEMBLY: ("output_class_mv", "connection", "cut_off_built_in"),
        PartFamily.GAS_CONTROL: ("manifold_in_wc", "knob"),
        PartFamily.DOOR_KIT: ("includes_gasket",),
    }.get(family, ())
    return {name: value for name, value in limits.items() if name not in unused}


def _add_listed(catalog: Catalog, made: dict[str, _Candidate], first: Part, why: str) -> None:
    today = first
    if first.sold_as is not None and first.sold_as != first.number:
        today = parts_by_number(catalog, [first.sold_as])[first.sold_as]
    if today is first:
        sentence = f"{why[:1].upper()}{why[1:]}."
    else:
        sentence = f"Replaces {first.number}, {why}."
    fit_class = FitClass.LISTED
    if today.universal and why.startswith("the number"):
        fit_class = FitClass.UNIVERSAL
    made.setdefault(
        today.number, _Candidate(today, fit_class, FeatureReason("listing", "matched", sentence))
    )


def _add_alike(catalog: Catalog, made: dict[str, _Candidate], numbers: list[str]) -> None:
    pairs = {
        row["alike"]: row["part"] for row in catalog.rows("alike_to_any", {"numbers": numbers})
    }
    found = parts_by_number(catalog, pairs)
    today = parts_by_number(catalog, [p.sold_as for p in found.values() if p.sold_as])
    for number, part in found.items():
        sold = today.get(part.sold_as or "")
        if sold is None or sold.number in made:
            continue
        sentence = f"Alike to {pairs[number]}, both ways."
        fit_class = FitClass.UNIVERSAL if sold.universal else FitClass.ALIKE
        made[sold.number] = _Candidate(sold, fit_class, FeatureReason("alike", "matched", sentence))


SortKey = tuple[int, int, int, bool, int, "Decimal | int", str]


def _made(
    catalog: Catalog, known: Known, judged: list[tuple[_Candidate, Judgement]],
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


def _rank(fit: Fit, candidate: _Candidate, judgement: Judgement) -> SortKey:
    stock = fit.stock
    place = 0 if stock.van else 1 if stock.branch else 2 if stock.order_days is not None else 3
    return (
        CLASS_ORDER.index(candidate.fit_class if fit.faults else fit.fit_class)
        if not fit.faults
        else len(fit.faults),
        len(judgement.lacks) + bool(judgement.check_these),
        judgement.safety_unknown,
        fit.part.universal,
        place,
        fit.offer.cost if fit.offer is not None else 0,
        fit.part.number,
    )


def _no_such_part(family: PartFamily, plate: RatingPlate | None) -> str | None:
    if plate is None:
        return None
    lit = plate.ignition
    by_rod = lit in (Ignition.INTERMITTENT_PILOT, Ignition.HOT_SURFACE)
    if family is PartFamily.SENSING_ELEMENT and by_rod:
        return "This heater proves its flame by a rod: it has no thermocouple or thermopile."
    if family is PartFamily.FLAME_ROD and not by_rod:
        return "This heater has a standing pilot: it has no flame rod."
    piloted = (PartFamily.PILOT_ASSEMBLY, PartFamily.PILOT_TUBE)
    if family in piloted and lit is Ignition.HOT_SURFACE:
        return "This heater is lit by a hot surface: it has no pilot."
    if family is PartFamily.VAPOR_SENSOR and plate.chamber is Chamber.OPEN:
        return "A heater with an open chamber has no vapor sensor."
    return None


def _nothing_known(catalog: Catalog, known: Known) -> str:
    need = known.need
    if need.heater_family is not None:
        inside = _inside_assembly(catalog, known)
        name = catalog.rules.families[need.family].name
        return inside or (
            f"The maker's list of heater family {need.heater_family} names no {name}: give the "
            "number on the old part, or its measures."
        )
    like = families_like(catalog, need.plate)[:3] if need.plate is not None else ()
    name = catalog.rules.families[need.family].name
    hint = (
        f" By its plate the heater may be of {', '.join(family.slug for family in like)}."
        if like
        else ""
    )
    return (
        f"Nothing is known of the {name} that is needed: give the heater family, the number on "
        f"the old part, or its measures.{hint}"
    )


def _why_none(catalog: Catalog, known: Known) -> str:
    name = catalog.rules.families[known.need.family].name
    inside = _inside_assembly(catalog, known)
    if inside:
        return inside
    gone = [part.number for part in known.listed if part.sold_as is None]
    if gone and len(gone) == len(known.listed):
        return (
            f"The {name} that the maker lists ({', '.join(gone)}) is no longer sold, nothing "
            "replaces it, and no other part fits."
        )
    if listed_only(catalog.rules, known) and not known.listed and known.old is None:
        place = " for this sealed chamber" if known.sealed else " for this heater"
        return f"Only a {name} that the maker lists may go in, and none is listed{place}."
    return f"No {name} in the catalog fits; see the near misses for what differs."


def _inside_assembly(catalog: Catalog, known: Known) -> str | None:
    """Say so where the element comes only inside the pilot assembly."""
    if known.need.family is not PartFamily.SENSING_ELEMENT or known.listed:
        return None
    if known.need.heater_family is None:
        return None
    rows = catalog.rows(
        "listed_at",
        {"heater_family": known.need.heater_family, "positions": ["pilot_assembly"]},
    )
    for part in parts_by_number(catalog, [row["part"] for row in rows]).values():
        if part.features.get("includes_element"):
            return (
                "The sensing element of this heater comes only inside pilot assembly "
                f"{part.sold_as or part.number}: choose to replace the pilot assembly."
            )
    return None

"""One search for parts by what is typed: the parts found, what they cost and where they are."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Final

from app.parts_query import Query, read_query
from catalog.finding_numbers import NumberAnswer, find_number
from catalog.fit import FitAnswer, fit_parts
from catalog.measures import measure_in
from catalog.needs import Need
from catalog.parts import offers, parts_by_number, stocks
from estimator.errors import InputTrouble

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from datetime import date

    from catalog.fit_rules import FeatureRule
    from catalog.parts import Offer, Part
    from catalog.snapshots import Catalog
    from estimator.heater import RatingPlate
    from estimator.supply import Stock

LONGEST: Final = 200
MANY: Final = 5
"""More numbers than this that may be meant are told apart by a measure."""
MOST_ASKED: Final = 8


@dataclass(frozen=True)
class Standing:
    """What a part costs the shop and where it is, today."""

    offer: Offer | None
    stock: Stock


@dataclass(frozen=True)
class Apart:
    """The feature that tells numbers apart, and a search with each of its values."""

    rule: FeatureRule
    searches: tuple[str, ...]


@dataclass(frozen=True)
class PartsAnswer:
    """What a search found: by number, or by words and measures; and where each part is.

    `fit` is what goes in for the part found by its number, where that is sure; `apart` what
    would tell the numbers apart that may be meant, where they are many.
    """

    query: Query
    numbers: NumberAnswer | None = None
    fit: FitAnswer | None = None
    standing: Mapping[str, Standing] = field(default_factory=dict)
    apart: Apart | None = None


def search_parts(
    catalog: Catalog, text: str, van: str, on: date, plate: RatingPlate | None = None,
    heater_family: str | None = None,
) -> PartsAnswer:  # fmt: skip
    """Answer what was typed into the search box.

    Parameters
    ----------
    catalog
        The open catalog.
    text
        A number, alone or with a measure or the kind of part beside it, or words with
        measures such as ``thermocouple 24 in push-in``.
    van
        The van to look on first; empty for none.
    on
        The day: offers hold on it.
    plate, heater_family
        The heater in place, where it is known.

    Returns
    -------
    The answer.

    Raises
    ------
    Trouble
        If the text is too long or a measure is not usable, or the van or heater family is not
        known.
    """
    if len(text) > LONGEST:
        said = f"The search has {len(text):,} characters; at most {LONGEST} are read"
        raise InputTrouble(said, "", "Type a number, or words with measures.")
    query = read_query(text, catalog.rules)
    if query.kind == "nothing":
        return PartsAnswer(query)
    found = _by_number(catalog, query, heater_family)
    if query.kind == "words" and query.family is not None and found is None:
        need = Need(query.family, plate, heater_family, None, query.features)
        return PartsAnswer(query, fit=fit_parts(catalog, need, van, on))
    if found is None:
        return PartsAnswer(query)
    sure = [held for held in found.found if held.exact]
    shown = [held.part for held in found.found]
    shown += [held.today for held in found.found if held.today is not None]
    standing = standing_of(catalog, [*shown, *found.chain, *found.alike], van, on)
    goes_in = None
    if len(sure) == 1:
        old = sure[0].part
        need = Need(old.family, plate, heater_family, old.number)
        goes_in = fit_parts(catalog, need, van, on)
    apart = None if sure else _apart(catalog, query, found)
    return PartsAnswer(query, numbers=found, fit=goes_in, standing=standing, apart=apart)


def _by_number(catalog: Catalog, query: Query, heater_family: str | None) -> NumberAnswer | None:
    """Return what the number in a text may mean; nothing where the text is better read else."""
    if query.kind == "number":
        found = find_number(catalog, query.number, heater_family, told=query.told)
        if found.found or query.told is None:
            return found
        return find_number(catalog, query.typed, heater_family)
    if not query.number:
        return None
    found = find_number(catalog, query.number, heater_family, told=query.told)
    wanted = "exact" if query.kind == "measure" else "as_told"
    return found if any(getattr(held, wanted) for held in found.found) else None


def _apart(catalog: Catalog, query: Query, found: NumberAnswer) -> Apart | None:
    """Return the measure that tells most of the numbers apart; nothing where one stands out."""
    if query.told or len(found.found) <= MANY or any(each.of_heater for each in found.found):
        return None
    parts = parts_by_number(catalog, [each.part.number for each in found.found]).values()
    family = Counter(part.family for part in parts).most_common(1)[0][0]
    best: Apart | None = None
    for rule in catalog.rules.families[family].features:
        values = {part.features.get(rule.feature) for part in parts if part.family is family}
        measures = sorted(value for value in values if rule.unit and isinstance(value, float))
        texts = [f"{found.typed.strip()} {measure_in(value, rule.unit)}" for value in measures]
        # A search is worth asking where it is read as that measure again, and no other.
        told = [(read_query(text, catalog.rules).told or {}).get(family) for text in texts]
        read = all(each is not None and rule.feature in each for each in told)
        if read and len(best.searches if best else texts[:1]) < len(texts) <= MOST_ASKED:
            best = Apart(rule, tuple(texts))
    return best


def standing_of(catalog: Catalog, parts: Sequence[Part], van: str, on: date) -> dict[str, Standing]:
    """Return what parts cost the shop and where they are.

    Parameters
    ----------
    catalog
        The open catalog.
    parts
        The parts.
    van
        The van to look on first; empty for none.
    on
        The day.

    Returns
    -------
    Number to standing.
    """
    numbers = list(dict.fromkeys(part.number for part in parts))
    prices = offers(catalog, numbers, on)
    held = stocks(catalog, numbers, van, prices)
    return {
        number: Standing(next(iter(prices.get(number, ())), None), held[number])
        for number in numbers
    }

"""The head of the customer's view: who quotes, for whom, which heater, on what days."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from app.views import customer_words as words
from app.views.customer_state import validity

if TYPE_CHECKING:
    from app.language.speech import Speech
    from app.views.customer_state import Issued
    from app.visit import Visit
    from estimator.estimate import Estimate
    from estimator.rates import QuoteTerms, Shop


@dataclass(frozen=True)
class ShopShown:
    """Who issues the quote; `invented` marks a demo shop."""

    name: str
    contact: tuple[str, ...]
    invented: bool


@dataclass(frozen=True)
class Heading:
    """Number, dates and people of the quote; `number` is ``None`` for a draft."""

    number: str | None
    revision: int | None
    issued_on: str | None
    valid_until: str | None
    valid_text: str
    visit_on: str
    technician: str
    customer_name: str
    customer_address: str
    heater: str
    day_iso: str


def build_heading(
    visit: Visit,
    estimate: Estimate,
    terms: QuoteTerms,
    issued: Issued | None,
    state: str,
    speech: Speech,
) -> Heading:
    """Build the head of a quote.

    Parameters
    ----------
    visit
        The visit.
    estimate
        The estimate.
    terms
        How long the shop's prices hold.
    issued
        The mark of an issued quote; ``None`` for a draft.
    state
        Where the quote stands.
    speech
        The language and the units.

    Returns
    -------
    The head.
    """
    formats = speech.formats
    marked: dict[str, Any] = {
        "number": None,
        "revision": None,
        "issued_on": None,
        "valid_until": None,
        "day_iso": visit.visit.date.isoformat(),
    }
    if issued is not None:
        marked = {
            "number": issued.number,
            "revision": issued.revision,
            "issued_on": formats.long_date(issued.issued_on),
            "valid_until": formats.long_date(issued.valid_until),
            "day_iso": issued.issued_on.isoformat(),
        }
    return Heading(
        valid_text=validity(issued, state, terms, speech),
        visit_on=formats.long_date(visit.visit.date),
        technician=visit.visit.technician,
        customer_name=visit.visit.customer_name,
        customer_address=visit.visit.customer_address,
        heater=_heater(visit, estimate, speech),
        **marked,
    )


def build_shop(shop: Shop, *, invented: bool) -> ShopShown:
    """Build who quotes: the name, and where the shop can be reached."""
    contact = tuple(part for part in (shop.address, shop.phone, shop.license) if part)
    return ShopShown(shop.name, contact, invented)


def say_terms(terms: QuoteTerms, speech: Speech) -> str:
    """Say the shop's terms: in the customer's language where the owner wrote them in it.

    Parameters
    ----------
    terms
        The shop's terms, in English and perhaps in Spanish.
    speech
        The language.

    Returns
    -------
    The terms; those that are in English alone say so.
    """
    if speech.language == "es" and terms.terms_es:
        return terms.terms_es
    told = speech.find(terms.terms)
    if told is not None or speech.language == "en":
        return terms.terms if told is None else told
    return f"{terms.terms} ({speech.say(words.IN_ENGLISH_ONLY)})"


def _heater(visit: Visit, estimate: Estimate, speech: Speech) -> str:
    plate, say, formats = visit.heater, speech.say, speech.formats
    gallons = formats.quantity(plate.tank_volume_gal)
    plain = speech.units == "us" and speech.language == "en"
    size = say(words.TANK_SIZE, gallons=gallons) if plain else formats.volume(plate.tank_volume_gal)
    return say(
        words.HEATER,
        volume=size,
        fuel=say(words.FUELS[plate.fuel]),
        month=formats.month_and_year(plate.manufactured),
        age=formats.age(estimate.heater.age_years),
        place=say(words.PLACES[visit.site.location]),
    )

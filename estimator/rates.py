"""The rate sheet: what the owner sets. Every price and every term of a quote comes from it.

Amounts of money are exact [USD]; shares are fractions of one; hours are decimal [h].
Defaults are common practice, no source; the demo shop's own sheet is
invented.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from decimal import Decimal
from enum import StrEnum
from itertools import pairwise
from typing import Annotated, Any, Literal

from pydantic import Field, model_validator

from estimator.economics import Economics, FuelPrices
from estimator.errors import InputTrouble, RateSheetTrouble, checked
from estimator.heater import Access
from estimator.money import Dollars, Share
from estimator.rate_section import RateSection

Factor = Annotated[Decimal, Field(ge=1, le=10)]


class LineKind(StrEnum):
    """Kind of a price line; tax and discount go by it."""

    PART = "part"
    LABOR = "labor"
    TRIP = "trip"
    PERMIT = "permit"
    DISPOSAL = "disposal"
    MATERIAL = "material"
    HEATER = "heater"


class Shop(RateSection):
    """Who issues the quote."""

    name: Annotated[str, Field(min_length=1, max_length=120)]
    address: Annotated[str, Field(max_length=240)] = ""
    phone: Annotated[str, Field(max_length=40)] = ""
    license: Annotated[str, Field(max_length=80)] = ""
    invented: bool = False
    currency: Literal["USD"] = "USD"


class LaborRates(RateSection):
    """Rates by class, the factor for hard access, and the minimum that is billed.

    `cost_per_h` is what an hour costs the shop; `after_hours_cost_per_h` the same outside
    hours, equal to it where not given.
    """

    regular_per_h: Dollars
    after_hours_per_h: Dollars
    minimum_h: Annotated[Decimal, Field(ge=0, le=8)] = Decimal("1.0")
    access_factor: dict[Access, Factor] = Field(
        default_factory=lambda: {
            Access.OPEN: Decimal("1.0"),
            Access.TIGHT: Decimal("1.25"),
            Access.VERY_TIGHT: Decimal("1.5"),
        }
    )
    cost_per_h: Dollars
    after_hours_cost_per_h: Dollars | None = None

    @model_validator(mode="after")
    def _every_access_has_a_factor(self) -> LaborRates:
        missing = [access.value for access in Access if access not in self.access_factor]
        if missing:
            raise ValueError(f"access_factor lacks {', '.join(missing)}; give each a factor")
        return self


class TripCharge(RateSection):
    """Charge for coming out and finding the fault; credited when work goes ahead or not."""

    amount: Dollars
    cost: Dollars = Decimal(0)
    credited_when_work_goes_ahead: bool = False


class MarkupBand(RateSection):
    """Parts that cost up to `up_to_cost` sell at cost times one plus `markup`."""

    up_to_cost: Dollars | None = None
    markup: Annotated[Decimal, Field(ge=0, le=20)]


class PartPricing(RateSection):
    """Bands of markup by cost, or one target gross margin; never both.

    The last band has no `up_to_cost`: it takes every dearer part.
    """

    markup_bands: tuple[MarkupBand, ...] = ()
    target_margin: Share | None = None
    cap_at_list_price: bool = False

    @model_validator(mode="after")
    def _one_way_of_pricing(self) -> PartPricing:
        if self.markup_bands and self.target_margin is not None:
            raise ValueError("both markup_bands and target_margin are given; keep one of the two")
        if not self.markup_bands and self.target_margin is None:
            raise ValueError("there is neither markup_bands nor target_margin; give one of the two")
        limits = [band.up_to_cost for band in self.markup_bands]
        if limits:
            closed = [limit for limit in limits[:-1] if limit is not None]
            if limits[-1] is not None or len(closed) != len(limits) - 1:
                raise ValueError(
                    "the markup bands do not cover every cost; give each but the last its "
                    "up_to_cost, and the last none"
                )
            if any(a >= b for a, b in pairwise(closed)):
                raise ValueError(
                    "the markup bands do not rise in up_to_cost; put the cheapest first"
                )
        return self


class OtherPricing(RateSection):
    """Markups on what is neither a part nor labor, and the sundries of every job."""

    heater_markup: Annotated[Decimal, Field(ge=0, le=20)] = Decimal("0.25")
    material_markup: Annotated[Decimal, Field(ge=0, le=20)] = Decimal("0.50")
    permit_markup: Annotated[Decimal, Field(ge=0, le=20)] = Decimal(0)
    disposal_markup: Annotated[Decimal, Field(ge=0, le=20)] = Decimal(0)
    sundries_price: Dollars = Decimal(0)
    sundries_cost: Dollars = Decimal(0)


class Discounts(RateSection):
    """What a plan member gets off, and the largest discount a technician may give."""

    plan_member: Share = Decimal(0)
    technician_limit: Share = Decimal(0)
    kinds: tuple[LineKind, ...] = (LineKind.PART, LineKind.LABOR)


class TaxPlace(RateSection):
    """A place with a sales tax of its own; `taxable` as everywhere unless given."""

    name: Annotated[str, Field(min_length=1, max_length=80)]
    rate: Share
    taxable: tuple[LineKind, ...] | None = None


class Tax(RateSection):
    """Sales tax by kind of line, and by place where places differ.

    `rate` holds wherever no other place is named.
    """

    rate: Share = Decimal(0)
    taxable: tuple[LineKind, ...] = (LineKind.PART, LineKind.MATERIAL, LineKind.HEATER)
    places: tuple[TaxPlace, ...] = ()

    @model_validator(mode="after")
    def _each_place_once(self) -> Tax:
        folded = [" ".join(place.name.casefold().split()) for place in self.places]
        twice = next((it for at, it in enumerate(folded) if it in folded[:at]), None)
        if twice is not None:
            raise ValueError(f'the place "{twice}" is there twice; name each place once')
        return self


class Financing(RateSection):
    """The shop's own payment plan: what each 1,000 USD financed costs a month, and how long.

    Shown as a monthly figure from `least_price` [USD] on, and nothing is worked out from it:
    the terms of the credit are for the shop to disclose as the law asks.
    """

    per_month_of_1000: Annotated[Dollars, Field(gt=0, le=1000)]
    months: Annotated[int, Field(ge=1, le=240)]
    least_price: Dollars = Decimal(0)

    @model_validator(mode="after")
    def _all_is_paid_back(self) -> Financing:
        paid = self.per_month_of_1000 * self.months
        if paid < 1000:
            raise ValueError(
                f"{self.months} payments of {self.per_month_of_1000} for each 1,000 come to "
                f"{paid}, less than what is financed; give more months or a higher payment"
            )
        return self


class QuoteTerms(RateSection):
    """How a quote is rounded, how long it holds, and the margins it is held to.

    `margin_floor` is the gross margin under which a job is not issued without the owner,
    `target_margin` the one that the books hold jobs against. `financing` is the shop's own plan.

    `terms_es` are the terms in Spanish, for a customer who reads Spanish; where there are
    none, he reads the English ones, marked as English.
    """

    round_total_to: Annotated[Decimal, Field(gt=0, le=100)] = Decimal("0.01")
    valid_days: Annotated[int, Field(ge=1, le=365)] = 30
    margin_floor: Share = Decimal(0)
    target_margin: Share | None = None
    financing: Financing | None = None
    lump_sum: bool = False
    terms: Annotated[str, Field(max_length=2000)] = ""
    terms_es: Annotated[str, Field(max_length=2000)] = ""


class RateSheet(RateSection):
    """Everything the owner sets, as one version that never changes once published."""

    shop: Shop
    labor: LaborRates
    trip: TripCharge
    parts: PartPricing
    other: OtherPricing = OtherPricing()
    discounts: Discounts = Discounts()
    tax: Tax = Tax()
    quote: QuoteTerms = QuoteTerms()
    fuel_prices: FuelPrices
    economics: Economics = Economics()

    def at_place(self, place: str) -> RateSheet:
        """Return the sheet with the sales tax of a place.

        Parameters
        ----------
        place
            Its name in `tax.places`; empty for where no other place is named.

        Raises
        ------
        InputTrouble
            If the sheet knows no such place.
        """
        if not place:
            return self
        found = next((it for it in self.tax.places if it.name == place), None)
        if found is None:
            known = ", ".join(it.name for it in self.tax.places) or "none"
            raise InputTrouble(
                f'The rate sheet has no sales tax of "{place}"; its places are {known}',
                "work.tax_place",
                "Choose one of them, or leave the place out.",
            )
        there = {"rate": found.rate}
        if found.taxable is not None:
            there["taxable"] = found.taxable  # type: ignore[assignment]
        return self.model_copy(update={"tax": self.tax.model_copy(update=there)})


class RateSheetVersion(RateSection):
    """A published rate sheet: its number, the day from which it holds, the sheet."""

    version: int
    holds_from: date
    sheet: RateSheet


def rate_sheet_from(values: Mapping[str, Any], where: str) -> RateSheet:
    """Read a rate sheet from what a TOML or JSON file held, or from a form.

    Parameters
    ----------
    values
        Sections and keys; a number may be whole, decimal or text. The TOML number 0.1
        becomes exactly ``Decimal("0.1")``.
    where
        The file or form, for the message.

    Returns
    -------
    The rate sheet.

    Raises
    ------
    RateSheetTrouble
        Naming each wrong key, and the known key nearest to a misspelt one.
    """
    return checked(RateSheet, values, where, RateSheetTrouble)


def rate_sheet_to(sheet: RateSheet) -> dict[str, Any]:
    """Write a rate sheet as values that TOML and JSON can both hold.

    Parameters
    ----------
    sheet
        The rate sheet.

    Returns
    -------
    Nested keys and values; exact decimals as text, absent values left out.
    """
    return sheet.model_dump(mode="json", exclude_none=True)

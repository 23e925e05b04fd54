"""The quote as a UBL 2.1 Quotation, for the shop's accounting."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from typing import TYPE_CHECKING
from xml.etree import ElementTree

from estimator.errors import InputTrouble
from estimator.rates import LineKind

if TYPE_CHECKING:
    from datetime import date

    from app.visit import Visit
    from estimator.estimate import Estimate
    from estimator.priced_job import PricedJob, PriceLine
    from estimator.rates import RateSheet

_UBL = "urn:oasis:names:specification:ubl:schema:xsd:"
NAMESPACES = {
    "": f"{_UBL}Quotation-2",
    "cac": f"{_UBL}CommonAggregateComponents-2",
    "cbc": f"{_UBL}CommonBasicComponents-2",
}
CURRENCY = "USD"
CENT = Decimal("0.01")
HOUR, PIECE = "HUR", "C62"
"""Unit codes of UN/ECE Recommendation 20: hour, one."""


@dataclass(frozen=True)
class QuotationMark:
    """Number, revision and days of the quote that the document is of."""

    number: str
    revision: int
    issued_on: date
    valid_until: date


def quotation_ubl(
    visit: Visit,
    estimate: Estimate,
    rates: RateSheet,
    mark: QuotationMark,
    *,
    path: str = "repair",
    language: str = "en",
) -> bytes:
    """Write one path of a quote as a UBL 2.1 Quotation.

    Parameters
    ----------
    visit
        The visit: customer and address.
    estimate
        The estimate; no cost and no margin is in it.
    rates
        The rate sheet: the shop, its tax rate.
    mark
        Number, revision and days.
    path
        ``repair``, or the slug of a replacement. A Quotation is one offer, so the two
        paths are two documents; what others pay (incentives) is not the shop's discount
        and is not in it.
    language
        Of the texts, which are those of the price lines as priced.

    Returns
    -------
    XML in UTF-8.

    Raises
    ------
    InputTrouble
        If the path is closed or not there.

    Notes
    -----
    The discount and the rounding of the total are allowances and charges of the document,
    so that what is payable equals the total of the quote to the cent:
    ``payable = lines - allowances + charges + tax``.

    References
    ----------
    OASIS Universal Business Language 2.1, 4 November 2013; UN/ECE Recommendation 20;
    ISO 4217.
    """
    job = _job(estimate, path)
    for prefix, name in NAMESPACES.items():
        ElementTree.register_namespace(prefix, name)
    root = ElementTree.Element(f"{{{NAMESPACES['']}}}Quotation")
    write = _Writer(root)
    write.basic("UBLVersionID", "2.1")
    write.basic("ID", mark.number)
    write.basic("IssueDate", mark.issued_on.isoformat())
    if visit.invented or rates.shop.invented:
        write.basic("Note", "Invented demo shop: names, parts and prices are made up.")
    write.basic("Note", f"Revision {mark.revision}. {job.name}.", languageID=language)
    write.basic("PricingCurrencyCode", CURRENCY)
    write.basic("LineCountNumeric", str(len(job.lines)))
    period = write.group("ValidityPeriod")
    period.basic("StartDate", mark.issued_on.isoformat())
    period.basic("EndDate", mark.valid_until.isoformat())
    _parties(write, visit, rates)
    for charge, amount, reason in _document_charges(job):
        part = write.group("AllowanceCharge")
        part.basic("ChargeIndicator", "true" if charge else "false")
        part.basic("AllowanceChargeReason", reason)
        part.money("Amount", amount)
    _tax(write, job, rates.at_place(visit.work.tax_place))
    _totals(write, job)
    for number, line in enumerate(job.lines, 1):
        _line(write, number, line)
    ElementTree.indent(root)
    xml: bytes = ElementTree.tostring(root, xml_declaration=True, encoding="UTF-8")
    return xml


def _job(estimate: Estimate, path: str) -> PricedJob:
    if path == "repair":
        if estimate.repair.open:
            return estimate.repair.priced
        why = estimate.repair.closed_reason or ""
        raise InputTrouble(f"The repair is closed: {why}", "the quote", "Take a replacement.")
    found = next((each for each in estimate.replacements if each.slug == path), None)
    if found is None or found.closed_reason is not None:
        open_ones = [each.slug for each in estimate.replacements if each.closed_reason is None]
        raise InputTrouble(
            f'Replacement "{path}" is not open in this quote',
            "the quote",
            f"Open are: {', '.join(open_ones) or 'none'}.",
        )
    return found.priced


class _Writer:
    """Writes UBL elements under one parent, in the order they are asked for."""

    def __init__(self, parent: ElementTree.Element) -> None:
        self.parent = parent

    def group(self, name: str) -> _Writer:
        return _Writer(self._child("cac", name))

    def basic(self, name: str, text: str, **attributes: str) -> None:
        child = self._child("cbc", name)
        child.text = _xml_text(text)
        for key, value in attributes.items():
            child.set(key, value)

    def money(self, name: str, amount: Decimal) -> None:
        cents = amount.quantize(CENT, rounding=ROUND_HALF_UP)
        self.basic(name, f"{cents:f}", currencyID=CURRENCY)

    def _child(self, prefix: str, name: str) -> ElementTree.Element:
        return ElementTree.SubElement(self.parent, f"{{{NAMESPACES[prefix]}}}{name}")


def _xml_text(text: str) -> str:
    """Leave out what XML 1.0 cannot hold, whatever was typed."""
    return "".join(
        character
        for character in text
        if character in "\t\n\r"
        or " " <= character <= "\ud7ff"
        or "\ue000" <= character <= "\ufffd"
        or character >= "\U00010000"
    )


def _parties(write: _Writer, visit: Visit, rates: RateSheet) -> None:
    shop = rates.shop
    seller = write.group("SellerSupplierParty").group("Party")
    seller.group("PartyName").basic("Name", shop.name)
    _address(seller, shop.address)
    if shop.phone:
        seller.group("Contact").basic("Telephone", shop.phone)
    buyer = write.group("OriginatorCustomerParty").group("Party")
    buyer.group("PartyName").basic("Name", visit.visit.customer_name or "Customer")
    _address(buyer, visit.visit.customer_address)


def _address(party: _Writer, address: str) -> None:
    if address:
        party.group("PostalAddress").group("AddressLine").basic("Line", address)


def _document_charges(job: PricedJob) -> list[tuple[bool, Decimal, str]]:
    """Return charge or allowance, amount and reason of what is not on a line."""
    found = []
    if job.discount:
        found.append((False, job.discount, job.discount_reason or "Discount"))
    if job.rounding:
        found.append((job.rounding > 0, abs(job.rounding), "Rounding of the total"))
    return found


def _tax(write: _Writer, job: PricedJob, rates: RateSheet) -> None:
    total = write.group("TaxTotal")
    total.money("TaxAmount", job.tax)
    part = total.group("TaxSubtotal")
    part.money("TaxableAmount", _taxable(job, rates))
    part.money("TaxAmount", job.tax)
    category = part.group("TaxCategory")
    category.basic("Percent", f"{(rates.tax.rate * 100).normalize():f}")
    category.group("TaxScheme").basic("Name", "Sales tax")


def _taxable(job: PricedJob, rates: RateSheet) -> Decimal:
    """Return what the tax was taken of: taxable lines less their share of the discount."""
    kinds = rates.discounts.kinds
    discounted = sum((line.amount for line in job.lines if line.kind in kinds), Decimal(0))
    share = job.discount / discounted if discounted else Decimal(0)
    taxed = Decimal(0)
    for line in job.lines:
        if line.taxable:
            off = (line.amount * share).quantize(CENT) if line.kind in kinds else Decimal(0)
            taxed += line.amount - off
    return taxed


def _totals(write: _Writer, job: PricedJob) -> None:
    charges = _document_charges(job)
    allowed = sum((amount for charge, amount, _ in charges if not charge), Decimal(0))
    charged = sum((amount for charge, amount, _ in charges if charge), Decimal(0))
    totals = write.group("QuotedMonetaryTotal")
    totals.money("LineExtensionAmount", job.subtotal)
    totals.money("TaxExclusiveAmount", job.subtotal - allowed + charged)
    totals.money("TaxInclusiveAmount", job.total)
    totals.money("AllowanceTotalAmount", allowed)
    totals.money("ChargeTotalAmount", charged)
    totals.money("PayableAmount", job.total)


def _line(write: _Writer, number: int, line: PriceLine) -> None:
    unit = HOUR if line.kind is LineKind.LABOR else PIECE
    quote_line = write.group("QuotationLine")
    quote_line.basic("ID", str(number))
    item_line = quote_line.group("LineItem")
    item_line.basic("ID", str(number))
    if line.note:
        item_line.basic("Note", line.note)
    item_line.basic("Quantity", f"{line.quantity.normalize():f}", unitCode=unit)
    item_line.money("LineExtensionAmount", line.amount)
    price = item_line.group("Price")
    price.money("PriceAmount", line.unit_price)
    price.basic("BaseQuantity", "1", unitCode=unit)
    item_line.group("Item").basic("Name", line.description)

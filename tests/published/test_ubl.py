"""The UBL Quotation against the OASIS UBL 2.1 schema, and its sums against the quote's."""

from __future__ import annotations

import hashlib
import tomllib
from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
from lxml import etree

from app.documents.ubl import NAMESPACES, QuotationMark, quotation_ubl
from app.visiting import PricedVisit, price_visit, visit_from
from app.wiring import DEMO_DATA, set_up_shop
from estimator.errors import InputTrouble
from tests.acting import TESTER

if TYPE_CHECKING:
    from collections.abc import Iterator

    from app.shop import Shop

HERE = Path(__file__).parent / "ubl-2.1"
VISITS = sorted((DEMO_DATA / "visits").glob("*.toml"))
MARK = QuotationMark("Q-0001", 2, date(2026, 11, 24), date(2026, 12, 24))
NS = {key or "q": name for key, name in NAMESPACES.items()}


@pytest.fixture(scope="module")
def schema() -> etree.XMLSchema:
    return etree.XMLSchema(etree.parse(HERE / "xsd" / "maindoc" / "UBL-Quotation-2.1.xsd"))


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Shop]:
    folder = tmp_path_factory.mktemp("shop")
    rates = DEMO_DATA / "rates.toml"
    opened = set_up_shop(folder, DEMO_DATA / "catalog", rates, date(2020, 1, 1), "owner")
    yield opened
    opened.close()


@pytest.fixture(scope="module")
def priced(shop: Shop) -> dict[str, PricedVisit]:
    return {
        path.stem: price_visit(
            shop, TESTER, visit_from(tomllib.loads(path.read_text(encoding="utf-8")), str(path))
        )
        for path in VISITS
    }


def written(found: PricedVisit, path: str, **changes: Any) -> bytes:
    visit = changes.get("visit", found.visit)
    return quotation_ubl(
        visit, changes.get("estimate", found.estimate), found.rate_sheet.sheet, MARK, path=path
    )


def open_paths(found: PricedVisit) -> list[str]:
    estimate = found.estimate
    repair = ["repair"] if estimate.repair.open else []
    return repair + [path.slug for path in estimate.replacements if path.closed_reason is None]


def job_of(found: PricedVisit, path: str) -> Any:
    if path == "repair":
        return found.estimate.repair.priced
    return next(each.priced for each in found.estimate.replacements if each.slug == path)


def test_the_schema_is_as_it_was_released() -> None:
    listed = dict(
        reversed(line.split("  ", 1)) for line in (HERE / "SHA256SUMS").read_text().splitlines()
    )
    files = {str(path.relative_to(HERE)) for path in (HERE / "xsd").rglob("*.xsd")}
    assert set(listed) == files
    for name, digest in listed.items():
        assert hashlib.sha256((HERE / name).read_bytes()).hexdigest() == digest, name
    notice = (HERE / "xsd/maindoc/UBL-Quotation-2.1.xsd").read_text(encoding="utf-8")
    assert "Copyright (c) OASIS Open 2013. All Rights Reserved." in notice


@pytest.mark.parametrize("stem", [path.stem for path in VISITS])
def test_quotation_against_the_oasis_ubl_2_1_schema(
    priced: dict[str, PricedVisit], schema: etree.XMLSchema, stem: str
) -> None:
    found = priced[stem]
    for path in open_paths(found):
        document = etree.fromstring(written(found, path))
        assert schema.validate(document), schema.error_log


def test_the_schema_would_refuse_a_quotation_without_its_day(
    priced: dict[str, PricedVisit], schema: etree.XMLSchema
) -> None:
    document = etree.fromstring(written(priced["worn_element"], "repair"))
    document.remove(document.find("cbc:IssueDate", NS))
    assert not schema.validate(document)
    assert "IssueDate" in str(schema.error_log)


@pytest.mark.parametrize("stem", [path.stem for path in VISITS])
def test_the_sums_of_the_quotation_are_those_of_the_quote(
    priced: dict[str, PricedVisit], stem: str
) -> None:
    found = priced[stem]
    for path in open_paths(found):
        document, job = etree.fromstring(written(found, path)), job_of(found, path)

        def amount(where: str, document: Any = document) -> Decimal:
            return Decimal(document.findtext(f"cac:QuotedMonetaryTotal/cbc:{where}", None, NS))

        lines = document.findall("cac:QuotationLine/cac:LineItem", NS)
        assert len(lines) == len(job.lines)
        added = sum(Decimal(each.findtext("cbc:LineExtensionAmount", None, NS)) for each in lines)
        assert added == job.subtotal == amount("LineExtensionAmount")
        tax = Decimal(document.findtext("cac:TaxTotal/cbc:TaxAmount", None, NS))
        assert amount("PayableAmount") == job.total
        assert (
            amount("LineExtensionAmount")
            - amount("AllowanceTotalAmount")
            + amount("ChargeTotalAmount")
            + tax
            == job.total
        )
        percent = Decimal(document.findtext(".//cac:TaxCategory/cbc:Percent", None, NS))
        taxed = Decimal(document.findtext(".//cac:TaxSubtotal/cbc:TaxableAmount", None, NS))
        assert abs(taxed * percent / 100 - tax) <= Decimal("0.006")


def test_a_discount_is_an_allowance_of_the_document(shop: Shop, schema: etree.XMLSchema) -> None:
    path = DEMO_DATA / "visits" / "worn_element.toml"
    values = tomllib.loads(path.read_text(encoding="utf-8"))
    values["work"] |= {"plan_member": True}
    found = price_visit(shop, TESTER, visit_from(values, "test"))
    document = etree.fromstring(written(found, "repair"))
    assert schema.validate(document), schema.error_log
    allowance = document.find("cac:AllowanceCharge", NS)
    assert allowance.findtext("cbc:ChargeIndicator", None, NS) == "false"
    discount = found.estimate.repair.priced.discount
    assert Decimal(allowance.findtext("cbc:Amount", None, NS)) == discount > 0


def test_odd_characters_in_a_name_leave_the_quotation_valid(
    priced: dict[str, PricedVisit], schema: etree.XMLSchema
) -> None:
    found = priced["worn_element"]
    people = found.visit.visit.model_copy(update={"customer_name": "A <b> & \x07 \ufffe “Ñ” 水"})
    visit = found.visit.model_copy(update={"visit": people})
    document = etree.fromstring(written(found, "repair", visit=visit))
    assert schema.validate(document), schema.error_log
    name = document.findtext("cac:OriginatorCustomerParty/cac:Party/cac:PartyName/cbc:Name", "", NS)
    assert name == "A <b> &   “Ñ” 水"


def test_nothing_of_cost_is_in_the_quotation(priced: dict[str, PricedVisit]) -> None:
    found = priced["worn_element"]
    text = written(found, "repair").decode()
    assert str(found.owner.repair_margin.cost) not in text
    assert "margin" not in text.lower()


def test_a_closed_path_is_refused(priced: dict[str, PricedVisit]) -> None:
    with pytest.raises(InputTrouble, match="The repair is closed"):
        written(priced["tank_leak"], "repair")
    with pytest.raises(InputTrouble, match='Replacement "no-such" is not open in this quote'):
        written(priced["worn_element"], "no-such")

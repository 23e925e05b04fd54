"""Six visits typed from first to last, each at one size and looked at in all three."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import TYPE_CHECKING, Any

import pytest
from playwright.sync_api import expect

from app import visiting, wiring
from app.views.fields import label_of
from app.views.finding import HAZARDS
from app.views.heater import FUELS, IGNITIONS
from app.views.price import HEADLINES
from app.views.reading_fields import every_reading
from estimator.findings import FINDINGS, REMEDIES, Finding, Remedy
from tests.acting import TESTER
from tests.browser import driving
from tests.browser.test_visit import DESK, PHONE, sound, two_columns

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

    from app.views.fields import Field
    from tests.browser.serving import Server

pytestmark = pytest.mark.browser

TABLET = {"width": 768, "height": 1024}
SIZES = (PHONE, TABLET, DESK)
VISITS = {
    "thermopile": PHONE,
    "limit_opened": PHONE,
    "hot_surface": TABLET,
    "old_propane": TABLET,
    "tank_leak": DESK,
    "no_label": DESK,
}


@pytest.mark.parametrize("name", VISITS)
def test_a_visit_typed_whole_is_kept_priced_and_issued(
    browser: Browser, server: Server, name: str
) -> None:
    told, size = wiring.demo_visit(name), VISITS[name]
    page = driving.signed_in(browser, server, size)
    driving.opened(page, server.address)
    driving.tap(page, "Start a visit")
    _heater(page, server, told)
    at_every_size(page, size)
    driving.tap(page, "Next: finding")
    _finding(page, told)
    at_every_size(page, size)
    for step in ("part", "price", "show"):
        driving.tap(page, f"Next: {step}")
        at_every_size(page, size)
        if step == "price":
            _priced_as_kept(page, server, told)
    two_columns(page)
    driving.tap(page, "Issue the quote")
    assert driving.heading(page).startswith("Quote ")
    assert "Traceback" not in server.log()
    page.close()


def at_every_size(page: Page, own: dict[str, int]) -> None:
    """Look at the screen as it stands at all three sizes, then go on at its own."""
    for size in (*(each for each in SIZES if each != own), own):
        page.set_viewport_size(size)  # type: ignore[arg-type]
        page.wait_for_timeout(200)  # nothing is asked of the server: the page lays itself out anew
        sound(page)


def _heater(page: Page, server: Server, told: dict[str, Any]) -> None:
    plate = told["heater"]
    if "family" in told:
        shop = wiring.open_shop(server.folder)
        names = {each.slug: each.name for each in visiting.heater_families(shop)}
        shop.close()
        driving.choose(page, "Heater family", names[told["family"]])
    else:
        driving.tap_choice(page, "Fuel", label_of(FUELS, plate["fuel"]))
        driving.fill(page, "Tank size [gal]", str(plate["tank_volume_gal"]))
        driving.fill(page, "Input [Btu/h]", f"{plate['input_btu_per_h']:,}")  # grouped: 36,000
        driving.choose(page, "Ignition", label_of(IGNITIONS, plate["ignition"]))
    driving.fill(page, "Year made", str(plate["manufactured"].year))


def _finding(page: Page, told: dict[str, Any]) -> None:
    for field in HAZARDS:
        if told.get("hazards", {}).get(field.path.removeprefix("hazards.")):
            driving.unfold(page, "Look for these first")
            driving.tap_switch(page, field.label)
    driving.choose(page, "What is wrong", FINDINGS[Finding(told["work"]["finding"])].name)
    if page.get_by_text("More readings").count():
        driving.unfold(page, "More readings")
    for field in every_reading():
        value = told.get("readings", {}).get(field.path.removeprefix("readings."))
        if value is not None:
            _take(page, field, value)
    remedy = REMEDIES[Remedy(told["work"]["remedy"])].name
    page.get_by_test_id("stRadio").get_by_text(remedy, exact=True).click()
    driving.settle(page)


def _take(page: Page, field: Field, value: Any) -> None:
    """Take one reading as a person does: tap the word, or type the number."""
    if field.path == "readings.igniter_ohms" and value == "open":
        driving.tap_switch(page, "Igniter reads open")
    elif field.kind == "yes_no":
        driving.tap_choice(page, field.name, "Yes" if value else "No")
    elif field.choices:
        driving.tap_choice(page, field.name, label_of(field.choices, value))
    elif field.kind == "long_text":  # Enter is a new line there
        page.get_by_label(field.name, exact=True).fill(value)
        page.keyboard.press("Control+Enter")
        driving.settle(page)
    else:
        driving.fill(page, field.name, str(value))


def _priced_as_kept(page: Page, server: Server, told: dict[str, Any]) -> None:
    """Hold the page to the draft in the ledger, and the draft to what was typed."""
    shop = wiring.open_shop(server.folder)
    try:
        [draft] = [each for each in shop.ledger.drafts.every() if each.draft_id in page.url]
        kept = {key: value for key, value in draft.payload.items() if key != "ui"}
        assert kept["work"]["finding"] == told["work"]["finding"]
        assert kept["work"]["remedy"] == told["work"]["remedy"]
        readings = told.get("readings", {})
        numbers = {key: float(it) for key, it in readings.items() if isinstance(it, Decimal)}
        assert kept.get("readings", {}) == {**readings, **numbers}
        assert kept["heater"]["input_btu_per_h"] == told["heater"]["input_btu_per_h"]
        assert date.fromisoformat(kept["heater"]["manufactured"]).year == (
            told["heater"]["manufactured"].year
        )
        estimate = visiting.price_visit(
            shop, TESTER, visiting.visit_from(kept, "the draft")
        ).estimate
    finally:
        shop.close()
    expect(page.get_by_role("heading", name=HEADLINES[estimate.verdict.kind])).to_be_visible()
    if estimate.repair.open:
        total = page.locator("table.prices .total .sum").first.inner_text()
        assert total == f"${estimate.repair.priced.total:,.2f}"

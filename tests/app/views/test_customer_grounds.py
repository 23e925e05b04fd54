"""Every number that a customer is shown can be opened to what it rests on."""

from __future__ import annotations

import re
import tomllib
from dataclasses import asdict
from datetime import date
from decimal import Decimal
from typing import TYPE_CHECKING, Any

import pytest

from app.views.customer import CustomerView, build_customer_view
from app.views.customer_state import Issued
from app.visiting import price_visit, visit_from
from app.wiring import DEMO_DATA, set_up_shop
from estimator.estimate import Estimate
from tests.acting import TESTER
from tests.app import estimates

if TYPE_CHECKING:
    from collections.abc import Iterator

    from app.shop import Shop

VISITS = sorted((DEMO_DATA / "visits").glob("*.toml"))
ISSUED = Issued("Q-0001", 1, date(2026, 3, 5), date(2026, 4, 4))
EVERY_KIND = (
    estimates.estimate,
    estimates.either,
    estimates.repair_closed_by_leak,
    estimates.no_part,
    estimates.replacements_closed,
    estimates.everything_closed,
)
DIGIT = re.compile(r"\d")

# What needs no opening: it says itself where it is from, or is no number that was worked out.
NOT_OPENED = {
    "labels": "words",
    "shop": "as the owner set it",
    "heading": "number, dates and the plate, which the facts open",
    "finding": "words",
    "finding_plain": "words",
    "stops": "the reading that closes the path, as it was read",
    "state": "words",
    "state_label": "words",
    "per_month_label": "the years, which the facts open",
    "over_study_label": "the years, which the facts open",
    "monthly_means": "the years, which the facts open",
    "chart": "the cost in all by year, which the grounds of each path open",
    "facts": "each says beside its value where it is from",
    "grounds": "what is opened",
    "unknowns": "each says what was assumed",
    "cautions": "each with its source",
    "notes": "each with its source",
    "terms": "the shop's words",
    "choices": "the prices of the sides again",
    "acceptance": "what was signed",
    "customer_link": "an address",
    "language": "", "units": "", "grounds_title": "", "choice_keys": "",
}  # fmt: skip
OPENED = {"verdict", "repair", "replace", "others"}
NAMES = {"key", "kind", "label", "what", "open", "buys_keys", "headline", "name"}


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Shop]:
    folder, rates = tmp_path_factory.mktemp("shop"), DEMO_DATA / "rates.toml"
    opened = set_up_shop(folder, DEMO_DATA / "catalog", rates, date(2020, 1, 1), "owner")
    yield opened
    opened.close()


def view_of(estimate: Estimate, language: str = "en", **changes: Any) -> CustomerView:
    terms = changes.get("terms", estimates.TERMS)
    visit = estimates.visit()
    return build_customer_view(visit, estimate, estimates.SHOP, terms, ISSUED, language=language)


def numbers_shown(value: Any, of: str = "") -> Iterator[tuple[str, str]]:
    """Walk a part of the view: field → each text in it that holds a number."""
    if isinstance(value, str) and DIGIT.search(value):
        yield of, value
    elif isinstance(value, dict):
        for key, inner in value.items():
            if key not in NAMES and key != "prices":
                yield from numbers_shown(inner, key)
    elif isinstance(value, list | tuple):
        for inner in value:
            yield from numbers_shown(inner, of)


def without_ground(view: CustomerView) -> list[tuple[str, str]]:
    shown = asdict(view)
    grounds = {
        (ground.of.partition(".")[0], ground.value): ground
        for ground in view.grounds
        if ground.how.strip()
    }
    return [
        (f"{part}.{field}", text)
        for part in sorted(OPENED)
        for field, text in numbers_shown(shown[part])
        if (part, text) not in grounds
    ]


def test_the_walk_goes_through_every_part_of_the_view() -> None:
    parts = set(asdict(view_of(estimates.estimate())))
    missing = parts - OPENED - set(NOT_OPENED)
    assert missing == set(), "a new part of the view: open its numbers, or say why not"
    assert set(NOT_OPENED) <= parts


@pytest.mark.parametrize("language", ["en", "es"])
@pytest.mark.parametrize("build", EVERY_KIND)
def test_every_number_shown_has_a_ground(build: Any, language: str) -> None:
    assert without_ground(view_of(build(), language)) == []


@pytest.mark.parametrize("path", VISITS, ids=lambda path: path.stem)
def test_every_number_of_a_demo_quote_has_a_ground(shop: Shop, path: Any) -> None:
    found = price_visit(
        shop, TESTER, visit_from(tomllib.loads(path.read_text(encoding="utf-8")), str(path))
    )
    sheet = found.rate_sheet.sheet
    for units in ("us", "si"):
        view = build_customer_view(
            found.visit, found.estimate, sheet.shop, sheet.quote, ISSUED, units=units
        )
        assert without_ground(view) == []
        assert all(fact.note for fact in view.facts)


def test_a_number_without_a_ground_would_be_seen() -> None:
    view = view_of(estimates.estimate())
    kept = tuple(ground for ground in view.grounds if ground.of != "repair.per_month")
    shown = CustomerView(**{**vars(view), "grounds": kept})
    assert without_ground(shown) == [("repair.per_month", view.repair.per_month)]


def dollars(text: str) -> Decimal:
    return Decimal(re.sub(r"[^\d.\-]", "", text.replace("\N{MINUS SIGN}", "-")))


@pytest.mark.parametrize("path", VISITS, ids=lambda path: path.stem)
def test_the_parts_of_a_cost_add_up_to_it(shop: Shop, path: Any) -> None:
    found = price_visit(
        shop, TESTER, visit_from(tomllib.loads(path.read_text(encoding="utf-8")), str(path))
    )
    sheet = found.rate_sheet.sheet
    view = build_customer_view(found.visit, found.estimate, sheet.shop, sheet.quote, ISSUED)
    for ground in view.grounds:
        rows = [dollars(amount) for _, amount in ground.rows]
        if ground.of.endswith(".over_study"):
            assert abs(sum(rows) - dollars(ground.value)) <= 2  # each is rounded to the dollar
        if ground.of.endswith((".price_today", ".you_pay")) and rows and "others" not in ground.of:
            subtotals = [dollars(amount) for name, amount in ground.rows if name == "Subtotal"]
            assert sum(rows) - sum(subtotals) == dollars(ground.value)


def test_what_was_assumed_is_marked_in_the_grounds_of_the_energy() -> None:
    view = view_of(estimates.estimate())
    energy = next(ground for ground in view.grounds if ground.value.startswith("It uses"))
    assumed = [fact.label for fact in view.facts[1:-2] if fact.assumed]
    assert assumed
    assert [name for name, _ in energy.rows if name.endswith("(assumed)")] == [
        f"{label} (assumed)" for label in assumed
    ]


def test_one_price_is_not_opened_to_its_lines() -> None:
    lump = estimates.TERMS.model_copy(update={"lump_sum": True})
    view = view_of(estimates.estimate(), terms=lump)
    assert without_ground(view) == []
    assert "46.20" not in str(view.grounds)

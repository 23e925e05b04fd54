"""Whatever is typed into a field is taken or refused at the field, and nothing else is lost."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest

from app.views.heater import PLATE, RATING
from app.views.payload import read
from app.views.reading_fields import every_reading
from app.views.site_fields import HOUSEHOLD, SITE
from tests.app.screens.reading import sound, text_of

if TYPE_CHECKING:
    from collections.abc import Callable

    from streamlit.testing.v1 import AppTest

    from app.shop import Shop

    OpenPage = Callable[..., AppTest]

NASTY = {
    "emoji": "😀🔥",
    "right to left": "שלום ١٢",
    "markup": "<script>alert(1)</script>",
    "quotes": "'; DROP TABLE drafts; --",
    "negative": "-4",
    "comma": "3,5",
    "arabic digits": "٣٫٥",  # noqa: RUF001 - meant as digits
    "very long": "9" * 10_000,
    "line ends": "a\nb\tc",
}
TYPED = {"comma": 3.5, "arabic digits": 3.5, "negative": -4}
NUMBERS = {
    field.path
    for field in (*PLATE, *RATING, *SITE, *HOUSEHOLD, *every_reading())
    if field.is_number
}
KEPT = ("visit.customer_address", "1 Example Street (invented)")


@pytest.mark.parametrize("kind", NASTY)
@pytest.mark.parametrize("step", ["heater", "finding", "part"])
def test_every_field_takes_or_refuses_whatever_is_typed(
    open_page: OpenPage, demo_draft: str, shop: Shop, step: str, kind: str
) -> None:
    page = open_page(draft=demo_draft, step=step)
    keys = [
        each.key
        for each in (*page.text_input, *page.text_area)
        if each.key and each.key.startswith(demo_draft)
    ]
    assert keys
    for key in keys:
        if key.endswith(KEPT[0]):
            continue
        before = _payload(shop, demo_draft)
        _field(page, key).set_value(NASTY[kind]).run()
        sound(page)
        after = _payload(shop, demo_draft)
        path = key.removeprefix(f"{demo_draft}:")
        _nothing_else_changed(before, after, path)
        if path in NUMBERS and kind not in TYPED:
            assert "must be" in text_of(page), f"nothing is said at {path}"
        elif path in NUMBERS:
            assert read(after, path) == TYPED[kind]
        _field(page, key).set_value("").run()
    kept = _payload(shop, demo_draft)
    assert kept["visit"]["customer_address"] == KEPT[1]
    assert "<script>alert" not in _markup(page)


def _field(page: AppTest, key: str) -> Any:
    return next(each for each in (*page.text_input, *page.text_area) if each.key == key)


def _payload(shop: Shop, draft: str) -> dict[str, Any]:
    held = shop.ledger.draft(draft)
    assert held is not None
    return held.payload


def _markup(page: AppTest) -> str:
    return "".join(
        block.proto.body for block in page.get("html") if "padsWatched" not in block.proto.body
    )


def _nothing_else_changed(before: dict[str, Any], after: dict[str, Any], path: str) -> None:
    """Hold all sections to what they were but for the one value, and what hangs on it."""
    section = path.partition(".")[0]
    hangs = {"ui", "heater"} if path.startswith("ui.made") else {section, "work"}
    if path == "ui.igniter_open":
        hangs = {"readings"}
    same = (set(before) | set(after)) - hangs - {section}
    for name in same:
        assert before.get(name) == after.get(name), f"{path} changed {name}"
    key = path.partition(".")[2]
    for name in set(before.get(section, {})) | set(after.get(section, {})):
        if name != key and not path.startswith(("ui.", "old_part.features")):
            assert before.get(section, {}).get(name) == after.get(section, {}).get(name)

"""Whatever is typed into a field is taken or refused at the field, and nothing else is lost.

Every field that takes text is found on the page itself, at each step, for each kind of heater.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

import pytest

from app import wiring
from app.views.payload import put, read
from tests.app.screens.reading import base, box, boxes, sound, text_of

if TYPE_CHECKING:
    from collections.abc import Callable

    from streamlit.testing.v1 import AppTest

    from app.shop import Shop

    OpenPage = Callable[..., AppTest]
    StartDraft = Callable[[dict[str, Any]], str]

NASTY = {
    "emoji": "😀🔥",
    "right to left": "שלום ١٢",
    "markup": "<script>alert(1)</script>",
    "negative": "-4",
    "comma": "3,5",
    "arabic digits": "٣٫٥",  # noqa: RUF001 - meant as digits
    "devanagari digits": "३.५",
    "very long": "9" * 10_000,
    "long words": "lang " * 2_000,
    "line ends": "a\nb\tc",
    "infinite": "inf",
}
TYPED = {"comma": 3.5, "arabic digits": 3.5, "devanagari digits": 3.5, "negative": -4}
PLACES = {
    "heater, EF": ("worn_element", "heater", {}),
    "heater, UEF": ("worn_element", "heater", {"heater.energy_factor": None, "ui.label": "uef"}),
    "heater, typed": ("no_label", "heater", {"family": None}),
    "finding, thermocouple": ("worn_element", "finding", {}),
    "finding, thermopile": ("thermopile", "finding", {}),
    "finding, hot surface": ("hot_surface", "finding", {}),
    "part, limit": ("limit_opened", "part", {}),
    "part, control": ("worn_element", "part", {"work.finding": "control_magnet"}),
}
"""Place → a demo visit, a step, and what of the draft is changed first."""
FIELDS_AT_LEAST = {"heater": 15, "finding": 3, "part": 1}


@pytest.mark.parametrize("place", PLACES)
def test_every_field_takes_or_refuses_whatever_is_typed(
    open_page: OpenPage, start_draft: StartDraft, shop: Shop, place: str
) -> None:
    name, step, changes = PLACES[place]
    payload = wiring.demo_visit(name)
    for path, value in changes.items():
        payload = put(payload, path, value)
    draft = start_draft(payload)
    page = open_page(draft=draft, step=step)
    sound(page)
    keys = [base(each.key) for each in boxes(page)]
    assert len(keys) >= FIELDS_AT_LEAST[step]
    for key in keys:
        for kind, text in NASTY.items():
            before = _payload(shop, draft)
            box(page, key).set_value(text).run()
            sound(page)
            after = _payload(shop, draft)
            path = key.removeprefix(f"{draft}:")
            _nothing_else_changed(before, after, path)
            _taken_or_refused(page, key, after, path, kind)
        box(page, key).set_value("").run()
    sound(page)
    assert "<script>alert" not in _markup(page)


def _taken_or_refused(page: AppTest, key: str, after: dict[str, Any], path: str, kind: str) -> None:
    """Hold the page to a word at the field, or to what the draft now has."""
    field = box(page, key)
    label = re.sub(r" \[.*\]$", "", field.label)
    at_the_field = [said for said in _problems(page) if label.lower() in said.lower()]
    kept = read(after, path)
    if kind in TYPED and _asks_number(field):
        # "٣٫٥" is 3.5; in percent it is kept as a share; a whole number may be refused  # noqa: RUF003
        taken = kept in (TYPED[kind], TYPED[kind] / 100, str(TYPED[kind] / 100))
        assert taken or at_the_field, f"{path}: {kind} is neither kept nor refused"
        assert not (isinstance(kept, str) and not at_the_field and not taken)
    elif _asks_number(field):
        assert at_the_field, f"{path}: nothing is said of {kind}"
    else:
        assert kept == NASTY[kind] or at_the_field or kept is None, path
        if len(NASTY[kind]) == 10_000:
            assert at_the_field, f"{path}: nothing is said of 10,000 signs"
    assert all(len(said) < 300 for said in at_the_field)


def _asks_number(field: Any) -> bool:
    return field.proto.autocomplete == "off" if field.type == "text_input" else False


def _problems(page: AppTest) -> list[str]:
    return re.findall(r'class="problem" role="alert">(.*?)</span>', _markup(page), re.DOTALL)


def _payload(shop: Shop, draft: str) -> dict[str, Any]:
    held = shop.ledger.drafts.of(draft)
    assert held is not None
    return held.payload


def _markup(page: AppTest) -> str:
    return "".join(
        block.proto.body for block in page.get("html") if "pageWatched" not in block.proto.body
    )


def _nothing_else_changed(before: dict[str, Any], after: dict[str, Any], path: str) -> None:
    """Hold all of the draft to what it was but for the one value, and what hangs on it."""
    keys = {*_paths(before), *_paths(after)}
    changed = {each for each in keys if read(before, each) != read(after, each)}
    # The month goes with the year from the date to what is half typed; it stays the month.
    made = {"heater.manufactured", "ui.made_cleared", "ui.made_month"}
    hangs = made if path.startswith("ui.made") else set()
    assert changed <= {path, *hangs}, f"{path} changed {changed}"


def _paths(values: dict[str, Any], start: str = "") -> set[str]:
    found = set()
    for key, value in values.items():
        here = f"{start}{key}"
        found |= _paths(value, f"{here}.") if isinstance(value, dict) else {here}
    return found


def test_no_folded_card_and_no_list_grows_with_what_was_typed(
    open_page: OpenPage, start_draft: StartDraft
) -> None:
    payload = put(wiring.demo_visit("worn_element"), "visit.customer_name", "x" * 10_000)
    draft = start_draft(payload)
    for page in (open_page(draft=draft, step="heater"), open_page()):
        sound(page)
        assert "x" * 59 in text_of(page)
        assert "x" * 200 not in text_of(page)

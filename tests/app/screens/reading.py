"""What a person can read on a page that was run without a browser."""

from __future__ import annotations

import re
from html import unescape
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from typing import Any

    from streamlit.testing.v1 import AppTest


def text_of(page: AppTest) -> str:
    """Return all text: markup without its tags, labels, messages."""
    said: list[str] = []
    for block in page.get("html"):
        markup = re.sub(r"<(style|script)>.*?</\1>", "", block.proto.body, flags=re.DOTALL)
        said.append(unescape(re.sub(r"<[^>]+>", " ", markup)))
    for kind in ("markdown", "error", "warning", "button", "expander"):
        said += [
            str(getattr(each, "value", None) or getattr(each, "label", ""))
            for each in page.get(kind)
        ]
    return re.sub(r"\s+", " ", " ".join(said))


def sound(page: AppTest) -> None:
    """Hold a page to what holds for every page: no exception, no traceback, no apology."""
    assert not page.exception
    assert "Traceback" not in text_of(page)
    assert [each.value for each in page.error] == []


def keys_beside_the_refusal(page: AppTest) -> set[str]:
    """Return the keys of all that stands in the box that the one refusal of a page heads."""

    def boxes(block: Any) -> list[Any]:
        inner = [each for each in block.children.values() if hasattr(each, "children")]
        return [block, *(box for each in inner for box in boxes(each))]

    def all_in(block: Any) -> set[str]:
        keys = {each.key for each in block.children.values() if getattr(each, "key", None)}
        return keys.union(*(all_in(box) for box in boxes(block)[1:]))

    def heads(block: Any) -> bool:
        """Say whether this is the slot that a refusal stands in, and nothing else."""
        return [each.type for each in getattr(block, "children", {}).values()] == ["error"]

    [box] = [box for box in boxes(page.main) if any(map(heads, box.children.values()))]
    return all_in(box)


def said_under(page: AppTest) -> dict[str, str]:
    """Return what stands under a field as its problem: key of the field → the words.

    The words must follow the field in a box that holds no other one.
    """
    found: dict[str, str] = {}

    def look(block: Any) -> None:
        inner = list(block.children.values())
        keys = [each.key for each in inner if getattr(each, "key", None)]
        for each in inner:
            if hasattr(each, "children"):
                look(each)
            elif each.type == "html" and 'class="problem"' in each.proto.body:
                assert 'role="alert"' in each.proto.body
                [key] = keys
                assert inner[0].key == key
                found[key] = unescape(re.sub(r"<[^>]+>", "", each.proto.body))

    look(page.main)
    return found


def box(page: AppTest, key: str) -> Any:
    """Return the box under a key for what is typed, also once it was made anew under the next."""
    found = [each for each in boxes(page) if base(each.key) == key]
    if not found:
        raise KeyError(key)
    return found[0]


def boxes(page: AppTest) -> list[Any]:
    """Return every box on the page that text can be typed into."""
    return [*page.text_input, *page.text_area, *page.number_input]


def places(page: AppTest) -> dict[str, tuple[int, ...]]:
    """Return where each box to type into stands: its key at first → the way down to it."""
    found: dict[str, tuple[int, ...]] = {}

    def look(block: Any, way: tuple[int, ...]) -> None:
        for at, each in block.children.items():
            if hasattr(each, "children"):
                look(each, (*way, at))
            elif each.type in ("text_input", "text_area"):
                found[base(each.key)] = (*way, at)

    look(page.main, ())
    return found


def base(key: str) -> str:
    """Return the key that a widget had at first, before it was made anew."""
    return re.sub(r":\d+$", "", key)


def asked(page: AppTest, key: str) -> str | None:
    """Return what the address of the page holds under a key."""
    held = page.query_params.get(key)
    return held[0] if isinstance(held, list) else held

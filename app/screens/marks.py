"""Small markup: tags, lists, notes, what opens on a tap. All text is escaped."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable

SIGNS = {"good": "✓", "check": "!", "stop": "■", "plain": "·"}


def plain(text: str) -> str:
    """Return text that is to stand inside markup."""
    return escape(text)


def tag(text: str, tone: str = "plain") -> str:
    """Return a word in a small frame; its sign tells the tone beside the color."""
    sign = "" if tone == "plain" else f'<b aria-hidden="true">{SIGNS[tone]}</b> '
    return f'<span class="tag {tone}">{sign}{escape(text)}</span>'


def items(texts: Iterable[str], kind: str = "plain-list") -> str:
    """Return a list of sentences."""
    rows = "".join(f"<li>{escape(text)}</li>" for text in texts)
    return f'<ul class="{kind}">{rows}</ul>' if rows else ""


def more(label: str, inside: str) -> str:
    """Return what opens on a tap; `inside` is markup made here."""
    return f"<details><summary>{escape(label)}</summary>{inside}</details>" if inside else ""


def note(text: str, tone: str, head: str = "") -> str:
    """Return a note in its tone, with a bold head."""
    bold = f"<strong>{escape(head)}</strong> " if head else ""
    sign = f'<b class="sign" aria-hidden="true">{SIGNS[tone]}</b>'
    return f'<div class="note {tone}">{sign}<div>{bold}{escape(text)}</div></div>'

"""What every drawing has in common: its colors, its frame, its words, its ticks."""

from __future__ import annotations

import math
from html import escape

ACCENT = "#0f5c5c"
INK = "#1d2528"
QUIET = "#5b676b"
GRID = "#d9dfe0"


def document(
    name: str, title: str, description: str, size: tuple[int, int], body: str, font: str
) -> str:
    """Return a drawing as an SVG document that a screen reader can tell of.

    Parameters
    ----------
    name
        What the ids of title and description begin with.
    title, description
        What the drawing is, and what is seen on it.
    size
        Width and height, in units of the drawing.
    body
        What is drawn.
    font
        Font family; nothing is loaded.
    """
    width, height = size
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}" role="img" '
        f'aria-labelledby="{name}-title {name}-desc" font-family="{escape(font)}" font-size="12">'
        f'<title id="{name}-title">{escape(title)}</title>'
        f'<desc id="{name}-desc">{escape(description)}</desc>'
        f"{body}</svg>"
    )


def text(x: float, y: float, words: str, anchor: str, fill: str, weight: int = 400) -> str:
    """Return words at a place; `anchor` is start, middle or end."""
    return (
        f'<text x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}" fill="{fill}" '
        f'font-weight="{weight}">{escape(words)}</text>'
    )


def tick_step(span: float, most: int) -> float:
    """Choose a round distance between ticks.

    Parameters
    ----------
    span
        What the axis covers; above zero.
    most
        The most steps that the axis has room for.

    Returns
    -------
    The least of 1, 2, 2.5 or 5 times a power of ten that needs no more than `most` steps.
    """
    rough = span / most
    power = 10.0 ** math.floor(math.log10(rough))
    for factor in (1, 2, 2.5, 5):
        if factor * power >= rough * (1 - 1e-9):
            return factor * power
    return 10 * power

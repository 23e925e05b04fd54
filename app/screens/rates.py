"""The owner's rate sheet."""

from __future__ import annotations

from app.screens import blocks


def show_page() -> None:
    """Show the rate sheet."""
    blocks.title("Rates")

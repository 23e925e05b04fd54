"""Text made fit to be printed, whatever was typed."""

from __future__ import annotations

import pytest

from app.documents.printable import LONGEST_RUN, SOFT_BREAK, printable, printable_text


@pytest.mark.parametrize(
    ("typed", "kept"),
    [
        ("plain text", "plain text"),
        ("a\r\nb\rc\nd", "a\nb\nc\nd"),
        ("a\tb", "a b"),
        ("\x00\x07\x1b[31m\x7f\x85", "[31m"),
        ("\ud800", "\ufffd"),
        ("\uffff", "\ufffd"),
        ("\u202e$05.1\u2066", "$05.1"),
        ("Zoë Ωμέγα 漢字 👩\u200d🔧", "Zoë Ωμέγα 漢字 👩\u200d🔧"),
    ],
)
def test_one_text(typed: str, kept: str) -> None:
    assert printable_text(typed) == kept


def test_long_runs_get_places_to_break_and_nothing_else_changes() -> None:
    run = "x" * (3 * LONGEST_RUN)
    broken = printable_text(run)
    assert broken.replace(SOFT_BREAK, "") == run
    assert max(len(piece) for piece in broken.split(SOFT_BREAK)) == LONGEST_RUN
    assert SOFT_BREAK not in printable_text("x" * LONGEST_RUN + " y")


def test_nested_structures_keep_their_shape() -> None:
    assert printable({"a": ("x\x00", 1, None), "b": [True, 1.5]}) == {
        "a": ["x", 1, None],
        "b": [True, 1.5],
    }

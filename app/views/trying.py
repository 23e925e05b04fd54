"""Sliders for what moves the answer, and what the answer is where they stand."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from app import formatting
from estimator.sensitivity import INPUTS

if TYPE_CHECKING:
    from app.trying import Tried

LEAST_PERCENT, MOST_PERCENT, STEP_PERCENT = -50, 100, 5
TENTHS: Final = 10


@dataclass(frozen=True)
class Slider:
    """One input that can be moved: its name inside, and as it is shown."""

    name: str
    label: str


SLIDERS: Final = tuple(
    Slider(each.name, f"{each.name[0].upper()}{each.name[1:]}") for each in INPUTS
)


@dataclass(frozen=True)
class TriedView:
    """What comes out where the sliders stand."""

    verdict: str
    chance: str
    figures: tuple[tuple[str, str], ...]


def build_tried_view(tried: Tried) -> TriedView:
    """Say what comes out.

    Parameters
    ----------
    tried
        Both paths with the numbers tried.

    Returns
    -------
    The view.
    """
    apart = tried.replace_lcc - tried.repair_lcc
    path = "Repairing" if apart >= 0 else "Replacing"
    tenths = round(TENTHS * tried.chance_repair_cheaper)
    return TriedView(
        verdict=f"{path} is expected to cost {formatting.whole_money(abs(apart))} less.",
        chance=f"In about {tenths} of {TENTHS} futures, repairing costs less.",
        figures=(
            ("Repair now, in all", formatting.whole_money(tried.repair_lcc)),
            (f"{tried.replacement}, in all", formatting.whole_money(tried.replace_lcc)),
        ),
    )


def factor(percent: int) -> float:
    """Return the factor on an input that a slider stands for."""
    return 1.0 + percent / 100.0

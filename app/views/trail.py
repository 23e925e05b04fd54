"""The trail of a visit: five steps, which are done, and what is still missing."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from app.views.payload import Payload, read

STEPS: Final[tuple[tuple[str, str], ...]] = (
    ("heater", "Heater"),
    ("finding", "Finding"),
    ("part", "Part"),
    ("price", "Price"),
    ("show", "Show"),
)
FIRST, LAST = STEPS[0][0], STEPS[-1][0]

NEEDED: Final[tuple[tuple[str, str, str], ...]] = (
    ("heater.fuel", "heater", "fuel"),
    ("heater.tank_volume_gal", "heater", "tank size"),
    ("heater.input_btu_per_h", "heater", "input"),
    ("heater.ignition", "heater", "ignition"),
    ("heater.manufactured", "heater", "year made"),
    ("work.finding", "finding", "what is wrong"),
    ("work.remedy", "finding", "remedy"),
)
"""What a visit cannot do without: path, step, and its name in a sentence."""


@dataclass(frozen=True)
class TrailStep:
    """One step of the trail; `mark` tells its state in a sign beside its color."""

    slug: str
    label: str
    number: int
    state: str
    mark: str


@dataclass(frozen=True)
class Missing:
    """What is missing at a step, as one sentence."""

    step: str
    sentence: str


def build_trail(payload: Payload, current: str) -> tuple[TrailStep, ...]:
    """Build the trail as it stands.

    Parameters
    ----------
    payload
        The draft.
    current
        The step that is open.

    Returns
    -------
    The five steps: here, done or ahead.
    """
    at = [slug for slug, _ in STEPS].index(current)
    lacking = {missing.step for missing in build_missing(payload)}
    steps = []
    for number, (slug, label) in enumerate(STEPS, start=1):
        behind = number - 1 < at and slug not in lacking
        state = "here" if slug == current else "done" if behind else "ahead"
        mark = "✓" if state == "done" else str(number)
        steps.append(TrailStep(slug, label, number, state, mark))
    return tuple(steps)


def build_missing(payload: Payload) -> tuple[Missing, ...]:
    """Say what each step still lacks before the job can be priced.

    Parameters
    ----------
    payload
        The draft.

    Returns
    -------
    One entry for each step that lacks something, in the order of the steps.
    """
    found: dict[str, list[str]] = {}
    for path, step, name in NEEDED:
        if read(payload, path) is None:
            found.setdefault(step, []).append(name)
    return tuple(
        Missing(step, f"Still needed: {', '.join(names)}.") for step, names in found.items()
    )


def known_step(step: str | None) -> str:
    """Return a step that exists: the one named, or the first."""
    return step if step is not None and step in dict(STEPS) else FIRST


def neighbor(step: str, by: int) -> str | None:
    """Return the step before (-1) or after (+1), or ``None`` past the ends."""
    slugs = [slug for slug, _ in STEPS]
    at = slugs.index(step) + by
    return slugs[at] if 0 <= at < len(slugs) else None


def label_of_step(step: str) -> str:
    """Return the name of a step as shown."""
    return dict(STEPS)[step]

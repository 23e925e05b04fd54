"""The second step: what is wrong, what was read, and what closes the repair path."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from app import formatting
from app.views.fields import Card, Choice, Field, Tone, filled
from app.views.likely import Likely, build_likely
from app.views.payload import (
    Payload,
    day_of,
    plate_of,
    read,
    readings_of,
    setpoint_of,
)
from app.views.reading_fields import reading_fields, telling
from app.views.stops import HAZARD_LABELS, KeptStop, StopShown, stops_shown
from estimator.evidence import Support, grade
from estimator.evidence_plate import IGNITIONS, SEALED_ONLY
from estimator.findings import FINDINGS, REMEDIES, Finding, Remedy
from estimator.heater import Chamber
from estimator.reading_cautions import reading_cautions
from estimator.reading_guides import label_of

if TYPE_CHECKING:
    from estimator.heater import RatingPlate

HAZARDS: Final = tuple(Field(path, label, "tick") for path, label in HAZARD_LABELS.items())

SUPPORT_WORDS: Final[dict[Support, tuple[str, Tone, str]]] = {
    Support.SUPPORTED: ("Supported", "good", "The readings bear this finding out."),
    Support.OPEN: ("Open", "plain", "The readings neither bear this out nor speak against it."),
    Support.CONTRADICTED: ("Contradicted", "check", "A reading speaks against this finding."),
}


@dataclass(frozen=True)
class GradeShown:
    """How the readings stand to the finding: a word, a sentence, and each reading's word."""

    word: str
    tone: Tone
    sentence: str
    supporting: tuple[str, ...]
    contradicting: tuple[str, ...]
    settle_next: str


@dataclass(frozen=True)
class FindingView:
    """The second step, in the order of the page."""

    finding: Field
    remedy: Field | None
    plain: str
    stops: tuple[StopShown, ...]
    kept_stops: tuple[KeptStop, ...]
    grade: GradeShown | None
    cautions: tuple[str, ...]
    likely: Likely | None
    telling: tuple[Field, ...]
    other_readings: Card
    hazards: Card


def build_finding_view(payload: Payload, kept_stops: tuple[KeptStop, ...] = ()) -> FindingView:
    """Build the second step.

    Parameters
    ----------
    payload
        The draft.
    kept_stops
        Stops of this visit that a correction lifted, as the ledger keeps them.

    Returns
    -------
    The view; limits and grade need the rating plate and are left out without it.
    """
    plate = plate_of(payload)
    finding = _finding(payload)
    remedy = _remedy(payload)
    readings = reading_fields(payload, plate)
    told = telling(finding)
    first = tuple(each for each in readings if each.path.partition(".")[2] in told)
    rest = tuple(each for each in readings if each not in first)
    taken = sum(1 for each in rest if each.value is not None)
    return FindingView(
        finding=Field(
            "work.finding",
            "What is wrong",
            "long_choice",
            choices=_finding_choices(plate),
            required=True,
            value=finding.value if finding else None,
        ),
        remedy=_remedy_field(finding, remedy),
        plain=FINDINGS[finding].plain if finding else "",
        stops=stops_shown(payload),
        kept_stops=kept_stops,
        grade=_grade(payload, plate, finding),
        cautions=_cautions(payload, plate, finding, remedy),
        likely=build_likely(payload, plate, finding),
        telling=first,
        other_readings=Card(
            "readings",
            "More readings" if first else "Readings",
            rest,
            f"{taken} taken" if taken else "none taken",
            folded=bool(first),
        ),
        hazards=_hazards(payload),
    )


def _finding(payload: Payload) -> Finding | None:
    named = read(payload, "work.finding")
    return Finding(named) if named in set(Finding) else None


def _remedy(payload: Payload) -> Remedy | None:
    named = read(payload, "work.remedy")
    return Remedy(named) if named in set(Remedy) else None


def _finding_choices(plate: RatingPlate | None) -> tuple[Choice, ...]:
    """Return the findings that the plate allows first, the others after them."""

    def fits(finding: Finding) -> bool:
        if plate is None:
            return True
        sealed = finding not in SEALED_ONLY or plate.chamber is Chamber.SEALED
        return sealed and plate.ignition in IGNITIONS.get(finding, {plate.ignition})

    ordered = sorted(FINDINGS, key=lambda finding: not fits(finding))
    return tuple(Choice(finding.value, FINDINGS[finding].name) for finding in ordered)


def _remedy_field(finding: Finding | None, remedy: Remedy | None) -> Field | None:
    if finding is None:
        return None
    choices = tuple(Choice(each.value, REMEDIES[each].name) for each in FINDINGS[finding].remedies)
    return Field(
        "work.remedy",
        "Remedy",
        "pick",
        choices=choices,
        required=True,
        value=remedy.value if remedy else None,
    )


def _hazards(payload: Payload) -> Card:
    ticks = filled(HAZARDS, payload)
    found = [each.label.lower() for each in ticks if each.value]
    summary = formatting.listed(found) if found else "tick what you find"
    return Card("hazards", "Look for these first", ticks, summary)


def _grade(
    payload: Payload, plate: RatingPlate | None, finding: Finding | None
) -> GradeShown | None:
    if plate is None or finding is None:
        return None
    graded = grade(finding, plate, readings_of(payload), setpoint_of(payload))
    word, tone, sentence = SUPPORT_WORDS[graded.support]
    settle = graded.settle_next
    return GradeShown(
        word=word,
        tone=tone,
        sentence=sentence,
        supporting=graded.supporting,
        contradicting=graded.contradicting,
        settle_next=f"One reading would settle it: {label_of(settle).lower()}." if settle else "",
    )


def _cautions(
    payload: Payload, plate: RatingPlate | None, finding: Finding | None, remedy: Remedy | None
) -> tuple[str, ...]:
    if plate is None:
        return ()
    found = reading_cautions(
        plate, readings_of(payload), finding, remedy, setpoint_of(payload), day_of(payload)
    )
    # That the readings contradict the finding is what the grade says already.
    return tuple(each.message for each in found if each.code != "finding_contradicted")

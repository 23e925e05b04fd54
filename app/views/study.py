"""What sets the years that are compared, for the technician to choose."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from app.views.fields import Card, Choice, Field, filled, label_of
from app.views.payload import read
from estimator.case import StudyBasis

if TYPE_CHECKING:
    from app.views.payload import Payload

CHOICES: Final = (
    Choice(StudyBasis.CUSTOMER.value, "As long as they stay, else a new heater's life"),
    Choice(StudyBasis.CHALLENGER_LIFE.value, "A new heater's life"),
    Choice(StudyBasis.REMAINING_LIFE.value, "What this heater has left"),
)


def build_study_card(payload: Payload) -> Card | None:
    """Build the choice of what sets the study period.

    Parameters
    ----------
    payload
        The draft.

    Returns
    -------
    The card, folded; ``None`` where a number of years is given outright, which goes before.
    """
    if read(payload, "work.years") is not None:
        return None
    chosen = read(payload, "work.study") or StudyBasis.CUSTOMER.value
    field = Field("work.study", "Set by", "pick", choices=CHOICES, required=True, value=chosen)
    return Card(
        "study",
        "Years compared",
        filled((field,), payload),
        label_of(CHOICES, chosen).lower(),
        folded=True,
    )

"""Fields of a form as data: what is asked, what stands there, and what is wrong with it."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Any, Final, Literal

from pydantic import BaseModel, ValidationError

from app import formatting
from app.formatting_numbers import MINUS
from app.views.payload import SECTIONS, Payload, read
from app.views.typed import LARGEST
from estimator.refusals import Refusal, refusals

Kind = Literal[
    "number",
    "whole",
    "choice",
    "long_choice",
    "pick",
    "many",
    "yes_no",
    "tick",
    "text",
    "long_text",
]
"""How a question is asked: `pick` shows every choice as a row to tap."""
NUMBER: Final = re.compile(r"-?\d+(\.\d+)?")
QUOTED_OR_NUMBER: Final = re.compile(rf'"[^"]*"|{NUMBER.pattern}')

NO_NUMBER: Final = "must be a number"
"""What is said of a text in a field that asks for a number, where nothing else refuses it."""

SUMMED_UP: Final = 60
"""Signs of an answer that a line which sums up shows."""

Tone = Literal["plain", "good", "check", "stop"]


@dataclass(frozen=True)
class Choice:
    """One of several: the value kept and the words shown."""

    value: Any
    label: str


@dataclass(frozen=True)
class Field:
    """One question and its answer.

    `path` is where the answer is kept. `hint` stands beside the field (a limit, where to
    look); `word` says in a word what the answer means, `tone` how to show it; `problem`
    is a sentence when the answer is not usable; `assumed` says what is taken instead of
    an answer that nobody gave.
    """

    path: str
    label: str
    kind: Kind = "number"
    unit: str = ""
    choices: tuple[Choice, ...] = ()
    hint: str = ""
    required: bool = False
    assumed: str = ""
    value: Any = None
    problem: str = ""
    word: str = ""
    tone: Tone = "plain"

    @property
    def name(self) -> str:
        """Label with the unit, as shown over the field."""
        return f"{self.label} [{self.unit}]" if self.unit else self.label

    @property
    def is_number(self) -> bool:
        """Whether a number is asked."""
        return self.kind in ("number", "whole")


@dataclass(frozen=True)
class Card:
    """Fields that belong together, under one heading.

    `summary` says in a line what the fields hold, for a card that is folded.
    """

    key: str
    title: str
    fields: tuple[Field, ...]
    summary: str = ""
    folded: bool = False


def filled(fields: tuple[Field, ...], payload: Payload) -> tuple[Field, ...]:
    """Give fields their answers from the draft, and the problem of each that is unusable.

    Parameters
    ----------
    fields
        The questions.
    payload
        The draft.

    Returns
    -------
    The same fields with `value`, `problem` and `assumed` in step.
    """
    problems = {
        section: problems_in(SECTIONS[section], payload.get(section) or {})
        for section in {field.path.partition(".")[0] for field in fields}
        if section in SECTIONS
    }
    return tuple(_filled(field, payload, problems) for field in fields)


def _filled(field: Field, payload: Payload, problems: Mapping[str, Mapping[str, str]]) -> Field:
    section, _, key = field.path.partition(".")
    value = field.value if field.value is not None else read(payload, field.path)
    value = _as_kind(value, field)
    problem = field.problem or problems.get(section, {}).get(key, "")
    said = problem
    if problem and not field.problem:
        said = f"{field.label} {said_as_asked(problem, field)}."
    return replace(
        field,
        value=value,
        problem=said,
        assumed="" if value is not None else field.assumed,
    )


def _as_kind(value: Any, field: Field) -> Any:
    """Give a kept answer the type that its field shows; JSON may hold 40 or "0.59".

    A text that is no number stays, so that the field shows what was typed.
    """
    if value is None or not field.is_number:
        return value
    try:
        number = float(Decimal(str(value)) * 100) if field.unit == "%" else float(value)
    except (TypeError, ValueError, ArithmeticError):
        number = math.nan
    if not math.isfinite(number) or abs(number) > LARGEST:
        return value if isinstance(value, str) else None
    return int(number) if field.kind == "whole" and number.is_integer() else number


def problems_in(model: type[BaseModel], values: Mapping[str, Any]) -> dict[str, str]:
    """Say what is wrong with each value of a section; what is missing is not wrong.

    Parameters
    ----------
    model
        The section's model.
    values
        What was given.

    Returns
    -------
    Key → the rest of a sentence that starts with the field's label. What is wrong with
    the section as a whole stands under the empty key.
    """
    try:
        model.model_validate(dict(values))
    except ValidationError as refused:
        return {
            refusal.key: _said(refusal)
            for refusal in refusals(refused, model)
            if not refusal.what.endswith("is missing")
        }
    return {}


def _said(refusal: Refusal) -> str:
    what = refusal.what.removeprefix(refusal.key).lstrip(": ") if refusal.key else refusal.what
    return f"{what}; {refusal.hint}" if refusal.hint else what


def said_as_asked(problem: str, field: Field) -> str:
    """Say a problem with a number as its field asks for it: bare, and in percent.

    Parameters
    ----------
    problem
        What is wrong, with the number as it is kept.
    field
        The field.

    Returns
    -------
    The same with the number as typed.
    """
    if not field.is_number:
        return problem
    if field.unit != "%":
        return problem.replace('"', "")
    return QUOTED_OR_NUMBER.sub(lambda found: _percent_in(found[0].strip('"')), problem)


def _percent_in(said: str) -> str:
    """Write a share in percent; a text that was typed and is no number stays as it is."""
    return f"{(Decimal(said) * 100).normalize():f}%" if NUMBER.fullmatch(said) else said


def with_unit(value: float, unit: str) -> str:
    """Write a number with its unit as it is spoken: $148/h, 65%, 40 gal."""
    number = formatting.number(value, 4, trim=True)
    if unit.startswith("$"):
        minus = MINUS if value < 0 else ""
        return f"{minus}${number.removeprefix(MINUS)}{unit[1:]}"
    return f"{number}%" if unit == "%" else f"{number} {unit}".strip()


def label_of(choices: tuple[Choice, ...], value: Any) -> str:
    """Return the words of the choice that is taken, or nothing."""
    return next((choice.label for choice in choices if choice.value == value), "")


def shortened(text: str, signs: int = SUMMED_UP) -> str:
    """Return a text for a line that sums up: on one line, and no longer than that."""
    line = " ".join(text.split())
    return line if len(line) <= signs else f"{line[: signs - 1].rstrip()}…"

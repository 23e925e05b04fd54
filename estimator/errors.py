"""The one family of errors that a person may see.

Every message says what is wrong, where, and how to mend it. No other exception
may reach a person on any surface.

The tree::

    Trouble
    ├── InputTrouble          a number, word or key that somebody gave is not usable
    │   └── RateSheetTrouble  the same, inside a rate sheet
    ├── CatalogTrouble        a catalog is missing, damaged, or refuses a source row
    │   └── PartNotFound      a part number that the catalog does not hold
    └── LedgerTrouble         the ledger is missing, locked, damaged, or would be overwritten
        └── QuoteNotFound     a quote number that the ledger does not hold
"""

from __future__ import annotations

from difflib import get_close_matches
from typing import TYPE_CHECKING, Any, TypeVar, get_args

from pydantic import BaseModel, ValidationError

if TYPE_CHECKING:
    from collections.abc import Mapping

Model = TypeVar("Model", bound=BaseModel)


class Trouble(Exception):
    """What went wrong, where, and how to mend it.

    Parameters
    ----------
    what
        The thing that is wrong with the value found, as one sentence without a full stop.
    where
        File, row, key or field; may be empty when `what` says it.
    mend
        What the person does next, as a sentence.
    """

    def __init__(self, what: str, where: str = "", mend: str = "") -> None:
        self.what = what.rstrip(".")
        self.where = where
        self.mend = mend
        super().__init__(str(self))

    def __str__(self) -> str:
        place = f" in {self.where}" if self.where else ""
        text = f"{self.what}{place}."
        return f"{text} {self.mend}" if self.mend else text


class InputTrouble(Trouble):
    """A value, word or key that somebody gave is not usable."""


class RateSheetTrouble(InputTrouble):
    """A rate sheet holds something that is not usable."""


class CatalogTrouble(Trouble):
    """A catalog is missing, damaged, or refuses a source row."""


class PartNotFound(CatalogTrouble):
    """The catalog does not hold this part number."""


class LedgerTrouble(Trouble):
    """The ledger is missing, locked, damaged, or would be overwritten."""


class QuoteNotFound(LedgerTrouble):
    """The ledger does not hold this quote."""


def checked(
    model: type[Model],
    values: Mapping[str, Any],
    where: str,
    family: type[InputTrouble] = InputTrouble,
) -> Model:
    """Build a model from untrusted values, or say plainly what is wrong with them.

    Parameters
    ----------
    model
        The pydantic model to build.
    values
        Keys and values as typed or read from a file.
    where
        The file or form that the values come from, for the message.
    family
        The error to raise.

    Returns
    -------
    An instance of `model`.

    Raises
    ------
    InputTrouble
        With one sentence for each wrong key, at most five.
    """
    try:
        return model.model_validate(values)
    except ValidationError as refused:
        raise plain(refused, model, where, family) from None


def plain(
    refused: ValidationError,
    model: type[BaseModel],
    where: str,
    family: type[InputTrouble] = InputTrouble,
) -> InputTrouble:
    """Turn pydantic's refusal into one message in plain words.

    Parameters
    ----------
    refused
        The refusal.
    model
        The model that refused; its field names are offered for a misspelt key.
    where
        The file or form that the values come from.
    family
        The error to make.

    Returns
    -------
    The error, not raised.
    """
    problems = refused.errors(include_url=False)
    said = [_one_problem(problem, model) for problem in problems[:5]]
    if len(problems) > len(said):
        said.append(f"and {len(problems) - len(said)} more")
    return family("; ".join(said), where, "Correct this and try again.")


def _one_problem(problem: Any, model: type[BaseModel]) -> str:
    path = [str(step) for step in problem["loc"]]
    key = ".".join(path) or "the whole"
    kind = problem["type"]
    if kind == "extra_forbidden":
        known = _fields_at(model, path[:-1])
        near = get_close_matches(path[-1], known, n=1, cutoff=0.6)
        hint = f'; did you mean "{near[0]}"?' if near else f" (known: {', '.join(sorted(known))})"
        return f'The key "{key}" is not known{hint}'
    if kind == "missing":
        return f'The key "{key}" is missing'
    if kind == "value_error":
        return f"{key}: {problem['ctx']['error']}" if path else str(problem["ctx"]["error"])
    given = problem["input"]
    shown = "" if isinstance(given, dict | list | tuple | BaseModel) else f" is {_short(given)};"
    message = str(problem["msg"]).replace("Input should be", "it must be")
    message = message.replace("Value error, ", "")
    return f"{key}{shown} {message[:1].lower()}{message[1:]}"


def _short(given: object) -> str:
    text = given if isinstance(given, str) else str(given)
    text = text if len(text) <= 40 else f"{text[:40]}…"
    return f'"{text}"' if isinstance(given, str) else text


def _fields_at(model: type[BaseModel], path: list[str]) -> list[str]:
    """Return the field names of the model that a path of keys leads to."""
    for step in path:
        field = model.model_fields.get(step)
        if field is None:
            continue  # a list index or a mapping key: stay at the same model
        inner = _model_inside(field.annotation)
        if inner is None:
            return []
        model = inner
    return list(model.model_fields)


def _model_inside(annotation: Any) -> type[BaseModel] | None:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    for inner in get_args(annotation):
        found = _model_inside(inner)
        if found is not None:
            return found
    return None

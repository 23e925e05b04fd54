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

from typing import TYPE_CHECKING, Any, TypeVar

from pydantic import BaseModel, ValidationError

from estimator.refusals import Refusal, refusals

if TYPE_CHECKING:
    from collections.abc import Mapping

Model = TypeVar("Model", bound=BaseModel)

MOST_TOLD = 5
"""How many faults one message tells; more would not be read."""


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
    field
        The one answer of a form that it is about, such as ``name``; empty where it is about
        none, or about several together. It is not part of the message.
    """

    def __init__(self, what: str, where: str = "", mend: str = "", *, field: str = "") -> None:
        self.what = what.rstrip(".")
        self.where = where
        self.mend = mend
        self.field = field
        super().__init__(str(self))

    def __str__(self) -> str:
        """Return one message: the place stands after the fault, before what it must be."""
        fault, semicolon, rest = self.what.partition("; ")
        place = f" in {self.where}" if self.where else ""
        text = f"{fault}{place}{semicolon}{rest}"
        text = text if text.endswith("?") else f"{text}."
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
        With each wrong key, what it must be, and the nearest known key to a misspelt one;
        at most five are told.
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
    found = refusals(refused, model)
    if len(found) == 1:
        return family(_begun(found[0]), where, "Correct this and try again.")
    told = [
        f"{refusal.what} ({refusal.hint})" if refusal.hint else refusal.what
        for refusal in found[:MOST_TOLD]
    ]
    if len(found) > MOST_TOLD:
        told.append(f"and {len(found) - MOST_TOLD} more")
    what = f"{len(found)} things are wrong; {'; '.join(told)}"
    return family(what, where, "Correct these and try again.")


def _begun(only: Refusal) -> str:
    """Begin a sentence with a word in capitals, but leave the name of a key as it is."""
    is_key_first = only.key and only.what.startswith(only.key)
    what = only.what if is_key_first else only.what[:1].upper() + only.what[1:]
    return f"{what}; {only.hint}" if only.hint else what

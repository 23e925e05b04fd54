"""One spelling for every value, so that equal content has equal text and equal hash."""

from __future__ import annotations

import hashlib
import json
import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal, InvalidOperation
from enum import Enum
from typing import Any

from pydantic import BaseModel

from estimator.errors import LedgerTrouble


def canonical_json(value: object) -> str:
    """Write a value as JSON in its one spelling.

    Parameters
    ----------
    value
        A pydantic model, or mappings, sequences and plain values, nested as you like.

    Returns
    -------
    JSON with sorted keys and no spaces. Decimals are strings as written ("1.10" stays
    "1.10"), floats the shortest text that gives the same float back, dates and times ISO,
    enumerations their value, sets sorted by their spelling.

    Raises
    ------
    LedgerTrouble
        If a number is not finite, a text cannot be stored, or a type has no spelling here.
    """
    text = json.dumps(
        _plain(value, ""),
        ensure_ascii=False,
        sort_keys=True,
        separators=(",", ":"),
        allow_nan=False,
    )
    refuse_unstorable(text, "the content to keep")
    return text


def digest(*texts: str) -> str:
    """Return the SHA-256 of texts, each with its length before it [hex].

    Parameters
    ----------
    texts
        The texts; ("ab", "c") and ("a", "bc") give different digests.
    """
    mill = hashlib.sha256()
    for text in texts:
        content = text.encode()
        mill.update(f"{len(content)}:".encode())
        mill.update(content)
    return mill.hexdigest()


def without_stock(text: str) -> object:
    """Return parsed JSON without where the parts lie: that changes between two readings.

    Parameters
    ----------
    text
        JSON.
    """
    return json.loads(text, object_hook=lambda held: {k: held[k] for k in held if k != "stock"})


def refuse_unstorable(text: str, where: str) -> None:
    """Refuse a text that a database cannot give back as it was.

    Parameters
    ----------
    text
        The text.
    where
        What the text is, for the message.

    Raises
    ------
    LedgerTrouble
        If the text holds half of a character pair or a zero character.
    """
    try:
        text.encode()
    except UnicodeEncodeError:
        bad = "half of a character"
    else:
        if "\x00" not in text:
            return
        bad = "a zero character"
    raise LedgerTrouble(f"There is {bad}", where, "Type the text again without it.")


@dataclass(frozen=True)
class Difference:
    """A place where two JSON contents differ; an absent value is ``None`` with `why`."""

    path: str
    kept: Any
    now: Any
    why: str = ""

    def __str__(self) -> str:
        if self.why:
            return f"{self.path} {self.why}"
        said = f"{self.path} is {_shown(self.kept)} in the ledger and {_shown(self.now)} now"
        apart = _apart(self.kept, self.now)
        return f"{said} ({apart} apart)" if apart else said


def differences(kept: object, now: object, path: str = "") -> Iterator[Difference]:
    """Walk two parsed JSON contents and yield each place where they differ.

    Parameters
    ----------
    kept
        What the ledger holds.
    now
        What was worked out again.
    path
        Where the two stand, with dots for keys and brackets for places in a list.

    Yields
    ------
    The differences in the order of the keys; none when the two are equal.
    """
    if isinstance(kept, dict) and isinstance(now, dict):
        for key in sorted(kept.keys() | now.keys()):
            step = f"{path}.{key}" if path else str(key)
            if key not in now:
                yield Difference(step, kept[key], None, "is in the ledger and not there now")
            elif key not in kept:
                yield Difference(step, None, now[key], "is not in the ledger and is there now")
            else:
                yield from differences(kept[key], now[key], step)
    elif isinstance(kept, list) and isinstance(now, list):
        if len(kept) != len(now):
            why = f"has {len(kept)} entries in the ledger and {len(now)} now"
            yield Difference(path or "the whole", kept, now, why)
        for place, (one, other) in enumerate(zip(kept, now, strict=False)):
            yield from differences(one, other, f"{path}[{place}]")
    elif type(kept) is not type(now) or kept != now:
        yield Difference(path or "the whole", kept, now)


def _plain(value: object, path: str) -> object:  # noqa: PLR0911 - one return for each kind
    if isinstance(value, BaseModel):
        return _plain(value.model_dump(mode="python"), path)
    if isinstance(value, Enum):
        return _plain(value.value, path)
    if value is None or isinstance(value, bool | str | int):
        return value
    if isinstance(value, float):
        return _finite(value, math.isfinite(value), path)
    if isinstance(value, Decimal):
        return str(_finite(value, value.is_finite(), path))
    if isinstance(value, datetime | date):
        return value.isoformat()
    if isinstance(value, Mapping):
        return {_key(key, path): _plain(kept, f"{path}.{key}") for key, kept in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(kept, f"{path}[{place}]") for place, kept in enumerate(value)]
    if isinstance(value, set | frozenset):
        return sorted((_plain(kept, path) for kept in value), key=json.dumps)
    raise LedgerTrouble(
        f"A value of type {type(value).__name__} cannot be kept",
        _place(path),
        "Give text, numbers, dates, lists or mappings.",
    )


def _key(key: object, path: str) -> str:
    plain = key.value if isinstance(key, Enum) else key
    if isinstance(plain, str):
        return plain
    raise LedgerTrouble(
        f"The key {plain!r} is not text", _place(path), "Name each value by a text."
    )


def _finite(value: object, finite: bool, path: str) -> object:
    if finite:
        return value
    raise LedgerTrouble(
        f"The number {value} is not finite", _place(path), "Leave the value out instead."
    )


def _place(path: str) -> str:
    return path.lstrip(".") or "the content to keep"


def _shown(value: object) -> str:
    text = value if isinstance(value, str) else json.dumps(value, ensure_ascii=False)
    text = text if len(text) <= 60 else f"{text[:60]}…"
    return text or "empty"


def _apart(kept: object, now: object) -> str:
    if isinstance(kept, bool) or isinstance(now, bool):
        return ""
    if not (isinstance(kept, str | int | float) and isinstance(now, str | int | float)):
        return ""
    try:
        apart = abs(Decimal(str(now)) - Decimal(str(kept)))
    except InvalidOperation:
        return ""
    return f"{apart:f}" if apart.is_finite() and apart else ""

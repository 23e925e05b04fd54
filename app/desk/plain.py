"""The desk's answers as plain values for JSON: nothing rounded, exact decimals as text."""

from __future__ import annotations

from dataclasses import fields, is_dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from pydantic import BaseModel


def plain(value: Any) -> Any:
    """Return a value as JSON can hold it.

    Parameters
    ----------
    value
        A dataclass with its properties, a model, or mappings, sequences and plain values.

    Returns
    -------
    Mappings, lists, text, numbers; decimals and dates as text.
    """
    if isinstance(value, BaseModel):
        value = value.model_dump(mode="json")
    if is_dataclass(value) and not isinstance(value, type):
        kind = type(value)
        worked_out = [name for name in dir(kind) if isinstance(getattr(kind, name), property)]
        names = [field.name for field in fields(value)] + worked_out
        return {name: plain(getattr(value, name)) for name in names}
    if isinstance(value, dict):
        return {str(key): plain(each) for key, each in value.items()}
    if isinstance(value, list | tuple):
        return [plain(each) for each in value]
    if isinstance(value, Decimal):
        return f"{value:f}"
    return value.isoformat() if isinstance(value, date) else value

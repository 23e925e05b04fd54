"""The owner's rate sheet as a form that changes: from a sheet or a file, and back to a sheet."""

from __future__ import annotations

from copy import deepcopy
from decimal import Decimal
from typing import Any

import tomli_w

from app.files import toml_from
from app.views.rate_changes import HUNDRED, Form
from app.views.rate_fields import SECTIONS
from estimator.rates import RateSheet, rate_sheet_from, rate_sheet_to


def form_of(sheet: RateSheet) -> Form:
    """Return a rate sheet as the form holds it: nested values, exact decimals as text."""
    return rate_sheet_to(sheet)


def form_of_file(content: bytes, where: str) -> Form:
    """Return what a TOML file holds as the form, checked as the form is.

    Parameters
    ----------
    content
        What is in the file.
    where
        Its name, for the message.

    Raises
    ------
    InputTrouble
        If it is not TOML.
    RateSheetTrouble
        Naming each wrong key, and the known key nearest to a misspelt one.
    """
    return form_of(rate_sheet_from(toml_from(content, where), where))


def file_of(form: Form) -> str:
    """Return the rate sheet of the form as a TOML file.

    Raises
    ------
    RateSheetTrouble
        If something in it is not usable.
    """
    return tomli_w.dumps(sheet_of(form).model_dump(exclude_none=True))


def put_rate(form: Form, path: str, value: Any) -> Form:
    """Return the form with one answer changed.

    Parameters
    ----------
    form
        The form; it is left as it is.
    path
        Keys joined by dots.
    value
        The answer as typed: percent where the field asks for percent.

    Returns
    -------
    The changed form.
    """
    changed = deepcopy(form)
    *sections, last = path.split(".")
    at: Any = changed
    above: Any = None
    for key in sections:
        above = at
        at = at[int(key)] if isinstance(at, list) else at.setdefault(key, {})
    if value is not None and not (value == [] and path.startswith("tax.places.")):
        at[last] = _kept(value, _unit(path))
        return changed
    at.pop(last, None)
    if sections == ["quote", "financing"] and set(at) <= {"least_price"}:
        del above["financing"]  # a plan without its figure and its months is no plan
    return changed


def put_way(form: Form, way: str, published: RateSheet) -> Form:
    """Price parts by bands of markup or by one target margin, never both.

    Parameters
    ----------
    form
        The form.
    way
        "bands" or "margin".
    published
        The sheet in force; its bands come back when they are chosen again.

    Returns
    -------
    The changed form.
    """
    changed = deepcopy(form)
    parts = changed["parts"]
    if way == "margin":
        parts.pop("markup_bands", None)
        parts.setdefault("target_margin", rate_sheet_to(published)["parts"].get("target_margin"))
    else:
        parts.pop("target_margin", None)
        bands = rate_sheet_to(published)["parts"].get("markup_bands") or [{"markup": "1"}]
        parts["markup_bands"] = bands
    changed["parts"] = {key: value for key, value in parts.items() if value is not None}
    return {**changed, "way": way}


def put_band(form: Form, by: int) -> Form:
    """Add a band before the last one, or take the last but one away."""
    changed = deepcopy(form)
    bands = changed["parts"]["markup_bands"]
    if by > 0:
        bands.insert(len(bands) - 1, {"markup": bands[-1].get("markup", "1")})
    elif len(bands) > 1:
        del bands[-2]
    return changed


def put_place(form: Form, by: int) -> Form:
    """Add a place with a sales tax of its own, or take the last one away."""
    changed = deepcopy(form)
    tax = changed.setdefault("tax", {})
    places = tax.setdefault("places", [])
    if by > 0:
        places.append({"name": "", "rate": tax.get("rate", "0")})
    elif places:
        places.pop()
    return changed


def sheet_of(form: Form) -> RateSheet:
    """Make the rate sheet of the form.

    Parameters
    ----------
    form
        The form.

    Returns
    -------
    The sheet.

    Raises
    ------
    RateSheetTrouble
        If something in it is not usable.
    """
    values = {key: value for key, value in form.items() if key != "way"}
    return rate_sheet_from(values, "the rate sheet")


def _kept(value: Any, unit: str) -> Any:
    if isinstance(value, bool) or not isinstance(value, int | float):
        return value
    exact = Decimal(repr(value)) / (HUNDRED if unit == "%" else 1)
    return f"{exact.normalize():f}"


def _unit(path: str) -> str:
    asked = (field for _, _, fields in SECTIONS for field in fields if field.path == path)
    field = next(asked, None)
    if field is not None:
        return field.unit
    return "%" if path.endswith(("markup", "target_margin", "rate")) else "$"

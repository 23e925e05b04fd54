"""What the form of a rate sheet holds, and what differs from the sheet in force."""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING, Any, Final

from app import formatting
from app.views.fields import shortened, with_unit
from app.views.rate_fields import SECTIONS
from app.views.typed import LARGEST
from estimator.rates import rate_sheet_to

if TYPE_CHECKING:
    from collections.abc import Mapping

    from app.views.fields import Field
    from estimator.rates import RateSheet

HUNDRED: Final = Decimal(100)

Form = dict[str, Any]


def read_form(form: Mapping[str, Any], path: str) -> Any:
    """Return what stands at a path, or ``None``; a number in a path is a place in a list."""
    at: Any = form
    for key in path.split("."):
        if isinstance(at, list):
            at = at[int(key)] if int(key) < len(at) else None
        else:
            at = at.get(key) if isinstance(at, dict) else None
    return at


def as_asked(value: Any, field: Field) -> float | int | None:
    """Return a kept number as its field asks for it, in percent or whole; ``None`` for a text."""
    kept = _plain(value)
    if not isinstance(kept, Decimal):
        return None
    exact = kept * (HUNDRED if field.unit == "%" else 1)
    return int(exact) if field.kind == "whole" and exact == int(exact) else float(exact)


def changes_of(form: Form, published: RateSheet) -> tuple[str, ...]:
    """Say what differs from the sheet in force.

    Parameters
    ----------
    form
        The form.
    published
        The sheet in force.

    Returns
    -------
    One line for each changed answer: the label, the old value and the new one.
    """
    before = rate_sheet_to(published)
    said = []
    for _, title, fields in SECTIONS:
        for field in fields:
            old, new = read_form(before, field.path), read_form(form, field.path)
            if _differs(old, new):
                said.append(
                    f"{title}, {field.label.lower()}: {_shown(old, field)} → {_shown(new, field)}"
                )
    if _parts_of(before) != _parts_of(form):
        said.append("Parts: the markup or margin changes")
    old_places, new_places = _places_of(before), _places_of(form)
    if old_places != new_places:
        said.append(f"Tax, places: {_places_said(old_places)} → {_places_said(new_places)}")
    return tuple(said)


def _parts_of(form: Mapping[str, Any]) -> Any:
    parts = form["parts"]
    bands = [
        (_plain(band.get("up_to_cost")), _plain(band.get("markup")))
        for band in parts.get("markup_bands") or ()
    ]
    return bands, _plain(parts.get("target_margin")), bool(parts.get("cap_at_list_price"))


def _places_of(form: Mapping[str, Any]) -> list[tuple[Any, Any, Any]]:
    return [
        (place.get("name"), _plain(place.get("rate")), sorted(place.get("taxable") or ()))
        for place in form.get("tax", {}).get("places") or ()
    ]


def _places_said(places: list[tuple[Any, Any, Any]]) -> str:
    def rate(it: Any) -> str:
        return (
            with_unit(float(it * HUNDRED), "%") if isinstance(it, Decimal) else shortened(str(it))
        )

    return formatting.listed([f"{shortened(name)} {rate(it)}" for name, it, _ in places]) or "none"


def _plain(value: Any) -> Any:
    """Return a kept number as a number; a text that is none, such as "nan" or "1_0", stays."""
    if value is None or isinstance(value, bool | list):
        return None
    try:
        number = Decimal(str(value))
    except ArithmeticError:
        return value
    usable = "_" not in str(value) and number.is_finite() and abs(number) <= LARGEST
    return number if usable else value


def _differs(old: Any, new: Any) -> bool:
    if isinstance(old, bool | list) or isinstance(new, bool | list):
        return (sorted(old) != sorted(new)) if isinstance(old, list) and new else old != new
    return bool(_plain(old) != _plain(new))


def _shown(value: Any, field: Field) -> str:
    if value is None:
        return "none"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list):
        return formatting.listed([str(each) for each in value]) or "none"
    number = as_asked(value, field) if field.kind in ("number", "whole") else None
    if number is None:
        return shortened(str(value))
    return with_unit(number, field.unit)

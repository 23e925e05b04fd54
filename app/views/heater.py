"""The first step: which heater, where it stands, whom it serves."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Any, Final, Protocol

from app import formatting
from app.views.fields import Card, Choice, Field, filled, label_of, shortened, with_unit
from app.views.payload import (
    EARLIEST_YEAR,
    Payload,
    day_of,
    label_kind,
    made_month,
    made_year,
    plate_of,
    put,
    read,
)
from app.views.site_fields import CUSTOMER, HOUSEHOLD, SITE
from estimator.heater import Chamber, DrawBin, Ignition, RatingPlate, Venting

FUELS: Final = (Choice("natural_gas", "Natural gas"), Choice("propane", "Propane"))
IGNITIONS: Final = (
    Choice(Ignition.PILOT_THERMOCOUPLE.value, "Standing pilot, thermocouple"),
    Choice(Ignition.PILOT_THERMOPILE.value, "Standing pilot, thermopile"),
    Choice(Ignition.INTERMITTENT_PILOT.value, "Intermittent pilot"),
    Choice(Ignition.HOT_SURFACE.value, "Hot surface"),
)
VENTINGS: Final = (
    Choice(Venting.NATURAL_DRAFT.value, "Natural"),
    Choice(Venting.POWER_VENT.value, "Power"),
    Choice(Venting.DIRECT_VENT.value, "Direct"),
)
CHAMBERS: Final = (
    Choice(Chamber.OPEN.value, "Open"),
    Choice(Chamber.SEALED.value, "Sealed, flame arrestor"),
)
LABELS: Final = (
    Choice("none", "Not readable"),
    Choice("ef", "EF"),
    Choice("uef", "UEF"),
)
DRAW_BINS: Final = (
    Choice(DrawBin.VERY_SMALL.value, "Very small"),
    Choice(DrawBin.LOW.value, "Low"),
    Choice(DrawBin.MEDIUM.value, "Medium"),
    Choice(DrawBin.HIGH.value, "High"),
)
MONTHS: Final = tuple(
    Choice(number, name) for number, name in enumerate(formatting.MONTHS, start=1)
)

PLATE: Final = (
    Field("heater.fuel", "Fuel", "choice", choices=FUELS, required=True),
    Field("heater.tank_volume_gal", "Tank size", unit="gal", required=True),
    Field("heater.input_btu_per_h", "Input", unit="Btu/h", required=True),
    Field("heater.ignition", "Ignition", "long_choice", choices=IGNITIONS, required=True),
    Field("heater.venting", "Venting", "choice", choices=VENTINGS, assumed="natural draft"),
    Field("heater.chamber", "Chamber", "choice", choices=CHAMBERS, assumed="open"),
)
RATING: Final = (
    Field("heater.recovery_efficiency", "Recovery efficiency", assumed="a usual value"),
    Field("heater.first_hour_rating_gal", "First-hour rating", unit="gal"),
    Field("heater.parts_warranty_years", "Parts warranty", "whole", "yr", assumed="none"),
    Field("heater.tank_warranty_years", "Tank warranty", "whole", "yr", assumed="none"),
)
FROM_FAMILY: Final = (
    "fuel",
    "tank_volume_gal",
    "input_btu_per_h",
    "ignition",
    "venting",
    "chamber",
    "energy_factor",
    "uniform_energy_factor",
    "draw_bin",
    "recovery_efficiency",
    "first_hour_rating_gal",
    "parts_warranty_years",
    "tank_warranty_years",
)
"""What the plate of a family says, as the keys of the heater section."""


class Family(Protocol):
    """A family of heaters as the catalog lists it."""

    @property
    def slug(self) -> str:
        """Short name."""
        ...

    @property
    def name(self) -> str:
        """Name on the plate."""
        ...


@dataclass(frozen=True)
class HeaterView:
    """The first step: the family chosen, when it was made, and the cards below."""

    families: tuple[Choice, ...]
    recent: tuple[Choice, ...]
    family: str | None
    made: tuple[Field, ...]
    plate_line: str
    plate_note: str
    cards: tuple[Card, ...]


def build_heater_view(
    payload: Payload,
    families: Sequence[Family],
    today: date,
    recent: Sequence[str] = (),
    vans: Sequence[str] = (),
    tax_places: Sequence[str] = (),
) -> HeaterView:
    """Build the first step.

    Parameters
    ----------
    payload
        The draft.
    families
        Heater families of the catalog.
    today
        The day of the visit.
    recent
        Slugs of the families met last; offered first, until one is chosen.
    vans
        The shop's vans; without them the van is typed.
    tax_places
        The places that the rate sheet has a sales tax of; without them none is asked for.

    Returns
    -------
    The view.
    """
    family = read(payload, "family")
    names = {each.slug: each.name for each in families}
    first = [slug for slug in recent if slug in names]
    ordered = [*first, *(slug for slug in names if slug not in first)]
    known = tuple(Choice(slug, names[slug]) for slug in ordered)
    plate = filled((*PLATE, *_rating_fields(payload)), payload)
    troubled = any(field.problem for field in plate)
    line = plate_line(payload)
    customer = (*_customer_fields(payload, vans), *_place_field(payload, tax_places))
    return HeaterView(
        families=known,
        recent=() if family or line else known[: len(first)],
        family=family if family in {choice.value for choice in known} else None,
        made=_made_fields(payload, today),
        plate_line=line,
        plate_note=_plate_note(family, line),
        cards=(
            Card("plate", "Rating plate", plate, line, folded=bool(family) and not troubled),
            _folded("site", "Where it stands", SITE, payload),
            _folded("household", "Who it serves", HOUSEHOLD, payload),
            _folded("customer", "For the quote", customer, payload),
        ),
    )


def choose_family(payload: Payload, family: Family | None) -> dict[str, Any]:
    """Take a family's plate into the draft; without one the plate stays as typed.

    Parameters
    ----------
    payload
        The draft.
    family
        The family chosen, or ``None`` to type the plate.

    Returns
    -------
    The changed draft; the date of manufacture is kept.
    """
    changed = put(payload, "family", family.slug if family else None)
    changed = put(changed, "ui.label", None)
    if family is not None:
        for key in FROM_FAMILY:
            value = getattr(family, key, None)
            changed = put(changed, f"heater.{key}", getattr(value, "value", value))
    return changed


def plate_line(payload: Payload) -> str:
    """Say the plate in one line: size, fuel, input, ignition, venting, chamber."""
    plate = plate_of({"heater": {"manufactured": "2000-01-01", **(payload.get("heater") or {})}})
    if plate is None:
        return ""
    fuel = label_of(FUELS, plate.fuel.value).lower()
    ignition = label_of(IGNITIONS, plate.ignition.value).lower()
    return " · ".join(
        (
            f"{formatting.quantity(plate.tank_volume_gal)} gal {fuel}",
            f"{formatting.number(plate.input_btu_per_h)} Btu/h",
            ignition,
            f"{label_of(VENTINGS, plate.venting.value).lower()} vent",
            f"{plate.chamber.value} chamber",
            _rating_said(plate),
        )
    )


def _rating_said(plate: RatingPlate) -> str:
    if plate.uniform_energy_factor is not None:
        return f"UEF {formatting.number(plate.uniform_energy_factor, 2)}"
    if plate.energy_factor is not None:
        return f"EF {formatting.number(plate.energy_factor, 2)}"
    return "no label read"


def _plate_note(family: str | None, line: str) -> str:
    if family and line:
        return "From the family. Hold it against the plate; the plate wins."
    return ""


def _rating_fields(payload: Payload) -> tuple[Field, ...]:
    kind = label_kind(payload)
    fields = [*RATING, Field("ui.label", "Yellow label", "choice", choices=LABELS, value=kind)]
    if kind == "ef":
        fields.append(Field("heater.energy_factor", "EF"))
    if kind == "uef":
        fields.append(Field("heater.uniform_energy_factor", "UEF"))
        fields.append(Field("heater.draw_bin", "Draw bin", "choice", choices=DRAW_BINS))
    return tuple(fields)  # what comes and goes is last, and moves nothing


def _made_fields(payload: Payload, today: date) -> tuple[Field, ...]:
    year, typed = made_year(payload), read(payload, "ui.made_year")
    problem = ""
    made = read(payload, "heater.manufactured")
    if typed is not None and not isinstance(typed, int):
        said = shortened(str(typed), 40)
        year, problem = typed, f"Year made is {said}; it must be a year such as 2015."
    elif year is not None and not EARLIEST_YEAR <= year <= today.year:
        problem = f"Year made is {year}; it must be {EARLIEST_YEAR} to {today.year}."
    elif made and date.fromisoformat(str(made)[:10]) > today:
        problem = f"That is after today, {formatting.long_date(today)}. Read the plate again."
    month = made_month(payload)
    return (
        Field("ui.made_year", "Year made", "whole", required=True, value=year, problem=problem),
        Field(
            "ui.made_month",
            "Month",
            "long_choice",
            choices=MONTHS,
            value=month,
            assumed="" if month else "middle of the year",
        ),
    )


def _place_field(payload: Payload, places: Sequence[str]) -> tuple[Field, ...]:
    """Ask for the place of the sales tax, where there is more than one."""
    kept = read(payload, "work.tax_place") or None
    if not places and kept is None:
        return ()
    problem = f"{kept} is none of the rate sheet's places." if kept not in (None, *places) else ""
    choices = tuple(Choice(name, name) for name in dict.fromkeys((*places, *filter(None, [kept]))))
    return (
        Field(
            "work.tax_place",
            "Sales tax of",
            "long_choice",
            choices=choices,
            assumed="the shop's usual place",
            problem=problem,
        ),
    )


def _customer_fields(payload: Payload, vans: Sequence[str]) -> tuple[Field, ...]:
    """Ask for the van by its name among the shop's, and say where the answer came from."""
    van = read(payload, "visit.van")
    as_last = bool(van) and van == read(payload, "ui.last_van")
    unknown = bool(vans) and bool(van) and van not in vans
    problem = f"{van} is none of the shop's vans." if unknown else ""
    choices = tuple(Choice(name, name) for name in dict.fromkeys((*vans, *([van] if van else []))))
    return tuple(
        replace(
            field,
            kind="long_choice" if vans else "text",
            choices=choices if vans else (),
            hint="as on your last visit" if as_last else "",
            problem=problem,
        )
        if field.path == "visit.van"
        else field
        for field in CUSTOMER
    )


def _folded(key: str, title: str, fields: tuple[Field, ...], payload: Payload) -> Card:
    asked = filled(fields, payload)
    said = [_answer(field) for field in asked if field.value is not None]
    assumed = sum(1 for field in asked if field.assumed)
    summary = " · ".join(text for text in said if text)
    if assumed:
        summary = f"{summary} · {assumed} assumed" if summary else f"{assumed} assumed"
    troubled = any(field.problem for field in asked)
    return Card(key, title, asked, summary, folded=not troubled)


def _answer(field: Field) -> str:
    if field.choices:
        return label_of(field.choices, field.value)
    if isinstance(field.value, bool):
        return f"{field.label}: {'yes' if field.value else 'no'}"
    if isinstance(field.value, int | float):
        return f"{field.label} {with_unit(field.value, field.unit)}"
    return shortened(str(field.value))


def visit_day(payload: Mapping[str, Any], today: date) -> date:
    """Return the day of the visit, today where the draft has none."""
    return day_of(payload) or today

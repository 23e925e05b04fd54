"""The owner's rate sheet on the screen: what is asked, what is wrong, and what changed."""

from __future__ import annotations

from dataclasses import dataclass, replace
from decimal import Decimal
from typing import TYPE_CHECKING, Final

from app import formatting
from app.views.fields import NO_NUMBER, Card, Field, problems_in, said_as_asked, with_unit
from app.views.rate_changes import Form, as_asked, changes_of, read_form
from app.views.rate_fields import KINDS, SECTIONS, WAYS
from app.views.rate_form import sheet_of
from estimator.errors import RateSheetTrouble
from estimator.price_lines import part_price
from estimator.rates import RateSheet, rate_sheet_from

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import date

    from estimator.rates import RateSheetVersion

SAMPLE_COSTS: Final = (Decimal(10), Decimal(40), Decimal(120), Decimal(300))


@dataclass(frozen=True)
class RatesView:
    """The rate sheet on the screen; `faults` counts what must be mended first."""

    version: str
    way: Field
    parts: tuple[Field, ...]
    bands: int
    samples: tuple[tuple[str, str], ...]
    places: tuple[Field, ...]
    cards: tuple[Card, ...]
    changes: tuple[str, ...]
    faults: tuple[str, ...]
    later: str


def build_rates_view(
    form: Form, published: RateSheetVersion, every: tuple[RateSheetVersion, ...], holds_from: date
) -> RatesView:
    """Build the rate sheet's screen.

    Parameters
    ----------
    form
        The form as it stands.
    published
        The version in force.
    every
        All versions.
    holds_from
        The day chosen for the next version.

    Returns
    -------
    The view.
    """
    values = {key: value for key, value in form.items() if key != "way"}
    problems = problems_in(RateSheet, values)
    way = form.get("way") or ("margin" if "target_margin" in form["parts"] else "bands")
    cards = tuple(
        Card(key, title, _filled(fields, form, problems), folded=key != "labor")
        for key, title, fields in SECTIONS
    )
    cards = tuple(_told(card) for card in cards)
    parts = _filled(_part_fields(form, way), form, problems)
    places = _filled(_place_fields(form), form, problems)
    asked = [*(field for card in cards for field in card.fields), *parts, *places]
    faults = [field.problem for field in asked if field.problem]
    faults = faults or _faults_of_whole(values, problems)
    later = [each for each in every if each.holds_from > holds_from]
    return RatesView(
        version=f"Version {published.version} holds since "
        f"{formatting.long_date(published.holds_from)}.",
        way=Field("parts.way", "Parts are priced by", "choice", choices=WAYS, value=way),
        parts=parts,
        bands=len(form["parts"].get("markup_bands") or ()),
        samples=_samples(form),
        places=places,
        cards=cards,
        changes=changes_of(form, published.sheet),
        faults=tuple(faults),
        later=_later(later),
    )


def _faults_of_whole(values: Form, problems: Mapping[str, str]) -> list[str]:
    """Say what is wrong with more than one answer together, in the words of the form."""
    whole = problems.get("parts")
    if whole:
        return [f"Parts: {whole.replace('up_to_cost', 'cost')}."]
    try:
        rate_sheet_from(values, "the form")
    except RateSheetTrouble as trouble:
        text = str(trouble)
        for title, field in ((title, each) for _, title, fields in SECTIONS for each in fields):
            text = text.replace(f'The key "{field.path}"', f"{title}: {field.label.lower()}")
        return [text]
    return []


def _later(later: list[RateSheetVersion]) -> str:
    if not later:
        return ""
    first = min(later, key=lambda each: each.holds_from)
    day = formatting.long_date(first.holds_from)
    return f"Version {first.version} takes over on {day}, whatever is published here."


def _told(card: Card) -> Card:
    """Say in a line what a folded card holds; one with a fault stays open."""
    said = [
        f"{field.label} {with_unit(field.value, field.unit)}"
        for field in card.fields
        if isinstance(field.value, int | float) and not isinstance(field.value, bool)
    ]
    fault = any(field.problem for field in card.fields)
    return replace(card, summary=" · ".join(said[:3]), folded=card.folded and not fault)


def _part_fields(form: Form, way: str) -> tuple[Field, ...]:
    if way == "margin":
        fields = [Field("parts.target_margin", "Target margin", unit="%", required=True)]
    else:
        fields = []
        bands = form["parts"].get("markup_bands") or []
        for at in range(len(bands) - 1):
            where = f"parts.markup_bands.{at}"
            fields.append(Field(f"{where}.up_to_cost", "Cost up to", unit="$", required=True))
            fields.append(Field(f"{where}.markup", "Markup", unit="%", required=True))
        last = f"parts.markup_bands.{len(bands) - 1}.markup"
        fields.append(Field(last, "All dearer parts, markup", unit="%", required=True))
    return (*fields, Field("parts.cap_at_list_price", "Never above list price", "tick"))


def _place_fields(form: Form) -> tuple[Field, ...]:
    fields: list[Field] = []
    for at in range(len(form.get("tax", {}).get("places") or ())):
        where = f"tax.places.{at}"
        fields.append(Field(f"{where}.name", "Place", "text", required=True))
        fields.append(Field(f"{where}.rate", "Sales tax there", unit="%", required=True))
        fields.append(Field(f"{where}.taxable", "On, if not as everywhere", "many", choices=KINDS))
    return tuple(fields)


def _filled(
    fields: tuple[Field, ...], form: Form, problems: Mapping[str, str]
) -> tuple[Field, ...]:
    return tuple(_answered(field, form, problems) for field in fields)


def _answered(field: Field, form: Form, problems: Mapping[str, str]) -> Field:
    value = read_form(form, field.path)
    number = as_asked(value, field) if field.is_number else None
    keys = (field.path, _path_with_places(field.path))
    problem = next((problems[key] for key in keys if key in problems), "")
    if field.is_number and number is None and value not in (None, ""):
        problem = problem or NO_NUMBER
    said = f"{field.label} {said_as_asked(problem, field)}." if problem else ""
    if field.required and value in (None, ""):
        said = f"{field.label} is needed."
    # a text that is no number stays, so that the field shows what was typed
    return replace(field, value=value if number is None else number, problem=said)


def _path_with_places(path: str) -> str:
    """Write a path as a refusal does: places in a list count from 1."""
    said = ""
    for key in path.split("."):
        said += f" #{int(key) + 1}" if key.isdigit() else f".{key}" if said else key
    return said


def _samples(form: Form) -> tuple[tuple[str, str], ...]:
    """Say what parts of some costs would sell for; nothing while the form has faults."""
    try:
        pricing = sheet_of(form).parts
    except RateSheetTrouble:
        return ()
    return tuple(
        (
            f"A part that costs you {formatting.whole_money(cost)}",
            formatting.money(part_price(cost, None, pricing)),
        )
        for cost in SAMPLE_COSTS
    )

"""The people of the shop as the owner reads them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from app import formatting

if TYPE_CHECKING:
    from collections.abc import Iterable

    from app.ledger.entries import Person
    from app.views.fields import Tone


@dataclass(frozen=True)
class PersonRow:
    """One person; `own` marks who is looking."""

    person_id: str
    name: str
    since: str
    tags: tuple[tuple[str, Tone], ...]
    own: bool


def build_people_view(people: Iterable[Person], own_id: str | None) -> tuple[PersonRow, ...]:
    """Build the list of people.

    Parameters
    ----------
    people
        Those who may sign in.
    own_id
        Who is looking.

    Returns
    -------
    One row for each.
    """
    return tuple(_row(person, own_id) for person in people)


def _row(person: Person, own_id: str | None) -> PersonRow:
    tags: list[tuple[str, Tone]] = [(person.role.capitalize(), "plain")]
    if person.person_id == own_id:
        tags.append(("You", "good"))
    if person.demo:
        tags.append(("Published password", "check"))
    since = formatting.long_date(person.made_at.astimezone().date())
    return PersonRow(
        person_id=person.person_id,
        name=person.name,
        since=f"Since {since}" + (f" · {person.email}" if person.email else ""),
        tags=tuple(tags),
        own=person.person_id == own_id,
    )

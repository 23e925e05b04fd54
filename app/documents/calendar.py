"""A calendar file for the work or a follow-up, as any phone takes it."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING, Literal
from uuid import NAMESPACE_URL, uuid5

from app.language.marking import mark
from app.language.speech import Speech
from estimator.errors import InputTrouble

if TYPE_CHECKING:
    from app.views.customer import CustomerView

Kind = Literal["work", "follow_up"]

TITLES = {
    "work": mark("Work on your water heater: {shop}"),
    "follow_up": mark("Check on your water heater: {shop}"),
}
ABOUT = mark("Quote {number}")
MOST_MINUTES = 24 * 60
PRODUCT = "-//heater-door-quote//calendar//EN"


def work_event_ics(
    view: CustomerView,
    start: datetime,
    minutes: int,
    made_at: datetime,
    *,
    kind: Kind = "work",
    sequence: int = 0,
) -> bytes:
    """Write a calendar file with one event.

    Parameters
    ----------
    view
        The customer's view of an issued quote; its language and shop are used.
    start
        When the work begins, with its zone.
    minutes
        How long it takes [min].
    made_at
        Now, with its zone: the stamp of the file.
    kind
        ``work`` or ``follow_up``.
    sequence
        Counts up when the event is moved, so that a calendar takes the new time.

    Returns
    -------
    An iCalendar file (RFC 5545) in UTF-8. Times are in UTC, so that no zone has to be
    described; a phone shows them in its own. The UID depends on quote and kind alone: an
    event that is moved replaces itself.

    Raises
    ------
    InputTrouble
        If the quote is not issued, a time has no zone, or the length makes no sense.

    References
    ----------
    RFC 5545, by the icalendar library.
    """
    from icalendar import Calendar, Event  # noqa: PLC0415 - wanted only here

    number = view.heading.number
    _check(number, start, made_at, minutes)
    speech = Speech(view.language, view.units)
    begins = start.astimezone(UTC)
    event = Event()
    event.add("uid", f"{uuid5(NAMESPACE_URL, f'heater-door-quote/{number}/{kind}')}")
    event.add("dtstamp", made_at.astimezone(UTC))
    event.add("dtstart", begins)
    event.add("dtend", begins + timedelta(minutes=minutes))
    event.add("sequence", sequence)
    event.add("summary", speech.say(TITLES[kind], shop=view.shop.name))
    event.add("description", _description(view, speech))
    if view.heading.customer_address:
        event.add("location", view.heading.customer_address)
    if view.customer_link is not None:
        event.add("url", view.customer_link)
    calendar = Calendar()
    calendar.add("prodid", PRODUCT)
    calendar.add("version", "2.0")
    calendar.add("method", "PUBLISH")
    calendar.add_component(event)
    written: bytes = calendar.to_ical()
    return written


def _check(number: str | None, start: datetime, made_at: datetime, minutes: int) -> None:
    if number is None:
        raise InputTrouble(
            "A draft has no calendar file", "the quote", "Issue the quote, then set a time."
        )
    if start.tzinfo is None or made_at.tzinfo is None:
        raise InputTrouble(
            f"The time {start:%Y-%m-%d %H:%M} has no time zone",
            "the calendar file",
            "Give it with its zone, such as 2026-12-01T09:00-06:00.",
        )
    if not 0 < minutes <= MOST_MINUTES:
        raise InputTrouble(
            f"Work of {minutes} minutes cannot be put into a calendar",
            "the calendar file",
            "Give a time above zero and up to a day.",
        )


def _description(view: CustomerView, speech: Speech) -> str:
    lines = [speech.say(ABOUT, number=view.heading.number), *view.shop.contact]
    if view.shop.invented:
        lines.append(view.labels["invented"])
    return "\n".join(lines)

"""The check of a shop: plain answers to whether everything that it rests on is sound."""

from __future__ import annotations

import platform
import re
import shutil
import sqlite3
import stat
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

from app.links import KEY_FILE
from app.own_words import words_left_english
from app.people.guard import Actor, require_in_folder
from app.people.provider import PROVIDER_FILE, provider_of
from app.people.roles import Action, Role
from app.shop_settings import LEDGER_FILE, SETTINGS_FILE, shop_settings
from app.version import program_version
from estimator.errors import Trouble

if TYPE_CHECKING:
    from app.shop import Shop

LEAST_FREE_BYTES = 500_000_000
OLDEST_SQLITE = (3, 35, 0)
CLOCK_SLACK = timedelta(minutes=5)
NAMES_TOLD = 5
PRIVATE = (
    ("links", KEY_FILE, "the key of the links"),
    ("ledger file", LEDGER_FILE, "the ledger, with the customers' data"),
    ("settings file", SETTINGS_FILE, "the password in the settings"),
)
"""Files that are for the shop's own user alone: topic, name, what is in it."""


@dataclass(frozen=True)
class Checked:
    """One answer: the topic, whether it is sound, and what there is to say."""

    topic: str
    sound: bool
    says: str


def check_shop(
    folder: Path,
    actor: Actor,
    at: datetime,
    open_shop: Callable[[Path], Shop],
    *,
    replay: bool = False,
) -> tuple[Checked, ...]:
    """Check everything that a shop rests on.

    Parameters
    ----------
    folder
        The shop's folder.
    actor
        Who asks.
    at
        Now, with its zone, by this machine's clock.
    open_shop
        Opens the shop in a folder.
    replay
        Whether every quote is worked again too, which takes its time.

    Returns
    -------
    The answers; nothing of a lower layer gets out, trouble is an answer.

    Raises
    ------
    Trouble
        If checking is not the actor's to do.
    """
    require_in_folder(folder, actor, Action.CHECK_SHOP, at)
    found = [*_machine(), *_disk(folder), *_settings(folder), *_provider(folder)]
    try:
        shop = open_shop(folder)
    except Trouble as trouble:
        return (*found, Checked("ledger", sound=False, says=str(trouble)))
    try:
        topics: tuple[tuple[str, Callable[[], Iterator[Checked]]], ...] = (
            ("ledger", lambda: _ledger(shop, replay=replay)),
            ("rate sheets", lambda: _rate_sheets(shop, at)),
            ("catalog", lambda: _catalog(shop, at)),
            ("people", lambda: _people(shop)),
            ("clock", lambda: _clock(shop, at)),
        )
        for topic, answers in topics:
            try:
                found += answers()
            except Trouble as trouble:
                found.append(Checked(topic, sound=False, says=str(trouble)))
    finally:
        shop.close()
    return tuple(found)


def _machine() -> Iterator[Checked]:
    sqlite_known = sqlite3.sqlite_version_info >= OLDEST_SQLITE
    yield Checked(
        "versions",
        sqlite_known,
        f"program {program_version()}, Python {platform.python_version()},"
        f" SQLite {sqlite3.sqlite_version}"
        + ("" if sqlite_known else "; SQLite 3.35 or newer is needed"),
    )


def _disk(folder: Path) -> Iterator[Checked]:
    place = next(each for each in (folder, *folder.absolute().parents) if each.exists())
    free = shutil.disk_usage(place).free
    wanted = LEAST_FREE_BYTES
    says = f"{free / 1e9:,.1f} GB are free"
    if free < wanted:
        says += f"; at least {wanted / 1e9:.1f} GB are wanted. Make room on the disk."
    yield Checked("disk", free >= wanted, says)


def _settings(folder: Path) -> Iterator[Checked]:
    try:
        settings = shop_settings(folder)
    except Trouble as trouble:
        yield Checked("settings", sound=False, says=str(trouble))
        return
    where = "on a database server" if settings.on_server else "a file in the shop's folder"
    there = SETTINGS_FILE if (folder / SETTINGS_FILE).exists() else "defaults"
    yield Checked("settings", sound=True, says=f"{there}; the ledger is {where}")
    yield from _private(folder)


def _provider(folder: Path) -> Iterator[Checked]:
    """Say whether the page could sign people in by the shop's provider; never its secret."""
    try:
        provider = provider_of(folder)
    except Trouble as trouble:
        yield Checked("provider", sound=False, says=str(trouble))
        return
    says = "none; people sign in by name and password"
    if provider is not None:
        says = (
            f"{PROVIDER_FILE} is complete and only this user can read it; the provider sends"
            f" people back to {provider.redirect_uri}"
        )
    yield Checked("provider", sound=True, says=says)


def _private(folder: Path) -> Iterator[Checked]:
    """Say which files others can read that hold customers' data, passwords or the links' key."""
    for topic, name, holds in PRIVATE:
        file = folder / name
        if not file.exists() or (topic == "settings file" and not _holds_secret(file)):
            continue
        open_to_others = bool(file.stat().st_mode & (stat.S_IRWXG | stat.S_IRWXO))
        says = f"only this user can read {holds}"
        if open_to_others:
            says = f"others can read {holds}; take their right away (chmod 600 {file})"
        yield Checked(topic, not open_to_others, says)


def _holds_secret(settings: Path) -> bool:
    """Say whether the settings hold a password: in an address, or under a key of that name."""
    text = settings.read_text(encoding="utf-8", errors="replace")
    return re.search(r"://[^/@\s]*:[^/@\s]+@|secret|password", text) is not None


def _ledger(shop: Shop, *, replay: bool) -> Iterator[Checked]:
    from app.replaying import replay as work_again  # noqa: PLC0415 - slow, and not always wanted

    report = shop.ledger.verify(work_again if replay else None, program_version=program_version())
    says = (
        f"{report.quotes_checked} quotes, {report.rate_sheets_checked} rate sheets and"
        f" {report.journal_checked} lines of the journal are as they were written"
    )
    if replay:
        says += "; every quote was worked again"
    yield (
        Checked("ledger", sound=True, says=says)
        if report.sound
        else Checked(
            "ledger",
            sound=False,
            says=f"{len(report.problems)} problems; the first: {report.problems[0]}",
        )
    )
    if report.other_versions:
        made = ", ".join(
            f"{count} by {version or 'an older version'}"
            for version, count in sorted(report.other_versions.items())
        )
        yield Checked("versions", sound=True, says=f"quotes of other versions: {made}")


def _rate_sheets(shop: Shop, at: datetime) -> Iterator[Checked]:
    version = shop.ledger.rate_sheets.on(at.date())
    yield Checked("rate sheets", sound=True, says=f"version {version.version} holds today")


def _catalog(shop: Shop, at: datetime) -> Iterator[Checked]:
    catalog = shop.catalog()
    yield Checked("catalog", sound=True, says=f"{catalog.version} opens")
    terms = shop.ledger.rate_sheets.on(at.date()).sheet.quote
    english = words_left_english(catalog, terms, "es")
    says = "every name of the catalog can be said"
    if english:
        some = "; ".join(english[:NAMES_TOLD])
        says = (
            f"{len(english)} names of the catalog stay English in a Spanish quote, such as: {some}."
            " Write them into the rate sheet under words_es, a line each: English = Spanish"
        )
    yield Checked("Spanish", sound=True, says=says)


def _people(shop: Shop) -> Iterator[Checked]:
    people = shop.ledger.people.every()
    owners = [person for person in people if person.role == Role.OWNER]
    demo = any(person.demo for person in people)
    if not owners:
        says = "nobody is the owner yet; make one with `heater people first-owner NAME`"
        yield Checked("people", sound=not people, says=says)
        return
    says = f"{len(people)} may sign in, {len(owners)} of them as owner"
    yield Checked("people", sound=True, says=says + ("; the demo password is public" * demo))


def _clock(shop: Shop, at: datetime) -> Iterator[Checked]:
    last = shop.ledger.journal.lines(1)
    if last and last[0].done_at > at + CLOCK_SLACK:
        yield Checked(
            "clock",
            sound=False,
            says=f"the clock says {at.isoformat(timespec='seconds')}, and the last line of the"
            f" journal is of {last[0].done_at.isoformat(timespec='seconds')}. Set the clock.",
        )
        return
    zone = at.tzname() or "no zone"
    says = f"{at.isoformat(timespec='seconds')} ({zone}), not before the last line of the journal"
    yield Checked("clock", sound=True, says=says)

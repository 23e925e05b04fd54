"""The ledger's own check: journal, chain, rate sheets, books, every quote worked to the cent."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from itertools import islice
from typing import TYPE_CHECKING

from app.ledger import counters, quote_rows, rate_sheets
from app.ledger.canonical import differences
from app.ledger.columns import Row
from app.ledger.customers import erased_key, erased_seal
from app.ledger.records import IssuedQuote, JournalHead, Problem, VerifyReport
from app.ledger.verify_facts import fact_problems, strange_facts
from app.ledger.verify_journal import JournalWalk
from estimator.errors import Trouble
from estimator.rates import RateSheetVersion

if TYPE_CHECKING:
    from app.ledger.database import Database

Replay = Callable[[IssuedQuote, RateSheetVersion], str]
"""Works a quote again from its inputs, supply and rate sheet; gives canonical JSON."""

_CHUNK = 200
_DIFFERENCES_SHOWN = 3


def verify(
    database: Database,
    replay: Replay | None,
    *,
    anchor: JournalHead | None = None,
    program_version: str = "",
) -> VerifyReport:
    """Walk the journal, all rate sheets and all quotes; see `Ledger.verify`."""
    problems = list(damage(database))
    walk = JournalWalk(anchor)
    problems += walk.walk(database)
    told = walk.count
    sheets = _Sheets()
    with database.reading() as connection:
        rows = rate_sheets.rows(connection)
        published = counters.last_value(connection, counters.RATE_SHEETS)
        # What is issued while the walk goes on is for the next walk.
        issued = counters.last_value(connection, counters.QUOTES)
        last = max(issued, quote_rows.last_sequence(connection))
    problems += sheets.walk(rows, published)
    chain = _Chain()
    one = _OneQuote(database, walk, sheets, replay, program_version)
    while True:
        with database.reading() as connection:
            chunk = quote_rows.rows_between(connection, chain.sequence, last, _CHUNK)
            in_books = fact_problems(connection, chunk)
        if not chunk:
            break
        for row in chunk:
            problems += chain.follow(row)
            # What is wrong with a quote is wrong in its facts too; it is said once.
            problems += list(one.check(row)) or in_books.get(row["sequence"], ())
    problems += chain.end(issued)
    if not problems:
        with database.reading() as connection:
            problems += strange_facts(connection)
    return VerifyReport(
        chain.count,
        len(rows),
        tuple(problems),
        journal_checked=told,
        other_versions=one.other_versions,
        replayed=replay is not None,
    )


def damage(database: Database) -> Iterator[Problem]:
    """Yield what SQLite's own check finds wrong with the file; nothing for a server."""
    if database.dialect != "sqlite":
        return
    with database.reading() as connection:
        for (said,) in connection.exec_driver_sql("PRAGMA quick_check(5)"):
            if said != "ok":
                yield Problem(f"The file is damaged: {said}")


@dataclass
class _Sheets:
    """Rate sheets as they are stored, by version."""

    known: dict[int, tuple[str, RateSheetVersion | None]] = field(default_factory=dict)

    def walk(self, rows: list[Row], published: int) -> Iterator[Problem]:
        before = ""
        for row in rows:
            version = row["version"]
            if rate_sheets.sheet_hash(row) != row["hash"]:
                yield Problem(f"Rate sheet {version} was changed after it was published")
            if row["previous_hash"] != before:
                yield Problem(
                    f"Rate sheet {version} does not follow the one before it, which was"
                    " changed or taken away"
                )
            before = row["hash"]
            try:
                sheet = rate_sheets.version_of_row(row)
            except ValueError as problem:
                sheet = None
                yield Problem(
                    f"Rate sheet {version} cannot be read: {str(problem).splitlines()[0]}"
                )
            self.known[version] = (rate_sheets.sheet_hash(row), sheet)
        if published != len(rows):
            yield Problem(f"{published} rate sheets were published and {len(rows)} are there")


@dataclass
class _Chain:
    """Where the walk stands: the last quote's place, name and hash."""

    sequence: int = 0
    count: int = 0
    number: str | None = None
    revision: int | None = None
    hash: str = ""

    def follow(self, row: Row) -> Iterator[Problem]:
        name = f"{row['number']} revision {row['revision']}"
        gap = row["sequence"] - self.sequence - 1
        if gap:
            after = f"after {self.number} revision {self.revision} and " if self.number else ""
            what = "revision of a quote was" if gap == 1 else "revisions of quotes were"
            yield Problem(f"{gap} {what} issued {after}before {name}; now nothing is there")
        elif row["previous_hash"] != self.hash:
            if self.number is None:
                yield Problem(
                    "its link to the start of the ledger was changed",
                    row["number"],
                    row["revision"],
                )
            else:
                yield Problem(
                    f"its hash is not the one that the next quote, {name}, was issued on; one"
                    " of the two was changed after it was issued",
                    self.number,
                    self.revision,
                )
        self.sequence, self.count = row["sequence"], self.count + 1
        self.number, self.revision, self.hash = row["number"], row["revision"], row["hash"]

    def end(self, issued: int) -> Iterator[Problem]:
        if issued != self.sequence:
            yield Problem(
                f"{issued} revisions of quotes were issued and the last one there is number"
                f" {self.sequence} of them"
            )


@dataclass
class _OneQuote:
    """The check of one quote after the other."""

    database: Database
    walk: JournalWalk
    sheets: _Sheets
    replay: Replay | None
    program_version: str
    other_versions: dict[str, int] = field(default_factory=dict)

    def check(self, row: Row) -> Iterator[Problem]:
        number, revision = row["number"], row["revision"]
        made_by = row["program_version"]
        if made_by != self.program_version:
            self.other_versions[made_by] = self.other_versions.get(made_by, 0) + 1
        yield from self._content(row)
        stored, sheet = self.sheets.known.get(row["rate_sheet_version"], ("", None))
        if sheet is None:
            yield Problem(
                f"its rate sheet, version {row['rate_sheet_version']}, is not there",
                number,
                revision,
            )
            return
        if stored != row["rate_sheet_hash"]:
            yield Problem(
                f"its rate sheet, version {sheet.version}, is not the one it was issued on",
                number,
                revision,
            )
        if self.replay is not None:
            for problem in _replayed(row, sheet, self.replay):
                yield self._with_version(problem, made_by)

    def _content(self, row: Row) -> Iterator[Problem]:
        number, revision = row["number"], row["revision"]
        changed = quote_rows.quote_hash(row) != row["hash"]
        told = self.walk.quotes.get((number, revision))
        if told is not None and told != row["hash"]:
            changed = True
        if changed or self._personal_changed(row):
            what = (
                "a price, result or other entry was"
                if changed
                else "the customer, title or inputs were"
            )
            yield Problem(f"{what} changed after it was issued", number, revision)

    def _personal_changed(self, row: Row) -> bool:
        if row["erased_at"] is None:
            return bool(quote_rows.personal_digest(row) != row["personal_digest"])
        key, seal = erased_key(row), erased_seal(row)
        if self.walk.seals.get(key) != seal:
            # It may have been erased while the check goes on.
            self.walk.catch_up(self.database)
        return self.walk.seals.get(key) != seal

    def _with_version(self, problem: Problem, made_by: str) -> Problem:
        if made_by == self.program_version:
            return problem
        maker = f"version {made_by}" if made_by else "an older version"
        this = f"version {self.program_version}" if self.program_version else "another"
        said = f"{problem.message}; it was made by {maker} of the program and this is {this}"
        return replace(problem, message=said)


def _replayed(row: Row, sheet: RateSheetVersion, replay: Replay) -> Iterator[Problem]:
    number, revision = row["number"], row["revision"]
    try:
        again = replay(quote_rows.quote_of(row), sheet)
        if again == row["results_json"]:
            return
        found = differences(json.loads(row["results_json"]), json.loads(again))
        shown = list(islice(found, _DIFFERENCES_SHOWN))
    except Trouble as problem:
        yield Problem(f"it cannot be worked again: {problem}", number, revision)
        return
    except Exception as problem:  # noqa: BLE001 - one bad quote must not hide the others
        said = (str(problem).splitlines() or [""])[0]
        yield Problem(
            f"it cannot be worked again ({type(problem).__name__}: {said})", number, revision
        )
        return
    for difference in shown:
        yield Problem(str(difference), number, revision, difference.path)

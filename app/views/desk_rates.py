"""The published versions of the rate sheet, as the owner reads them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from app import formatting
from app.views.rate_changes import changes_of
from estimator.rates import rate_sheet_to

if TYPE_CHECKING:
    from collections.abc import Iterable

    from app.desk.rate_trials import VersionListed
    from estimator.rates import RateSheetVersion


@dataclass(frozen=True)
class VersionRow:
    """One published version; `changes` are what differs from it in the sheet in force."""

    version: int
    words: str
    in_force: bool
    changes: tuple[str, ...]


def build_versions(every: Iterable[VersionListed]) -> tuple[tuple[int, str, bool], ...]:
    """Return each version's number, its words, and whether it is in force; the last first."""
    return tuple(
        (
            each.version,
            f"Version {each.version}, from {formatting.long_date(each.holds_from)}: "
            + each.standing
            + (f", the same as version {each.same_as}" if each.same_as else ""),
            each.standing == "in force",
        )
        for each in reversed(tuple(every))
    )


def build_version_rows(
    listed: Iterable[VersionListed],
    sheets: Iterable[RateSheetVersion],
    in_force: RateSheetVersion,
) -> tuple[VersionRow, ...]:
    """Build the list of versions, the last first, each with what bringing it back changes.

    Parameters
    ----------
    listed
        The versions and how each stands.
    sheets
        The same versions with their sheets.
    in_force
        The sheet that a version brought back would take the place of.

    Returns
    -------
    One row for each version.
    """
    by_version = {each.version: each.sheet for each in sheets}
    return tuple(
        VersionRow(
            version,
            words,
            now,
            changes_of(rate_sheet_to(by_version[version]), in_force.sheet),
        )
        for version, words, now in build_versions(listed)
    )

"""A supplier's price list: looked at before it counts, published whole, taken back.

Publishing writes a new snapshot and points to it; a program that is killed at any moment
leaves the catalog in use as it was.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import TYPE_CHECKING, NamedTuple

from catalog.price_effects import ListedPart, PriceEffect, listed_parts, price_effect
from catalog.price_staging import SHOWN, StagedList, staged
from catalog.price_writing import version_of, write_beside
from catalog.snapshots import Catalog
from catalog.versions import current_version, keep_last, point_to, versions
from estimator.errors import CatalogTrouble

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from pathlib import Path

    from estimator.rates import PartPricing


@dataclass(frozen=True)
class PriceChange:
    """A part whose price changes [USD]; `cost_before` is ``None`` for a new offer."""

    row: int
    part: str
    cost_before: Decimal | None
    cost: Decimal
    list_price: Decimal | None
    list_before: Decimal | None = None


@dataclass(frozen=True)
class PricePreview:
    """What a price list would change; nothing has changed yet.

    `counts` are rows by kind: new, changed, same, vanished, rejected. The lists hold the
    first rows of each kind, `rejected` row and reason, as a spreadsheet counts rows.
    `effect` is that of all changed rows, `asked_for` what the list does to the parts asked
    for; both only where the shop's pricing was given.
    """

    file: str
    supplier: str
    holds_from: date
    mapping: dict[str, str]
    counts: dict[str, int]
    new: tuple[PriceChange, ...] = ()
    changed: tuple[PriceChange, ...] = ()
    vanished: tuple[str, ...] = ()
    rejected: tuple[tuple[int, str], ...] = ()
    effect: PriceEffect | None = None
    asked_for: tuple[ListedPart, ...] = ()


class Published(NamedTuple):
    """A price list that was put in force.

    `counts` are rows by kind, as in `PricePreview`; `rejected` are the first of the rows that
    were left out, with the reason.
    """

    version: str
    counts: dict[str, int]
    rejected: tuple[tuple[int, str], ...]


def preview_price_list(
    catalogs: Path, path: Path, supplier: str, holds_from: date,
    told: Mapping[str, str] | None = None, *, pricing: PartPricing | None = None,
    parts: Sequence[str] = (),
) -> PricePreview:  # fmt: skip
    """Say what a price list would change.

    Parameters
    ----------
    catalogs
        The folder of catalog snapshots.
    path
        The price list: CSV, Excel or Parquet.
    supplier
        Whose prices they are, as the catalog writes his name.
    holds_from
        The first day on which they hold.
    told
        Field to column, where the owner said it.
    pricing
        How the shop prices its parts; the effect on margins is not worked out without it.
    parts
        Parts of which to tell what the list does to them.

    Returns
    -------
    The preview.

    Raises
    ------
    CatalogTrouble
        If the file cannot be read, or it is not clear which column holds what.
    """
    with staged(catalogs, path, supplier, holds_from, told) as read:
        read.compare()
        counts = read.counts()
        effect = price_effect(read, pricing) if pricing is not None else None
        return PricePreview(
            file=str(path),
            supplier=read.supplier,
            holds_from=holds_from,
            mapping=read.mapping,
            counts=counts,
            new=_changes(read, "new"),
            changed=_changes(read, "changed"),
            vanished=read.vanished()[:SHOWN] if counts["vanished"] else (),
            rejected=_rejected(read, SHOWN),
            effect=effect,
            asked_for=listed_parts(read, parts) if effect is not None else (),
        )


def publish_price_list(
    catalogs: Path, path: Path, supplier: str, holds_from: date,
    told: Mapping[str, str] | None = None, *, partial: bool = False,
) -> Published:  # fmt: skip
    """Put a price list in force as a new catalog; rejected rows are left out.

    Parameters
    ----------
    catalogs, path, supplier, holds_from, told
        As for `preview_price_list`.
    partial
        Whether the list holds a part of the supplier's range only: what is not in it then
        keeps its price.

    Returns
    -------
    The new version, and what was left out. The supplier's earlier offers end the day before;
    offers for what has vanished from his list end with them.

    Raises
    ------
    CatalogTrouble
        If the file cannot be read, holds no usable row, or the disk is full.
    """
    with staged(catalogs, path, supplier, holds_from, told) as read:
        read.run("price_2_none")
        read.judge(every=True)
        counts = read.counts()
        if not counts["new"] + counts["changed"] + counts["same"]:
            raise _nothing_usable(read, path)
        left_out = _rejected(read, SHOWN)
        facts = (read.base, read.supplier, holds_from, sorted(read.mapping.items()), partial)
        version = version_of(facts, path)
        write_beside(read, catalogs, version, partial=partial)
    with Catalog.open_version(catalogs, version):
        if current_version(catalogs) != read.base:
            raise CatalogTrouble(
                "Another catalog was put in force meanwhile", str(catalogs),
                "Look at the preview again, and publish again.",
            )  # fmt: skip
        point_to(catalogs, version)
    keep_last(catalogs)
    return Published(version, counts, left_out)


def roll_back(catalogs: Path, version: str | None = None) -> str:
    """Bring an earlier catalog back.

    Parameters
    ----------
    catalogs
        The folder of catalog snapshots.
    version
        Which one; the one published before the one in use if ``None``.

    Returns
    -------
    The version now in use.

    Raises
    ------
    CatalogTrouble
        If there is none, or it cannot be opened; the one in use then stays.
    """
    kept = versions(catalogs)
    in_use = current_version(catalogs)
    if version is None:
        later = kept.index(in_use) + 1 if in_use in kept else 0
        if later >= len(kept):
            raise CatalogTrouble(
                "There is no earlier catalog to go back to", str(catalogs), "Build one anew."
            )
        version = kept[later]
    if version not in kept:
        raise CatalogTrouble(
            f"There is no catalog of version {version}", str(catalogs),
            f"Kept are {', '.join(kept) or 'none'}.",
        )  # fmt: skip
    with Catalog.open_version(catalogs, version):
        point_to(catalogs, version)
    return version


def _nothing_usable(read: StagedList, path: Path) -> CatalogTrouble:
    first = _rejected(read, 1)
    reason = first[0][1] if first else "it has a header alone"
    return CatalogTrouble(
        f"The price list holds no row that can be used: {reason}",
        f"{path} row {first[0][0]}" if first else str(path),
        "Mend the rows; the preview gives the reason of each.",
    )


def _rejected(read: StagedList, most: int) -> tuple[tuple[int, str], ...]:
    """Return the first rejected rows with the reason; signs that nobody sees by their code."""
    rows = read.run("price_rejected", {"most": most})
    return tuple((row, "".join(map(_visible, reason))) for row, reason in rows)


def _visible(sign: str) -> str:
    return sign if sign.isprintable() else f"\\x{ord(sign):02x}"


def _changes(read: StagedList, kind: str) -> tuple[PriceChange, ...]:
    return tuple(
        PriceChange(row, part, before, cost, list_price, list_before)
        for row, part, before, cost, list_before, list_price in read.changes(kind)
    )

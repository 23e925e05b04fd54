"""A supplier's price list in the owner's hands: its mapping remembered, its effect shown."""

from __future__ import annotations

import json
import re
from dataclasses import dataclass
from datetime import UTC, datetime
from decimal import Decimal
from typing import TYPE_CHECKING

from app.files import write_whole
from app.people.guard import Actor, require
from app.people.roles import Action
from app.price_effects import UsedEffect, used_effect, year_before
from app.shop_settings import COLUMNS_FILE
from catalog.offers import offers
from catalog.price_columns import price_list_columns
from catalog.price_files import NEEDED, guessed
from catalog.price_lists import Published, preview_price_list, publish_price_list
from catalog.versions import current_version, snapshot_path, versions
from estimator.price_lines import part_price

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import date
    from pathlib import Path

    from app.shop import Shop
    from catalog.price_lists import PriceChange, PricePreview
    from estimator.rates import PartPricing

PUBLISHED = "publish price list"
CENT = Decimal("0.0001")


@dataclass(frozen=True)
class MarginEffect:
    """What a changed cost does to a part at the shop's rates [USD, 1]: for the owner."""

    part: str
    cost_before: Decimal
    cost: Decimal
    price_before: Decimal
    price: Decimal
    margin_before: Decimal
    margin: Decimal


@dataclass(frozen=True)
class PriceListPreview:
    """What a price list would change, with the effect on margins.

    `used` is that on the parts which the shop uses, `effects` that on the first changed rows;
    the effect of all changed rows is in the preview.
    """

    preview: PricePreview
    effects: tuple[MarginEffect, ...]
    used: UsedEffect


@dataclass(frozen=True)
class ListColumns:
    """The columns of a price list, and which holds what as far as it is known."""

    columns: tuple[str, ...]
    mapping: dict[str, str]

    @property
    def plain(self) -> bool:
        """Whether all is known that a price list must hold."""
        return all(field in self.mapping for field in NEEDED)


@dataclass(frozen=True)
class KeptCatalog:
    """A catalog that can be brought back: when it was published, by what and by whom."""

    version: str
    published_at: datetime
    action: str
    person: str
    in_use: bool


def look_at_price_list(
    shop: Shop, actor: Actor, path: Path, supplier: str, holds_from: date,
    told: Mapping[str, str] | None = None, *, today: date | None = None,
) -> PriceListPreview:  # fmt: skip
    """Show what a price list would change; nothing changes.

    Parameters
    ----------
    shop
        The shop.
    actor
        The owner.
    path
        The price list.
    supplier
        Whose it is.
    holds_from
        The first day on which its prices hold.
    told
        Field to column; what was remembered for the supplier if ``None``.
    today
        Up to which day quotes tell what the shop uses; the day in UTC unless given.

    Returns
    -------
    The preview.

    Raises
    ------
    Trouble
        If the file cannot be read, or it is not clear which column holds what.
    """
    require(shop, actor, Action.BUILD_CATALOG)
    until = today or datetime.now(UTC).date()
    mapping = told or remembered_mapping(shop.folder, supplier)
    pricing = shop.ledger.rate_sheets.on(holds_from).sheet.parts
    taken = shop.ledger.jobs.parts_between(year_before(until), until)
    preview = preview_price_list(
        shop.catalogs, path, supplier, holds_from, mapping,
        pricing=pricing, parts=[each.part for each in taken],
    )  # fmt: skip
    asked = offers(shop.catalog(), [each.part for each in preview.asked_for], holds_from)
    used = used_effect(taken, preview.asked_for, asked, supplier, pricing, until)
    return PriceListPreview(preview, margin_effects(preview.changed, pricing), used)


def publish_prices(
    shop: Shop, actor: Actor, path: Path, supplier: str, holds_from: date,
    told: Mapping[str, str] | None = None, *, partial: bool = False, at: datetime | None = None,
) -> Published:  # fmt: skip
    """Put a price list in force, and remember its mapping.

    Parameters
    ----------
    shop, actor, path, supplier, holds_from, told
        As for `look_at_price_list`.
    partial
        Whether what is not in the list keeps its price.
    at
        Now, with its zone; the machine's time unless given.

    Returns
    -------
    The catalog's new version, and the rows that were left out.

    Raises
    ------
    Trouble
        If the file cannot be read or holds no usable row; nothing has changed then.
    """
    at = at or datetime.now(UTC)
    require(shop, actor, Action.BUILD_CATALOG, at)
    mapping = told or remembered_mapping(shop.folder, supplier)
    published = publish_price_list(
        shop.catalogs, path, supplier, holds_from, mapping, partial=partial
    )
    if told:
        _remember(shop.folder, supplier, told)
    shop.ledger.journal.note(at, actor.name, PUBLISHED, published.version, {"partial": partial})
    return published


def columns_of(
    shop: Shop, actor: Actor, path: Path, supplier: str, told: Mapping[str, str] | None = None
) -> ListColumns:
    """Say which column of a price list holds what, as far as it is known.

    Parameters
    ----------
    shop, actor, path, supplier
        As for `look_at_price_list`.
    told
        Field to column, as it was said just now.

    Returns
    -------
    The columns; what was told, else what is remembered for the supplier where the list has
    those columns, else what suppliers usually call them.

    Raises
    ------
    Trouble
        If the file cannot be read.
    """
    require(shop, actor, Action.BUILD_CATALOG)
    columns = price_list_columns(path)
    held = told or remembered_mapping(shop.folder, supplier) or guessed(columns)
    return ListColumns(columns, {field: col for field, col in held.items() if col in columns})


def kept_catalogs(shop: Shop, actor: Actor) -> tuple[KeptCatalog, ...]:
    """Return the catalogs that can be brought back, the last published first.

    Parameters
    ----------
    shop
        The shop.
    actor
        The owner.
    """
    require(shop, actor, Action.BUILD_CATALOG)
    in_use = current_version(shop.catalogs)
    made = []
    for version in versions(shop.catalogs):
        told = shop.ledger.journal.lines(1, subject=version)
        line = told[0] if told else None
        when = datetime.fromtimestamp(snapshot_path(shop.catalogs, version).stat().st_mtime, UTC)
        made.append(
            KeptCatalog(
                version,
                when,
                line.action if line is not None else "",
                line.person if line is not None else "",
                in_use=version == in_use,
            )
        )
    return tuple(made)


def margin_effects(
    changes: tuple[PriceChange, ...], pricing: PartPricing
) -> tuple[MarginEffect, ...]:
    """Work out what changed costs do to prices and margins.

    Parameters
    ----------
    changes
        The changes.
    pricing
        How the shop prices its parts.

    Returns
    -------
    One for each change of cost or of a list price that caps the price.
    """
    made = []
    for change in changes:
        if change.cost_before is None:
            continue
        before = part_price(change.cost_before, change.list_before, pricing)
        after = part_price(change.cost, change.list_price, pricing)
        made.append(
            MarginEffect(
                change.part, change.cost_before, change.cost, before, after,
                _margin(before, change.cost_before), _margin(after, change.cost),
            )
        )  # fmt: skip
    return tuple(made)


def remembered_mapping(folder: Path, supplier: str) -> dict[str, str] | None:
    """Return which column holds what in a supplier's lists, as it was last said.

    Parameters
    ----------
    folder
        The shop's folder.
    supplier
        The supplier.

    Returns
    -------
    Field to column, or ``None`` where nothing is remembered.
    """
    try:
        held = json.loads((folder / COLUMNS_FILE).read_text(encoding="utf-8"))[_key(supplier)]
    except (OSError, ValueError, KeyError, TypeError):
        return None
    return {str(field): str(column) for field, column in held.items()}


def _remember(folder: Path, supplier: str, mapping: Mapping[str, str]) -> None:
    try:
        every = json.loads((folder / COLUMNS_FILE).read_text(encoding="utf-8"))
    except (OSError, ValueError):
        every = {}
    every[_key(supplier)] = dict(mapping)
    text = json.dumps(every, ensure_ascii=False, indent=2)
    write_whole(folder / COLUMNS_FILE, text.encode())


def _key(supplier: str) -> str:
    return re.sub(r"\s+", " ", supplier.strip().lower())


def _margin(price: Decimal, cost: Decimal) -> Decimal:
    return ((price - cost) / price).quantize(CENT) if price else Decimal(0)

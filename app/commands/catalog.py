"""Commands that build, check and publish the parts catalog."""

from __future__ import annotations

from dataclasses import fields, is_dataclass
from datetime import UTC, date, datetime
from decimal import Decimal
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from app.commands.opening import opened
from app.commands.output import JsonFlag, print_json, print_pairs
from app.commands.quote import ShopOption
from estimator.errors import CatalogTrouble, InputTrouble

if TYPE_CHECKING:
    from app.price_lists import PriceListPreview

REJECTED_TOLD = 20

catalog = typer.Typer(no_args_is_help=True, help="The parts catalog.")


@catalog.command("build")
def build(
    sources: Annotated[Path, typer.Argument(metavar="DIR", help="Folder of CSV files.")],
    shop_folder: ShopOption = None,
    as_json: JsonFlag = False,
) -> None:
    """Build a catalog from CSV files and put it in force."""
    from app.cataloging import put_in_force
    from app.people.guard import COMMAND_LINE, operator
    from app.wiring import default_shop_folder

    folder = shop_folder or default_shop_folder()
    report = put_in_force(folder, operator(COMMAND_LINE), sources, datetime.now(UTC))
    if as_json:
        print_json(report.model_dump(mode="json"))
        return
    typer.echo(f"Catalog {report.version} is in force.")
    print_pairs(dict(report.rows))


@catalog.command("check")
def check(
    sources: Annotated[Path, typer.Argument(metavar="DIR", help="Folder of CSV files.")],
    as_json: JsonFlag = False,
) -> None:
    """Check catalog sources without building anything."""
    from catalog.importing import check_catalog

    report = check_catalog(sources)
    if as_json:
        print_json({**report.model_dump(mode="json"), "sound": report.sound})
    else:
        print_pairs(dict(report.rows))
        for file, row, reason in report.rejected:
            typer.echo(f"{file} row {row}: {reason}")
    if not report.sound:
        rows = len(report.rejected)
        said = "1 row or file is" if rows == 1 else f"{rows:,} rows or files are"
        raise CatalogTrouble(f"{said} not usable", str(sources), "Correct them first.")
    if not as_json:
        typer.echo("Every row is usable.")


SupplierOption = Annotated[str, typer.Option("--supplier", help="Whose price list it is.")]
MapOption = Annotated[
    list[str] | None,
    typer.Option("--map", help="FIELD=COLUMN, such as number=Item; remembered once published."),
]
FromOption = Annotated[
    datetime | None, typer.Option("--from", formats=["%Y-%m-%d"], help="First day of its prices.")
]
PriceList = Annotated[
    Path, typer.Argument(metavar="FILE", help="Price list: CSV, Excel or Parquet.")
]


@catalog.command("diff")
def diff(
    price_list: PriceList,
    supplier: SupplierOption,
    columns: MapOption = None,
    holds_from: FromOption = None,
    shop_folder: ShopOption = None,
    as_json: JsonFlag = False,
) -> None:
    """Show what a supplier's price list would change; nothing changes."""
    from app.price_lists import look_at_price_list

    with opened(shop_folder) as (shop, owner):
        first = _day(holds_from)
        seen = look_at_price_list(shop, owner, price_list, supplier, first, _told(columns))
    if as_json:
        print_json(_plain(seen))
        return
    preview = seen.preview
    typer.echo(", ".join(f"{column} is {field}" for field, column in preview.mapping.items()))
    print_pairs({kind: f"{count:,}" for kind, count in preview.counts.items()})
    _print_effect(seen)
    for effect in seen.effects:
        typer.echo(
            f"{effect.part}: cost {effect.cost_before} → {effect.cost}, price "
            f"{effect.price_before} → {effect.price}, margin {effect.margin_before:.1%} → "
            f"{effect.margin:.1%}"
        )
    for change in preview.new:
        typer.echo(f"{change.part}: new, cost {change.cost}")
    if preview.vanished:
        typer.echo(f"Vanished: {', '.join(preview.vanished[:20])}")
    for row, reason in preview.rejected:
        typer.echo(f"{price_list.name} row {row}: {reason}")


@catalog.command("publish")
def publish(
    price_list: PriceList,
    supplier: SupplierOption,
    columns: MapOption = None,
    partial: Annotated[
        bool, typer.Option("--partial", help="What is not in the list keeps its price.")
    ] = False,
    holds_from: FromOption = None,
    shop_folder: ShopOption = None,
    as_json: JsonFlag = False,
) -> None:
    """Put a supplier's price list in force; rejected rows are left out."""
    from app.price_lists import publish_prices

    with opened(shop_folder) as (shop, owner):
        first = _day(holds_from)
        made = publish_prices(
            shop, owner, price_list, supplier, first, _told(columns), partial=partial
        )
    if as_json:
        print_json({"version": made.version, "counts": made.counts, "rejected": made.rejected})
        return
    typer.echo(f"Catalog {made.version} is in force. Go back with: heater catalog rollback")
    for row, reason in made.rejected[:REJECTED_TOLD]:
        typer.echo(f"Left out, {price_list.name} row {row}: {reason}")
    further = made.counts["rejected"] - REJECTED_TOLD
    if further > 0:
        typer.echo(f"{further:,} more rows are left out.")


@catalog.command("rollback")
def rollback(
    to: Annotated[str | None, typer.Option("--to", help="Version; the one before if none.")] = None,
    shop_folder: ShopOption = None,
    as_json: JsonFlag = False,
) -> None:
    """Bring an earlier catalog back; the last ten are kept."""
    from app.cataloging import bring_back
    from app.people.guard import COMMAND_LINE, operator
    from app.wiring import default_shop_folder

    folder = shop_folder or default_shop_folder()
    version = bring_back(folder, operator(COMMAND_LINE), to, datetime.now(UTC))
    if as_json:
        print_json({"version": version})
    else:
        typer.echo(f"Catalog {version} is in force again.")


def _print_effect(seen: PriceListPreview) -> None:
    """Print what the list does to the parts that the shop uses, then what all of it does."""
    from app.views.price_effects import build_used_view, effect_lines, effect_sentence

    used = build_used_view(seen.used, seen.preview.supplier)
    for said in used.said:
        typer.echo(said)
    for row in (*used.open_rows, *used.more_rows):
        figures = ", ".join(f"{name.lower()} {text}" for name, text in row.figures)
        typer.echo(f"{row.part}: {'; '.join(filter(None, (row.tag, figures, *row.under)))}")
    for line in filter(None, (used.gone_head, *used.gone)):
        typer.echo(line)
    if seen.preview.effect is not None:
        typer.echo(effect_sentence(seen.preview.effect))
        print_pairs(dict(effect_lines(seen.preview.effect)))


def _day(holds_from: datetime | None) -> date:
    return holds_from.date() if holds_from is not None else datetime.now(UTC).date()


def _told(columns: list[str] | None) -> dict[str, str] | None:
    if not columns:
        return None
    told = {}
    for given in columns:
        field, equals, column = given.partition("=")
        if not equals:
            raise InputTrouble(f'"{given}" names no column', "--map", "Write FIELD=COLUMN.")
        told[field.strip()] = column.strip()
    return told


def _plain(shown: Any) -> Any:
    """Return what is shown as plain JSON values; money stays text, to the cent."""
    if is_dataclass(shown) and not isinstance(shown, type):
        return {each.name: _plain(getattr(shown, each.name)) for each in fields(shown)}
    if isinstance(shown, tuple | list):
        return [_plain(each) for each in shown]
    if isinstance(shown, dict):
        return {key: _plain(value) for key, value in shown.items()}
    return str(shown) if isinstance(shown, Decimal | date) else shown

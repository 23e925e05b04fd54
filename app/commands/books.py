"""Commands of the books: counted, exported, and what became of the heaters."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from app.commands.desk import DayOption, LastDayOption, day_of, now_here
from app.commands.life import life
from app.commands.opening import opened
from app.commands.output import JsonFlag, print_json, print_pairs
from app.commands.people import ByOption
from app.commands.quote import ShopOption
from estimator.errors import InputTrouble

if TYPE_CHECKING:
    from collections.abc import Sequence


def books(
    first: DayOption = None,
    last: LastDayOption = None,
    people: Annotated[
        list[str] | None, typer.Option("--person", help="Who issued them; repeat it.")
    ] = None,
    findings: Annotated[
        list[str] | None, typer.Option("--finding", help="Only this finding; repeat it.")
    ] = None,
    states: Annotated[
        list[str] | None, typer.Option("--state", help="Only in this state; repeat it.")
    ] = None,
    ages: Annotated[
        list[str] | None, typer.Option("--age", help='Heaters so old, as "5 to 9"; repeat it.')
    ] = None,
    verdicts: Annotated[
        list[str] | None, typer.Option("--verdict", help="Only this verdict; repeat it.")
    ] = None,
    target: Annotated[
        str | None, typer.Option(help="Gross margin to hold them against, as 0.45.")
    ] = None,
    quotes: Annotated[int, typer.Option(min=0, max=10_000, help="List so many quotes.")] = 0,
    parts: Annotated[
        bool, typer.Option("--parts", help="Costs of parts against offers of today.")
    ] = False,
    export: Annotated[
        Path | None, typer.Option(help="Write the quotes as .csv, .parquet or .xlsx.")
    ] = None,
    shop_folder: ShopOption = None,
    by: ByOption = "owner",
    as_json: JsonFlag = False,
) -> None:
    """Count what was quoted, taken and earned."""
    from app.desk.book_rows import book_quotes, export_books
    from app.desk.books import BookFilter
    from app.desk.books import books as count
    from app.desk.part_costs import part_costs

    now = now_here()
    wanted = BookFilter(
        day_of(first),
        day_of(last),
        *(tuple(each or ()) for each in (people, findings, states, ages, verdicts)),
    )
    with opened(shop_folder, by) as (shop, owner):
        found: dict[str, Any] = {
            "books": count(shop, owner, wanted, now.date(), target=_target(target))
        }
        if quotes:
            found["quotes"] = book_quotes(shop, owner, wanted, now.date(), quotes)
        if parts:
            found["part_costs"] = part_costs(shop, owner, wanted, now.date())
        if export is not None:
            found["exported"] = export_books(shop, owner, wanted, now.date(), export, now)
    if as_json:
        from app.desk.plain import plain

        print_json(plain(found))
        return
    from app.views.desk_words import counted

    _tell_books(found)
    if export is not None:
        typer.echo(f"Written: {export} ({counted(found['exported'], 'quote')})")


def _target(text: str | None) -> Any:
    from pydantic import BaseModel

    from estimator.errors import checked
    from estimator.money import Share

    class Target(BaseModel):
        target: Share

    return None if text is None else checked(Target, {"target": text}, "--target").target


def _tell_books(found: dict[str, Any]) -> None:
    from app.views.desk_books import (
        build_books_view,
        build_part_cost_rows,
        build_quotes_view,
    )

    view = build_books_view(found["books"])
    typer.echo(view.span)
    if view.empty:
        typer.echo(view.empty)
        return
    print_pairs(dict(view.figures))
    typer.echo(f"{view.target} {view.under_target}".rstrip())
    for table in view.tables:
        mark = [
            (f"{row.name} *" if row.under_target else row.name, *row.cells) for row in table.rows
        ]
        _table((table.title, *table.columns), mark)
    typer.echo("* under the target")
    if view.parts:
        _table(("Parts", "used", "quoted"), list(view.parts[:20]))
    if "part_costs" in found:
        head = ("Part", "name", "used", "cost then", "offer now", "change", "over all used")
        _table(head, list(build_part_cost_rows(found["part_costs"])))
    if "quotes" in found:
        page = build_quotes_view(found["quotes"])
        rows = [(f"{row.number} rev {row.revision}", *row.cells) for row in page.rows]
        _table((page.count, *page.columns), rows)


def _table(head: Sequence[str], rows: Sequence[Sequence[str]]) -> None:
    from rich import box
    from rich.console import Console
    from rich.table import Table
    from rich.text import Text

    from app.documents.printable import printable_text

    table = Table(box=box.SIMPLE_HEAD, pad_edge=False)
    for at, title in enumerate(head):
        table.add_column(title, justify="left" if at == 0 else "right", overflow="fold")
    for row in rows:
        table.add_row(*(Text(printable_text(cell)) for cell in row))
    console = Console()
    Console(width=max(console.width, 140)).print(table)


@life.command("records")
def life_records(
    records_file: Annotated[Path, typer.Argument(metavar="FILE.csv", help="The file to write.")],
    shop_folder: ShopOption = None,
    by: ByOption = "owner",
) -> None:
    """Write what became of the heaters quoted, for `heater life fit`."""
    from app.desk.heater_lives import heater_records, life_csv
    from app.files import write_whole
    from app.views.desk_words import counted

    with opened(shop_folder, by) as (shop, owner):
        found = heater_records(shop, owner)
    for number, why in found.left_out:
        typer.echo(f"Left out: quote {number}, {why}")
    if not found.records:
        raise InputTrouble("No heater was seen again after its quote", "", "Record outcomes first.")
    write_whole(records_file, life_csv(found))
    typer.echo(f"Written: {records_file} ({counted(len(found.records), 'heater')})")

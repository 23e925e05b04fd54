"""Commands of the owner's desk: rates tried before they are published, and the books."""

from __future__ import annotations

from contextlib import contextmanager
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from app.commands.life import life
from app.commands.output import JsonFlag, print_json, print_pairs
from app.commands.people import ByOption
from app.commands.quote import ShopOption
from app.commands.shop import rates
from estimator.errors import InputTrouble

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from app.actions import Shop
    from app.desk.rate_trials import ReferenceVisit
    from app.people.guard import Actor
    from app.views.desk_trial import TrialRow
    from estimator.rates import RateSheet

DraftArgument = Annotated[Path, typer.Argument(metavar="RATES.toml", help="The draft.")]
DayOption = Annotated[
    datetime | None, typer.Option("--from", formats=["%Y-%m-%d"], help="First day.")
]
LastDayOption = Annotated[
    datetime | None, typer.Option("--to", formats=["%Y-%m-%d"], help="Last day, included.")
]
WHAT_IF_DAYS = 30


@contextmanager
def _open(folder: Path | None, by: str) -> Iterator[tuple[Shop, Actor]]:
    from app.people.guard import operator
    from app.wiring import default_shop_folder, open_shop

    shop = open_shop(folder or default_shop_folder())
    try:
        yield shop, operator(by)
    finally:
        shop.close()


def _draft(path: Path) -> RateSheet:
    from app.desk.rate_trials import draft_rates
    from app.files import read_toml

    return draft_rates(read_toml(path), str(path))


def _day(moment: datetime | None) -> date | None:
    return None if moment is None else moment.date()


def _now() -> datetime:
    return datetime.now().astimezone()


@rates.command("try")
def rates_try(
    draft_file: DraftArgument,
    last: Annotated[int, typer.Option(min=1, max=200, help="On so many issued quotes.")] = 10,
    visit_files: Annotated[
        list[Path] | None, typer.Option("--visit", help="On this visit file instead; repeat it.")
    ] = None,
    demo: Annotated[bool, typer.Option("--demo", help="On the invented demo visits.")] = False,
    holds_from: DayOption = None,
    shop_folder: ShopOption = None,
    by: ByOption = "owner",
    as_json: JsonFlag = False,
) -> None:
    """Try a draft rate sheet on visits, beside the one in force; nothing is published."""
    from app.desk.plain import plain
    from app.desk.rate_trials import try_rates
    from app.views.desk_trial import build_trial_view

    draft = _draft(draft_file)
    with _open(shop_folder, by) as (shop, owner):
        visits = _references(shop, owner, last, visit_files or [], demo=demo)
        trial = try_rates(shop, owner, draft, visits, _day(holds_from) or _now().date())
    view = build_trial_view(trial)
    if as_json:
        print_json(
            {
                "against_version": trial.against.version,
                "changes": list(view.changes),
                "cautions": plain(trial.cautions),
                "visits": plain(trial.visits),
            }
        )
        return
    typer.echo(view.title)
    for change in view.changes:
        typer.echo(f"  {change}")
    for row in view.rows:
        _tell_row(row)
    typer.echo(view.summary)
    for caution in view.cautions:
        typer.echo(f"! {caution}")


def _references(
    shop: Shop, owner: Actor, last: int, files: Sequence[Path], *, demo: bool
) -> tuple[ReferenceVisit, ...]:
    from app.desk.rate_trials import last_issued, reference_visits
    from app.files import read_toml
    from app.wiring import DEMO_DATA

    if demo:
        files = sorted((DEMO_DATA / "visits").glob("*.toml"))
    if files:
        return reference_visits(shop, owner, {path.stem: read_toml(path) for path in files})
    return last_issued(shop, owner, last)


def _tell_row(row: TrialRow) -> None:
    typer.echo(row.name)
    if row.refused:
        typer.echo(f"  {row.refused}")
        return
    typer.echo(f"  repair       {row.repair_price}   margin {row.repair_margin}")
    typer.echo(f"  replacement  {row.replacement_price}   margin {row.replacement_margin}")
    typer.echo(f"               {row.replacement}")
    typer.echo(f"  verdict      {row.verdict}")
    if row.under_floor:
        typer.echo(f"  under the margin floor: {row.under_floor}")


@rates.command("what-if")
def rates_what_if(
    draft_file: DraftArgument,
    first: DayOption = None,
    last: LastDayOption = None,
    shop_folder: ShopOption = None,
    by: ByOption = "owner",
    as_json: JsonFlag = False,
) -> None:
    """Price the issued quotes of some days again at a draft; the last 30 days unless told."""
    from app.desk.books import BookFilter
    from app.desk.plain import plain
    from app.desk.what_if import what_if
    from app.views.desk_what_if import build_what_if_view

    draft, today = _draft(draft_file), _now().date()
    end = _day(last) or today
    wanted = BookFilter(_day(first) or end - timedelta(days=WHAT_IF_DAYS), end)
    with _open(shop_folder, by) as (shop, owner):
        found = what_if(shop, owner, draft, wanted, today)
    if as_json:
        print_json(plain(found))
        return
    view = build_what_if_view(found)
    typer.echo(view.summary)
    for row in view.rows:
        typer.echo(f"{row.name} ({row.jobs}): {row.total} ({row.change}), margin {row.margin}")
        if row.note:
            typer.echo(f"  {row.note}")
    for number, repair, replacement in view.quotes:
        typer.echo(f"  {number}  repair {repair}  replacement {replacement}")
    typer.echo(view.note)


@rates.command("list")
def rates_list(
    shop_folder: ShopOption = None, by: ByOption = "owner", as_json: JsonFlag = False
) -> None:
    """List the published rate sheets and which one is in force."""
    from app.desk.plain import plain
    from app.desk.rate_trials import rate_versions
    from app.views.desk_rates import build_versions

    with _open(shop_folder, by) as (shop, owner):
        found = rate_versions(shop, owner, _now().date())
    if as_json:
        print_json(plain(found))
        return
    for _, words, _ in build_versions(found):
        typer.echo(words)


@rates.command("bring-back")
def rates_bring_back(
    version: Annotated[int, typer.Argument(min=1, metavar="N", help="The version.")],
    holds_from: DayOption = None,
    shop_folder: ShopOption = None,
    by: ByOption = "owner",
) -> None:
    """Publish an earlier version's figures again, as a new version."""
    from app.desk.rate_trials import bring_back

    now = _now()
    with _open(shop_folder, by) as (shop, owner):
        made = bring_back(shop, owner, version, _day(holds_from) or now.date(), now)
    typer.echo(
        f"Rate sheet {made.version} holds the figures of version {version} "
        f"from {made.holds_from.isoformat()}."
    )


@rates.command("labor")
def rates_labor(
    labor_file: Annotated[
        Path | None, typer.Argument(metavar="[LABOR.toml]", help="The year's figures.")
    ] = None,
    wage: Annotated[str | None, typer.Option(help="Wage an hour [USD].")] = None,
    billable_hours: Annotated[str | None, typer.Option(help="Billed, a worker a year.")] = None,
    paid_hours: Annotated[str | None, typer.Option(help="Paid, a worker a year.")] = None,
    workers: Annotated[str | None, typer.Option(help="How many workers.")] = None,
    burden: Annotated[
        list[str] | None, typer.Option(help="Share of wages, as payroll_tax=0.0765; repeat it.")
    ] = None,
    burden_per_year: Annotated[
        list[str] | None, typer.Option(help="Amount a worker a year, as health=6200.")
    ] = None,
    overhead: Annotated[
        list[str] | None, typer.Option(help="Amount a year, as rent=24000; repeat it.")
    ] = None,
    margin: Annotated[str | None, typer.Option(help="Gross margin wanted, as 0.35.")] = None,
    as_json: JsonFlag = False,
) -> None:
    """Build up the labor rate from wages, burden, overhead and hours, every part shown."""
    from app.desk.labor import build_labor_rate, labor_sheet_from
    from app.desk.plain import plain
    from app.files import read_toml
    from app.views.desk_labor import build_labor_rate_view

    values: dict[str, Any] = {} if labor_file is None else read_toml(labor_file)
    single = {
        "wage_per_h": wage,
        "billable_hours": billable_hours,
        "paid_hours": paid_hours,
        "workers": workers,
        "target_margin": margin,
    }
    values |= {key: value for key, value in single.items() if value is not None}
    several = {"burden": burden, "burden_per_year": burden_per_year, "overhead": overhead}
    values |= {key: _items(key, words) for key, words in several.items() if words}
    built = build_labor_rate(labor_sheet_from(values, str(labor_file or "the labor sheet")))
    if as_json:
        print_json(plain(built))
        return
    view = build_labor_rate_view(built)
    print_pairs({**dict(view.parts), "Cost": view.cost, "Rate": view.rate})
    typer.echo("")
    print_pairs(dict(view.at_hours))
    typer.echo(view.note)


def _items(key: str, words: Sequence[str]) -> dict[str, str]:
    found = {}
    for word in words:
        name, sign, amount = word.partition("=")
        if not sign or not name or name in found:
            raise InputTrouble(
                f'"{word}" is not a name of its own with its amount',
                f"--{key.replace('_', '-')}",
                "Write it as name=amount, each name once.",
            )
        found[name] = amount
    return found


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

    now = _now()
    wanted = BookFilter(
        _day(first), _day(last), tuple(people or ()), tuple(findings or ()), tuple(states or ())
    )
    with _open(shop_folder, by) as (shop, owner):
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
    _tell_books(found)
    if export is not None:
        typer.echo(f"Written: {export} ({found['exported']:,} quotes)")


def _target(text: str | None) -> Any:
    from pydantic import BaseModel

    from estimator.errors import checked
    from estimator.money import Share

    class Target(BaseModel):
        target: Share

    return None if text is None else checked(Target, {"target": text}, "--target").target


def _tell_books(found: dict[str, Any]) -> None:
    from app.views.desk_book_tables import (
        build_book_tables,
        build_part_cost_rows,
        build_quotes_view,
    )

    view = build_book_tables(found["books"])
    typer.echo(view.span)
    if view.empty:
        typer.echo(view.empty)
        return
    print_pairs(dict(view.figures))
    typer.echo(view.target)
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

    with _open(shop_folder, by) as (shop, owner):
        found = heater_records(shop, owner)
    for number, why in found.left_out:
        typer.echo(f"Left out: quote {number}, {why}")
    if not found.records:
        raise InputTrouble("No heater was seen again after its quote", "", "Record outcomes first.")
    write_whole(records_file, life_csv(found))
    typer.echo(f"Written: {records_file} ({len(found.records)} heaters)")

"""Commands on rates before they are published: tried, priced over the books, built up."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from app.commands.opening import opened
from app.commands.output import JsonFlag, print_json, print_pairs
from app.commands.people import ByOption
from app.commands.quote import ShopOption
from app.commands.shop import rates
from estimator.errors import InputTrouble

if TYPE_CHECKING:
    from collections.abc import Sequence

    from app.desk.rate_trials import ReferenceVisit
    from app.people.guard import Actor
    from app.shop import Shop
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


def _draft(path: Path) -> RateSheet:
    from app.desk.rate_trials import draft_rates
    from app.files import read_toml

    return draft_rates(read_toml(path), str(path))


def day_of(moment: datetime | None) -> date | None:
    """Return the day of an option, or ``None``."""
    return None if moment is None else moment.date()


def now_here() -> datetime:
    """Return the time with the zone of the machine."""
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
    with opened(shop_folder, by) as (shop, owner):
        visits = _references(shop, owner, last, visit_files or [], demo=demo)
        trial = try_rates(shop, owner, draft, visits, day_of(holds_from) or now_here().date())
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

    draft, today = _draft(draft_file), now_here().date()
    end = day_of(last) or today
    wanted = BookFilter(day_of(first) or end - timedelta(days=WHAT_IF_DAYS), end)
    with opened(shop_folder, by) as (shop, owner):
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

    with opened(shop_folder, by) as (shop, owner):
        found = rate_versions(shop, owner, now_here().date())
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

    now = now_here()
    with opened(shop_folder, by) as (shop, owner):
        made = bring_back(shop, owner, version, day_of(holds_from) or now.date(), now)
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

"""Commands that set a shop up and keep its rate sheets and ledger."""

from __future__ import annotations

from datetime import UTC, date, datetime
from pathlib import Path
from typing import Annotated

import typer

from app.commands.opening import opened
from app.commands.output import JsonFlag, print_json
from app.commands.quote import ShopOption
from estimator.errors import InputTrouble, LedgerTrouble

rates = typer.Typer(no_args_is_help=True, help="The owner's rate sheets.")
ledger = typer.Typer(no_args_is_help=True, help="Issued quotes.")


def setup(
    shop_folder: ShopOption = None,
    demo: Annotated[bool, typer.Option("--demo", help="Set up the invented demo shop.")] = False,
    sources: Annotated[Path | None, typer.Option("--catalog", help="Catalog sources.")] = None,
    rates_file: Annotated[Path | None, typer.Option("--rates", help="First rate sheet.")] = None,
    by: Annotated[str, typer.Option(help="Who sets the shop up.")] = "owner",
) -> None:
    """Set a shop up in its folder; safe to call again."""
    from app.wiring import build_demo_shop, default_shop_folder, set_up_shop

    folder = shop_folder or default_shop_folder()
    if demo:
        shop = build_demo_shop(folder)
    elif sources is None or rates_file is None:
        raise InputTrouble(
            "A shop needs --catalog DIR and --rates FILE", "", "Give both, or --demo."
        )
    else:
        shop = set_up_shop(folder, sources, rates_file, datetime.now(UTC).date(), by)
    typer.echo(f"Shop ready: {folder} (catalog {shop.catalog().version})")
    shop.close()


@rates.command("show")
def rates_show(shop_folder: ShopOption = None, as_json: JsonFlag = False) -> None:
    """Show the rate sheet in force today."""
    import tomli_w

    from app.publishing import rate_sheet_on
    from estimator.rates import rate_sheet_to

    with opened(shop_folder) as (shop, actor):
        version = rate_sheet_on(shop, actor, datetime.now(UTC).date())
    if as_json:
        print_json(version.model_dump(mode="json"))
    else:
        typer.echo(tomli_w.dumps(rate_sheet_to(version.sheet)))


@rates.command("publish")
def rates_publish(
    rates_file: Annotated[Path, typer.Argument(metavar="RATES.toml")],
    holds_from: Annotated[
        datetime | None, typer.Option("--from", formats=["%Y-%m-%d"], help="First day.")
    ] = None,
    shop_folder: ShopOption = None,
    by: Annotated[str, typer.Option(help="Who publishes it.")] = "owner",
) -> None:
    """Publish a rate sheet; issued quotes keep theirs."""
    from app.files import read_toml
    from app.publishing import publish_rates
    from estimator.rates import rate_sheet_from

    sheet = rate_sheet_from(read_toml(rates_file), str(rates_file))
    now = datetime.now(UTC)
    first: date = holds_from.date() if holds_from else now.date()
    with opened(shop_folder, by) as (shop, owner):
        version = publish_rates(shop, sheet, first, owner, now)
    typer.echo(f"Rate sheet {version.version} holds from {version.holds_from.isoformat()}.")


@ledger.command("verify")
def ledger_verify(
    shop_folder: ShopOption = None,
    anchor: Annotated[
        str | None, typer.Option(help="The journal's head as `ledger head` printed it some day.")
    ] = None,
    as_json: JsonFlag = False,
) -> None:
    """Check the ledger and its journal, and work every quote again to the cent."""
    from app.journaling import head_from
    from app.replaying import verify_ledger

    head = None if anchor is None else head_from(anchor)
    with opened(shop_folder) as (shop, actor):
        report = verify_ledger(shop, actor, head)
    if as_json:
        print_json(
            {
                "quotes_checked": report.quotes_checked,
                "rate_sheets_checked": report.rate_sheets_checked,
                "journal_checked": report.journal_checked,
                "other_versions": report.other_versions,
                "problems": [str(problem) for problem in report.problems],
            }
        )
    else:
        typer.echo(
            f"{report.quotes_checked} quotes and {report.rate_sheets_checked} rate sheets checked."
        )
        typer.echo(f"{report.journal_checked} lines of the journal checked.")
        for made_by, count in sorted(report.other_versions.items()):
            typer.echo(f"{count} quotes were made by {made_by or 'an older version'}.")
        for problem in report.problems:
            typer.echo(f"- {problem}")
    if not report.sound:
        raise LedgerTrouble(
            f"{len(report.problems)} problems found", shop.ledger.where, "Keep a copy and ask."
        )

"""Commands that keep a shop: backup, restore, check, and the journal."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path
from typing import Annotated

import typer

from app.commands.opening import opened
from app.commands.output import JsonFlag, print_json
from app.commands.people import ByOption
from app.commands.quote import ShopOption
from app.commands.shop import ledger
from estimator.errors import Trouble


def backup(
    archive: Annotated[Path, typer.Argument(metavar="FILE", help="The archive to write.")],
    shop_folder: ShopOption = None,
    by: ByOption = "command line",
) -> None:
    """Write everything of the shop into one file, while it is in use."""
    from app.keeping import back_up

    with opened(shop_folder, by) as (shop, actor):
        manifest = back_up(shop, actor, archive, datetime.now(UTC))
    typer.echo(f"Written: {archive}")
    for name, each in manifest["files"].items():
        typer.echo(f"  {name}  {each['bytes']:,} bytes")
    typer.echo("It holds customers' data and the key of the links: keep it where few can read.")


def restore(
    archive: Annotated[Path, typer.Argument(metavar="FILE", help="The archive.")],
    shop_folder: ShopOption = None,
    replace: Annotated[
        bool, typer.Option("--replace", help="Put the shop that is there aside.")
    ] = False,
    by: ByOption = "command line",
) -> None:
    """Bring a shop back from a backup; nothing that is there is taken away."""
    from app.keeping import restore as bring_back
    from app.people.guard import operator
    from app.wiring import default_shop_folder

    folder = shop_folder or default_shop_folder()
    done = bring_back(folder, operator(by), archive, datetime.now(UTC), replace=replace)
    typer.echo(f"The shop of {done.made_at} is in {folder}.")
    if done.put_aside is not None:
        typer.echo(f"What was there before is in {done.put_aside}.")


def check(
    shop_folder: ShopOption = None,
    replay: Annotated[bool, typer.Option("--all", help="Work every quote again too.")] = False,
    as_json: JsonFlag = False,
    by: ByOption = "command line",
) -> None:
    """Check ledger, catalog, rate sheets, people, clock, disk and versions."""
    from app.people.guard import operator
    from app.shop_check import check_shop
    from app.wiring import default_shop_folder, open_shop

    folder = shop_folder or default_shop_folder()
    now = datetime.now().astimezone()
    found = check_shop(folder, operator(by), now, open_shop, replay=replay)
    if as_json:
        print_json([{"topic": it.topic, "sound": it.sound, "says": it.says} for it in found])
    else:
        for it in found:
            typer.echo(f"{'ok     ' if it.sound else 'TROUBLE'}  {it.topic}: {it.says}")
    bad = [it.topic for it in found if not it.sound]
    if bad:
        raise Trouble(f"Not all is well: {', '.join(bad)}", str(folder), "See the lines above.")


@ledger.command("journal")
def ledger_journal(
    shop_folder: ShopOption = None,
    limit: Annotated[int, typer.Option(min=1, max=100_000, help="How many lines.")] = 50,
    action: Annotated[str | None, typer.Option(help="Only this action.")] = None,
    subject: Annotated[str | None, typer.Option(help="Only this quote or name.")] = None,
    by: ByOption = "command line",
    as_json: JsonFlag = False,
) -> None:
    """Show who did what, the last first."""
    from app.journaling import journal

    with opened(shop_folder, by) as (shop, actor):
        lines = journal(shop, actor, limit, action=action, subject=subject)
    if as_json:
        print_json(
            [
                {
                    "sequence": line.sequence,
                    "at": line.done_at.isoformat(),
                    "person": line.person,
                    "action": line.action,
                    "subject": line.subject,
                    "detail": line.detail,
                    "hash": line.hash,
                }
                for line in lines
            ]
        )
        return
    for line in lines:
        at = line.done_at.astimezone().isoformat(sep=" ", timespec="seconds")
        typer.echo(
            f"{line.sequence:>7}  {at}  {line.person}: {line.action} {line.subject}".rstrip()
        )


@ledger.command("head")
def ledger_head(shop_folder: ShopOption = None, by: ByOption = "command line") -> None:
    """Print the journal's head, to be kept outside as an anchor for `ledger verify`."""
    from app.journaling import journal_head

    with opened(shop_folder, by) as (shop, actor):
        typer.echo(str(journal_head(shop, actor)))

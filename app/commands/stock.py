"""Commands on stock: what runs low, what lies at a place, what quotes hold, letting go."""

from __future__ import annotations

from dataclasses import asdict
from datetime import UTC, date, datetime
from typing import TYPE_CHECKING, Annotated

import typer

from app.commands.opening import opened
from app.commands.output import JsonFlag, print_json
from app.commands.people import ByOption
from app.commands.quote import ShopOption
from app.people.guard import COMMAND_LINE

if TYPE_CHECKING:
    from app.ledger.entries import Reservation

stock = typer.Typer(no_args_is_help=True, help="Stock: what runs low, is free, or is set aside.")
PlaceArgument = Annotated[str, typer.Argument(metavar="PLACE", help="A van or a branch.")]
DayOption = Annotated[
    datetime | None, typer.Option("--on", formats=["%Y-%m-%d"], help="The day; today if none.")
]


@stock.command("low")
def low(
    van: Annotated[str, typer.Option("--van", help="Only this van.")] = "",
    weeks: Annotated[int, typer.Option("--weeks", help="Weeks of quotes to look at.")] = 8,
    on: DayOption = None,
    shop_folder: ShopOption = None,
    as_json: JsonFlag = False,
    by: ByOption = COMMAND_LINE,
) -> None:
    """List what runs low on the vans, by what the last weeks' quotes use."""
    from app.restocking import running_low
    from app.views.stock import build_low_cards

    with opened(shop_folder, by) as (shop, actor):
        lines = running_low(shop, actor, _day(on), weeks, van or None)
    if as_json:
        print_json([asdict(line) for line in lines])
        return
    for card in build_low_cards(lines, weeks):
        typer.echo(f"{card.van}  {card.part}  {card.description}: {card.bring}. {card.where}.")
        typer.echo(f"    {card.why}")
    if not lines:
        typer.echo(f"Nothing runs low by the quotes of the last {weeks} weeks.")


@stock.command("show")
def show(
    place: PlaceArgument,
    on: DayOption = None,
    shop_folder: ShopOption = None,
    as_json: JsonFlag = False,
    by: ByOption = COMMAND_LINE,
) -> None:
    """Show all that is on a van or at a branch: counted, set aside for quotes, free."""
    from app.reserving import held, stock_on

    with opened(shop_folder, by) as (shop, actor):
        lines = stock_on(shop, actor, place, _day(on))
        set_aside = held(shop, actor, _day(on), place)
    if as_json:
        parts = [asdict(line) | {"free": line.free} for line in lines]
        print_json({"parts": parts, "set_aside": [_plain(each) for each in set_aside]})
        return
    for line in lines:
        aside = f", {line.set_aside} set aside" if line.set_aside else ""
        typer.echo(f"{line.part}  {line.description}: {line.free} free{aside}")
    for each in set_aside:
        typer.echo(
            f"Quote {each.number} holds {each.pieces} of {each.part} until "
            f"{each.held_until.isoformat()}"
        )


@stock.command("release")
def release(
    number: Annotated[str, typer.Argument(metavar="QUOTE", help="The quote's number.")],
    shop_folder: ShopOption = None,
    as_json: JsonFlag = False,
    by: ByOption = COMMAND_LINE,
) -> None:
    """Let go what a quote holds: its parts are fitted, or no longer wanted."""
    from app.reserving import release as let_go

    with opened(shop_folder, by) as (shop, actor):
        pieces = let_go(shop, actor, number, datetime.now(UTC))
    if as_json:
        print_json({"number": number, "released": pieces})
    else:
        typer.echo(f"Quote {number} let go {pieces} pieces.")


def _day(on: datetime | None) -> date:
    return on.date() if on is not None else datetime.now(UTC).date()


def _plain(each: Reservation) -> dict[str, object]:
    return asdict(each) | {"held_until": each.held_until.isoformat(), "released_at": None}

"""Commands for the people of a shop, and for customers' own data."""

from __future__ import annotations

import getpass
import sys
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Annotated

import typer

from app.commands.opening import opened
from app.commands.output import JsonFlag, print_json, print_pairs
from app.commands.quote import ShopOption
from estimator.errors import InputTrouble

if TYPE_CHECKING:
    pass

people = typer.Typer(no_args_is_help=True, help="Who may sign in.")
customer = typer.Typer(no_args_is_help=True, help="A customer's own data.")

ByOption = Annotated[str, typer.Option("--by", help="Who does it.")]
NumbersArgument = Annotated[list[str], typer.Argument(metavar="NUMBER...", help="His quotes.")]


@people.command("list")
def people_list(
    shop_folder: ShopOption = None, by: ByOption = "", as_json: JsonFlag = False
) -> None:
    """List who may sign in."""
    from app.people.accounts import people as everybody

    with opened(shop_folder, by) as (shop, actor):
        found = everybody(shop, actor)
    if as_json:
        print_json(
            [
                {"id": each.person_id, "name": each.name, "role": each.role, "demo": each.demo}
                for each in found
            ]
        )
        return
    for each in found:
        demo = "  (demo, its password is public)" if each.demo else ""
        typer.echo(f"{each.person_id}  {each.role:<10}  {each.name}{demo}")


@people.command("first-owner")
def people_first_owner(
    name: Annotated[str, typer.Argument(help="The owner's name.")], shop_folder: ShopOption = None
) -> None:
    """Make the owner, once; the password is asked for, or read from standard input."""
    from app.people.accounts import create_first_owner

    with opened(shop_folder) as (shop, _):
        made = create_first_owner(shop, name, _password(), datetime.now(UTC))
    typer.echo(f"{made.name} is the owner and may sign in.")


@people.command("add")
def people_add(
    name: Annotated[str, typer.Argument(help="The name.")],
    role: Annotated[str, typer.Option(help="owner or technician.")] = "technician",
    email: Annotated[str, typer.Option(help="Address at the shop's sign-in provider.")] = "",
    shop_folder: ShopOption = None,
    by: ByOption = "",
) -> None:
    """Add a person; the password is asked for, or read from standard input."""
    from app.people.accounts import add_person

    with opened(shop_folder, by) as (shop, actor):
        now = datetime.now(UTC)
        made = add_person(shop, actor, name, role, _password(), now, email=email)
    typer.echo(f"{made.name} may sign in as {made.role}.")


@people.command("password")
def people_password(
    name: Annotated[str, typer.Argument(help="The name.")],
    shop_folder: ShopOption = None,
    by: ByOption = "",
) -> None:
    """Give a person a new password; every session of his ends."""
    from app.people.accounts import person_named, set_password

    with opened(shop_folder, by) as (shop, owner):
        found = person_named(shop, owner, name)
        set_password(shop, owner, found.person_id, _password(), datetime.now(UTC))
    typer.echo(f"{name} has a new password and must sign in again.")


@people.command("remove")
def people_remove(
    name: Annotated[str, typer.Argument(help="The name.")],
    shop_folder: ShopOption = None,
    by: ByOption = "",
) -> None:
    """Remove a person: no more sign-in, and every session ends."""
    from app.people.accounts import person_named, remove_person

    with opened(shop_folder, by) as (shop, owner):
        found = person_named(shop, owner, name)
        remove_person(shop, owner, found.person_id, datetime.now(UTC))
    typer.echo(f"{name} is removed.")


@customer.command("find")
def customer_find(
    name: Annotated[str, typer.Argument(help="The name as it stands on the quotes.")],
    shop_folder: ShopOption = None,
    by: ByOption = "",
) -> None:
    """Find the numbers of a customer's quotes."""
    from app.customer_data import quotes_of_customer

    with opened(shop_folder, by) as (shop, actor):
        found = quotes_of_customer(shop, actor, name)
    typer.echo("\n".join(found) or "No quote is to a customer of this name.")


@customer.command("export")
def customer_export(
    numbers: NumbersArgument, shop_folder: ShopOption = None, by: ByOption = ""
) -> None:
    """Print all that the shop keeps about the customer of these quotes, as JSON."""
    from app.customer_data import export_customer

    with opened(shop_folder, by) as (shop, actor):
        print_json(export_customer(shop, actor, numbers, datetime.now(UTC)))


@customer.command("erase")
def customer_erase(
    numbers: NumbersArgument,
    shop_folder: ShopOption = None,
    by: ByOption = "",
    yes: Annotated[bool, typer.Option("--yes", help="Do not ask.")] = False,
) -> None:
    """Erase all that names the customer of these quotes; prices and totals stay."""
    from app.customer_data import erase_customer

    if not yes and not typer.confirm(f"Erase the customer of {', '.join(numbers)} for good?"):
        raise InputTrouble("Nothing was erased")
    with opened(shop_folder, by) as (shop, actor):
        gone = erase_customer(shop, actor, numbers, datetime.now(UTC))
    print_pairs(
        {
            "Quotes emptied of the customer": gone.quotes,
            "Answers emptied": gone.answers,
            "Notes emptied": gone.notes,
            "Photos taken away": gone.photos,
            "Drafts taken away": gone.drafts,
            "Links revoked": gone.links,
        }
    )
    typer.echo("Backups made before still hold the data; take them away too.")


def _password() -> str:
    if sys.stdin.isatty():
        first = getpass.getpass("Password: ")
        if getpass.getpass("The same again: ") != first:
            raise InputTrouble("The two are not the same", "", "Type the password again.")
        return first
    return sys.stdin.readline().rstrip("\r\n")

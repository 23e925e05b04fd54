"""The `heater` command."""

from __future__ import annotations

import os
import sys
import traceback

import typer

from app.commands import (
    books,
    catalog,
    challengers,
    fleet,
    keeping,
    life,
    numbers,
    parts,
    people,
    quote,
    shop,
    stock,
)
from app.commands.output import print_safely
from estimator.errors import Trouble

app = typer.Typer(
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    help="Parts, prices, and repair against replacement for gas water heaters.",
)
app.command("quote")(quote.quote)
app.command("visit-schema")(quote.visit_schema)
app.command("compare")(numbers.compare)
app.command("energy")(numbers.energy)
app.command("challengers")(challengers.challengers)
app.command("fleet")(fleet.fleet)
app.command("setup")(shop.setup)
app.add_typer(life.life, name="life")
app.add_typer(catalog.catalog, name="catalog")
app.add_typer(parts.parts, name="parts")
app.add_typer(stock.stock, name="stock")
app.add_typer(shop.rates, name="rates")
app.add_typer(shop.ledger, name="ledger")
app.add_typer(people.people, name="people")
app.add_typer(people.customer, name="customer")
app.command("backup")(keeping.backup)
app.command("restore")(keeping.restore)
app.command("check")(keeping.check)
app.command("books")(books.books)


def main() -> None:
    """Run the command; every refusal is one message and exit status 2."""
    print_safely()
    try:
        app()
    except Trouble as trouble:
        _refuse(str(trouble))
    except Exception as unforeseen:  # noqa: BLE001  (the last door before a person)
        if os.environ.get("HEATER_DEBUG"):
            traceback.print_exc()
        _refuse(
            f"Something went wrong that the program did not foresee "
            f"({type(unforeseen).__name__}: {unforeseen}). Nothing was changed. "
            "Set HEATER_DEBUG=1 and run it again to see where."
        )


def _refuse(message: str) -> None:
    print(message, file=sys.stderr)
    sys.exit(2)


if __name__ == "__main__":
    main()

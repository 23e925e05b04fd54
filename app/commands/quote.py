"""The command that quotes a visit from its file."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from app.commands.output import JsonFlag, print_json

if TYPE_CHECKING:
    from app.views.customer import CustomerView

ShopOption = Annotated[
    Path | None, typer.Option("--shop", help="The shop's folder.", envvar="HEATER_SHOP")
]


def quote(
    visit_file: Annotated[Path, typer.Argument(metavar="VISIT.toml", help="The visit.")],
    shop_folder: ShopOption = None,
    pdf: Annotated[Path | None, typer.Option(help="Write the quote as a PDF file.")] = None,
    issue: Annotated[bool, typer.Option("--issue", help="Issue it into the ledger.")] = False,
    person: Annotated[str, typer.Option("--by", help="Who issues it.")] = "",
    as_json: JsonFlag = False,
) -> None:
    """Quote a visit: part, price, repair against replacement."""
    from app.actions import issue_quote, price_visit, view_of_issued, view_of_priced, visit_from
    from app.files import read_toml
    from app.quote_json import quote_json
    from app.wiring import default_shop_folder, open_shop

    visit = visit_from(read_toml(visit_file), str(visit_file))
    shop = open_shop(shop_folder or default_shop_folder())
    try:
        priced = price_visit(shop, visit)
        made = None
        if issue:
            by = person or visit.visit.technician or "command line"
            made = issue_quote(shop, priced, by, datetime.now(UTC))
        if pdf is not None or not as_json:
            view = view_of_issued(shop, made) if made else view_of_priced(priced)
            _hand_over(view, pdf, quiet=as_json)
        if as_json:
            print_json(quote_json(visit, priced.estimate, made))
    finally:
        shop.close()


def _hand_over(view: CustomerView, pdf: Path | None, *, quiet: bool) -> None:
    if pdf is not None:
        from app.documents.pdf import quote_pdf
        from app.files import write_whole

        write_whole(pdf, quote_pdf(view))
    if not quiet:
        from rich.console import Console

        from app.documents.terminal import render_side_by_side

        Console().print(render_side_by_side(view))
        if pdf is not None:
            typer.echo(f"Written: {pdf}")


def visit_schema() -> None:
    """Print the JSON Schema of a visit file."""
    from app.visit import Visit

    print_json(Visit.model_json_schema())

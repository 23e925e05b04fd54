"""Commands that build, check and publish the parts catalog."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from app.commands.output import JsonFlag, print_json, print_pairs
from app.commands.quote import ShopOption
from estimator.errors import CatalogTrouble

catalog = typer.Typer(no_args_is_help=True, help="The parts catalog.")


@catalog.command("build")
def build(
    sources: Annotated[Path, typer.Argument(metavar="DIR", help="Folder of CSV files.")],
    shop_folder: ShopOption = None,
    as_json: JsonFlag = False,
) -> None:
    """Build a catalog from CSV files and put it in force."""
    from app.shop_settings import CATALOGS
    from app.wiring import default_shop_folder
    from catalog.database import build_catalog

    report = build_catalog(sources, (shop_folder or default_shop_folder()) / CATALOGS)
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
        raise CatalogTrouble(
            f"{len(report.rejected)} rows are not usable", str(sources), "Correct them first."
        )
    if not as_json:
        typer.echo("Every row is usable.")

"""Commands on the shop's own experience of how long heaters last."""

from __future__ import annotations

from datetime import UTC, date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from app.commands.opening import opened
from app.commands.output import JsonFlag, print_json, print_pairs
from app.commands.quote import ShopOption
from estimator.errors import InputTrouble
from estimator.heater import HeaterClass

if TYPE_CHECKING:
    from collections.abc import Sequence

    from app.lives import ClassLife
    from app.views.life import LifeView
    from estimator.rates import RateSheetVersion
    from estimator.survival import LifeDistribution

life = typer.Typer(no_args_is_help=True, help="How long heaters last, from your own records.")


@life.callback()
def _group() -> None:
    """Keep `fit` a word of its own, though it is the only one so far."""


@life.command("fit")
def fit(
    records_file: Annotated[Path, typer.Argument(metavar="FILE.csv", help="The records.")],
    only: Annotated[
        HeaterClass | None,
        typer.Option("--class", help="Fit this class only; also of rows without one."),
    ] = None,
    delay_years: Annotated[
        float, typer.Option("--delay", help="Years before which nothing fails.", min=0, max=50)
    ] = 0.0,
    records_from: Annotated[
        datetime | None,
        typer.Option(formats=["%Y-%m-%d"], help="Day on which your records begin."),
    ] = None,
    records_to: Annotated[
        datetime | None,
        typer.Option(formats=["%Y-%m-%d"], help="Day on which they end; today unless given."),
    ] = None,
    plot: Annotated[Path | None, typer.Option(help="Write the plot as an SVG file.")] = None,
    adopt: Annotated[
        bool, typer.Option("--adopt", help="Publish a rate sheet with the fitted lives.")
    ] = False,
    holds_from: Annotated[
        datetime | None,
        typer.Option("--from", formats=["%Y-%m-%d"], help="First day of that rate sheet."),
    ] = None,
    by: Annotated[str, typer.Option(help="Who publishes it.")] = "owner",
    shop_folder: ShopOption = None,
    as_json: JsonFlag = False,
) -> None:
    """Fit a life to each class of heater from installed and failed dates."""
    from app.life_records import RecordSpan, read_life_records, refuse_within_delay
    from app.lives import fit_lives

    today = datetime.now(UTC).date()
    span = RecordSpan(
        records_from.date() if records_from else None, records_to.date() if records_to else today
    )
    every = read_life_records(records_file, span, only or HeaterClass.GAS_STORAGE)
    records = [it for it in every if only in (None, it.heater_class)]
    refuse_within_delay(records, delay_years, records_file)
    found = fit_lives(records, delay_years)
    _refuse_nothing(found, records_file, only)
    lives: dict[HeaterClass, LifeDistribution] = {}
    version = None
    if adopt or shop_folder:
        first = holds_from.date() if holds_from else today
        lives, version = _with_shop(shop_folder, found, first, by, adopt=adopt)
    if plot is not None:
        _write_plot(plot, found)
    if as_json:
        print_json(_json(found, span.end, version))
    else:
        _tell(found, lives, plot, version)


def _refuse_nothing(found: Sequence[ClassLife], path: Path, only: HeaterClass | None) -> None:
    if not found:
        raise InputTrouble(
            f"There is no heater of class {only}", str(path), "Leave --class out to see which are."
        )
    if all(each.life is None for each in found):
        reasons = " ".join(f"{each.heater_class.value}: {each.refused}" for each in found)
        raise InputTrouble(f"No life could be fitted; {reasons}", str(path))


def _with_shop(
    folder: Path | None, found: Sequence[ClassLife], first: date, by: str, *, adopt: bool
) -> tuple[dict[HeaterClass, LifeDistribution], RateSheetVersion | None]:
    """Return the lives in force and, where they were adopted, the new version."""
    from app.lives import adopt_lives
    from app.publishing import rate_sheet_on

    with opened(folder, by) as (shop, owner):
        before = dict(rate_sheet_on(shop, owner, first).sheet.economics.lives)
        if not adopt:
            return before, None
        fitted = {each.heater_class: each.life for each in found if each.life is not None}
        return before, adopt_lives(shop, fitted, first, owner, datetime.now(UTC))


def _write_plot(path: Path, found: Sequence[ClassLife]) -> None:
    from app.documents.life_plot import life_svg
    from app.files import write_whole
    from app.views.life import build_life_view

    plots = [view.plot for view in map(build_life_view, found) if view.plot is not None]
    if len(plots) > 1:
        raise InputTrouble(
            f"There are {len(plots)} classes to plot, and one file",
            str(path),
            "Name one of them with --class.",
        )
    write_whole(path, life_svg(plots[0]).encode())


def _json(
    found: Sequence[ClassLife], end: date, version: RateSheetVersion | None
) -> dict[str, object]:
    from app.views.life import life_json

    adopted = version and {
        "version": version.version,
        "holds_from": version.holds_from.isoformat(),
    }
    return {"records_to": end.isoformat(), "lives": life_json(found), "adopted": adopted}


def _tell(
    found: Sequence[ClassLife],
    lives: dict[HeaterClass, LifeDistribution],
    plot: Path | None,
    version: RateSheetVersion | None,
) -> None:
    from app.views.life import build_life_view

    for each in found:
        _tell_one(build_life_view(each, lives))
    if plot is not None:
        typer.echo(f"Written: {plot}")
    if version is not None:
        typer.echo(
            f"Rate sheet {version.version} holds from {version.holds_from.isoformat()}; "
            "quotes already issued keep theirs."
        )


def _tell_one(view: LifeView) -> None:
    typer.echo(f"{view.name}: {view.sample}")
    if view.refused is not None:
        typer.echo(f"  Not fitted. {view.refused}")
    else:
        print_pairs({f"  {label}": text for label, text in view.facts})
        typer.echo("  In brackets: 95% interval.")
    for line in (*view.cautions, view.now):
        if line:
            typer.echo(f"  {line}")

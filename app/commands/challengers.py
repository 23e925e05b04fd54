"""The command that sets every replacement of a visit side by side."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from app.commands.opening import opened
from app.commands.output import JsonFlag, print_json
from app.commands.quote import ShopOption
from estimator.case import StudyBasis

if TYPE_CHECKING:
    from app.views.challengers import ChallengerRow, ChallengersView
    from app.visit import Visit
    from estimator.hot_water import PeakHour

Count = Annotated[int | None, typer.Option(min=0, max=40, help="In the busiest hour.")]


def challengers(
    visit_file: Annotated[Path, typer.Argument(metavar="VISIT.toml", help="The visit.")],
    shop_folder: ShopOption = None,
    study: Annotated[
        StudyBasis | None, typer.Option(help="What sets the study period, in place of the visit's.")
    ] = None,
    showers: Count = None,
    shaves: Count = None,
    hand_dishwashings: Count = None,
    dishwasher_loads: Count = None,
    clothes_washer_loads: Count = None,
    showers_at_once: Count = None,
    as_json: JsonFlag = False,
) -> None:
    """Rank every replacement of a visit, with what each wins on."""
    from app.challengers import challengers_of
    from app.challengers_json import challengers_json
    from app.files import read_toml
    from app.views.challengers import build_challengers_view
    from app.visiting import price_visit, visit_from

    visit = _studied(visit_from(read_toml(visit_file), str(visit_file)), study)
    hour = _hour(
        {
            "showers": showers,
            "shaves": shaves,
            "hand_dishwashings": hand_dishwashings,
            "dishwasher_loads": dishwasher_loads,
            "clothes_washer_loads": clothes_washer_loads,
            "showers_at_once": showers_at_once,
        },
    )
    with opened(shop_folder) as (shop, actor):
        found = challengers_of(price_visit(shop, actor, visit), hour)
    if as_json:
        print_json(challengers_json(found))
    else:
        _tell(build_challengers_view(found))


def _studied(visit: Visit, study: StudyBasis | None) -> Visit:
    """Put another study in the visit's place; the years that it names go with the old one."""
    if study is None:
        return visit
    work = visit.work.model_copy(update={"study": study, "years": None})
    return visit.model_copy(update={"work": work})


def _hour(counted: dict[str, int | None]) -> PeakHour | None:
    """Return the busiest hour as counted: what was not counted does not happen in it."""
    from dataclasses import replace

    from estimator.hot_water import PeakHour

    given: dict[str, Any] = {name: count for name, count in counted.items() if count is not None}
    return replace(PeakHour(), **given) if given else None


def _tell(view: ChallengersView) -> None:
    typer.echo(view.repair)
    typer.echo(view.hour)
    for row in view.rows:
        typer.echo("")
        _tell_one(row)
    typer.echo("")
    for line in (view.frontier.description, *view.keeping):
        typer.echo(line)
    if view.tornado is not None:
        typer.echo("")
        typer.echo(view.tornado.title)
        typer.echo(view.tornado.description)
        for bar in view.tornado.bars:
            typer.echo(f"  {bar.name}: {bar.said}")


def _tell_one(row: ChallengerRow) -> None:
    mark = f"{row.rank}." if row.rank is not None else "-"
    typer.echo(f"{mark} {row.name}")
    if row.closed_reason is not None:
        typer.echo(f"   Cannot go here: {row.closed_reason}")
        return
    typer.echo(f"   {row.price_today}, {row.per_month}, {row.over_study}")
    typer.echo(f"   {row.energy}, {row.co2}")
    typer.echo(f"   {row.hot_water}")
    if row.asked:
        typer.echo(f"   With it: {', '.join(row.asked)}")
    for incentive in row.incentives:
        typer.echo(f"   Off the price: {incentive}")
    if row.wins_on:
        typer.echo(f"   Best on {', '.join(row.wins_on)}")
    if not row.on_frontier:
        typer.echo("   Another costs no more today and less over the study")
    for check in row.check_these:
        typer.echo(f"   Check: {check}")

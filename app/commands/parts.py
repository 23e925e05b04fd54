"""Commands that find parts: by number, by measure, by heater, by finding."""

from __future__ import annotations

from datetime import UTC, date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from app.commands.opening import opened
from app.commands.output import JsonFlag, print_json
from app.commands.quote import ShopOption
from estimator.errors import InputTrouble
from estimator.supply import PartFamily

if TYPE_CHECKING:
    from collections.abc import Sequence

    from app.shop import Shop
    from app.views.number_cards import TodayCard
    from app.views.part import RejectedPart
    from app.views.parts import FitCard
    from estimator.rates import RateSheet

parts = typer.Typer(no_args_is_help=True, help="Parts: by number, measure, heater, finding.")
FITS_TOLD = 6
HeaterOption = Annotated[str | None, typer.Option("--heater", help="Heater family.")]
VanOption = Annotated[str, typer.Option("--van", help="The van to look on first.")]
DayOption = Annotated[
    datetime | None, typer.Option("--on", formats=["%Y-%m-%d"], help="The day of the job.")
]


@parts.command("find")
def find(
    words: Annotated[list[str], typer.Argument(help="A number, or words and measures.")],
    heater: HeaterOption = None,
    van: VanOption = "",
    on: DayOption = None,
    shop_folder: ShopOption = None,
    as_json: JsonFlag = False,
) -> None:
    """Find parts by what is typed: a number, words, a measure."""
    from app.parts_search import search_parts
    from app.reserving import free_catalog
    from app.views.parts import build_parts_view

    day = _day(on)
    with opened(shop_folder) as (shop, _):
        catalog, sheet = free_catalog(shop, day), _rates(shop, day)
        answer = search_parts(catalog, " ".join(words), van, day, None, heater)
        view = build_parts_view(answer, sheet.parts, catalog.rules)
    if as_json:
        print_json(_plain(view))
        return
    typer.echo(view.read_as)
    if len(view.chain) > 1:
        typer.echo(f"Replaced: {' → '.join(view.chain)}")
    sure = [card for card in view.numbers if card.exact]
    for card in sure or view.numbers:
        today = _in_a_line(card.today) if card.today else "nothing is sold for it today"
        said = f" {card.how}" if card.how else ""
        said += "".join(f" {each}." for each in card.known)
        typer.echo(f"- {card.number} ({card.whose}): {card.description}.{said}\n    {today}")
    for each in view.alike:
        typer.echo(f"  alike: {_in_a_line(each)}")
    others = [card.number for card in view.numbers if sure and not card.exact]
    if others:
        typer.echo(f"If it was misread, it may be one of: {', '.join(others)}")
    for ask in view.asks:
        typer.echo(f"  heater parts find {ask.typed}")
    if view.goes_in:
        typer.echo(f"{view.goes_in}:")
    _tell_fits(view.fits, () if view.goes_in else view.rejected, view.closed_reason)
    if view.more:
        typer.echo(view.more)


@parts.command("fit")
def fit(
    family: Annotated[PartFamily, typer.Argument(help="Family of the part.")],
    measures: Annotated[
        list[str] | None, typer.Argument(metavar="FEATURE=VALUE...", help="length_in='600 mm'")
    ] = None,
    heater: HeaterOption = None,
    old: Annotated[str | None, typer.Option("--old", help="Number on the old part.")] = None,
    van: VanOption = "",
    on: DayOption = None,
    shop_folder: ShopOption = None,
    as_json: JsonFlag = False,
) -> None:
    """Find what fits by measures, the old part's number, or the heater family."""
    from app.reserving import free_catalog
    from app.views.parts import build_fit_cards
    from app.views.parts_form import read_answers
    from catalog.fit import fit_parts
    from catalog.needs import Need

    day = _day(on)
    with opened(shop_folder) as (shop, _):
        catalog, sheet = free_catalog(shop, day), _rates(shop, day)
        features = read_answers(catalog.rules, family, _told(family, measures or ()))
        answer = fit_parts(catalog, Need(family, None, heater, old, features), van, day)
        fits, rejected, closed = build_fit_cards(answer, sheet.parts)
    if as_json:
        print_json({"fits": _plain(fits), "rejected": _plain(rejected), "closed_reason": closed,
                    "more": answer.more})  # fmt: skip
        return
    _tell_fits(fits, rejected, closed)
    if answer.more:
        typer.echo(answer.more)


@parts.command("chain")
def chain(
    number: Annotated[str, typer.Argument(help="The number as stamped.")],
    shop_folder: ShopOption = None,
    as_json: JsonFlag = False,
) -> None:
    """Follow a part to the one sold today."""
    from catalog.parts import alike
    from catalog.parts import chain as chain_of

    with opened(shop_folder) as (shop, _):
        steps = chain_of(shop.catalog(), number)
        twins = alike(shop.catalog(), steps[-1].number)
    sold = not steps[-1].discontinued
    if as_json:
        print_json(
            {
                "chain": [part.number for part in steps],
                "sold_today": steps[-1].number if sold else None,
                "alike": [part.number for part in twins],
            }
        )
        return
    for part in steps:
        typer.echo(f"{part.number}  {part.description}{'' if part.discontinued else '  (sold)'}")
    if not sold:
        typer.echo("It is no longer sold, and nothing replaces it.")
    for part in twins:
        typer.echo(f"  alike: {part.number}  {part.description}")


@parts.command("heater")
def heater_parts(
    family: Annotated[str, typer.Argument(help="Heater family.")],
    van: VanOption = "",
    on: DayOption = None,
    shop_folder: ShopOption = None,
    as_json: JsonFlag = False,
) -> None:
    """List the parts of a heater family, each as it is sold today."""
    from app.parts_search import standing_of
    from app.reserving import free_catalog
    from app.views.parts import build_heater_parts
    from catalog.parts import checked_van, parts_of_family

    day = _day(on)
    with opened(shop_folder) as (shop, _):
        catalog, sheet = free_catalog(shop, day), _rates(shop, day)
        listed = parts_of_family(catalog, family)
        sold = [each.today for each in listed if each.today is not None]
        standing = standing_of(catalog, sold, checked_van(catalog, van), day)
        rows = build_heater_parts(listed, standing, sheet.parts)
    if as_json:
        print_json(_plain(rows))
        return
    for row in rows:
        today = _in_a_line(row.today) if row.today else "nothing is sold for it today"
        was = f" (listed {row.listed})" if row.today and row.today.number != row.listed else ""
        typer.echo(f"{row.position}: {today}{was}")


@parts.command("kit")
def kit(
    visit_file: Annotated[Path, typer.Argument(metavar="VISIT.toml", help="The visit.")],
    shop_folder: ShopOption = None,
    as_json: JsonFlag = False,
) -> None:
    """Put together the kit of every remedy of a visit's finding, priced."""
    from app.files import read_toml
    from app.kits import kits
    from app.reserving import free_catalog
    from app.views.kits import build_kit_cards
    from app.visiting import visit_from

    visit = visit_from(read_toml(visit_file), str(visit_file))
    with opened(shop_folder) as (shop, _):
        sheet = _rates(shop, visit.visit.date)
        catalog = free_catalog(shop, visit.visit.date)
        cards = build_kit_cards(kits(catalog, visit, sheet), sheet.parts)
    if as_json:
        print_json(_plain(cards))
        return
    if not cards:
        typer.echo("No remedy repairs this finding: the heater is replaced.")
    for card in cards:
        typer.echo(f"{card.name}: {card.price or card.closed_reason}  ({card.where})")
        typer.echo(f"    {card.part}")
        for each in card.besides:
            typer.echo(f"    {each.name}, {each.price}: {each.because}")
        for line in (*card.labor, *filter(None, (card.access,))):
            typer.echo(f"    labor: {line}")
        typer.echo(f"    labor in all: {card.hours}")
        for line in (*card.check_these, *card.missing):
            typer.echo(f"    check: {line}")


def _day(on: datetime | None) -> date:
    return on.date() if on is not None else datetime.now(UTC).date()


def _rates(shop: Shop, day: date) -> RateSheet:
    from app.people.guard import COMMAND_LINE, operator
    from app.publishing import rates_of_visit

    return rates_of_visit(shop, operator(COMMAND_LINE), day).sheet


def _told(family: PartFamily, measures: Sequence[str]) -> dict[str, Any]:
    """Read FEATURE=VALUE words; a misspelt one must not be left out, for a fit hangs on each."""
    from difflib import get_close_matches

    from catalog.feature_checks import a_family
    from catalog.part_rows import FEATURES

    told: dict[str, Any] = {}
    for given in measures:
        feature, equals, value = (word.strip() for word in given.partition("="))
        if not equals:
            raise InputTrouble(
                f'"{given}" names no feature', "", "Write FEATURE=VALUE, such as length_in=24."
            )
        known = FEATURES[family]
        if feature not in known:
            near = get_close_matches(feature, known, n=1)
            mend = f'Did you mean "{near[0]}"?' if near else f"Its features are {', '.join(known)}."
            raise InputTrouble(f'"{feature}" is not a feature of {a_family(family)}', "", mend)
        if feature in told:
            raise InputTrouble(f'"{feature}" is given twice', "", "Give it once.")
        told[feature] = value
    return told


def _plain(shown: Any) -> Any:
    """Return frozen view-models as plain JSON values."""
    from dataclasses import asdict, is_dataclass

    if isinstance(shown, tuple):
        return [_plain(each) for each in shown]
    return asdict(shown) if is_dataclass(shown) and not isinstance(shown, type) else shown


def _in_a_line(card: TodayCard) -> str:
    return f"{card.number}  {card.description}, {card.price}, {card.where}"


def _tell_fits(
    fits: Sequence[FitCard], rejected: Sequence[RejectedPart], closed_reason: str
) -> None:
    if closed_reason:
        typer.echo(closed_reason)
    for card in fits[:FITS_TOLD]:
        typer.echo(
            f"- {card.number}  {card.description}, {card.price}, {card.where}: {card.fit_word}"
        )
        for reason in card.reasons:
            typer.echo(f"    {reason.word}: {reason.sentence}")
        told = {reason.sentence for reason in card.reasons}
        for line in (line for line in card.check_these if line not in told):
            typer.echo(f"    check: {line}")
        for thing in card.lacks:
            typer.echo(f"    comes without the {thing}")
        for each in card.besides:
            typer.echo(f"    besides: {each.name}, {each.price}: {each.because}")
    if len(fits) > FITS_TOLD:
        typer.echo(f"{len(fits) - FITS_TOLD} more fit; --json gives them all.")
    for miss in rejected:
        typer.echo(f"x {miss.number}  {miss.description}: {' '.join(miss.why)}")

"""The command that quotes a visit from its file."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from app.commands.opening import opened
from app.commands.output import JsonFlag, print_json

if TYPE_CHECKING:
    from app.documents.ubl import QuotationMark
    from app.doubting import Doubt
    from app.ledger.records import IssuedQuote
    from app.people.guard import Actor
    from app.shop import Shop
    from app.views.customer import CustomerView
    from app.visiting import PricedVisit

ShopOption = Annotated[
    Path | None, typer.Option("--shop", help="The shop's folder.", envvar="HEATER_SHOP")
]


class Language(StrEnum):
    """Language of what the customer reads."""

    EN = "en"
    ES = "es"


class Units(StrEnum):
    """Units of what the customer reads."""

    US = "us"
    SI = "si"


@dataclass(frozen=True)
class Wanted:
    """What is to be written besides the terminal, and how the customer reads it."""

    language: str
    units: str
    pdf: Path | None
    ubl: Path | None
    path: str | None
    ics: Path | None
    start: datetime | None
    minutes: int


def quote(
    visit_file: Annotated[Path, typer.Argument(metavar="VISIT.toml", help="The visit.")],
    shop_folder: ShopOption = None,
    pdf: Annotated[Path | None, typer.Option(help="Write the quote as a PDF file.")] = None,
    issue: Annotated[bool, typer.Option("--issue", help="Issue it into the ledger.")] = False,
    reserve: Annotated[
        bool | None,
        typer.Option(help="Set its parts aside; as the shop has set it if not said."),
    ] = None,
    person: Annotated[str, typer.Option("--by", help="Who issues it.")] = "",
    language: Annotated[Language, typer.Option("--lang", help="English or Spanish.")] = Language.EN,
    units: Annotated[Units, typer.Option(help="US or SI units.")] = Units.US,
    ubl: Annotated[Path | None, typer.Option(help="Write it as a UBL 2.1 Quotation.")] = None,
    path: Annotated[
        str | None, typer.Option(help="What --ubl offers: repair, or a replacement's slug.")
    ] = None,
    ics: Annotated[Path | None, typer.Option(help="Write the work as a calendar file.")] = None,
    start: Annotated[
        str, typer.Option("--start", help="When the work begins, with its zone.")
    ] = "",
    minutes: Annotated[int, typer.Option(help="How long the work takes [min].")] = 120,
    as_json: JsonFlag = False,
) -> None:
    """Quote a visit: part, price, repair against replacement."""
    from app.documents.ubl import QuotationMark
    from app.doubting import doubt_json, doubt_of
    from app.files import read_toml
    from app.quote_json import quote_json
    from app.quoting import issue_quote
    from app.visiting import price_visit, visit_from

    begins = _moment(start) if ics is not None else None
    _refuse_a_draft(ubl, ics, issue=issue)
    wanted = Wanted(language.value, units.value, pdf, ubl, path, ics, begins, minutes)
    visit = visit_from(read_toml(visit_file), str(visit_file))
    with opened(shop_folder, person or visit.visit.technician) as (shop, by):
        priced = price_visit(shop, by, visit)
        made = None
        if ubl is not None:  # a path that is closed is refused before anything is issued
            _ubl(priced, QuotationMark("", 0, visit.visit.date, visit.visit.date), wanted)
        if issue:
            made = issue_quote(shop, priced, by, datetime.now(UTC), reserve=reserve)
        _hand_over(shop, priced, made, wanted, quiet=as_json)
        doubt = doubt_of(shop, by, priced)
        if as_json:
            told = quote_json(visit, priced.estimate, made) | {"doubt": doubt_json(doubt)}
            print_json(told | {"set_aside": _set_aside_json(shop, by, made)})
        else:
            _warn(doubt)
            _tell_set_aside(shop, by, made)


def _warn(doubt: Doubt | None) -> None:
    """Tell the technician, apart from what the customer reads, that the finding is open."""
    from app.views.doubt import build_doubt_view

    view = build_doubt_view(doubt)
    if view is not None:
        typer.echo(f"{view.title}. {view.sentence} {view.verdict}", err=True)


def _tell_set_aside(shop: Shop, by: Actor, made: IssuedQuote | None) -> None:
    """Say what is set aside where, and what another quote holds."""
    from app.reserving import set_aside_for
    from app.views.stock import build_set_aside

    if made is not None:
        for line in build_set_aside(set_aside_for(shop, by, made, made.issued_at.date())):
            typer.echo(line.sentence)


def _set_aside_json(shop: Shop, by: Actor, made: IssuedQuote | None) -> list[dict[str, object]]:
    from app.reserving import set_aside_for

    if made is None:
        return []
    return [
        {
            "part": each.reservation.part,
            "place": each.reservation.place,
            "wanted": each.reservation.wanted,
            "pieces": each.reservation.pieces,
            "held_until": each.reservation.held_until.isoformat(),
            "at_branch": each.free_now.branch,
            "order_days": each.free_now.order_days,
        }
        for each in set_aside_for(shop, by, made, made.issued_at.date())
    ]


def _moment(text: str) -> datetime:
    from estimator.errors import InputTrouble

    try:
        begins = datetime.fromisoformat(text)
    except ValueError:
        begins = None
    if begins is None or begins.tzinfo is None:
        raise InputTrouble(
            f'"{text}" is not a time with its zone',
            "--start",
            "Write it as 2026-12-01T09:00-06:00.",
        )
    return begins


def _refuse_a_draft(ubl: Path | None, ics: Path | None, *, issue: bool) -> None:
    from estimator.errors import InputTrouble

    option = "--ubl" if ubl is not None else "--ics"
    if (ubl is not None or ics is not None) and not issue:
        raise InputTrouble("A draft has no number yet", option, "Add --issue.")


def _hand_over(
    shop: Shop, priced: PricedVisit, made: IssuedQuote | None, wanted: Wanted, *, quiet: bool
) -> None:
    from app.files import write_whole

    files: list[Path] = []

    def write(path: Path, content: bytes) -> None:
        write_whole(path, content)
        files.append(path)

    if wanted.pdf is None and wanted.ics is None and wanted.ubl is None and quiet:
        return
    view = _view(priced, made, wanted)
    if wanted.pdf is not None:
        from app.documents.logo import read_logo
        from app.documents.pdf import quote_pdf

        write(wanted.pdf, quote_pdf(view, read_logo(shop.folder)))
    if wanted.ics is not None and wanted.start is not None:
        from app.documents.calendar import work_event_ics

        now = datetime.now(UTC)
        write(wanted.ics, work_event_ics(view, wanted.start, wanted.minutes, now))
    if wanted.ubl is not None and made is not None:
        write(wanted.ubl, _ubl(priced, _mark(made), wanted))
    if not quiet:
        _print(view, files)


def _print(view: CustomerView, files: list[Path]) -> None:
    from rich.console import Console

    from app.documents.terminal import render_side_by_side

    Console().print(render_side_by_side(view))
    for path in files:
        typer.echo(f"Written: {path}")


def _view(priced: PricedVisit, made: IssuedQuote | None, wanted: Wanted) -> CustomerView:
    from app.views.customer import build_customer_view
    from app.views.customer_state import Issued

    sheet = priced.rate_sheet.sheet
    mark = None
    if made is not None:
        mark = Issued(made.number, made.revision, made.issued_at.date(), made.valid_until)
    return build_customer_view(
        priced.visit,
        priced.estimate,
        sheet.shop,
        sheet.quote,
        mark,
        language=wanted.language,
        units=wanted.units,
        incentives=priced.supply.incentives,
    )


def _ubl(priced: PricedVisit, mark: QuotationMark, wanted: Wanted) -> bytes:
    from app.documents.ubl import quotation_ubl

    estimate = priced.estimate
    open_ones = [path.slug for path in estimate.replacements if path.closed_reason is None]
    path = wanted.path or ("repair" if estimate.repair.open else next(iter(open_ones), "repair"))
    return quotation_ubl(priced.visit, estimate, priced.rate_sheet.sheet, mark, path=path)


def _mark(made: IssuedQuote) -> QuotationMark:
    from app.documents.ubl import QuotationMark

    return QuotationMark(made.number, made.revision, made.issued_at.date(), made.valid_until)


def visit_schema() -> None:
    """Print the JSON Schema of a visit file."""
    from app.visit import Visit

    print_json(Visit.model_json_schema())

"""The command that costs many heaters from file to file."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from app.commands.output import JsonFlag, print_json, print_pairs
from app.commands.quote import ShopOption

if TYPE_CHECKING:
    from app.fleet.running import Finished
    from app.fleet.setting import FleetSetting


def _print_columns(asked: bool) -> None:
    """Print what each column of IN and OUT holds, and end."""
    if not asked:
        return
    from app.fleet.answers import COLUMNS_OUT
    from app.fleet.columns import COLUMNS, NEEDED

    typer.echo("IN, CSV or Parquet; one row a heater")
    print_pairs(
        {
            f"  {each.name}{' (needed)' if each.name in NEEDED else ''}": (
                each.about if each.kind == "text" else f"{each.about}: {each.must_be}"
            )
            for each in COLUMNS
        }
    )
    typer.echo("OUT, Parquet; one row for each heater that could be costed")
    print_pairs({f"  {name}": about for name, (_, about) in COLUMNS_OUT.items()})
    typer.echo("  lcc_<challenger>: replace now by it [USD]; blank where closed")
    raise typer.Exit


def fleet(
    source: Annotated[Path, typer.Argument(metavar="IN", help="Heaters: CSV or Parquet.")],
    out: Annotated[Path, typer.Argument(metavar="OUT.parquet", help="Answers to write.")],
    terms: Annotated[
        Path | None, typer.Option("--terms", help="Terms and challengers, TOML; needs no shop.")
    ] = None,
    shop_folder: ShopOption = None,
    on: Annotated[
        datetime | None,
        typer.Option("--on", formats=["%Y-%m-%d"], help="Day of the shop's rates; today."),
    ] = None,
    years: Annotated[
        int | None, typer.Option("--years", min=1, max=40, help="Study period, with a shop.")
    ] = None,
    repair_price: Annotated[
        float | None, typer.Option("--repair-price", min=0, help="Where the file gives none, USD.")
    ] = None,
    scheduler: Annotated[
        str | None, typer.Option("--scheduler", help="Address of a dask.distributed cluster.")
    ] = None,
    as_json: JsonFlag = False,
    columns: Annotated[  # noqa: ARG001  (acted on before the arguments are asked for)
        bool,
        typer.Option(
            "--columns", is_eager=True, callback=_print_columns, help="Say what each column holds."
        ),
    ] = False,
) -> None:
    """Compare repair and replacement for every heater of a file."""
    from app.fleet.running import run_fleet

    setting = _setting(terms, shop_folder, on, years, repair_price)
    with _Bar(source, quiet=as_json) as bar:
        finished = run_fleet(source, out, setting, progress=bar.advance, scheduler=scheduler)
    if as_json:
        print_json(summary_json(finished, setting))
    else:
        _say(finished)


def _setting(
    terms: Path | None,
    shop_folder: Path | None,
    on: datetime | None,
    years: int | None,
    repair_price: float | None,
) -> FleetSetting:
    from dataclasses import replace

    from estimator.errors import InputTrouble

    if terms is not None:
        from app.fleet.terms_file import setting_from_terms

        if on is not None or years is not None:
            raise InputTrouble(
                "--on and --years stand in the terms file", str(terms), "Leave them out."
            )
        setting = setting_from_terms(terms)
        return setting if repair_price is None else replace(setting, repair_price=repair_price)
    from app.fleet.shop_offers import setting_from_shop
    from app.people.guard import COMMAND_LINE, operator
    from app.wiring import default_shop_folder

    day = (on or datetime.now(UTC)).date()
    folder = shop_folder or default_shop_folder()
    return setting_from_shop(folder, operator(COMMAND_LINE), day, years, repair_price)


class _Bar:
    """A progress bar on standard error; none where JSON is asked for."""

    def __init__(self, source: Path, *, quiet: bool) -> None:
        self.source, self.quiet = source, quiet
        self.progress: Any = None

    def __enter__(self) -> _Bar:
        if not self.quiet:
            from rich.console import Console
            from rich.progress import BarColumn, Progress, TextColumn, TimeElapsedColumn

            from app.fleet.reading import row_count

            self.progress = Progress(
                TextColumn("{task.completed:,.0f} heaters"),
                BarColumn(),
                TimeElapsedColumn(),
                console=Console(stderr=True),
                transient=True,
            )
            self.progress.start()
            self.task = self.progress.add_task("", total=row_count(self.source))
        return self

    def __exit__(self, *_: object) -> None:
        if self.progress is not None:
            self.progress.stop()

    def advance(self, rows: int) -> None:
        """Move the bar by the rows of a part."""
        if self.progress is not None:
            self.progress.advance(self.task, rows)


def summary_json(finished: Finished, setting: FleetSetting) -> dict[str, Any]:
    """Return what `--json` prints.

    Parameters
    ----------
    finished
        The run.
    setting
        Its setting.

    Returns
    -------
    Counts, sums [USD], years and files.
    """
    from app.fleet.summary import COUNTED

    summary, outputs = finished.summary, finished.outputs
    return {
        "on": setting.on.isoformat(),
        "study_years": setting.years,
        "heaters": summary.heaters,
        "rejected": summary.rejected,
        "rejected_as_repeated": summary.repeated,
        "sites": len(summary.sites),
        "advice": summary.advice,
        "chance_repair_cheaper_tenths": summary.chances,
        "totals_usd": summary.totals,
        "years": [
            {"year": year, **dict(zip(COUNTED, counts, strict=True))}
            for year, counts in summary.by_year().items()
        ],
        "parts": finished.parts,
        "parts_kept_from_an_earlier_run": finished.parts_kept,
        "files": {
            "answers": str(outputs.answers),
            "rejected": str(outputs.rejected),
            "summary": str(outputs.summary),
            "plot": str(outputs.plot),
        },
        "caution": CAUTION,
    }


CAUTION = (
    "By money alone. A stop found at a heater, such as a gas odor, flue gas that spills or a "
    "tank that leaks, comes first; so do local codes and licensed practice."
)


def _say(finished: Finished) -> None:
    from app.formatting import number, whole_money

    summary, outputs = finished.summary, finished.outputs
    pairs: dict[str, object] = {
        "Heaters costed": number(summary.heaters),
        "Rows left out": f"{number(summary.rejected)}, reasons in {outputs.rejected}",
    }
    if summary.repeated:
        pairs["Of them there twice"] = f"{number(summary.repeated)}, the same id at the same site"
    for name, count in summary.advice.items():
        pairs[name.replace("_", " ").capitalize()] = number(count)
    for year, counts in list(summary.by_year().items())[:1]:
        pairs[f"To replace in {year}"] = f"{number(counts[0])} for {whole_money(counts[1])}"
    pairs |= {
        "Answers": outputs.answers,
        "By site and year": outputs.summary,
        "Plot": outputs.plot,
    }
    if finished.parts_kept:
        pairs["Parts kept from an earlier run"] = f"{finished.parts_kept} of {finished.parts}"
    print_pairs(pairs)
    typer.echo(CAUTION)

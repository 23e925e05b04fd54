"""What to replace, where and in which year, with what budget."""

from __future__ import annotations

import csv
import io
from dataclasses import asdict, dataclass, field
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd

from app.fleet.answers import Advice
from estimator.survival import conditional_survival

if TYPE_CHECKING:
    from collections.abc import Iterable

    import pyarrow as pa

    from app.fleet.checking import Rejected
    from app.fleet.setting import FleetSetting

CHANCE_BINS = 10
FORMULA_SIGNS = ("=", "+", "-", "@", "\t", "\r")

COUNTED = (
    "heaters_to_replace",
    "replacement_budget_usd",
    "heaters_to_repair",
    "repair_budget_usd",
    "expected_failures",
    "expected_failure_cost_usd",
)
"""What is counted of each site and year. Failures are the first of the heaters in place, up
to their planned replacement; they cost the price then, with urgency and damage."""

Counts = list[float]
"""One number for each of `COUNTED`."""


@dataclass
class Summary:
    """Sums over parts, small whatever the number of heaters.

    Attributes
    ----------
    heaters, rejected
        Rows costed and rows left out.
    repeated
        Rows left out because the heater was there before.
    advice
        Heaters by advice.
    chances
        Heaters by tenth of the chance that repairing is cheaper.
    totals
        Sums over all heaters [USD]: repair_lcc, best_challenger_lcc, and the least of the
        paths as advised.
    sites
        Site → calendar year → `Counts`.
    """

    heaters: int = 0
    rejected: int = 0
    repeated: int = 0
    advice: dict[str, int] = field(default_factory=dict)
    chances: list[int] = field(default_factory=lambda: [0] * CHANCE_BINS)
    totals: dict[str, float] = field(default_factory=dict)
    sites: dict[str, dict[str, Counts]] = field(default_factory=dict)

    def to_json(self) -> dict[str, Any]:
        """Return plain JSON values."""
        return asdict(self)

    def add(self, other: Summary) -> None:
        """Add the sums of another part."""
        self.heaters += other.heaters
        self.rejected += other.rejected
        self.repeated += other.repeated
        for name, count in other.advice.items():
            self.advice[name] = self.advice.get(name, 0) + count
        self.chances = [a + b for a, b in zip(self.chances, other.chances, strict=True)]
        for name, amount in other.totals.items():
            self.totals[name] = self.totals.get(name, 0.0) + amount
        for site, years in other.sites.items():
            here = self.sites.setdefault(site, {})
            for year, counts in years.items():
                before = here.get(year, [0.0] * len(counts))
                here[year] = [a + b for a, b in zip(before, counts, strict=True)]

    def by_year(self) -> dict[int, Counts]:
        """Return the counts of all sites by calendar year, in order."""
        total: dict[int, Counts] = {}
        for years in self.sites.values():
            for year, counts in years.items():
                before = total.get(int(year), [0.0] * len(counts))
                total[int(year)] = [a + b for a, b in zip(before, counts, strict=True)]
        return dict(sorted(total.items()))


def summary_of(table: pa.Table, rejected: int, setting: FleetSetting) -> Summary:
    """Sum up one part.

    Parameters
    ----------
    table
        The answers.
    rejected
        Rows left out.
    setting
        The setting, for the first calendar year and the terms.

    Returns
    -------
    The sums.
    """
    if not table.num_rows:
        return Summary(rejected=rejected)
    of = _Columns(table)
    advice, chance = of("advice"), of("chance_repair_cheaper")
    replace, repair, planned = (
        of(name) for name in ("best_challenger_lcc", "repair_lcc", "best_planned_lcc")
    )
    advised = [advice == Advice.REPLACE_NOW, advice == Advice.REPAIR_REPLACE_ON_PLAN]
    bins = np.minimum((chance * CHANCE_BINS).astype(int), CHANCE_BINS - 1)
    return Summary(
        heaters=table.num_rows,
        rejected=rejected,
        advice={each.value: int((advice == each).sum()) for each in Advice},
        chances=np.bincount(bins, minlength=CHANCE_BINS).tolist(),
        totals={
            "repair_lcc": float(repair.sum()),
            "best_challenger_lcc": float(replace.sum()),
            "as_advised_lcc": float(np.select(advised, [replace, planned], repair).sum()),
        },
        sites=_by_site(of, setting),
    )


class _Columns:
    """Takes columns of a table as arrays; what is blank is not a number."""

    def __init__(self, table: pa.Table) -> None:
        self.table = table

    def __call__(self, name: str) -> Any:
        return self.table.column(name).to_numpy()


def _by_site(of: _Columns, setting: FleetSetting) -> dict[str, dict[str, Counts]]:
    """Count by site and by year of twelve months from the day of the terms."""
    terms, now = setting.terms, of("advice") == Advice.REPLACE_NOW
    code, sites = pd.factorize(of("site"), sort=True)
    counts = np.zeros((len(COUNTED), setting.years, len(sites)))

    def add(what: str, year: int, amounts: Any) -> None:
        counts[COUNTED.index(what), year] += np.bincount(code, amounts, len(sites))

    add("heaters_to_repair", 0, ~now)
    add("repair_budget_usd", 0, np.where(now, 0.0, of("repair_price")))
    price, budget = of("best_challenger_price"), of("replacement_budget")
    after = of("replace_in_year") - setting.on.year  # not a number where none is planned
    ages, place = np.unique(of("age_years"), return_inverse=True)
    elapsed = np.arange(setting.years + 1.0)
    life = setting.groups[0].defender.life
    alive = conditional_survival(life, ages[None, :], elapsed[:, None])
    for year in range(setting.years):
        due = after == year
        if due.any():
            add("heaters_to_replace", year, due)
            add("replacement_budget_usd", year, np.where(due, budget, 0.0))
        in_place = ~now & ~(after <= year)
        failing = (alive[year] - alive[year + 1])[place] * in_place
        grown = (1.0 + terms.install_price_escalation) ** (year + 1) * (1.0 + terms.urgency_premium)
        add("expected_failures", year, failing)
        add("expected_failure_cost_usd", year, failing * (price * grown + terms.failure_damage))
    return {
        str(site): {
            str(setting.on.year + year): counts[:, year, at].tolist()
            for year in range(setting.years)
            if counts[:, year, at].any()
        }
        for at, site in enumerate(sites)
    }


SUMMARY_HEADER = ("site", "year", *COUNTED)
REJECTED_HEADER = ("row", "id", "reason")


def summary_csv(summary: Summary) -> bytes:
    """Write the summary by site and year; years in which nothing is due are left out."""
    rows = []
    for site, years in sorted(summary.sites.items()):
        for year, counts in sorted(years.items()):
            told = [
                f"{count:.{0 if name.startswith('heaters') else 2}f}"
                for name, count in zip(COUNTED, counts, strict=True)
            ]
            rows.append((plain_cell(site), year, *told))
    return csv_bytes(rows, SUMMARY_HEADER)


def rejected_csv(rejected: Iterable[Rejected], *, header: bool = True) -> bytes:
    """Write the rows that were left out, each with its reasons."""
    rows = [
        (str(each.row), plain_cell(each.heater_id), plain_cell(each.reason)) for each in rejected
    ]
    return csv_bytes(rows, REJECTED_HEADER if header else None)


def joined_csv(*rejected: bytes) -> bytes:
    """Join rows that were left out, without header, in the order of the file read."""
    rows = [tuple(row) for each in rejected for row in csv.reader(io.StringIO(each.decode()))]
    return csv_bytes(sorted(rows, key=lambda row: int(row[0])), None)


def plain_cell(text: str) -> str:
    """Mark text that a spreadsheet would run as a formula with an apostrophe before it."""
    return f"'{text}" if text.startswith(FORMULA_SIGNS) else text


def csv_bytes(rows: Iterable[tuple[str, ...]], header: tuple[str, ...] | None) -> bytes:
    """Write rows as CSV in UTF-8."""
    into = io.StringIO()
    writer = csv.writer(into, lineterminator="\n")
    if header is not None:
        writer.writerow(header)
    writer.writerows(rows)
    return into.getvalue().encode()

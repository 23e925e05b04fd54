"""What to replace, where and in which year, with what budget."""

from __future__ import annotations

import csv
import io
from dataclasses import asdict, dataclass, field
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd

from app.fleet.answers import ADVICES, NOW, ON_PLAN

if TYPE_CHECKING:
    from collections.abc import Iterable

    from app.fleet.answers import Plan
    from app.fleet.checking import Rejected
    from app.fleet.costing import CostedPart
    from app.fleet.setting import FleetSetting

CHANCE_BINS = 10
FORMULA_SIGNS = ("=", "+", "-", "@", "\t", "\r")

Counts = list[float]
"""Of one site and year: heaters to replace and their budget [USD], heaters to repair and
their price [USD], and how many of these are expected to fail within a year."""


@dataclass
class Summary:
    """Sums over parts, small whatever the number of heaters.

    Attributes
    ----------
    heaters, rejected
        Rows costed and rows left out.
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


def summary_of(
    costed: CostedPart | None, plan: Plan | None, rejected: int, setting: FleetSetting
) -> Summary:
    """Sum up one part.

    Parameters
    ----------
    costed, plan
        The answers and what is advised; ``None`` where no row was usable.
    rejected
        Rows left out.
    setting
        The setting, for the first calendar year.

    Returns
    -------
    The sums.
    """
    if costed is None or plan is None:
        return Summary(rejected=rejected)
    answer, this_year = costed.answer, setting.on.year
    now = plan.advice == NOW
    replace = costed.of_cheapest(answer.challenger_lcc)
    repair = np.where(plan.advice == ON_PLAN, answer.best_planned_lcc, answer.repair_lcc)
    price = np.asarray(costed.columns.defender.repair_price)
    frame = pd.DataFrame(
        {
            "site": costed.part.texts["site"],
            "year": np.maximum(plan.after_years, 0) + this_year,
            "replaced": (plan.after_years >= 0).astype(np.float64),
            "budget": plan.budget,
        }
    )
    today = pd.DataFrame(
        {
            "site": costed.part.texts["site"],
            "repaired": (~now).astype(np.float64),
            "price": np.where(now, 0.0, price),
            "failing": np.where(now, 0.0, answer.chance_fails_first_year),
        }
    )
    sites: dict[str, dict[str, Counts]] = {}
    for site, row in today.groupby("site", sort=True).sum().iterrows():
        sites[str(site)] = {str(this_year): [0.0, 0.0, *map(float, row)]}
    for key, row in frame.groupby(["site", "year"], sort=True).sum().iterrows():
        site, year = key if isinstance(key, tuple) else (key, this_year)
        counts = sites[str(site)].setdefault(str(year), [0.0] * 5)
        counts[0], counts[1] = float(row["replaced"]), float(row["budget"])
    bins = np.minimum((answer.chance_repair_cheaper * CHANCE_BINS).astype(int), CHANCE_BINS - 1)
    return Summary(
        heaters=costed.size,
        rejected=rejected,
        advice={
            each.value: int((plan.advice == place).sum()) for place, each in enumerate(ADVICES)
        },
        chances=np.bincount(bins, minlength=CHANCE_BINS).tolist(),
        totals={
            "repair_lcc": float(answer.repair_lcc.sum()),
            "best_challenger_lcc": float(replace.sum()),
            "as_advised_lcc": float(np.where(now, replace, repair).sum()),
        },
        sites=sites,
    )


SUMMARY_HEADER = (
    "site",
    "year",
    "heaters_to_replace",
    "replacement_budget_usd",
    "heaters_to_repair",
    "repair_budget_usd",
    "expected_failures_within_a_year",
)
REJECTED_HEADER = ("row", "id", "reason")


def summary_csv(summary: Summary) -> bytes:
    """Write the summary by site and year; years in which nothing is due are left out."""
    rows = []
    for site, years in sorted(summary.sites.items()):
        for year, counts in sorted(years.items()):
            replaced, budget, repaired, price, failing = counts
            rows.append(
                (
                    plain_cell(site),
                    year,
                    f"{replaced:.0f}",
                    f"{budget:.2f}",
                    f"{repaired:.0f}",
                    f"{price:.2f}",
                    f"{failing:.2f}",
                )
            )
    return csv_bytes(rows, SUMMARY_HEADER)


def rejected_csv(rejected: Iterable[Rejected], *, header: bool = True) -> bytes:
    """Write the rows that were left out, each with its reasons."""
    rows = [
        (str(each.row), plain_cell(each.heater_id), plain_cell(each.reason)) for each in rejected
    ]
    return csv_bytes(rows, REJECTED_HEADER if header else None)


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

"""What the verdict is judged by, gathered from both paths."""

from __future__ import annotations

from collections.abc import Sequence

from estimator.cautions import Stop
from estimator.engine_inputs import HeaterInPlace
from estimator.errors import InputTrouble
from estimator.estimate import RepairPath, ReplacementPath
from estimator.money import MOST_DOLLARS, whole_dollars
from estimator.path_figures import best_first
from estimator.priced_job import PricedJob
from estimator.rates import RateSheet
from estimator.sensitivity import Swing
from estimator.supply import Supply
from estimator.survival import mean_life
from estimator.uncertainty import Futures
from estimator.verdict import OpenReplacement, Weighing


def weigh(
    in_place: HeaterInPlace,
    repair: RepairPath,
    paths: Sequence[ReplacementPath],
    stops: tuple[Stop, ...],
    supply: Supply,
    rates: RateSheet,
    moves_most: Sequence[Swing],
    futures: Futures,
) -> Weighing:
    """Gather what the verdict is judged by.

    Parameters
    ----------
    in_place
        The heater in place.
    repair, paths
        Both paths' figures; the best of `paths` is the one weighed.
    stops
        What closes the repair.
    supply
        What the catalog supplies.
    rates
        The rate sheet in force.
    moves_most
        The inputs that move the answer, the strongest first; three are named.
    futures
        The random futures.

    Raises
    ------
    InputTrouble
        If one of the two comes to more than any job can.
    """
    best = min(paths, key=best_first)
    for priced in (repair.priced, best.priced):
        _refuse_beyond_any_price(priced)
    return Weighing(
        stops=stops,
        no_part_reason=supply.no_part_reason,
        repair_price=repair.priced.total,
        repair_lcc=repair.cost.lcc,
        break_even_price=repair.break_even_price,
        replacement=(
            OpenReplacement(name=best.name, price=best.priced.total, lcc=best.cost.lcc)
            if best.closed_reason is None
            else None
        ),
        replacement_closed_reason=best.closed_reason,
        cheaper_if_it_fits=_cheaper_if_it_fits(best, paths),
        indifference_band=rates.economics.indifference_band,
        age_years=in_place.age_years,
        mean_life_years=mean_life(in_place.life),
        break_even_age_years=repair.break_even_age_years,
        best_planned_year=repair.best_planned_year,
        best_planned_saves=repair.best_planned_saves,
        deciding=tuple(swing.name for swing in moves_most[:3]),
        chance_repair_cheaper=futures.chance_repair_cheaper,
    )


def _cheaper_if_it_fits(
    best: ReplacementPath, paths: Sequence[ReplacementPath]
) -> OpenReplacement | None:
    """Return the cheapest that may go here and would cost less than the one compared."""
    unsettled = [path for path in paths if path.closed_reason is None and not path.settled]
    other = min(unsettled, key=lambda path: path.cost.lcc, default=None)
    if other is None or not best.settled or other.cost.lcc >= best.cost.lcc:
        return None
    return OpenReplacement(name=other.name, price=other.priced.total, lcc=other.cost.lcc)


def _refuse_beyond_any_price(priced: PricedJob) -> None:
    if priced.total > MOST_DOLLARS:
        raise InputTrouble(
            f"{priced.name} comes to {whole_dollars(priced.total)}; "
            f"at most {whole_dollars(MOST_DOLLARS)} can be judged",
            "",
            "Look at the costs in the catalog and at the rate sheet's markups.",
        )

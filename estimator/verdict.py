"""The verdict: stops first, then fit, then money and how sure it is."""

from __future__ import annotations

from decimal import Decimal
from enum import StrEnum
from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field

from estimator.cautions import Stop
from estimator.money import Dollars, dollars, from_float, whole_dollars

NEAR_EVEN = (0.45, 0.55)
"""Chance that repair is cheaper that counts as even [1]; common practice, no source."""

HALF_OF_NEW = Decimal("0.5")


class VerdictKind(StrEnum):
    """What is better for the customer; `CLOSED` means that the repair path is closed."""

    REPAIR = "repair"
    REPLACE = "replace"
    EITHER = "either"
    CLOSED = "closed"


class _Frozen(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")


class RuleOfThumb(_Frozen):
    """A common rule of thumb beside the verdict; never the verdict itself."""

    name: str
    says: VerdictKind
    why: str


class Verdict(_Frozen):
    """What is better for the customer, why, and what would turn it.

    `reasons` come strongest first. `turns_at` are plain sentences.
    """

    kind: VerdictKind
    reasons: tuple[str, ...]
    turns_at: tuple[str, ...] = ()
    rules_of_thumb: tuple[RuleOfThumb, ...] = ()


class OpenReplacement(_Frozen):
    """The cheapest replacement that may go here, by life-cycle cost.

    `price` [USD] is the installed price with tax in and incentives off; `lcc` [USD] its
    life-cycle cost over the study.
    """

    name: str
    price: Dollars
    lcc: float


class Weighing(_Frozen):
    """What the verdict is judged on; every amount is the customer's money, tax in.

    Parameters
    ----------
    stops
        What closes the repair path, in the order to be said.
    no_part_reason
        Why no part fits today; ``None`` when one does or none is needed.
    repair_price, repair_lcc
        The repair as quoted and the life-cycle cost of repairing [USD].
    break_even_price
        The repair price at which both paths cost the same [USD]; ``None`` with no
        replacement to compare.
    replacement
        The cheapest open replacement; ``None`` when none may go here.
    replacement_closed_reason
        Why none may, said when `replacement` is ``None``.
    cheaper_if_it_fits
        A replacement that costs less over the study and may go here, but of which
        something is left to look at.
    indifference_band
        A difference no larger than this is no difference [USD].
    age_years, mean_life_years
        Age of the heater and mean life of its class [yr].
    break_even_age_years
        Age at which the paths meet with all else held [yr].
    best_planned_year, best_planned_saves
        Best year to replace on plan after repairing, and what that saves against
        running to failure [USD].
    chance_repair_cheaper
        Share of draws in which repairing is cheaper [1]; ``None`` before it is drawn.
    deciding
        Names of the inputs that move the answer most, strongest first.
    """

    stops: tuple[Stop, ...] = ()
    no_part_reason: str | None = None
    repair_price: Dollars
    repair_lcc: float
    break_even_price: Decimal | None = None
    replacement: OpenReplacement | None = None
    replacement_closed_reason: str | None = None
    cheaper_if_it_fits: OpenReplacement | None = None
    indifference_band: Dollars
    age_years: float
    mean_life_years: float
    break_even_age_years: float | None = None
    best_planned_year: int | None = None
    best_planned_saves: Decimal | None = None
    chance_repair_cheaper: Annotated[float, Field(ge=0, le=1)] | None = None
    deciding: tuple[str, ...] = ()


def judge(weighing: Weighing) -> Verdict:
    """Say what is better for the customer.

    Parameters
    ----------
    weighing
        Stops, fit, both life-cycle costs, and how sure they are.

    Returns
    -------
    The verdict with its reasons, what would turn it, and the rules of thumb beside it.

    Notes
    -----
    A stop, or no part that fits, closes the repair path whatever the money says. Else
    repair and replace are said only where the expected costs differ by more than the
    indifference band and the chance, where it is known, points the same way and is not
    near even; all between is *either*. Dearer repairs therefore only ever move the
    verdict away from repair. The shop's cost and margin are not among the inputs.
    """
    if weighing.stops or weighing.no_part_reason:
        return Verdict(kind=VerdictKind.CLOSED, reasons=_closed_reasons(weighing))
    if weighing.replacement is None:
        why = weighing.replacement_closed_reason or "none is on the list"
        return Verdict(
            kind=VerdictKind.REPAIR,
            reasons=(f"No replacement may go here as things stand: {why.rstrip('.')}.",),
        )
    kind = _kind(weighing, weighing.replacement)
    return Verdict(
        kind=kind,
        reasons=_money_reasons(weighing, weighing.replacement, kind),
        turns_at=_turns_at(weighing, kind),
        rules_of_thumb=_rules_of_thumb(weighing, weighing.replacement),
    )


def _repair_saves(weighing: Weighing, replacement: OpenReplacement) -> Decimal:
    """Return how much less repairing costs over the study, exact to the cent [USD]."""
    return from_float(replacement.lcc - weighing.repair_lcc)


def _kind(weighing: Weighing, replacement: OpenReplacement) -> VerdictKind:
    saves = _repair_saves(weighing, replacement)
    chance = weighing.chance_repair_cheaper
    low, high = NEAR_EVEN
    if saves > weighing.indifference_band and (chance is None or chance > high):
        return VerdictKind.REPAIR
    if -saves > weighing.indifference_band and (chance is None or chance < low):
        return VerdictKind.REPLACE
    return VerdictKind.EITHER


def _closed_reasons(weighing: Weighing) -> tuple[str, ...]:
    reasons = [f"{stop.why.rstrip('.')}. {stop.what_to_do}".strip() for stop in weighing.stops]
    if weighing.no_part_reason:
        reason = weighing.no_part_reason.rstrip(".")
        reasons.append(f"No part that fits can be had today: {reason}.")
    mended_first = any(stop.closes_replacement for stop in weighing.stops)
    if weighing.replacement is None:
        why = weighing.replacement_closed_reason or "none is on the list"
        reasons.append(f"No replacement may go here either as things stand: {why.rstrip('.')}.")
    elif mended_first:
        reasons.append(
            "A new heater may not be lit either until that is corrected; after that, "
            f"replacing it would be with {weighing.replacement.name} "
            f"at {dollars(weighing.replacement.price)}."
        )
    else:
        reasons.append(
            f"Repair is closed as things stand. To replace the heater: {weighing.replacement.name} "
            f"at {dollars(weighing.replacement.price)}."
        )
    return tuple(reasons)


def _money_reasons(
    weighing: Weighing, replacement: OpenReplacement, kind: VerdictKind
) -> tuple[str, ...]:
    saves = _repair_saves(weighing, replacement)
    cheaper, dearer = ("Repairing", "replacing") if saves >= 0 else ("Replacing", "repairing")
    gap = f"{cheaper} is expected to cost {whole_dollars(abs(saves))} less than {dearer}"
    band = whole_dollars(weighing.indifference_band)
    if kind is VerdictKind.EITHER and abs(saves) <= weighing.indifference_band:
        first = f"{gap} over the years compared; up to {band} counts as no difference."
    elif kind is VerdictKind.EITHER:
        first = f"{gap} over the years compared, but that is not sure enough to call."
    else:
        first = f"{gap} over the years compared."
    reasons = [first]
    if weighing.chance_repair_cheaper is not None:
        percent = round(100 * weighing.chance_repair_cheaper)
        reasons.append(f"Repairing turns out cheaper in {percent} of 100 likely futures.")
    if weighing.deciding:
        reasons.append(f"What decides most: {', '.join(weighing.deciding)}.")
    planned = _planned_reason(weighing)
    if planned and kind is not VerdictKind.REPLACE:
        reasons.append(planned)
    return tuple(reasons)


def _planned_reason(weighing: Weighing) -> str | None:
    year, saves = weighing.best_planned_year, weighing.best_planned_saves
    if year is None:
        return None
    # What rounds to no dollar is no reason to plan.
    if saves is not None and saves < Decimal("0.50"):
        return "Once repaired, running the heater until it fails costs least."
    when = "in one year" if year == 1 else f"in {year} years"
    gain = "" if saves is None else f", {whole_dollars(saves)} less than waiting for it to fail"
    return f"Once repaired, replacing it on plan {when} costs least{gain}."


def _turns_at(weighing: Weighing, kind: VerdictKind) -> tuple[str, ...]:
    turns = []
    price = weighing.break_even_price
    if price is not None:
        now = dollars(weighing.repair_price)
        if price <= 0:
            turns.append("Even a repair that cost nothing would not be the cheaper path.")
        elif kind is VerdictKind.REPLACE or price < weighing.repair_price:
            turns.append(
                f"Repairing would be the cheaper path at a price below {dollars(price)}; "
                f"it is quoted at {now}."
            )
        else:
            turns.append(
                f"Replacing would be the cheaper path if the repair cost more than "
                f"{dollars(price)}; it is quoted at {now}."
            )
    other = weighing.cheaper_if_it_fits
    if other is not None:
        turns.append(
            f"{other.name} would cost less over the years compared, about "
            f"{whole_dollars(from_float(other.lcc))} in all, if it can go here; "
            "look at what is still to be checked."
        )
    age = weighing.break_even_age_years
    if age is not None:
        turns.append(
            f"With all else the same, the two paths cost the same at an age of {age:.1f} years; "
            f"this heater is {weighing.age_years:.1f}."
        )
    return tuple(turns)


def _rules_of_thumb(weighing: Weighing, replacement: OpenReplacement) -> tuple[RuleOfThumb, ...]:
    over_half = weighing.repair_price > replacement.price * HALF_OF_NEW
    past_life = weighing.age_years > weighing.mean_life_years
    return (
        RuleOfThumb(
            name="Half the price of new",
            says=VerdictKind.REPLACE if over_half else VerdictKind.REPAIR,
            why=(
                f"The repair at {dollars(weighing.repair_price)} is "
                f"{'more' if over_half else 'no more'} than half of a new heater "
                f"at {dollars(replacement.price)}."
            ),
        ),
        RuleOfThumb(
            name="Past its mean life",
            says=VerdictKind.REPLACE if past_life else VerdictKind.REPAIR,
            why=(
                f"The heater is {weighing.age_years:.1f} years old; heaters like it live "
                f"{weighing.mean_life_years:.1f} years on average."
            ),
        ),
    )

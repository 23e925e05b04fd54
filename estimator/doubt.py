"""When the finding is in doubt: what repairing is expected to cost, being wrong included.

A technician who is not sure mends the finding he takes first. If the heater still fails,
he comes back, takes the wrong part out, and mends the next one.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, NamedTuple

from pydantic import BaseModel, ConfigDict, Field

from estimator.errors import InputTrouble

if TYPE_CHECKING:
    from collections.abc import Sequence

Amount = Annotated[float, Field(ge=0, le=1e9, allow_inf_nan=False)]


class _Frozen(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")


class PossibleFinding(_Frozen):
    """One finding that may be the true one.

    `weight` is how likely it is beside the others, in any unit; `repair_price` [USD] what
    the customer pays for its remedy, ``None`` where no repair mends it and the heater is
    to be replaced.
    """

    name: str
    weight: Annotated[float, Field(gt=0, le=1e6, allow_inf_nan=False)]
    repair_price: Amount | None


class BeingWrong(_Frozen):
    """What each wrong attempt costs the customer besides the right repair.

    `second_visit_price` [USD] is the charge for coming again; `restock_price` [USD] what is
    lost on a part that goes back; `price_kept` [1] the share of the wrong repair's price
    that is not given back. With the defaults a wrong attempt costs nothing.
    """

    second_visit_price: Amount = 0.0
    restock_price: Amount = 0.0
    price_kept: Annotated[float, Field(ge=0, le=1)] = 0.0


class DoubtfulRepair(_Frozen):
    """What a repair comes to when the finding is in doubt.

    `tried` are the findings in the order of their attempts, those dropped for a replacement
    left out. `lcc` [USD] is the expected life-cycle cost of setting out to repair;
    `lcc_if_known` [USD] what it would be if the true finding were known beforehand, with the
    cheaper path taken for each, and `doubt_cost` [USD] the difference, never below 0.
    `chance_first_is_right` and `chance_replaced` [1]: that the first attempt mends it, and
    that the heater is replaced after all. `dearest_price` [USD] is the most that is paid
    before the heater runs or is given up.
    """

    tried: tuple[str, ...]
    lcc: float
    lcc_if_known: float
    doubt_cost: float
    chance_first_is_right: float
    chance_replaced: float
    dearest_price: float


class _Attempt(NamedTuple):
    name: str
    chance: float
    price: float
    wrong: float  # cost of this attempt when it was the wrong one


def doubtful_repair(
    findings: Sequence[PossibleFinding],
    lcc_after_repair: float,
    replace_lcc: float,
    wrong: BeingWrong | None = None,
) -> DoubtfulRepair:
    """Return what repairing is expected to cost when several findings may be true.

    Parameters
    ----------
    findings
        The findings that may be true, in the order in which they would be tried; exactly
        one is true.
    lcc_after_repair
        Life-cycle cost of the repair path without the price of repairing [USD].
    replace_lcc
        Life-cycle cost of replacing [USD].
    wrong
        What a wrong attempt costs; nothing where ``None``.

    Returns
    -------
    The expected cost, what the doubt costs of it, and the chances.

    Raises
    ------
    InputTrouble
        If two findings have one name, or there is none that a repair mends.

    Notes
    -----
    One attempt a visit. A wrong attempt costs `second_visit_price`, `restock_price` and
    `price_kept` of its price, and rules its finding out. The first attempt is always made,
    as it is what is quoted; after each wrong one the cheaper of going on and replacing is
    taken, for the expected cost from there. When all that can be mended have been ruled out
    the heater is replaced. A finding is found right or wrong without error, and a wrong
    attempt does not harm the heater or change its life.
    """
    _check(findings)
    wrong = wrong or BeingWrong()
    attempts = _attempts(findings, wrong)
    go_on = _go_on(attempts, lcc_after_repair, replace_lcc)
    made = attempts[: 1 + next((at for at, more in enumerate(go_on) if not more), len(go_on))]
    expected, spent, dearest, left = 0.0, 0.0, 0.0, 1.0
    for attempt in made:
        expected += attempt.chance * (spent + attempt.price + lcc_after_repair)
        dearest = max(dearest, spent + attempt.price)
        spent += attempt.wrong
        left -= attempt.chance
    replaced = left if len(made) < len(findings) else 0.0
    expected += replaced * (spent + replace_lcc)
    lcc_if_known = _lcc_if_known(findings, lcc_after_repair, replace_lcc)
    return DoubtfulRepair(
        tried=tuple(attempt.name for attempt in made),
        lcc=expected,
        lcc_if_known=lcc_if_known,
        doubt_cost=expected - lcc_if_known,
        chance_first_is_right=made[0].chance,
        chance_replaced=replaced,
        dearest_price=max(dearest, spent) if replaced else dearest,
    )


def cheapest_order(
    findings: Sequence[PossibleFinding], wrong: BeingWrong | None = None
) -> tuple[PossibleFinding, ...]:
    """Put findings in the order of attempts that is expected to cost least.

    Parameters
    ----------
    findings
        The findings that may be true.
    wrong
        What a wrong attempt costs; nothing where ``None``.

    Returns
    -------
    Those that can be mended, by the cost of a wrong attempt over the weight, least first;
    then those that cannot.

    Notes
    -----
    The order of least expected cost when every finding is tried until the heater runs, by
    exchange of neighbours: one goes before the next when its cost of being wrong times the
    other's weight is the smaller product. Where replacing cuts the attempts short, another
    order may be cheaper by a little.

    References
    ----------
    W. E. Smith, Various optimizers for single-stage production, Naval Research Logistics
    Quarterly 3 (1956); from memory.
    """
    wrong = wrong or BeingWrong()

    def key(finding: PossibleFinding) -> tuple[bool, float]:
        price = finding.repair_price
        return price is None, 0.0 if price is None else _wrong_cost(price, wrong) / finding.weight

    return tuple(sorted(findings, key=key))


def _check(findings: Sequence[PossibleFinding]) -> None:
    names = [finding.name for finding in findings]
    twice = next((name for name in names if names.count(name) > 1), None)
    if twice is not None:
        raise InputTrouble(
            f"The finding {twice} is given twice",
            mend="Give each finding once, with its whole weight.",
        )
    if all(finding.repair_price is None for finding in findings):
        raise InputTrouble(
            "There is no finding that a repair mends",
            mend="Give at least one finding with the price of its repair, or replace the heater.",
        )


def _wrong_cost(price: float, wrong: BeingWrong) -> float:
    return wrong.second_visit_price + wrong.restock_price + wrong.price_kept * price


def _attempts(findings: Sequence[PossibleFinding], wrong: BeingWrong) -> list[_Attempt]:
    total = sum(finding.weight for finding in findings)
    return [
        _Attempt(
            finding.name,
            finding.weight / total,
            finding.repair_price,
            _wrong_cost(finding.repair_price, wrong),
        )
        for finding in findings
        if finding.repair_price is not None
    ]


def _go_on(attempts: Sequence[_Attempt], lcc_after_repair: float, replace_lcc: float) -> list[bool]:
    """Say after each attempt but the last whether to go on to the next, once it was wrong."""
    left = 1.0 - sum(attempt.chance for attempt in attempts)
    worth = left * replace_lcc  # cost from here on, times the chance of being here
    go_on = []
    for attempt in reversed(attempts[1:]):
        mended = attempt.chance * (attempt.price + lcc_after_repair)
        trying = mended + left * attempt.wrong + worth
        left += attempt.chance
        replacing = left * replace_lcc
        go_on.append(trying <= replacing)
        worth = min(trying, replacing)
    return go_on[::-1]


def _lcc_if_known(
    findings: Sequence[PossibleFinding], lcc_after_repair: float, replace_lcc: float
) -> float:
    """Return the expected cost when the true finding is known: mended, or replaced at once."""
    total = sum(finding.weight for finding in findings)
    cost = 0.0
    for finding in findings:
        price = finding.repair_price
        mended = float("inf") if price is None else price + lcc_after_repair
        cost += finding.weight / total * min(mended, replace_lcc)
    return cost

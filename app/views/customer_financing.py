"""The shop's own payment plan beside a price: its monthly figure, and what the law asks.

Nothing is worked out of credit here: the figure is the shop's, and so are the terms.
"""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING

from app.language.marking import mark
from app.views.customer_sides import pick_compared
from estimator.money import to_cents

if TYPE_CHECKING:
    from app.language.speech import Speech
    from estimator.estimate import Estimate
    from estimator.rates import Financing

PLAN = mark("{label}: {amount} a month for {months} months by the shop's own payment plan.")
CAUTION = mark(
    "The monthly figure is the shop's own and no offer of credit. Before you sign for a plan, "
    "its terms must be given to you in writing, as the law asks: the yearly rate, all charges, "
    "the number of payments and their total."
)
# What must be disclosed before such credit is agreed to, from memory: 12 CFR 1026.17 and
# 1026.18; a payment named in an advertisement calls for more, 1026.24(d).
SOURCE = "12 CFR 1026.18"


def monthly_figure(price: Decimal, plan: Financing) -> Decimal | None:
    """Return what a price comes to a month by the shop's plan.

    Parameters
    ----------
    price
        The price to the customer [USD].
    plan
        The shop's plan.

    Returns
    -------
    The payment [USD/month], rounded half up to the cent; ``None`` under the least price.
    """
    if price <= 0 or price < plan.least_price:
        return None
    return to_cents(price * plan.per_month_of_1000 / 1000)


def financing_lines(
    estimate: Estimate, plan: Financing | None, labels: tuple[str, str], speech: Speech
) -> tuple[tuple[str, str], ...]:
    """Say the plan's monthly figure of each open path, and the caution that goes with it.

    Parameters
    ----------
    estimate
        The estimate.
    plan
        The shop's plan, where it has one.
    labels
        What repair and replacement are called.
    speech
        The language.

    Returns
    -------
    Text and source of each line; nothing where no path is financed.
    """
    if plan is None:
        return ()
    compared = pick_compared(estimate)
    prices = (
        estimate.repair.priced.total if estimate.repair.open else None,
        compared.price_after_incentives if compared else None,
    )
    said = []
    for label, price in zip(labels, prices, strict=True):
        figure = None if price is None else monthly_figure(price, plan)
        if figure is not None:
            amount = speech.formats.money(figure)
            said.append((speech.say(PLAN, label=label, amount=amount, months=plan.months), ""))
    return (*said, (speech.say(CAUTION), SOURCE)) if said else ()

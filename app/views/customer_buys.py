"""What the customer buys with each path: parts at hand, years, energy, what is left."""

from __future__ import annotations

from typing import TYPE_CHECKING

from app.views import customer_words as words

if TYPE_CHECKING:
    from app.language.speech import Speech
    from estimator.estimate import Estimate, PartShown, ReplacementPath


def repair_buys(estimate: Estimate, speech: Speech) -> dict[str, str]:
    """Say what the customer buys with the repair.

    Parameters
    ----------
    estimate
        The estimate.
    speech
        The language and the units.

    Returns
    -------
    What each sentence is about → the sentence, in the order to be read.
    """
    repair, heater, formats = estimate.repair, estimate.heater, speech.formats
    buys = {}
    if estimate.parts:
        buys["part"] = _availability(estimate.parts, speech)
    left = heater.mean_life_left_years
    buys["life"] = (
        speech.say(words.LIFE_LEFT, years=formats.years(left))
        if left >= 1
        else speech.say(words.LIFE_LEFT_SHORT)
    )
    now = formats.whole_money(heater.energy_cost_per_year)
    buys["energy"] = speech.say(words.ENERGY_NOW, energy=now)
    saves = repair.best_planned_saves
    if repair.best_planned_year is not None and saves is not None and saves >= 1:
        buys["plan"] = speech.say(
            words.PLAN,
            years=formats.years(repair.best_planned_year),
            saves=formats.whole_money(saves),
        )
    return buys


def replacement_buys(estimate: Estimate, path: ReplacementPath, speech: Speech) -> dict[str, str]:
    """Say what the customer buys with a new heater.

    Parameters
    ----------
    estimate
        The estimate.
    path
        The new heater.
    speech
        The language and the units.

    Returns
    -------
    What each sentence is about → the sentence, in the order to be read.
    """
    formats = speech.formats
    change = path.energy_cost_per_year - estimate.heater.energy_cost_per_year
    said = {
        "energy": formats.energy(path.energy_per_year, path.energy_unit),
        "amount": formats.whole_money(path.energy_cost_per_year),
    }
    if change <= -1:
        uses = speech.say(words.ENERGY_LESS, **said, less=formats.whole_money(-change))
    elif change >= 1:
        uses = speech.say(words.ENERGY_MORE, **said, more=formats.whole_money(change))
    else:
        uses = speech.say(words.ENERGY_NEW, **said)
    buys = {"energy_new": uses}
    if path.cost.residual >= 1:
        buys["value"] = speech.say(
            words.VALUE_LEFT,
            years=formats.years(estimate.study_years),
            value=formats.whole_money(path.cost.residual),
        )
    return buys


def _availability(parts: tuple[PartShown, ...], speech: Speech) -> str:
    """Say where the parts are; the one that is hardest to get decides."""
    stocks = [part.stock for part in parts]
    if all(stock.van for stock in stocks):
        return speech.say(words.PART_ON_VAN)
    away = [stock for stock in stocks if not stock.van]
    if all(stock.branch for stock in away):
        return speech.say(words.PART_AT_BRANCH)
    to_order = [stock.order_days for stock in away if not stock.branch]
    days = [wait for wait in to_order if wait is not None]
    if len(days) < len(to_order):
        return speech.say(words.PART_UNKNOWN)
    return speech.say(words.PART_TO_ORDER, days=max(days))

"""The two sides of the customer's view: repair, and the replacement it is compared with."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import TYPE_CHECKING

from app.views import customer_words as words
from app.views.customer_buys import repair_buys, replacement_buys
from app.views.customer_prices import PriceTable, build_price_table
from estimator.findings import REMEDIES, Remedy

if TYPE_CHECKING:
    from collections.abc import Sequence

    from app.language.speech import Speech
    from app.visit import Visit
    from estimator.estimate import Estimate, ReplacementPath
    from estimator.supply import Incentive


@dataclass(frozen=True)
class Side:
    """One path: what it is, what it costs today and per month, what it buys.

    A closed path has a reason and no prices. `you_pay` is the price today less what
    others pay (incentives); `offers` name who pays that and until when. `buys_keys` tell
    what each sentence of `buys` is about.
    """

    key: str
    label: str
    what: str
    open: bool
    closed_reason: str | None
    price_today: str | None
    incentives: str | None
    offers: tuple[str, ...]
    you_pay: str | None
    per_month: str | None
    over_study: str | None
    buys: tuple[str, ...]
    buys_keys: tuple[str, ...]
    checks: tuple[str, ...]
    prices: PriceTable | None


@dataclass(frozen=True)
class OtherReplacement:
    """A replacement that is not the one compared: one row; `key` is its slug."""

    key: str
    name: str
    open: bool
    you_pay: str | None
    per_month: str | None
    energy: str
    closed_reason: str | None
    checks: tuple[str, ...]


def sentence(text: str) -> str:
    """End a text with a full stop where it has no end mark.

    Parameters
    ----------
    text
        Words, with or without an end mark.

    Returns
    -------
    The sentence; an empty text stays empty.
    """
    return f"{text}." if text and text[-1] not in ".!?" else text


def capital(text: str) -> str:
    """Begin a text with a capital letter.

    Parameters
    ----------
    text
        Words.

    Returns
    -------
    The same words.
    """
    return text[:1].upper() + text[1:]


def pick_compared(estimate: Estimate) -> ReplacementPath | None:
    """Pick the replacement that stands beside the repair.

    Parameters
    ----------
    estimate
        The estimate.

    Returns
    -------
    The open replacement with the least life-cycle cost, one that is settled before one
    that is not, as the verdict takes it; ``None`` when all are closed.
    """
    open_paths = [path for path in estimate.replacements if path.closed_reason is None]
    return min(open_paths, key=lambda path: (not path.settled, path.cost.lcc), default=None)


def build_repair_side(visit: Visit, estimate: Estimate, lump: bool, speech: Speech) -> Side:
    """Build the repair side.

    Parameters
    ----------
    visit
        The visit.
    estimate
        The estimate.
    lump
        Show one sum in place of the items.
    speech
        The language and the units.

    Returns
    -------
    The side.
    """
    repair = estimate.repair
    remedy = visit.work.remedy
    label = speech.say(words.LABELS["repair"])
    unmendable = remedy is Remedy.REPLACE_HEATER
    what = speech.say(words.NO_REPAIR) if unmendable else speech.retell(REMEDIES[remedy].name)
    if not repair.open:
        return _closed_side("repair", label, what, speech.retell(repair.closed_reason or ""))
    formats = speech.formats
    total = formats.money(repair.priced.total)
    buys = repair_buys(estimate, speech)
    to_check = any(part.check_these for part in estimate.parts)
    return Side(
        key="repair",
        label=label,
        what=what,
        open=True,
        closed_reason=None,
        price_today=total,
        incentives=None,
        offers=(),
        you_pay=total,
        per_month=formats.whole_money(repair.per_month),
        over_study=formats.whole_money(repair.cost.lcc),
        buys=tuple(buys.values()),
        buys_keys=tuple(buys),
        checks=(speech.say(words.PART_CHECK),) if to_check else (),
        prices=build_price_table(repair.priced, what, lump, speech),
    )


def build_replacement_side(
    estimate: Estimate, compared: ReplacementPath | None, lump: bool, speech: Speech,
    offered: Sequence[Incentive] = (),
) -> Side:  # fmt: skip
    """Build the replacement side.

    Parameters
    ----------
    estimate
        The estimate.
    compared
        The replacement that is compared, or ``None`` when every one is closed.
    lump
        Show one sum in place of the items.
    speech
        The language and the units.
    offered
        What others pay towards it.

    Returns
    -------
    The side.
    """
    label, formats = speech.say(words.LABELS["replace"]), speech.formats
    if compared is None:
        reason = words.NO_REPLACEMENT if estimate.replacements else words.NONE_OFFERED
        return _closed_side("replace", label, speech.say(words.A_NEW_HEATER), speech.say(reason))
    what = capital(speech.retell(compared.name))
    buys = replacement_buys(estimate, compared, speech)
    mend_first = [
        speech.say(words.MEND_FIRST, what=speech.retell(stop.what_to_do))
        for stop in estimate.stops
        if stop.closes_replacement
    ]
    return Side(
        key="replace",
        label=label,
        what=what,
        open=True,
        closed_reason=None,
        price_today=formats.money(compared.priced.total),
        incentives=_incentives(compared, speech),
        offers=_offers(offered, speech) if compared.incentives else (),
        you_pay=formats.money(compared.price_after_incentives),
        per_month=formats.whole_money(compared.per_month),
        over_study=formats.whole_money(compared.cost.lcc),
        buys=tuple(buys.values()),
        buys_keys=tuple(buys),
        checks=(*mend_first, *(speech.retell(check) for check in compared.check_these)),
        prices=build_price_table(compared.priced, what, lump, speech),
    )


def _closed_side(key: str, label: str, what: str, reason: str) -> Side:
    return Side(
        key=key,
        label=label,
        what=what,
        open=False,
        closed_reason=sentence(reason),
        price_today=None,
        incentives=None,
        offers=(),
        you_pay=None,
        per_month=None,
        over_study=None,
        buys=(),
        buys_keys=(),
        checks=(),
        prices=None,
    )


def build_other(
    path: ReplacementPath, compared: ReplacementPath | None, speech: Speech
) -> OtherReplacement:
    """Build the row of a replacement that is not the one compared.

    Parameters
    ----------
    path
        The replacement.
    compared
        The replacement that is compared, if any.
    speech
        The language and the units.

    Returns
    -------
    The row; without prices when the path is closed, and without what is to be checked
    for the compared one too: that is said there.
    """
    said = compared.check_these if compared is not None else ()
    is_open, formats = path.closed_reason is None, speech.formats
    reason = speech.retell(path.closed_reason) if path.closed_reason else None
    return OtherReplacement(
        key=path.slug,
        name=capital(speech.retell(path.name)),
        open=is_open,
        you_pay=formats.money(path.price_after_incentives) if is_open else None,
        per_month=formats.whole_money(path.per_month) if is_open else None,
        energy=formats.energy(path.energy_per_year, path.energy_unit),
        closed_reason=sentence(reason) if reason else None,
        checks=tuple(
            sentence(speech.retell(check)) for check in path.check_these if check not in said
        ),
    )


def _incentives(path: ReplacementPath, speech: Speech) -> str | None:
    return speech.formats.money(path.incentives) if path.incentives > Decimal(0) else None


def _offers(offered: Sequence[Incentive], speech: Speech) -> tuple[str, ...]:
    """Say who pays and until when; how much each of several."""
    said = []
    for each in offered:
        words_of_it = speech.retell(each.name)
        if each.last_day is not None:
            day = speech.formats.long_date(each.last_day)
            words_of_it = speech.say(words.OFFER_UNTIL, name=words_of_it, day=day)
        amount = f"{speech.formats.money(each.amount)}: " if len(offered) > 1 else ""
        said.append(f"{amount}{words_of_it}")
    return tuple(said)

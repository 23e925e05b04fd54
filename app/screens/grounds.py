"""What the customer's numbers rest on, as markup."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING

from app.language.speech import Speech
from app.screens import marks, prices
from app.views.customer_words import ENERGY_NOW

if TYPE_CHECKING:
    from collections.abc import Iterable

    from app.views.customer import CustomerView, Note
    from app.views.customer_grounds import Ground
    from app.views.customer_sides import OtherReplacement
    from app.views.price import Advice


def prices_of(view: CustomerView) -> str:
    """Return what is in each price, one tap away."""
    return "".join(
        marks.more(
            f"{view.labels['prices']}: {side.label.lower()}",
            prices.table(side.prices, view.labels["total"]),
        )
        for side in (view.repair, view.replace)
        if side.prices
    )


def opened(view: CustomerView, *of: str) -> str:
    """Return where the numbers of a part of the view come from, each one tap away.

    Parameters
    ----------
    view
        What the customer reads.
    *of
        The parts: ``repair``, ``replace``, ``verdict`` or ``others``.
    """
    kept = [ground for ground in view.grounds if ground.of.partition(".")[0] in of]
    return marks.more(view.grounds_title, "".join(_opened(ground) for ground in kept))


def _opened(ground: Ground) -> str:
    rows = "".join(
        f'<tr><th scope="row">{escape(name)}</th><td class="sum">{escape(value)}</td></tr>'
        for name, value in ground.rows
    )
    table = f'<table class="prices">{rows}</table>' if rows else ""
    summary = f"{ground.about}: {ground.value}" if ground.about else ground.value
    return marks.more(summary, f"<p>{escape(ground.how)}</p>{table}")


def others(view: CustomerView) -> str:
    """Return the replacements that are not the one compared."""
    return "".join(f'<div class="path">{_other(each, view)}</div>' for each in view.others)


def _other(each: OtherReplacement, view: CustomerView) -> str:
    labels = view.labels
    head = f"<h3>{escape(each.name)}</h3>"
    if not each.open:
        closed = marks.tag(labels["not_open"], "stop")
        return f"{head}{closed}<p>{escape(each.closed_reason or '')}</p>"
    figures = (
        f"{labels['your_price']} {each.you_pay}",
        f"{labels['per_month']} {each.per_month}",
    )
    said = " · ".join(figures)
    uses = Speech(view.language, view.units).say(ENERGY_NOW, energy=each.energy)
    return f"{head}<p>{escape(said)}<br>{escape(uses)}</p>{marks.items(each.checks, 'checks')}"


def facts(view: CustomerView) -> str:
    """Return the facts, each marked where it was assumed."""
    assumed = view.labels["assumed"]
    rows = "".join(
        f'<tr><th scope="row">{escape(fact.label)} {marks.tag(assumed) if fact.assumed else ""}'
        f'<small>{escape(fact.note)}</small></th><td class="sum">{escape(fact.value)}</td></tr>'
        for fact in view.facts
    )
    return f'<table class="prices">{rows}</table>'


def notes(texts: Iterable[Note | Advice]) -> str:
    """Return cautions, each with its source where one is published."""
    rows = "".join(f"<li>{escape(each.text)}{_source(each.source)}</li>" for each in texts)
    return f'<ul class="plain-list">{rows}</ul>' if rows else ""


def _source(source: str) -> str:
    return f"<small>{escape(source)}</small>" if source else ""

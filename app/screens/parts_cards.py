"""What a search for parts found, as markup: numbers, fits, near misses, kits."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING

from app.screens import marks, part_card

if TYPE_CHECKING:
    from app.views.kits import KitCard
    from app.views.number_cards import NumberCard, TodayCard
    from app.views.parts import FitCard, PartsView, PositionRow
    from app.views.supplied import Besides


def number(card: NumberCard) -> str:
    """Return a number that may be meant: whose it is, how it was read, what goes in today."""
    read = f'<p class="under">{escape(card.how)}</p>' if card.how else ""
    known = " ".join(marks.tag(each, "good") for each in card.known)
    word, tone = ("Found as typed", "good") if card.exact else ("Read with a slip", "check")
    part = "" if card.part_number == card.number else f", part {escape(card.part_number)}"
    head = (
        f'<h2 class="heading">{escape(card.number)}</h2><p class="under">{escape(card.whose)}{part}'
        f"</p><p>{escape(card.description)}</p><p>{marks.tag(word, tone)} {known}</p>{read}"
    )
    if card.today is None:
        return head + marks.note("Nothing is sold for it today.", "stop")
    if card.today.number == card.part_number:
        return (
            f'{head}<div class="part"><span>Sold today</span><span class="figure minor">'
            f"{escape(card.today.price)}</span></div>"
            f"<p>{marks.tag(card.today.where, card.today.where_tone)}</p>"
        )
    label = "Today's part" if card.replaced else "Sold today"
    return f'{head}<p class="under">{label}</p>{today(card.today)}'


def today(card: TodayCard) -> str:
    """Return a part as it can be had today."""
    return (
        f'<div class="part"><b>{escape(card.number)}</b><span class="figure minor">'
        f"{escape(card.price)}</span></div><p>{escape(card.description)}</p>"
        f"<p>{marks.tag(card.where, card.where_tone)}</p>"
    )


def chain(numbers: tuple[str, ...]) -> str:
    """Return the numbers from the part found to the one sold today."""
    if len(numbers) < 2:
        return ""
    steps = " → ".join(escape(each) for each in numbers)
    return f'<p class="record"><b>Replaced by:</b> {steps}</p>'


def alike(view: PartsView) -> str:
    """Return what serves in place of the part found, one tap away."""
    rows = "".join(f'<div class="path">{today(card)}</div>' for card in view.alike)
    return marks.more(f"Alike ({len(view.alike)})", rows)


def fit(card: FitCard) -> str:
    """Return a part that fits, with every reason one tap away."""
    tags = marks.tag(card.fit_word, card.fit_tone) + marks.tag(card.where, card.where_tone)
    reasons = "".join(
        f"<li>{marks.tag(each.word, each.tone)} {escape(each.sentence)}</li>"
        for each in card.reasons
    )
    lacks = _listed("It lacks:", card.lacks) + _listed("It adds:", card.adds)
    return (
        f'<div class="part"><h2 class="heading">{escape(card.number)}</h2>'
        f'<span class="figure">{escape(card.price)}</span></div>'
        f'<p>{escape(card.description)}</p><p class="under">{escape(card.maker)}</p>'
        f'<p class="tags">{tags}</p>{part_card.checks(card.check_these)}{lacks}'
        + beside(card.besides)
        + marks.more("Feature by feature", f'<ul class="plain-list">{reasons}</ul>')
    )


def _listed(head: str, said: tuple[str, ...]) -> str:
    return f'<p class="under">{head}</p>{marks.items(said)}' if said else ""


def beside(parts: tuple[Besides, ...]) -> str:
    """Return what the job needs besides the part."""
    if not parts:
        return ""
    rows = "".join(part_card.beside(each) for each in parts)
    return f'<p class="under">Besides it:</p><ul class="plain-list">{rows}</ul>'


def position(row: PositionRow) -> str:
    """Return a position of a heater's parts list."""
    listed = "" if row.today and row.today.number == row.listed else f" (listed {row.listed})"
    part = today(row.today) if row.today else "<p>Nothing is sold for it today.</p>"
    return f'<div class="path"><h2 class="heading">{escape(row.position + listed)}</h2>{part}</div>'


def kit(card: KitCard, *, taken: bool) -> str:
    """Return what one remedy takes: part, companions, labor, price, where it is."""
    mark = '<p class="taken">✓ Taken</p>' if taken else ""
    head = (
        f'{mark}<div class="part"><h2 class="heading">{escape(card.name)}</h2>'
        f'<span class="figure">{escape(card.price)}</span></div>'
    )
    where = marks.tag(card.where, card.where_tone)
    if card.closed_reason:
        return f"{head}<p>{where}</p><p>{escape(card.closed_reason)}</p>"
    labor = marks.items((*card.labor, *filter(None, (card.access,))))
    missing = marks.items((f"Not in the catalog: {each}" for each in card.missing), "checks")
    return (
        f"{head}<p>{escape(card.part)}</p><p>{where}{marks.tag(card.hours)}</p>"
        + marks.items(card.check_these, "checks")
        + missing
        + marks.more("All it takes", f'{beside(card.besides)}<p class="under">Labor:</p>{labor}')
    )


def compared(cards: tuple[KitCard, ...], taken: str) -> str:
    """Return the remedies side by side: labor, where the parts are, and the whole price."""
    rows = "".join(
        f"<tr><td>{escape(card.name)}{' <b>✓ taken</b>' if card.name == taken else ''}"
        f"<small>{escape(card.where)}</small></td>"
        f'<td class="sum">{escape("" if card.closed_reason else card.hours)}</td>'
        f'<td class="sum">{escape(card.price or "none today")}</td></tr>'
        for card in cards
    )
    head = '<tr><th>Remedy</th><th class="sum">Labor</th><th class="sum">Price</th></tr>'
    return f'<table class="prices">{head}{rows}</table>'

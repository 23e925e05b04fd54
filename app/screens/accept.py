"""Accepting or declining on the customer's page: nothing is chosen until he chooses."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING

import streamlit as st

from app import customer_page, session
from app.screens import blocks, refusals
from app.views import answering

if TYPE_CHECKING:
    from collections.abc import Callable

    from app.ledger.records import IssuedQuote
    from app.people.guard import Actor
    from app.views.customer import CustomerView


HERE = "answer"
NOBODY = "—"


@refusals.said_at(HERE)  # where he signs, in his language
def _answer(
    who: Callable[[], Actor], quote: IssuedQuote, choice: str, text: str, name: str
) -> None:
    typed = st.session_state.get(name) or ""
    customer_page.answer(session.shop(), who(), quote, choice, typed, text, session.now())


@session.guarded
def _keep(widget: str, kept: str) -> None:
    """Keep what a field holds apart from it: in another language it is another field."""
    st.session_state[kept] = st.session_state[widget]


def show(view: CustomerView, quote: IssuedQuote, who: Callable[[], Actor]) -> None:
    """Lay out the answer that was given, or the way to give one.

    Parameters
    ----------
    view
        What the customer reads.
    quote
        The revision that it is of.
    who
        Says who answers, and raises where he may no longer.
    """
    if view.choices:
        _asked(view, quote, who)
        return
    refusals.show(HERE)
    if view.acceptance is not None:
        _given(view)


def _given(view: CustomerView) -> None:
    signed = view.acceptance
    assert signed is not None, "asked before"
    labels = view.labels
    text = "".join(f"<br>{escape(line)}" for line in signed.agreed_text.splitlines())
    with blocks.card("card-answer"):
        blocks.heading(signed.title, answering.said(view, answering.SIGNED))
        blocks.write(
            f"<p><strong>{escape(signed.choice)}.</strong> {escape(labels['accepted_at'])}: "
            f"<strong>{escape(signed.name or NOBODY)}</strong>, {escape(signed.at)}</p>"
            + (f"<p>{text.removeprefix('<br>')}</p>" if text else "")
            + f'<p class="under record">{escape(labels["record"])}: {signed.agreed_hash}</p>'
        )


def _asked(view: CustomerView, quote: IssuedQuote, who: Callable[[], Actor]) -> None:
    mine = f"answer-{quote.number}-{quote.revision}"
    chosen, named = f"{mine}-chosen", f"{mine}-named"
    here = f"{mine}-{view.language}-{view.units}"
    words = dict(zip(view.choice_keys, view.choices, strict=True))
    with blocks.card("card-answer"):
        blocks.heading(view.labels["sign"], view.heading.valid_text)
        before = st.session_state.get(chosen)
        choice = st.radio(
            view.labels["agree"],
            list(words),
            index=view.choice_keys.index(before) if before in words else None,
            format_func=words.__getitem__,
            key=f"{here}-choice",
            on_change=_keep,
            args=(f"{here}-choice", chosen),
            width="stretch",
        )
        if choice is None:
            refusals.show(HERE)
            blocks.small(answering.said(view, answering.NO_HURRY))
            return
        text = customer_page.agreed_text(view, choice)
        lines = "<br>".join(escape(line) for line in text.splitlines())
        blocks.write(
            f'<h3 class="heading">{escape(answering.said(view, answering.AGREE_TO))}</h3>'
            f'<p class="agreed">{lines}</p>'
        )
        field = f"{here}-name"
        st.text_input(
            answering.said(view, answering.TYPE_NAME),
            st.session_state.get(named, ""),
            key=field,
            on_change=_keep,
            args=(field, named),
        )
        refusals.show(HERE)
        st.button(
            answering.said(view, answering.SIGN),
            type="primary",
            key=f"{mine}-sign",
            on_click=_answer,
            args=(who, quote, choice, text, field),
            width="stretch",
        )

"""What of the books is counted: by day, person, finding, state, age of the heater, verdict."""

from __future__ import annotations

import streamlit as st

from app.desk.books import BookFilter
from app.desk.tallies import AGE_BANDS, STATES
from app.views.desk_book_words import filter_from, words_of
from estimator.findings import FINDINGS
from estimator.verdict import VerdictKind

KEYS = ("first", "last", "people", "findings", "states", "ages", "verdicts")


def show(people: tuple[str, ...]) -> BookFilter:
    """Lay out the filter, as the address asks for it at first; return what is chosen."""
    _take_up(people)
    with st.expander("**Filter**  \nby day, person, finding, state, age", key="books-filter"):
        first, last = st.columns(2)
        since = first.date_input("Issued from", None, key="books-first", format="YYYY-MM-DD")
        until = last.date_input("Issued to", None, key="books-last", format="YYYY-MM-DD")
        chosen = st.pills("Person", people, selection_mode="multi", key="books-people")
        findings = st.multiselect("Finding", [it.value for it in FINDINGS], key="books-findings",
                                  format_func=lambda it: words_of("finding", it))  # fmt: skip
        states = st.pills("State", STATES, selection_mode="multi", key="books-states",
                          format_func=str.capitalize)  # fmt: skip
        ages = st.pills("Age of the heater, years", AGE_BANDS, selection_mode="multi",
                        key="books-ages")  # fmt: skip
        verdicts = st.pills("Verdict", [it.value for it in VerdictKind], selection_mode="multi",
                            key="books-verdicts",
                            format_func=lambda it: words_of("verdict", it))  # fmt: skip
        st.button("Count everything", on_click=_clear, key="books-clear", width="stretch")
    words = (chosen, findings, states, ages, verdicts)
    return BookFilter(since, until, *(tuple(each) for each in words))


def _take_up(people: tuple[str, ...]) -> None:
    """Put what the address asks for into the filter, once."""
    asked = {name: st.query_params.get_all(name) for name in st.query_params}
    if not asked:
        return
    wanted = filter_from(asked, people)
    for key in KEYS:
        given = getattr(wanted, key)
        st.session_state[f"books-{key}"] = list(given) if isinstance(given, tuple) else given
    st.query_params.clear()


def _clear() -> None:
    for key in KEYS:
        st.session_state[f"books-{key}"] = None if key in ("first", "last") else []

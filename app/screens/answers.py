"""What a widget shows: the answer that the draft holds."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING, Any

import streamlit as st

from app.screens import marks
from app.views.typed import number_shown

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from app.views.fields import Choice, Field


def blank(field: Field) -> Any:
    """Return what a field shows while nobody has answered."""
    return {"text": "", "long_text": "", "tick": False, "many": []}.get(field.kind)


def shown(field: Field) -> Any:
    """Return what a field shows: the answer, or what stands there while there is none."""
    if field.is_number:
        return number_shown(field.value)
    return blank(field) if field.value is None else field.value


def words_of(choices: tuple[Choice, ...]) -> Callable[[Any], str]:
    """Return a function from a value to its words."""
    labels = {choice.value: choice.label for choice in choices}
    return lambda value: labels.get(value, str(value))


def turned(key: str) -> str:
    """Return the key that a widget goes by now.

    What a widget shows at first is its own default, never a write to the session's state.
    Streamlit tells the browser of a write once; a second tap that cuts that run short loses
    it, the browser shows an empty field and sends that back as if somebody had emptied it.
    A default is told with every run. To show something else, the widget takes a new key.
    """
    turns = st.session_state.get(f"{key}:turns", 0)
    return f"{key}:{turns}" if turns else key


def turn(key: str) -> None:
    """Let a widget start anew from its default in the next run."""
    st.session_state[f"{key}:turns"] = st.session_state.get(f"{key}:turns", 0) + 1


def following(key: str, value: Any) -> str:
    """Return the key of a widget that shows what is held elsewhere, such as in the draft.

    Parameters
    ----------
    key
        The widget's key at first.
    value
        What is held; it is the widget's default.

    Returns
    -------
    The key that it goes by now: a new one where the value changed, but not to what the widget
    shows. A value that could not be saved stays as typed.
    """
    last = f"{key}:last"
    changed = st.session_state.get(last, value) != value
    if changed and st.session_state.get(turned(key), value) != value:
        turn(key)
    st.session_state[last] = value
    return turned(key)


def place(value: Any, values: Sequence[Any]) -> int | None:
    """Return where a value stands in a list of choices; ``None`` where it does not."""
    return values.index(value) if value in values else None


def beside(field: Field) -> str:
    """Return what stands beside a field: its word, what is assumed, its limit, its problem."""
    said = [marks.tag(field.word, field.tone)] if field.word else []
    if field.required and field.value in (None, "") and not field.problem:
        said.append(marks.tag("needed", "check"))
    said += [marks.tag(f"assumed: {field.assumed}")] if field.assumed else []
    said += [f'<span class="hint">{escape(field.hint)}</span>'] if field.hint else []
    if field.problem:
        said.append(problem(field.problem))
    return "".join(said)


def problem(said: str) -> str:
    """Return why an answer is not usable, as it stands at its field; it is read out at once."""
    return f'<span class="problem" role="alert">{escape(said)}</span>'

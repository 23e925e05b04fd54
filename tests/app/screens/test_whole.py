"""What a field or a button does is done whole, though the next tap is there already."""

from __future__ import annotations

import tomllib
from pathlib import Path

from streamlit.testing.v1 import AppTest

CONFIG = Path(__file__).parents[3] / ".streamlit" / "config.toml"


def _page(guard: str) -> None:
    # the function's source is run on its own, so it imports what it needs
    import streamlit as st  # noqa: PLC0415
    from streamlit.runtime.scriptrunner import RerunData, get_script_run_ctx  # noqa: PLC0415

    from app import session  # noqa: PLC0415
    from app.screens import refusals  # noqa: PLC0415

    def keep() -> None:
        context = get_script_run_ctx()
        assert context is not None
        assert context.script_requests is not None
        context.script_requests.request_rerun(RerunData())  # the next tap, in the midst of this
        st.session_state["kept"] = st.session_state["box"]

    wraps = {"guarded": session.guarded, "said_at": refusals.said_at("here"), "bare": lambda it: it}
    st.text_input("Box", key="box", on_change=wraps[guard](keep))
    st.session_state["runs"] = st.session_state.get("runs", 0) + 1


def _kept(guard: str) -> tuple[object, int]:
    page = AppTest.from_function(_page, default_timeout=300, args=(guard,)).run()
    page.text_input(key="box").set_value("12").run()
    assert not page.exception
    state = page.session_state
    kept = state["kept"] if "kept" in state else None  # noqa: SIM401 - it has no get
    return kept, state["runs"]


def test_an_answer_is_kept_whole_and_the_next_run_follows() -> None:
    assert _kept("guarded")[0] == "12"
    assert _kept("said_at")[0] == "12"


def test_without_that_streamlit_breaks_the_answer_off() -> None:
    assert _kept("bare")[0] is None, "then it need no longer be held off"


def test_no_two_runs_of_a_session_go_on_at_once() -> None:
    assert tomllib.loads(CONFIG.read_text(encoding="utf-8"))["runner"]["fastReruns"] is False

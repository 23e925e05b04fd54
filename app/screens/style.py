"""The style sheet and the script, laid under every page."""

from __future__ import annotations

from pathlib import Path

import streamlit as st

STYLE = Path(__file__).with_name("style.css")
SCRIPT = Path(__file__).with_name("page.js")


def lay() -> None:
    """Lay both under the page, light or dark as the reader has it."""
    dark = '<i class="is-dark"></i>' if st.context.theme.type == "dark" else ""
    st.html(f"<style>{STYLE.read_text(encoding='utf-8')}</style>{dark}")
    script = f"<script>{SCRIPT.read_text(encoding='utf-8')}</script>"
    st.html(script, unsafe_allow_javascript=True)

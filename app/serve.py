"""The server of the page: Streamlit's own, with one address more, for the session's cookie."""

from __future__ import annotations

import sys
from typing import Any

import streamlit as st
from starlette.routing import Route

from app import session_cookie, wiring
from app.people.provider import provider_secrets
from estimator.errors import Trouble


def _secrets() -> dict[str, Any] | None:
    """Return what Streamlit needs to know of the shop's sign-in provider."""
    try:
        return provider_secrets(wiring.named_shop_folder())
    except Trouble as trouble:
        sys.exit(str(trouble))


app = st.App(
    "main.py",
    secrets=_secrets(),
    routes=[Route(session_cookie.ADDRESS, session_cookie.answer, methods=["POST"])],
)

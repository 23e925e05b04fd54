"""The style sheet, laid under every page."""

from __future__ import annotations

from pathlib import Path

import streamlit as st

STYLE = Path(__file__).with_name("style.css")
WATCH = """<script>
// A phone shows its number pad only where the field asks for it.
const pads = () => document.querySelectorAll('[class*="st-key-row-pad-"] input:not([inputmode])')
  .forEach(field => field.setAttribute("inputmode",
    field.closest('[class*="row-pad-whole"]') ? "numeric" : "decimal"));
// A box that has a name and takes focus is a group, not presentation.
const drops = () => document.querySelectorAll(
  '[data-testid="stFileUploaderDropzone"][role="presentation"]')
  .forEach(box => box.setAttribute("role", "group"));
// A second tap this soon is the same tap: it would hit what has come under the finger meanwhile.
const soon_ms = 350;
let last = {};
const once = tap => {
  const button = tap.target.closest("button");
  const again = button && button === last.button && tap.timeStamp - last.at < soon_ms;
  last = {button, at: tap.timeStamp};
  if (again) {
    tap.stopImmediatePropagation();
    tap.preventDefault();
  }
};
if (!window.padsWatched) {
  document.addEventListener("click", once, true);
  window.padsWatched = new MutationObserver(() => { pads(); drops(); });
  window.padsWatched.observe(document.body, {childList: true, subtree: true});
}
pads();
drops();
</script>"""


def lay() -> None:
    """Lay the style sheet under the page, light or dark as the reader has it."""
    dark = '<i class="is-dark"></i>' if st.context.theme.type == "dark" else ""
    st.html(f"<style>{STYLE.read_text(encoding='utf-8')}</style>{dark}")
    st.html(WATCH, unsafe_allow_javascript=True)

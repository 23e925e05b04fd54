"""Take the README's picture again: four screens of a phone, from the demo shop.

Usage: python tests/browser/take_screenshots.py FOLDER
"""

from __future__ import annotations

import sys
import tempfile
from io import BytesIO
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

from PIL import Image  # noqa: E402 - after the path is set
from playwright.sync_api import sync_playwright  # noqa: E402

from app.wiring import build_demo_shop  # noqa: E402
from tests.browser import driving  # noqa: E402
from tests.browser.serving import FLAGS, NO_BROWSER, Server, chromium  # noqa: E402

PHONE = {"width": 390, "height": 844}
STEPS = ("finding", "part", "price", "show")
TO_SIDES = """() => {
  document.querySelector(".st-key-card-sides").scrollIntoView({block: "start"});
  document.querySelector('[data-testid="stMain"]').scrollBy(0, -16);
}"""
GAP = 24
PAPER = (226, 222, 210)


def main(folder: Path) -> None:
    """Write `screenshot.png` into a folder."""
    found = chromium()
    if found is None:
        raise SystemExit(NO_BROWSER)
    with tempfile.TemporaryDirectory() as made:
        shop = build_demo_shop(Path(made))
        draft = shop.ledger.drafts.every()[0].draft_id
        shop.close()
        server = Server(Path(made))
        server.start()
        try:
            with sync_playwright() as play:
                browser = play.chromium.launch(executable_path=found, args=FLAGS)
                page = driving.signed_in(browser, server, PHONE)
                shots = []
                for step in STEPS:
                    driving.opened(page, f"{server.address}/?draft={draft}&step={step}")
                    if step == "show":  # what the customer reads: both paths next to each other
                        page.evaluate(TO_SIDES)
                        page.wait_for_timeout(300)
                    shots.append(Image.open(BytesIO(page.screenshot())).convert("RGB"))
                browser.close()
        finally:
            server.stop()
    folder.mkdir(parents=True, exist_ok=True)
    beside_each_other(shots).save(folder / "screenshot.png", optimize=True)


def beside_each_other(shots: list[Image.Image]) -> Image.Image:
    """Return the pictures in a row."""
    width = sum(shot.width for shot in shots) + GAP * (len(shots) + 1)
    height = max(shot.height for shot in shots) + 2 * GAP
    sheet = Image.new("RGB", (width, height), PAPER)
    left = GAP
    for shot in shots:
        sheet.paste(shot, (left, GAP))
        left += shot.width + GAP
    return sheet


if __name__ == "__main__":
    main(Path(sys.argv[1] if len(sys.argv) > 1 else "docs"))

"""The page served from a shop folder, and the Chromium that drives it."""

from __future__ import annotations

import os
import shutil
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
FLAGS = [
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
NO_BROWSER = (
    "There is no Chromium on this machine, so the page was not tried in a browser. "
    "Install Debian's package (sudo apt-get install chromium) and run again."
)


class Server:
    """The page on a free port, over a shop folder; it can be killed and started again."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            self.port = free.getsockname()[1]
        self.process: subprocess.Popen[bytes] | None = None

    @property
    def address(self) -> str:
        return f"http://127.0.0.1:{self.port}"

    def start(self) -> None:
        log = (self.folder / "page.log").open("ab")
        self.process = subprocess.Popen(
            [
                sys.executable,
                "-m",
                "streamlit",
                "run",
                "app/main.py",
                "--server.port",
                str(self.port),
            ],
            cwd=ROOT,
            env={**os.environ, "HEATER_SHOP": str(self.folder)},
            stdout=log,
            stderr=log,
        )
        self._wait()

    def _wait(self) -> None:
        for _ in range(200):
            try:
                with urllib.request.urlopen(f"{self.address}/_stcore/health", timeout=1):
                    return
            except (urllib.error.URLError, OSError):
                time.sleep(0.1)
        raise AssertionError(f"The page did not come up; see {self.folder / 'page.log'}")

    def stop(self) -> None:
        if self.process is not None:
            self.process.kill()
            self.process.wait(timeout=20)
            self.process = None

    def log(self) -> str:
        return (self.folder / "page.log").read_text(encoding="utf-8", errors="replace")


def chromium() -> str | None:
    """Return where Chromium is, if it is anywhere."""
    found = (shutil.which(name) for name in ("chromium", "chromium-browser", "google-chrome"))
    return next(filter(None, found), None)

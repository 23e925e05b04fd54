"""The page served from a shop folder, and the Chromium that drives it."""

from __future__ import annotations

import os
import random
import shutil
import signal
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator

ROOT = Path(__file__).resolve().parents[2]
FLAGS = [
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-dev-shm-usage",  # little shared memory in a container makes pages crash
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


# Below what Linux gives to outgoing connections: none of them can take it meanwhile.
PORTS = range(20_000, 32_000)
PATIENCE_S = 180
"""How long a page may take to come up: long, for a slow machine must not fail a test."""


class Server:
    """The page on a free port, over a shop folder; it can be killed and started again."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.port = 0
        self.process: subprocess.Popen[bytes] | None = None

    @property
    def address(self) -> str:
        return f"http://127.0.0.1:{self.port}"

    def start(self) -> None:
        """Start it, again on the port that it had; else on one that is free."""
        for _ in range(1 if self.port else 5):
            self.port = self.port or free_port()
            self.process = self._run()
            if self._came_up(self.process):
                return
            self.port = 0  # somebody else was quicker to take it
        self.stop()
        raise AssertionError(f"The page did not come up:\n{self.log()}")

    def _run(self) -> subprocess.Popen[bytes]:
        with (self.folder / "page.log").open("ab") as log:
            return subprocess.Popen(
                [
                    sys.executable,
                    "-m",
                    "streamlit",
                    "run",
                    "app/serve.py",
                    "--server.port",
                    str(self.port),
                ],
                cwd=ROOT,
                env={**os.environ, "HEATER_SHOP": str(self.folder)},
                stdout=log,
                stderr=log,
            )

    def _came_up(self, process: subprocess.Popen[bytes]) -> bool:
        """Wait for its answer; ``False`` where it has ended or never answers."""
        deadline = time.monotonic() + PATIENCE_S
        while process.poll() is None and time.monotonic() < deadline:
            try:
                with urllib.request.urlopen(f"{self.address}/_stcore/health", timeout=10):
                    return process.poll() is None
            except (urllib.error.URLError, OSError):
                time.sleep(0.1)
        return False

    def stop(self) -> None:
        if self.process is not None:
            self.process.kill()
            self.process.wait()
            self.process = None

    @contextmanager
    def held(self) -> Iterator[None]:
        """Hold the server still meanwhile, as over a slow line: what is asked waits for it."""
        assert self.process is not None
        self.process.send_signal(signal.SIGSTOP)
        try:
            yield
        finally:
            self.process.send_signal(signal.SIGCONT)

    def log(self) -> str:
        return (self.folder / "page.log").read_text(encoding="utf-8", errors="replace")


def free_port() -> int:
    """Return a port that nobody listens on."""
    while True:
        port = random.choice(PORTS)
        with socket.socket() as tried:
            try:
                tried.bind(("127.0.0.1", port))
            except OSError:
                continue
            return port


def chromium() -> str | None:
    """Return where Chromium is, if it is anywhere."""
    found = (shutil.which(name) for name in ("chromium", "chromium-browser", "google-chrome"))
    return next(filter(None, found), None)

"""Run `heater` as a person would, in a process of its own or in this one."""

from __future__ import annotations

import contextlib
import io
import sys
from dataclasses import dataclass
from unittest.mock import patch

from app.cli import main


@dataclass(frozen=True)
class Done:
    """What a command printed and how it ended."""

    status: int
    stdout: str
    stderr: str


def run(*words: object) -> Done:
    """Run `heater` with these words through its own entry point."""
    out, err = io.StringIO(), io.StringIO()
    status = 0
    with (
        patch.object(sys, "argv", ["heater", *map(str, words)]),
        contextlib.redirect_stdout(out),
        contextlib.redirect_stderr(err),
    ):
        try:
            main()
        except SystemExit as ended:
            status = ended.code if isinstance(ended.code, int) else int(ended.code is not None)
    return Done(status, out.getvalue(), err.getvalue())

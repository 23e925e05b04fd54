"""A program that publishes a price list and kills itself at a stage that the test names."""

from __future__ import annotations

import signal
import subprocess
import sys
from pathlib import Path

PROJECT = Path(__file__).parents[2]

KILLED_AT = {
    "read": ("catalog.price_staging:_number_lines", "before"),
    "judged": ("catalog.price_lists:write_beside", "before"),
    "half written": ("catalog.price_writing:derive_by_supplier", "before"),
    "written, not committed": ("catalog.price_writing:seal", "after"),
    "whole, under another name": ("pathlib:Path.replace", "before"),
    "under its name": ("catalog.price_lists:point_to", "before"),
    "pointed to": ("catalog.price_lists:point_to", "after"),
    "earlier ones being deleted": ("catalog.price_lists:keep_last", "before"),
}
"""Stage → the function at which the program dies, and on which side of it."""

IN_FORCE_BY_THEN = ("pointed to", "earlier ones being deleted")

PUBLISH_AND_DIE = """
import importlib, os, signal, sys
from datetime import date
from functools import reduce
from pathlib import Path
from catalog.price_lists import publish_price_list

def die():
    print("dies here", flush=True)
    os.kill(os.getpid(), signal.SIGKILL)

module, _, names = sys.argv[4].partition(":")
*inside, name = names.split(".")
owner = reduce(getattr, inside, importlib.import_module(module))
whole = getattr(owner, name)

def fatal(*given, **named):
    if sys.argv[5] == "before":
        die()
    whole(*given, **named)
    die()

setattr(owner, name, fatal)
publish_price_list(Path(sys.argv[1]), Path(sys.argv[2]), sys.argv[3], date(2026, 2, 1))
"""


def publish_and_die(catalogs: Path, path: Path, supplier: str, stage: str) -> None:
    """Publish a price list in a program of its own that is killed at a stage.

    Parameters
    ----------
    catalogs, path, supplier
        As for `catalog.price_lists.publish_price_list`.
    stage
        A key of `KILLED_AT`.
    """
    ran = subprocess.run(
        [sys.executable, "-c", PUBLISH_AND_DIE, str(catalogs), str(path), supplier,
         *KILLED_AT[stage]],
        cwd=PROJECT, check=False, capture_output=True, text=True,
    )  # fmt: skip
    assert ran.returncode == -signal.SIGKILL, ran.stderr
    # DuckDB may draw a bar of its progress before it, in a program that has no file.
    assert ran.stdout.endswith("dies here\n")

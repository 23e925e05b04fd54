"""What every command prints: JSON alone on standard output, or words for a person."""

from __future__ import annotations

import io
import json
import sys
from typing import Annotated, Any

import typer

JsonFlag = Annotated[bool, typer.Option("--json", help="Print JSON and nothing else.")]


def print_json(value: Any) -> None:
    """Print a value as JSON, numbers unrounded.

    Parameters
    ----------
    value
        Plain JSON values.
    """
    # A terminal of another encoding gets escapes, which JSON reads as the same text.
    plain = _encoding() != "utf8"
    json.dump(value, sys.stdout, indent=2, ensure_ascii=plain, allow_nan=False)
    sys.stdout.write("\n")


def _encoding() -> str:
    return (getattr(sys.stdout, "encoding", None) or "utf-8").lower().replace("-", "")


def print_safely() -> None:
    """Let what a terminal cannot show be printed as its code: no sign stops a command."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="backslashreplace")


def print_pairs(pairs: dict[str, object]) -> None:
    """Print names and values, one a line, values in one column.

    Parameters
    ----------
    pairs
        Name → value; of none, nothing is printed.
    """
    width = max(map(len, pairs), default=0)
    for name, value in pairs.items():
        typer.echo(f"{name:<{width}}  {value}")

"""What every command prints: JSON alone on standard output, or words for a person."""

from __future__ import annotations

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
    json.dump(value, sys.stdout, indent=2, ensure_ascii=False, allow_nan=False)
    sys.stdout.write("\n")


def print_pairs(pairs: dict[str, object]) -> None:
    """Print names and values, one a line, values in one column.

    Parameters
    ----------
    pairs
        Name → value.
    """
    width = max(len(name) for name in pairs)
    for name, value in pairs.items():
        typer.echo(f"{name:<{width}}  {value}")

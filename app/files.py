"""Files that people write: read whole, with plain words about what is wrong with them."""

from __future__ import annotations

import tomllib
from decimal import Decimal
from typing import TYPE_CHECKING, Any

from estimator.errors import InputTrouble

if TYPE_CHECKING:
    from pathlib import Path

LARGEST_BYTES = 2_000_000


def read_toml(path: Path) -> dict[str, Any]:
    """Read a TOML file; numbers with a point stay exact.

    Parameters
    ----------
    path
        The file.

    Returns
    -------
    Its keys and values; decimal numbers as ``Decimal``.

    Raises
    ------
    InputTrouble
        If it is missing, not a file, too large, not UTF-8, or not TOML.
    """
    try:
        size = path.stat().st_size
        if size > LARGEST_BYTES:
            raise InputTrouble(
                f"The file is {size:,} bytes; at most {LARGEST_BYTES:,} are read",
                str(path),
                "Give the file that you meant.",
            )
        content = path.read_bytes()
    except FileNotFoundError:
        raise InputTrouble("There is no file", str(path), "Check the name.") from None
    except OSError as refused:
        reason = refused.strerror or type(refused).__name__
        raise InputTrouble(f"The file cannot be read: {reason}", str(path)) from None
    return toml_from(content, str(path))


def toml_from(content: bytes, where: str) -> dict[str, Any]:
    """Read the content of a TOML file; numbers with a point stay exact.

    Parameters
    ----------
    content
        What is in the file.
    where
        Its name, for the message.

    Returns
    -------
    Its keys and values; decimal numbers as ``Decimal``.

    Raises
    ------
    InputTrouble
        If it is not UTF-8, or not TOML.
    """
    try:
        return tomllib.loads(content.decode("utf-8-sig"), parse_float=Decimal)
    except UnicodeDecodeError:
        raise InputTrouble(
            "The file is not UTF-8 text", where, "Save it as UTF-8 and try again."
        ) from None
    except RecursionError:
        raise InputTrouble(
            "The file is not TOML: its brackets stand in each other too deep", where,
            "Correct them and try again.",
        ) from None  # fmt: skip
    except tomllib.TOMLDecodeError as refused:
        raise InputTrouble(
            f"The file is not TOML: {refused}", where, "Correct that line and try again."
        ) from None


def write_whole(path: Path, content: bytes) -> None:
    """Write a file whole or not at all.

    Parameters
    ----------
    path
        The file; one that is there is replaced only when the new one is complete.
    content
        What goes into it.

    Raises
    ------
    InputTrouble
        If it cannot be written there.
    """
    beside = path.with_name(f"{path.name}.tmp")
    try:
        beside.write_bytes(content)
        beside.replace(path)
    except OSError as refused:
        beside.unlink(missing_ok=True)
        reason = refused.strerror or type(refused).__name__
        raise InputTrouble(
            f"The file cannot be written: {reason}", str(path), "Give another place."
        ) from None

"""The shop's logo for its written quotes: read from its folder, checked, kept small."""

from __future__ import annotations

import struct
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from estimator.errors import InputTrouble

if TYPE_CHECKING:
    from pathlib import Path

FILES = ("logo.svg", "logo.png")
MOST_BYTES = 256 * 1024
MOST_PIXELS = 4_000
_PNG = b"\x89PNG\r\n\x1a\n"
# What would make a picture load something or run something.
_NOT_IN_SVG = (b"<script", b"<!entity", b"<!doctype", b'href="http', b"href='http", b"file:")


@dataclass(frozen=True)
class Logo:
    """A checked logo: its bytes and whether they are png or svg."""

    format: str
    content: bytes

    def for_typesetter(self) -> dict[str, Any]:
        """Return it as JSON can carry it: numbers of bytes."""
        return {"format": self.format, "bytes": list(self.content)}


def read_logo(folder: Path) -> Logo | None:
    """Read the logo from a shop's folder.

    Parameters
    ----------
    folder
        The shop's folder; `logo.svg` goes before `logo.png`.

    Returns
    -------
    The logo, or ``None`` where there is no such file.

    Raises
    ------
    InputTrouble
        If the file is too large, is not what its name says, or would load something.
    """
    path = next((folder / name for name in FILES if (folder / name).is_file()), None)
    if path is None:
        return None
    size = path.stat().st_size
    if size > MOST_BYTES:
        raise InputTrouble(
            f"The logo has {size:,} bytes; it may have {MOST_BYTES:,}",
            str(path),
            "Save it smaller.",
        )
    content = path.read_bytes()
    fault = _svg_fault(content) if path.suffix == ".svg" else _png_fault(content)
    if fault:
        raise InputTrouble(f"The logo {fault}", str(path), "Save it again as a plain picture.")
    return Logo(path.suffix[1:], content)


def _png_fault(content: bytes) -> str:
    if not content.startswith(_PNG) or len(content) < 24:
        return "is not a PNG picture"
    width, height = struct.unpack(">II", content[16:24])
    if not (0 < width <= MOST_PIXELS and 0 < height <= MOST_PIXELS):
        return f"has {width} by {height} pixels; each side may have {MOST_PIXELS:,}"
    return ""


def _svg_fault(content: bytes) -> str:
    lowered = content.lower()
    if b"<svg" not in lowered[:2_000]:
        return "is not an SVG picture"
    held = next((each.decode() for each in _NOT_IN_SVG if each in lowered), "")
    return f"holds {held}, which a picture needs not" if held else ""

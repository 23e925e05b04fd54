"""Which letters the packaged fonts hold, read from the fonts themselves."""

from __future__ import annotations

import re
import struct
import unicodedata
from functools import cache
from pathlib import Path

FONTS = Path(__file__).parent / "fonts"
_WHOLE_RANGE, _SEGMENTS = 12, 4
_LAST_OF_PLANE = 0xFFFF
# They change what stands beside them and are not drawn themselves.
_UNDRAWN = frozenset({"Cf", "Zs", "Zl", "Zp", "Cc"})
_VARIATIONS = range(0xFE00, 0xFE10)


def drawable(text: str) -> str:
    """Write each letter that no font holds as its number, so that nothing is an empty box.

    Parameters
    ----------
    text
        Any text.

    Returns
    -------
    The text; letters without a font stand as ``[U+1403 U+14C4]``.
    """
    if text.isascii():
        return text
    missing = "".join({character for character in text if not _has_glyph(character)})
    if not missing:
        return text
    run = re.compile(f"[{re.escape(missing)}]+")
    return run.sub(lambda found: f"[{' '.join(f'U+{ord(c):04X}' for c in found.group())}]", text)


def _has_glyph(character: str) -> bool:
    number = ord(character)
    if number in _VARIATIONS or unicodedata.category(character) in _UNDRAWN:
        return True
    return number in _held()


@cache
def _held() -> frozenset[int]:
    """Read the character maps of all packaged fonts, once a process."""
    return frozenset().union(*(_characters_of(path) for path in sorted(FONTS.glob("*.ttf"))))


def _characters_of(path: Path) -> set[int]:
    """Return the characters of one font by its "cmap" table.

    Parameters
    ----------
    path
        A TrueType font.

    Returns
    -------
    Their numbers.

    References
    ----------
    ISO/IEC 14496-22 (Open Font Format), table "cmap", formats 4 and 12.
    """
    data = path.read_bytes()
    (tables,) = struct.unpack_from(">H", data, 4)
    records = (struct.unpack_from(">4sLLL", data, 12 + 16 * at) for at in range(tables))
    start = next(offset for tag, _, offset, _ in records if tag == b"cmap")
    (count,) = struct.unpack_from(">H", data, start + 2)
    found: set[int] = set()
    for at in range(count):
        _, _, offset = struct.unpack_from(">HHL", data, start + 4 + 8 * at)
        (kind,) = struct.unpack_from(">H", data, start + offset)
        if kind == _WHOLE_RANGE:
            found |= _groups(data, start + offset)
        elif kind == _SEGMENTS:
            found |= _segments(data, start + offset)
    return found


def _groups(data: bytes, at: int) -> set[int]:
    (count,) = struct.unpack_from(">L", data, at + 12)
    found: set[int] = set()
    for each in range(count):
        first, last, _ = struct.unpack_from(">LLL", data, at + 16 + 12 * each)
        found.update(range(first, last + 1))
    return found


def _segments(data: bytes, at: int) -> set[int]:
    (doubled,) = struct.unpack_from(">H", data, at + 6)
    count = doubled // 2
    ends = struct.unpack_from(f">{count}H", data, at + 14)
    starts = struct.unpack_from(f">{count}H", data, at + 16 + doubled)
    deltas = struct.unpack_from(f">{count}H", data, at + 16 + 2 * doubled)
    offsets_at = at + 16 + 3 * doubled
    offsets = struct.unpack_from(f">{count}H", data, offsets_at)
    found: set[int] = set()
    for each, (first, last) in enumerate(zip(starts, ends, strict=True)):
        for number in range(first, min(last, _LAST_OF_PLANE - 1) + 1):
            glyph = number
            if offsets[each]:
                place = offsets_at + 2 * each + offsets[each] + 2 * (number - first)
                (glyph,) = struct.unpack_from(">H", data, place)
            if glyph and (glyph + deltas[each]) % (_LAST_OF_PLANE + 1):
                found.add(number)
    return found

"""Photos of a visit: whatever a phone sends, made small, plain and harmless."""

from __future__ import annotations

import io
import warnings
from datetime import datetime
from enum import StrEnum
from typing import TYPE_CHECKING

from app.people.guard import Actor, require
from app.people.roles import Action
from estimator.errors import InputTrouble

if TYPE_CHECKING:
    from app.ledger.entries import Photo
    from app.shop import Shop

LARGEST_UPLOAD_BYTES = 25_000_000
MOST_PIXELS = 60_000_000
LONGEST_SIDE_PX = 1280
WANTED_BYTES = 300_000
_QUALITIES = (80, 65, 50, 35)
_FORMATS = ("JPEG", "PNG", "WEBP")


class PhotoKind(StrEnum):
    """What a photo shows."""

    PLATE = "plate"
    PART = "part"
    SITE = "site"


def attach_photo(
    shop: Shop, actor: Actor, draft_id: str, kind: PhotoKind | str, uploaded: bytes, at: datetime
) -> Photo:
    """Keep a photo with a visit.

    Parameters
    ----------
    shop
        The shop.
    actor
        Who took it.
    draft_id
        The draft of the visit.
    kind
        What it shows.
    uploaded
        The bytes as the phone sent them.
    at
        Now, with its zone.

    Returns
    -------
    The photo as it was kept; `photo_jpeg` gives its bytes.

    Raises
    ------
    Trouble
        If it is not the actor's to do, the bytes are no photo or too large, or the visit has
        as many photos as it may.
    """
    require(shop, actor, Action.ATTACH_PHOTO, at)
    if kind not in tuple(PhotoKind):
        raise InputTrouble(f'"{str(kind)[:40]}" is no kind of photo', "", "Take plate, part, site.")
    jpeg, size_px = small_jpeg(uploaded)
    return shop.ledger.photos.attach(draft_id, str(kind), jpeg, size_px, actor.name, at)


def visit_photos(shop: Shop, actor: Actor, draft_id: str) -> tuple[Photo, ...]:
    """Return the photos of a visit, by its draft's id also once its quote is issued."""
    require(shop, actor, Action.SEE_PHOTO)
    return shop.ledger.photos.of_visit(draft_id)


def photo_jpeg(shop: Shop, actor: Actor, photo_id: str) -> bytes:
    """Return the bytes of a photo as JPEG."""
    require(shop, actor, Action.SEE_PHOTO)
    return shop.ledger.photos.jpeg(photo_id)


def remove_photo(shop: Shop, actor: Actor, photo_id: str, at: datetime) -> None:
    """Take a photo of a visit under way away."""
    require(shop, actor, Action.ATTACH_PHOTO, at)
    shop.ledger.photos.remove(photo_id, actor.name, at)


def small_jpeg(uploaded: bytes) -> tuple[bytes, tuple[int, int]]:
    """Make a small JPEG of a photo, with its pixels alone: no place, no time, no camera.

    Parameters
    ----------
    uploaded
        A JPEG, PNG or WebP file.

    Returns
    -------
    The file, upright, and its width and height [pixels].

    Raises
    ------
    InputTrouble
        If it is too large, no such picture, damaged, or would unpack to too many pixels; the
        size is read from its head before a pixel is unpacked.
    """
    if len(uploaded) > LARGEST_UPLOAD_BYTES:
        raise InputTrouble(
            f"The photo is {len(uploaded):,} bytes; at most {LARGEST_UPLOAD_BYTES:,} are taken",
            "",
            "Take it at a smaller size.",
        )
    from PIL import Image, ImageOps, UnidentifiedImageError  # noqa: PLC0415 - wanted here only

    try:
        with warnings.catch_warnings():
            # Pillow warns of a bomb before it refuses one; the count below is stricter.
            warnings.simplefilter("ignore", Image.DecompressionBombWarning)
            with Image.open(io.BytesIO(uploaded), formats=_FORMATS) as picture:
                width, height = picture.size
                if width * height > MOST_PIXELS or min(width, height) < 1:
                    raise _too_many_pixels(width, height)
                picture.draft("RGB", (LONGEST_SIDE_PX, LONGEST_SIDE_PX))
                upright = ImageOps.exif_transpose(picture).convert("RGB")
    except Image.DecompressionBombError:
        raise _too_many_pixels() from None
    except (UnidentifiedImageError, OSError, ValueError, SyntaxError, EOFError):
        raise InputTrouble(
            "This is no photo that can be read", "", "Take it again as a JPEG or PNG."
        ) from None
    upright.thumbnail((LONGEST_SIDE_PX, LONGEST_SIDE_PX))
    # A new picture of the same pixels: whatever else the file carried stays behind.
    plain = Image.new("RGB", upright.size)
    plain.paste(upright)
    jpeg = b""
    for quality in _QUALITIES:
        out = io.BytesIO()
        plain.save(out, "JPEG", quality=quality, optimize=True)
        jpeg = out.getvalue()
        if len(jpeg) <= WANTED_BYTES:
            return jpeg, plain.size
    plain.thumbnail((LONGEST_SIDE_PX // 2, LONGEST_SIDE_PX // 2))
    out = io.BytesIO()
    plain.save(out, "JPEG", quality=_QUALITIES[-1], optimize=True)
    return out.getvalue(), plain.size


def _too_many_pixels(width: int = 0, height: int = 0) -> InputTrouble:
    size = f"{width} by {height}" if width else "too many"
    return InputTrouble(
        f"The photo has {size} pixels; at most {MOST_PIXELS:,} are taken",
        "",
        "Take it at a smaller size.",
    )

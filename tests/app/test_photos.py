from __future__ import annotations

import io
import struct
import zlib
from pathlib import Path

import pytest
from PIL import Image

from app import photos
from app.people.guard import Actor, customer
from app.people.roles import Role
from estimator.errors import InputTrouble, LedgerTrouble, Trouble
from tests.app.ledger.support import NOW, published, quote_to_issue
from tests.app.people.support import bare_shop

TECHNICIAN = Actor("T. Sample", Role.TECHNICIAN)
PLACE_MARK = b"Somewhere 40.7 N"


def picture(size=(3000, 2000), kind="JPEG", *, noisy=False, turned=False) -> bytes:
    made = Image.effect_noise(size, 120).convert("RGB") if noisy else Image.new("RGB", size, "red")
    exif = Image.Exif()
    exif[0x010E] = PLACE_MARK.decode()
    exif[0x8825] = {1: "N", 2: (40.0, 42.0, 46.0)}
    if turned:
        exif[0x0112] = 6
    out = io.BytesIO()
    made.save(out, kind, exif=exif, quality=95)
    return out.getvalue()


@pytest.fixture
def shop(tmp_path: Path):
    opened = bare_shop(tmp_path)
    yield opened
    opened.close()


def test_a_photo_is_made_small_and_tells_nothing_but_its_pixels():
    sent = picture()
    assert PLACE_MARK in sent
    kept, size = photos.small_jpeg(sent)
    assert size == (1280, 853)
    again = Image.open(io.BytesIO(kept))
    assert (again.format, again.size, dict(again.getexif())) == ("JPEG", size, {})
    assert PLACE_MARK not in kept
    assert b"Exif" not in kept
    assert len(kept) <= photos.WANTED_BYTES


def test_a_turned_photo_stands_upright():
    _, size = photos.small_jpeg(picture(turned=True))
    assert size == (853, 1280)


@pytest.mark.parametrize("kind", ["PNG", "WEBP"])
def test_other_pictures_become_jpeg(kind):
    kept, size = photos.small_jpeg(picture((300, 200), kind))
    assert (Image.open(io.BytesIO(kept)).format, size) == ("JPEG", (300, 200))


def test_a_photo_that_does_not_compress_is_still_small():
    kept, _ = photos.small_jpeg(picture((4000, 3000), noisy=True))
    assert len(kept) <= 400_000


def _bomb(width: int, height: int) -> bytes:
    """A PNG of a few hundred bytes whose head promises many pixels."""

    def chunk(kind: bytes, content: bytes) -> bytes:
        check = struct.pack(">I", zlib.crc32(kind + content))
        return struct.pack(">I", len(content)) + kind + content + check

    head = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    body = chunk(b"IDAT", zlib.compress(b"\0" * 10_000, 9))
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + body + chunk(b"IEND", b"")


@pytest.mark.parametrize("size", [(10_000, 10_000), (60_000, 60_000), (1, 100_000_000)])
def test_a_decompression_bomb_is_refused_before_it_is_unpacked(size):
    with pytest.raises(InputTrouble, match="pixels; at most 60,000,000 are taken"):
        photos.small_jpeg(_bomb(*size))


@pytest.mark.parametrize(
    "sent",
    [b"", b"x", b"%PDF-1.7", b"<svg/>", b"GIF89a" + b"\0" * 100, picture((100, 100))[:400]],
)
def test_what_is_no_photo_is_said(sent):
    with pytest.raises(InputTrouble, match="This is no photo that can be read"):
        photos.small_jpeg(sent)


def test_a_file_that_is_too_large_is_said(monkeypatch):
    monkeypatch.setattr(photos, "LARGEST_UPLOAD_BYTES", 1000)
    with pytest.raises(InputTrouble, match="at most 1,000 are taken"):
        photos.small_jpeg(picture())


def test_photos_go_with_the_visit(shop):
    ledger = shop.ledger
    published(ledger)
    draft = ledger.drafts.start("T. Sample", {}, NOW)
    kept = photos.attach_photo(shop, TECHNICIAN, draft.draft_id, "plate", picture(), NOW)
    same = photos.attach_photo(shop, TECHNICIAN, draft.draft_id, "plate", picture(), NOW)
    assert kept == same
    assert photos.visit_photos(shop, TECHNICIAN, draft.draft_id) == (kept,)
    jpeg = photos.photo_jpeg(shop, TECHNICIAN, kept.photo_id)
    assert Image.open(io.BytesIO(jpeg)).size == (kept.width_px, kept.height_px)
    ledger.quotes.issue(quote_to_issue(draft_id=draft.draft_id))
    assert photos.visit_photos(shop, TECHNICIAN, draft.draft_id) == (kept,)
    with pytest.raises(LedgerTrouble, match="its photos stay with it"):
        photos.remove_photo(shop, TECHNICIAN, kept.photo_id, NOW)
    assert ledger.verify(None).sound


def test_a_discarded_visit_takes_its_photos_with_it(shop):
    draft = shop.ledger.drafts.start("T. Sample", {}, NOW)
    kept = photos.attach_photo(shop, TECHNICIAN, draft.draft_id, "part", picture(), NOW)
    shop.ledger.drafts.discard(draft.draft_id)
    with pytest.raises(LedgerTrouble, match="There is no such photo"):
        photos.photo_jpeg(shop, TECHNICIAN, kept.photo_id)
    assert shop.ledger.verify(None).sound


def test_a_visit_has_so_many_photos_and_no_more(shop):
    for turn in range(8):
        sent = picture((100 + turn, 100))
        kept = photos.attach_photo(shop, TECHNICIAN, "draft", "site", sent, NOW)
    with pytest.raises(LedgerTrouble, match="This visit has 8 photos; more are not kept"):
        photos.attach_photo(shop, TECHNICIAN, "draft", "site", picture((99, 99)), NOW)
    photos.remove_photo(shop, TECHNICIAN, kept.photo_id, NOW)
    photos.attach_photo(shop, TECHNICIAN, "draft", "site", picture((99, 99)), NOW)
    assert shop.ledger.verify(None).sound
    with pytest.raises(InputTrouble, match="is no kind of photo"):
        photos.attach_photo(shop, TECHNICIAN, "draft", "selfie", picture(), NOW)
    with pytest.raises(Trouble, match="You may not see a photo"):
        photos.photo_jpeg(shop, customer("2026-000001"), kept.photo_id)

"""What goes with a quote: calendar file, QR code, logo, what was signed."""

from __future__ import annotations

import io
import re
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta, timezone
from pathlib import Path
from typing import Any

import pypdf
import pytest
import segno
from icalendar import Calendar
from PIL import Image
from rich.console import Console

from app.documents.calendar import work_event_ics
from app.documents.logo import MOST_BYTES, read_logo
from app.documents.pdf import quote_pdf
from app.documents.qr import QUIET_ZONE, qr_svg
from app.documents.terminal import render_side_by_side
from app.views.customer import CustomerView, build_customer_view
from app.views.customer_acceptance import Acceptance, agreement_text, hash_of
from app.views.customer_state import Issued
from estimator.errors import InputTrouble
from tests.app import estimates

ISSUED = Issued("Q-2026-0042", 3, date(2026, 3, 5), date(2026, 4, 4))
LINK = "https://quotes.example.test/q/7sK2nV9xQmB4tLr8wZc1"
SIGNED_AT = datetime(2026, 3, 6, 9, 30, tzinfo=UTC)
CST = timezone(timedelta(hours=-6), "CST")


def view_of(**how: Any) -> CustomerView:
    issued = how.pop("issued", ISSUED)
    return build_customer_view(
        estimates.visit(), estimates.estimate(), estimates.SHOP, estimates.TERMS, issued, **how
    )


def signed(view: CustomerView, choice: str = "repair", name: str = "J. Example") -> Acceptance:
    text = agreement_text(view, choice)
    return Acceptance(choice, name, SIGNED_AT, text, hash_of(text))


def text_of(document: bytes) -> str:
    pages = pypdf.PdfReader(io.BytesIO(document)).pages
    return " ".join(" ".join(page.extract_text() for page in pages).split())


def printed(view: CustomerView) -> str:
    console = Console(width=80, file=io.StringIO(), force_terminal=False)
    console.print(render_side_by_side(view))
    return console.file.getvalue()  # type: ignore[attr-defined,no-any-return]


# ---- Accepting


def test_the_text_agreed_to_names_quote_choice_price_terms_and_validity() -> None:
    assert agreement_text(view_of(), "repair").split("\n") == [
        "Quote Q-2026-0042, revision 3, of Cedar Hollow Water Heating (invented), issued "
        "March 5, 2026.",
        "I have read this quote and choose: Repair: Replace the sensing element, $275.40.",
        "I order this work at this price.",
        "I have read what the quote says about my safety.",
        "These prices hold until April 4, 2026.",
        "Terms: Payment is due when the work is done. Invented terms of an invented shop.",
    ]


def test_declining_orders_no_work() -> None:
    text = agreement_text(view_of(), "neither")
    assert "choose: Neither for now." in text
    assert "I do not order any work now." in text
    assert "I order this work" not in text


def test_the_text_is_in_the_language_that_was_read_and_its_hash_differs() -> None:
    english, spanish = (agreement_text(view_of(language=each), "replace") for each in ("en", "es"))
    assert spanish.startswith("Cotización Q-2026-0042, revisión 3, de Cedar Hollow")
    assert hash_of(english) != hash_of(spanish)
    # SHA-256 of "abc", FIPS 180-2, appendix B.1
    assert hash_of("abc") == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
    assert hash_of("e\u0301") == hash_of("\u00e9")


def test_what_was_signed_is_in_page_pdf_and_terminal_and_nothing_is_offered_again() -> None:
    acceptance = signed(view_of())
    view = view_of(acceptance=acceptance)
    assert view.choices == ()
    assert view.acceptance is not None
    assert view.acceptance.at == "March 6, 2026, 09:30 UTC"
    for text in (text_of(quote_pdf(view)), " ".join(printed(view).split())):
        assert "J. Example" in text
        assert "I order this work at this price." in text
        assert acceptance.agreed_hash[:40] in text.replace(" ", "").replace("\u200b", "")
    assert "[ ]" not in printed(view)


def test_a_text_that_is_not_the_one_signed_is_refused() -> None:
    acceptance = signed(view_of())
    changed = replace(acceptance, agreed_text="I owe a house.")
    with pytest.raises(InputTrouble, match="not the one that was signed"):
        view_of(acceptance=changed)
    with pytest.raises(InputTrouble, match="needs a choice and a typed name"):
        view_of(acceptance=signed(view_of(), name="  "))


def test_a_lapsed_quote_says_so_and_offers_no_choice() -> None:
    last = view_of(today=date(2026, 4, 4))
    assert not last.lapsed
    assert last.choice_keys == ("repair", "replace", "tank-40-high", "neither")
    view = view_of(today=date(2026, 4, 5))
    assert view.lapsed
    assert view.choices == ()
    said = "These prices held until April 4, 2026 and no longer do. Ask us for a new quote."
    assert view.heading.valid_text == said
    assert "LAPSED" in text_of(quote_pdf(view))
    assert "LAPSED" in printed(view)
    with pytest.raises(InputTrouble, match="“repair” cannot be chosen on this quote"):
        agreement_text(view, "repair")


def test_a_declined_quote_says_so_in_page_pdf_and_terminal_with_its_text() -> None:
    for language, title, state in (
        ("en", "This quote was declined", "Declined"),
        ("es", "Esta cotización fue rechazada", "Rechazada"),
    ):
        acceptance = signed(view_of(language=language), "neither")
        view = view_of(acceptance=acceptance, language=language, today=date(2027, 1, 1))
        assert (view.state, view.state_label, view.choices) == ("declined", state, ())
        for text in (text_of(quote_pdf(view)), " ".join(printed(view).split())):
            assert state.upper() in text
            assert title in text
            assert "J. Example" in text
            assert acceptance.agreed_text.split("\n")[2] in text
            assert acceptance.agreed_hash[:40] in text.replace(" ", "").replace("\u200b", "")


def test_a_revised_quote_stays_readable_says_what_holds_and_offers_no_choice() -> None:
    old = replace(ISSUED, last_revision=5)
    view = view_of(issued=old, today=date(2026, 3, 6))
    assert (view.state, view.choices) == ("superseded", ())
    assert view.heading.valid_text == (
        "Revision 5 has taken the place of revision 3. This one can still be read but not "
        "accepted. Open revision 5 to answer."
    )
    for text in (text_of(quote_pdf(view)), " ".join(printed(view).split())):
        assert "NO LONGER HOLDS" in text
        assert view.heading.valid_text in text
        assert "$275.40" in text
    # What was agreed before it was revised can be read too.
    assert view_of(issued=old, acceptance=signed(view_of())).acceptance is not None
    assert view_of(issued=replace(ISSUED, last_revision=3)).state == "issued"


def test_another_new_heater_can_be_chosen_and_has_its_box_in_the_pdf() -> None:
    view = view_of()
    text = agreement_text(view, "tank-40-high")
    assert "choose: Replace: 40 gallon high-efficiency gas tank, $2,418.00." in text
    assert "Another new heater: mark it in the list of new heaters" in text_of(quote_pdf(view))
    chosen = view_of(acceptance=signed(view, "tank-40-high"))
    assert chosen.state == "accepted"
    assert "$2,418.00" in text_of(quote_pdf(chosen))


def test_an_answer_of_an_erased_customer_is_shown_without_name_or_text() -> None:
    view = view_of(acceptance=Acceptance("repair", "", SIGNED_AT, "", hash_of("")))
    assert (view.state, view.choices) == ("accepted", ())
    assert "Signed by typing the name: —" in text_of(quote_pdf(view))


def test_a_quote_signed_in_time_does_not_lapse() -> None:
    view = view_of(acceptance=signed(view_of()), today=date(2027, 1, 1))
    assert not view.lapsed


def test_a_draft_cannot_be_signed() -> None:
    with pytest.raises(InputTrouble, match="“neither” cannot be chosen"):
        agreement_text(view_of(issued=None), "neither")


# ---- The customer's link


def modules_of(svg: str, size: int) -> list[list[bool]]:
    """Read the dark modules back off the drawing: horizontal strokes of height one."""
    dark = [[False] * size for _ in range(size)]
    drawn = re.search(r'<path[^>]*stroke[^>]*d="([^"]+)"', svg)
    assert drawn is not None
    x = y = 0.0
    for command, numbers in re.findall(r"([Mmh])([-\d. ]+)", drawn.group(1)):
        values = [float(each) for each in re.findall(r"-?[\d.]+", numbers)]
        if command == "M":
            x, y = values
        elif command == "m":
            x, y = x + values[0], y + values[1]
        else:
            for step in range(int(values[0])):
                dark[int(y)][int(x) + step] = True
            x += values[0]
    return dark


def test_qr_modules_against_segno() -> None:
    """The drawing has the modules of the code for this address, with the quiet zone."""
    code = segno.make_qr(LINK, error="m")
    size = code.symbol_size(border=QUIET_ZONE)[0]
    expected = [[bool(module) for module in row] for row in code.matrix_iter(border=QUIET_ZONE)]
    assert modules_of(qr_svg(LINK), size) == expected
    assert QUIET_ZONE == 4  # ISO/IEC 18004


def test_the_link_stands_on_the_pdf_with_its_plain_address() -> None:
    document = quote_pdf(view_of(customer_link=LINK))
    text = text_of(document).replace("\u200b", "").replace(" ", "")
    assert LINK in text
    assert b"pdfuaid" in document
    assert LINK in printed(view_of(customer_link=LINK)).replace("\u200b", "")


def test_a_link_that_no_phone_opens_is_refused() -> None:
    with pytest.raises(InputTrouble, match="is not an address that a phone can open"):
        view_of(customer_link="javascript:alert(1)")
    with pytest.raises(InputTrouble, match="too long for a QR code"):
        qr_svg("https://example.test/" + "a" * 700)


# ---- The calendar file


def event_of(content: bytes) -> Any:
    return Calendar.from_ical(content).walk("VEVENT")[0]


def test_the_event_is_in_utc_and_ends_after_its_minutes() -> None:
    start = datetime(2026, 12, 1, 9, 0, tzinfo=CST)
    content = work_event_ics(view_of(), start, 150, SIGNED_AT)
    assert b"DTSTART:20261201T150000Z\r\n" in content
    assert b"DTEND:20261201T173000Z\r\n" in content
    event = event_of(content)
    assert event["summary"] == f"Work on your water heater: {estimates.SHOP.name}"
    assert all(len(line) <= 75 for line in content.split(b"\r\n"))  # RFC 5545, 3.1


def test_moving_the_event_keeps_its_uid_and_a_follow_up_has_its_own() -> None:
    start = datetime(2026, 12, 1, 9, 0, tzinfo=CST)
    first = event_of(work_event_ics(view_of(), start, 60, SIGNED_AT))
    moved = event_of(
        work_event_ics(view_of(), start + timedelta(days=1), 60, SIGNED_AT, sequence=1)
    )
    later = event_of(work_event_ics(view_of(), start, 60, SIGNED_AT, kind="follow_up"))
    assert first["uid"] == moved["uid"] != later["uid"]
    assert (first["sequence"], moved["sequence"]) == (0, 1)


def test_the_event_speaks_the_language_of_the_view() -> None:
    start = datetime(2026, 12, 1, 9, 0, tzinfo=CST)
    event = event_of(work_event_ics(view_of(language="es"), start, 60, SIGNED_AT))
    assert event["summary"].startswith("Trabajo en su calentador de agua: ")


def test_a_calendar_file_needs_an_issued_quote_a_zone_and_a_length() -> None:
    start = datetime(2026, 12, 1, 9, 0, tzinfo=CST)
    with pytest.raises(InputTrouble, match="A draft has no calendar file"):
        work_event_ics(view_of(issued=None), start, 60, SIGNED_AT)
    with pytest.raises(InputTrouble, match="has no time zone"):
        work_event_ics(view_of(), start.replace(tzinfo=None), 60, SIGNED_AT)
    with pytest.raises(InputTrouble, match="Work of 0 minutes"):
        work_event_ics(view_of(), start, 0, SIGNED_AT)


# ---- The logo

SVG = (
    b'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9"><circle cx="4" cy="4" r="4"/></svg>'
)


def png(size: tuple[int, int] = (60, 40)) -> bytes:
    made = io.BytesIO()
    Image.new("RGB", size, "#0f5c5c").save(made, "PNG")
    return made.getvalue()


@pytest.mark.parametrize(("name", "content"), [("logo.svg", SVG), ("logo.png", png())])
def test_a_logo_is_on_the_pdf_which_stays_tagged(tmp_path: Path, name: str, content: bytes) -> None:
    plain = quote_pdf(view_of())
    (tmp_path / name).write_bytes(content)
    document = quote_pdf(view_of(), read_logo(tmp_path))
    assert document != plain
    assert b"pdfuaid" in document
    # No word is lost; a page may end elsewhere, and a table's head be said again there.
    assert set(text_of(document).split()) == set(text_of(plain).split())


def test_a_shop_without_a_logo_has_none(tmp_path: Path) -> None:
    assert read_logo(tmp_path) is None


@pytest.mark.parametrize(
    ("name", "content", "says"),
    [
        ("logo.png", b"GIF89a" + b"\0" * 40, "is not a PNG picture"),
        (
            "logo.png",
            png((5000, 2)),
            "has 5000 by 2 pixels in .*; each side may have 4,000",
        ),
        (
            "logo.png",
            b"\0" * (MOST_BYTES + 1),
            "has 262,145 bytes in .*; it may have 262,144",
        ),
        ("logo.svg", b"<html></html>", "is not an SVG picture"),
        ("logo.svg", SVG.replace(b"<circle", b"<script/><circle"), "holds <script"),
        ("logo.svg", SVG.replace(b"<circle", b'<image href="http://x/y.png"/><circle'), "holds"),
    ],
)
def test_a_logo_that_is_no_plain_picture_is_refused(
    tmp_path: Path, name: str, content: bytes, says: str
) -> None:
    (tmp_path / name).write_bytes(content)
    with pytest.raises(InputTrouble, match=says):
        read_logo(tmp_path)

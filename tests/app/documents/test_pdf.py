"""The written quote: what it says, that it is tagged, that nothing breaks or leaks."""

from __future__ import annotations

import io
import re
import shutil
import subprocess
import threading
from dataclasses import replace
from datetime import date
from decimal import Decimal
from typing import TYPE_CHECKING, Any

import pypdf
import pytest
import typst

from app.documents import pdf
from app.documents.glyphs import drawable
from app.documents.pdf import page_count, quote_pdf
from app.views.customer import CustomerView, build_customer_view
from app.views.customer_state import Issued
from app.visit import People
from estimator.cautions import Caution
from estimator.errors import Trouble
from estimator.rates import LineKind
from tests.app import estimates

if TYPE_CHECKING:
    from pathlib import Path

ISSUED = Issued("Q-2026-0042", 3, date(2026, 3, 5), date(2026, 4, 4))
EVERY_KIND = (
    estimates.estimate,
    estimates.either,
    estimates.repair_closed_by_leak,
    estimates.no_part,
    estimates.replacements_closed,
    estimates.everything_closed,
)


def view_of(estimate: Any = None, **changes: Any) -> CustomerView:
    return build_customer_view(
        changes.get("visit", estimates.visit()),
        estimate or estimates.estimate(),
        changes.get("shop", estimates.SHOP),
        changes.get("terms", estimates.TERMS),
        changes.get("issued", ISSUED),
    )


def named(name: str, **more: str) -> CustomerView:
    people = People(date=date(2026, 3, 5), customer_name=name, **more)
    return view_of(visit=estimates.visit(visit=people))


def read(document: bytes) -> pypdf.PdfReader:
    return pypdf.PdfReader(io.BytesIO(document))


def text_of(document: bytes) -> str:
    """Return the text of all pages, with runs of white space and soft breaks undone."""
    pages = "\n".join(page.extract_text() for page in read(document).pages)
    return re.sub(r"\s+", " ", pages.replace("\u200b", ""))


def test_the_text_holds_both_totals_and_what_the_customer_must_read() -> None:
    text = text_of(quote_pdf(view_of()))
    for said in (
        "$275.40",
        "$1,749.60",
        "Per month over 12 years",
        "$5,525",
        "$5,696",
        "Repairing is likely to cost you less.",
        "These prices hold until April 4, 2026.",
        "Sensing element",
        "Water at 140 °F scalds in 6 seconds.",
        "What we do not know",
        "If the repair came to more than $446, replacing would be cheaper.",
        "Signature",
        "J. Example",
    ):
        assert said in text


def test_every_page_carries_number_revision_and_page() -> None:
    pages = read(quote_pdf(view_of())).pages
    assert len(pages) == 2
    for count, page in enumerate(pages, start=1):
        text = page.extract_text()
        assert "Quote Q-2026-0042, revision 3" in text
        assert f"Page {count} of 2" in text
        assert "Invented demo shop" in text


def test_a_shop_that_is_not_invented_carries_no_such_mark() -> None:
    shop = estimates.SHOP.model_copy(update={"invented": False, "name": "Cedar Hollow"})
    view = view_of(shop=shop, visit=estimates.visit(invented=False))
    assert "Invented demo shop" not in text_of(quote_pdf(view))


def test_a_draft_says_so_and_has_no_place_to_sign() -> None:
    text = text_of(quote_pdf(view_of(issued=None)))
    assert "Draft quote" in text
    assert "not issued yet" in text
    assert "Signature" not in text


@pytest.mark.parametrize("build", EVERY_KIND)
def test_it_is_tagged_titled_and_in_english(build: Any) -> None:
    document = read(quote_pdf(view_of(build())))
    root = document.trailer["/Root"]
    assert root["/MarkInfo"]["/Marked"]
    assert root["/StructTreeRoot"]["/K"]
    assert root["/Lang"].startswith("en")
    assert root["/ViewerPreferences"]["/DisplayDocTitle"]
    assert document.metadata is not None
    assert document.metadata.title == "Quote Q-2026-0042, revision 3, " + estimates.SHOP.name
    assert "pdfuaid" in document.xmp_metadata.stream.get_data().decode()  # type: ignore[union-attr]


def _tags(node: Any, found: list[Any]) -> list[Any]:
    node = node.get_object() if hasattr(node, "get_object") else node
    if isinstance(node, list):
        for child in node:
            _tags(child, found)
    elif isinstance(node, dict):
        if "/S" in node:
            found.append(node)
        if "/K" in node:
            _tags(node["/K"], found)
    return found


def test_tables_headings_lists_and_the_chart_are_marked_up_as_such() -> None:
    root = read(quote_pdf(view_of())).trailer["/Root"]
    tags = _tags(root["/StructTreeRoot"]["/K"], [])
    kinds = [tag["/S"] for tag in tags]
    assert kinds.count("/H1") == 1
    assert kinds.count("/H2") >= 8
    assert kinds.count("/Table") >= 4
    assert "/TH" in kinds
    assert "/LI" in kinds
    figure = next(tag for tag in tags if tag["/S"] == "/Figure")
    assert "The lines cross in year 12" in figure["/Alt"]


def test_only_packaged_fonts_are_used_and_all_are_embedded() -> None:
    for page in read(quote_pdf(view_of())).pages:
        for font in page["/Resources"]["/Font"].values():  # type: ignore[index]
            base = font["/BaseFont"]
            assert "NotoSans" in base
            descriptor = font["/DescendantFonts"][0].get_object()["/FontDescriptor"]
            assert "/FontFile2" in descriptor or "/FontFile3" in descriptor


def test_the_same_view_gives_the_same_bytes() -> None:
    first = quote_pdf(view_of())
    pdf._compiler.cache_clear()
    assert quote_pdf(view_of()) == first
    assert b"20260305" in first  # made on the day of issue, not today


def test_another_view_gives_other_bytes() -> None:
    assert quote_pdf(named("A")) != quote_pdf(named("B"))


# ---- Nothing of cost or margin


@pytest.mark.parametrize("build", EVERY_KIND)
def test_no_cost_or_margin_is_in_the_document(build: Any) -> None:
    document = quote_pdf(view_of(build()))
    text = text_of(document)
    hidden = ("137.77", "0.4177", "41.77", "0.4321", "43.21")
    assert not [value for value in hidden if value in text]
    assert not re.search(r"margin|markup|wholesale", text, re.IGNORECASE)
    assert b"137.77" not in document


# ---- Whatever was typed


@pytest.mark.parametrize(
    "name",
    [
        '#strong[x] #import "a"',
        "*bold* _it_ `raw` $x^2$",
        "@ref <label> // note /* c */",
        "quote \" and ' and \\ back",
        "= heading",
        "- item + item / term: x",
        "{ } [ ] ( ) ~ -- ---",
        "</svg><script>alert(1)</script>&amp;",
    ],
)
def test_markup_in_a_name_is_set_as_it_was_typed(name: str) -> None:
    # A long run may be broken into lines, which reads as a space.
    assert name.replace(" ", "") in text_of(quote_pdf(named(name))).replace(" ", "")


def test_line_ends_in_a_name_do_not_start_markup() -> None:
    text = text_of(quote_pdf(named("first\r\n= second\n#pagebreak()\tthird")))
    assert "first = second #pagebreak() third" in text
    assert page_count(quote_pdf(named("first\n#pagebreak()\n#pagebreak()"))) == 2


def test_a_file_named_in_a_field_is_not_read() -> None:
    name = '#read("/etc/hostname") #image("x.png")'
    assert name in text_of(quote_pdf(named(name)))


@pytest.mark.parametrize(
    ("name", "font"),
    [
        ("Ελένη Παπαδοπούλου", "NotoSans-Regular"),
        ("Анна Каренина", "NotoSans-Regular"),
        ("فاطمة الزهراء", "NotoSansArabic"),
        ("רחל", "NotoSansHebrew"),
        ("陳大文 田中", "DroidSansFallback"),
        ("김영희 뷁", "NanumSquare"),
        ("สมชาย", "NotoSansThai"),
        ("Նարեկ", "NotoSansArmenian"),
        ("देवनागरी १२३", "NotoSansDevanagari"),
        ("😀 👩\u200d🔧", "NotoEmoji"),
    ],
)
def test_other_alphabets_are_set_with_a_packaged_font(name: str, font: str) -> None:
    document = quote_pdf(named(name))
    fonts = [
        str(entry["/BaseFont"])
        for page in read(document).pages
        for entry in page["/Resources"]["/Font"].values()  # type: ignore[index]
    ]
    assert any(font in base for base in fonts)
    assert b"pdfuaid" in document  # no letter is missing, or PDF/UA would be refused
    if font == "NotoSans-Regular":
        assert name in text_of(document)


@pytest.mark.parametrize("name", ["\x00nul\x07bell\x1b[31m", "\uffff", "\U0001d173", "ᏣᎳᎩ ꯃꯤꯇꯩ"])
def test_what_no_font_holds_still_gives_a_tagged_quote(name: str) -> None:
    document = quote_pdf(named(name))
    assert "$275.40" in text_of(document)
    assert "/StructTreeRoot" in read(document).trailer["/Root"]
    assert b"pdfuaid" in document


def test_a_letter_without_a_font_is_written_as_its_number_and_no_box_is_drawn() -> None:
    document = quote_pdf(named("Ana \u1403\u14c4\u1483", customer_address="\U00013000 St."))
    text = text_of(document)
    assert "Ana [U+1403 U+14C4 U+1483]" in text
    assert "[U+13000] St." in text
    assert b"pdfuaid" in document


def test_the_fonts_are_known_by_their_own_tables() -> None:
    # What each holds is told by the name of its script (Unicode blocks).
    for letters in ("AÿŁΩЯ", "ابجد", "देव", "אב", "漢字かな", "한글", "ไทย", "😀🔧", "—“”€"):
        assert drawable(letters) == letters
    assert drawable("a\u200d\ufe0f\u0301\u00a0b") == "a\u200d\ufe0f\u0301\u00a0b"
    assert drawable("ᏣᎳᎩ") == "[U+13E3 U+13B3 U+13A9]"


@pytest.mark.parametrize("build", EVERY_KIND)
@pytest.mark.parametrize("language", ["en", "es"])
def test_the_packaged_fonts_hold_every_letter_of_our_own_words(build: Any, language: str) -> None:
    view = build_customer_view(
        estimates.visit(), build(), estimates.SHOP, estimates.TERMS, ISSUED, language=language
    )
    assert "[U+" not in text_of(quote_pdf(view))


def test_a_direction_mark_cannot_turn_an_amount_around() -> None:
    assert "\u202e" not in text_of(quote_pdf(named("\u202eevil")))
    assert "evil" in text_of(quote_pdf(named("\u202eevil")))


def test_long_names_wrap_inside_their_column() -> None:
    name, address = "W" * 200, "Ж" * 200
    document = quote_pdf(named(name, customer_address=address, technician="M" * 200))
    assert page_count(document) <= 2
    text = text_of(document).replace(" ", "")
    assert name in text
    assert address in text


# ---- Two pages over the range


def long_estimate(lines: int, cautions: int, heaters: int) -> Any:
    items = tuple(
        estimates.line(LineKind.PART, f"Part {count} with a name that takes some room", "12.34")
        for count in range(lines)
    )
    return estimates.estimate(
        repair=estimates.repair(priced=estimates.priced("Long job", items)),
        cautions=tuple(
            Caution(
                code=f"c{count}",
                message=f"Caution {count}: test every joint that was touched, and keep the room "
                "aired while the heater is lit for the first time.",
                source="24 CFR 3280.609(c)",
            )
            for count in range(cautions)
        ),
        replacements=tuple(
            estimates.replacement(
                f"h{count}",
                f"Heater {count}, 50 gallon, with a rather long descriptive name",
                lcc_shift=10.0 * count,
                check_these=("Is there a drain near the heater for its condensate?",),
            )
            for count in range(heaters)
        ),
    )


@pytest.mark.parametrize("build", EVERY_KIND)
@pytest.mark.parametrize("lump", [False, True])
def test_usual_quotes_take_at_most_two_pages(build: Any, lump: bool) -> None:
    terms = estimates.TERMS.model_copy(update={"lump_sum": lump})
    assert len(read(quote_pdf(view_of(build(), terms=terms))).pages) <= 2


@pytest.mark.parametrize(
    ("lines", "cautions", "heaters"), [(4, 10, 6), (12, 10, 6), (16, 8, 4), (3, 14, 8)]
)
def test_long_quotes_take_at_most_two_pages(lines: int, cautions: int, heaters: int) -> None:
    view = view_of(long_estimate(lines, cautions, heaters))
    document = quote_pdf(view)
    assert len(read(document).pages) <= 2
    text = text_of(document)
    assert f"Part {lines - 1} with" in text
    assert f"Caution {cautions - 1}:" in text
    assert f"Heater {heaters - 1}," in text


def test_past_two_pages_it_runs_on_and_loses_nothing() -> None:
    document = quote_pdf(view_of(long_estimate(120, 60, 20)))
    text = text_of(document)
    assert page_count(document) == len(read(document).pages) > 2
    assert "Part 119 with" in text
    assert "Caution 59:" in text
    assert "Signature" in text


def test_long_terms_are_kept_whole() -> None:
    terms = estimates.TERMS.model_copy(update={"terms": "Invented term. " * 130 + "The end."})
    assert "Invented term. The end." in text_of(quote_pdf(view_of(terms=terms)))


def test_amounts_at_the_edge_of_the_range_are_set() -> None:
    huge = estimates.priced("Job", (estimates.line(LineKind.LABOR, "Work", "9999999.99"),))
    free = estimates.priced("Job", (estimates.line(LineKind.LABOR, "Work", "0.00"),))
    assert "$9,999,999.99" in text_of(
        quote_pdf(view_of(estimates.estimate(repair=estimates.repair(priced=huge))))
    )
    assert "$0.00" in text_of(
        quote_pdf(view_of(estimates.estimate(repair=estimates.repair(priced=free))))
    )


# ---- The machine


def test_several_threads_write_their_own_quotes() -> None:
    found: dict[str, str] = {}

    def work(name: str) -> None:
        found[name] = text_of(quote_pdf(named(name)))

    threads = [threading.Thread(target=work, args=(f"Customer {n}",)) for n in range(6)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert all(name in text for name, text in found.items())
    assert len(found) == 6


def test_a_refusal_of_the_typesetter_says_what_and_how_to_mend(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    (tmp_path / "quote.typ").write_text("#unknown_function()")
    broken = typst.Compiler(root=str(tmp_path))
    monkeypatch.setattr(pdf, "HERE", tmp_path)
    monkeypatch.setattr(pdf, "_compiler", lambda: broken)
    with pytest.raises(Trouble, match=r"could not be written as a PDF: .*Look for odd characters"):
        quote_pdf(view_of())


@pytest.mark.skipif(shutil.which("pdftoppm") is None, reason="pdftoppm is not installed")
def test_pages_render_with_ink_on_both(tmp_path: Path) -> None:
    image = pytest.importorskip("PIL.Image")
    (tmp_path / "quote.pdf").write_bytes(quote_pdf(view_of()))
    subprocess.run(
        ["pdftoppm", "-r", "40", "-gray", "-png", "quote.pdf", "page"], cwd=tmp_path, check=True
    )
    pages = sorted(tmp_path.glob("page-*.png"))
    assert len(pages) == 2
    for page in pages:
        shades = image.open(page).convert("L").histogram()
        assert sum(shades[:128]) > 0.01 * sum(shades)


def test_the_total_shown_is_the_total_priced() -> None:
    for price in ("0.01", "19.99", "123456.78"):
        job = estimates.priced("Job", (estimates.line(LineKind.LABOR, "Work", price),))
        view = view_of(estimates.estimate(repair=estimates.repair(priced=job)))
        assert view.repair.price_today == f"${Decimal(price):,.2f}"
        assert f"${Decimal(price):,.2f}" in text_of(quote_pdf(replace(view)))

"""Everything that a customer can be told has its Spanish, and no Spanish stands unused."""

from __future__ import annotations

import re
import sys
import tomllib
from dataclasses import asdict, replace
from datetime import UTC, date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from app.formatting_measures import UNIT_WORDS
from app.language import speech as speeches
from app.language.catalogs import LANGUAGES, catalog_of
from app.language.speech import TEMPLATES, Speech
from app.language.templates import bare_slots
from app.language.trouble_sentences import TROUBLE_SENTENCES
from app.views import customer_words
from app.views.customer import build_customer_view
from app.views.customer_acceptance import Acceptance, agreement_text, hash_of
from app.views.customer_state import Issued
from app.visiting import PricedVisit, price_visit, visit_from
from app.wiring import DEMO_DATA, set_up_shop
from tests.acting import TESTER

sys.path.insert(0, str(Path(__file__).parent))
import said

if TYPE_CHECKING:
    from collections.abc import Iterator

    from app.shop import Shop
    from app.views.customer import CustomerView

VISITS = sorted((DEMO_DATA / "visits").glob("*.toml"))
ISSUED = Issued("Q-0001", 1, date(2026, 3, 5), date(2026, 4, 4))
WORD = re.compile(r"[^\W\d_]{2,}")

# Numbers and names of units that are the same in every language, codes of rules and makers.
KEPT_WORDS = frozenset(
    ["in", "wc", "psi", "kwh", "btu", "ef", "uef", "kpa", "kw", "cm", "ft³", "m³", "utc", "usd"]
)


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Shop]:
    opened = set_up_shop(
        tmp_path_factory.mktemp("shop"),
        DEMO_DATA / "catalog",
        DEMO_DATA / "rates.toml",
        date(2020, 1, 1),
        "owner",
    )
    yield opened
    opened.close()


@pytest.fixture(scope="module")
def priced(shop: Shop) -> dict[str, PricedVisit]:
    return {
        path.stem: price_visit(
            shop, TESTER, visit_from(tomllib.loads(path.read_text(encoding="utf-8")), str(path))
        )
        for path in VISITS
    }


@pytest.fixture(scope="module")
def texts(shop: Shop, priced: dict[str, PricedVisit]) -> dict[str, set[str]]:
    """Where it comes from → English texts."""
    catalog = shop.catalog()
    names = [row["name"] for row in said.rows_of("replacement_heater")]
    made = {
        "readings": said.of_readings(),
        "safety": said.of_safety(),
        "stops": said.of_stops(),
        "findings": said.of_findings(),
        "verdicts": said.of_verdicts(names),
        "replacements": said.of_replacements(catalog),
        "names": said.of_catalog_names(catalog),
        "missing parts": said.of_missing_parts(catalog),
        "prices": said.of_prices(priced["warranty_running"]),
        "energy": said.of_energy(),
        "terms": (found.rate_sheet.sheet.quote.terms for found in priced.values()),
    }
    return {where: set(texts) for where, texts in made.items()}


def test_every_text_of_the_estimator_and_the_catalog_has_its_spanish(
    texts: dict[str, set[str]],
) -> None:
    spanish = Speech("es")
    missing = [
        f"{where}: {text}"
        for where, held in texts.items()
        for text in held
        if spanish.find(text) is None
    ]
    assert not missing, "\n".join(missing[:20])


def test_every_template_is_one_that_is_said(
    texts: dict[str, set[str]], monkeypatch: pytest.MonkeyPatch
) -> None:
    used: set[str] = set()
    look_up = speeches._said

    def noted(speech: Speech, open_ended: str) -> str:
        used.add(speeches._msgids()[open_ended])
        return look_up(speech, open_ended)

    monkeypatch.setattr(speeches, "_said", noted)
    speeches._find.cache_clear()
    for held in texts.values():
        for text in held:
            Speech("es").find(text)
    assert sorted(set(TEMPLATES) - set(TROUBLE_SENTENCES) - used) == []


def test_english_in_us_units_says_again_what_was_said_where_no_plainer_words_are_given(
    texts: dict[str, set[str]], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(speeches, "_said", lambda _speech, open_ended: bare_slots(
        speeches._msgids()[open_ended]
    ))  # fmt: skip
    speeches._find.cache_clear()
    english = Speech("en")
    told = {text: english.find(text) for held in texts.values() for text in held}
    speeches._find.cache_clear()

    def signs(text: str | None) -> str:  # a proper minus and thousands are written again
        return (text or "").replace("\N{MINUS SIGN}", "-").replace(",", "")

    differ = [(text, again) for text, again in told.items() if signs(again) != signs(text)]
    assert not differ, differ[:5]


def view_of(found: PricedVisit, language: str, **how: Any) -> CustomerView:
    sheet = found.rate_sheet.sheet
    return build_customer_view(
        found.visit, found.estimate, sheet.shop, sheet.quote, ISSUED, language=language, **how
    )


def all_texts(value: Any) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        yield from (text for key, inner in value.items() if key not in SKIP
                    for text in all_texts(inner))  # fmt: skip
    elif isinstance(value, list | tuple):
        yield from (text for inner in value for text in all_texts(inner))


SKIP = {"key", "kind", "language", "units", "choice_keys", "day_iso", "shop", "technician",
        "customer_name", "customer_address", "agreed_hash", "state", "of", "buys_keys"}  # fmt: skip


def spanish_words() -> set[str]:
    catalog: Any = catalog_of("es")
    told = [text for key, text in catalog._catalog.items() if key]
    told += [word for words in UNIT_WORDS["es"].values() for word in words]
    told += [Speech("es").formats.long_date(date(2026, month, 1)) for month in range(1, 13)]
    return {word.lower() for text in told for word in WORD.findall(re.sub(r"\{\w+\}", " ", text))}


def signed(view: CustomerView) -> Acceptance:
    text = agreement_text(view, view.choice_keys[0])
    at = datetime(2026, 3, 6, 9, 30, tzinfo=UTC)
    return Acceptance(view.choice_keys[0], "J. Example", at, text, hash_of(text))


@pytest.mark.parametrize("units", ["us", "si"])
@pytest.mark.parametrize("stem", [path.stem for path in VISITS])
def test_a_demo_quote_in_spanish_holds_no_word_of_english(
    priced: dict[str, PricedVisit], stem: str, units: str
) -> None:
    known = spanish_words() | KEPT_WORDS
    views = [view_of(priced[stem], "es", units=units)]
    if views[0].choices:
        acceptance = signed(views[0])
        views.append(view_of(priced[stem], "es", units=units, acceptance=acceptance))
    shop_name = set(WORD.findall(views[0].shop.name.lower()))
    strange = {
        (word, text)
        for view in views
        for text in all_texts(asdict(replace(view, chart=None)))
        for word in WORD.findall(re.sub(r"\([A-Z]{2}-\d+\)", "", text))
        if word.lower() not in known | shop_name | {"example"}
    }
    assert not strange, sorted(strange)[:10]


def test_a_word_of_english_would_be_seen() -> None:
    assert {"heater", "replacing", "water"}.isdisjoint(spanish_words())


def test_every_word_of_the_view_is_shown_somewhere() -> None:
    app = Path(speeches.__file__).parents[1]
    code = "\n".join(
        path.read_text(encoding="utf-8")
        for path in (*app.rglob("*.py"), *app.rglob("*.typ"))
        if path.name != "customer_words.py"
    )
    names = [name for name in vars(customer_words) if name.isupper()]
    assert [name for name in names if name not in code] == []
    unused = [
        key
        for key in customer_words.LABELS
        if not re.search(rf"""(?:say\.{key}\b|["']{key}["'])""", code)
    ]
    assert unused == []


def test_the_languages_are_english_and_spanish() -> None:
    assert LANGUAGES == ("en", "es")

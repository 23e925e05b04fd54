"""How hard the customer's words are to read, by published formulas."""

from __future__ import annotations

import re
import sys
import tomllib
from dataclasses import asdict, replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from app.language.speech import Speech
from app.language.templates import bare_slots
from app.language.trouble_sentences import TROUBLE_SENTENCES
from app.views.customer import build_customer_view
from app.views.customer_acceptance import agreement_text
from app.views.customer_state import Issued
from app.visiting import price_visit, visit_from
from app.wiring import DEMO_DATA, set_up_shop
from estimator.verdict import VerdictKind
from tests.acting import TESTER
from tests.app import estimates

sys.path.insert(0, str(Path(__file__).parent))
import said

if TYPE_CHECKING:
    from collections.abc import Iterator

    from app.shop import Shop

VISITS = sorted((DEMO_DATA / "visits").glob("*.toml"))
ISSUED = Issued("Q-0001", 1, date(2026, 3, 5), date(2026, 4, 4))
MOST_GRADE = 8.0
LEAST_INFLESZ = 55.0
"""INFLESZ calls 55 to 65 "normal", as the general press is (Barrio-Cantalejo et al., 2008)."""

# What is read as running text: not headings, names, amounts or codes.
SENTENCES = ("finding_plain", "monthly_means", "unknowns", "buys", "checks", "text", "compared",
             "reasons", "turns", "rules_of_thumb", "why", "what_to_do", "headline", "closed_reason",
             "terms", "valid_text", "description", "how")  # fmt: skip


def english_syllables(word: str) -> int:
    """Count groups of vowels, a silent e at the end left out; a word has one at least."""
    word = word.lower()
    bare = re.sub(r"(?<=[^aeiouyl])es?$|(?<=[^aeiouytd])ed$", "", word)
    return max(1, len(re.findall(r"[aeiouy]+", bare)))


def spanish_syllables(word: str) -> int:
    """Count nuclei: a strong vowel or an accented weak one each, diphthongs as one."""
    word = re.sub(r"qu|gu(?=[eéií])", "q", word.lower())
    return max(1, len(re.findall(r"[aeoáéó]|[íú]|(?<![aeoáéóiuü])[iuü]+(?![aeoáéó])", word)))


def counted(texts: list[str], syllables: Any) -> tuple[int, int, int]:
    """Return sentences, words and syllables.

    Only a full stop, question or exclamation mark ends a sentence, the strictest way of
    counting. A number is a word of one syllable.
    """
    ends = words = sounds = 0
    for text in texts:
        for sentence in re.split(r"(?<=[.!?])\s+", text):
            found = re.findall(r"[^\W\d_]+(?:['\u2019-][^\W\d_]+)*|\$?\d[\d,.]*%?", sentence)
            if found:
                ends += 1
                words += len(found)
                sounds += sum(1 if each[-1].isdigit() or each[0] in "$0123456789"
                              else syllables(each) for each in found)  # fmt: skip
    return ends, words, sounds


def grade(texts: list[str]) -> float:
    """Flesch-Kincaid grade level.

    0.39 words/sentence + 11.8 syllables/word - 15.59 (Kincaid, Fishburne, Rogers and
    Chissom, Research Branch Report 8-75, Naval Technical Training Command, 1975; from
    memory).
    """
    ends, words, sounds = counted(texts, english_syllables)
    return 0.39 * words / ends + 11.8 * sounds / words - 15.59


def inflesz(texts: list[str]) -> float:
    """Flesch-Szigriszt perspicuity, read on the INFLESZ scale.

    206.835 - 62.3 syllables/word - words/sentence (Szigriszt Pazos, 1993; scale by
    Barrio-Cantalejo and others, Anales del Sistema Sanitario de Navarra 31, 2008; from
    memory).
    """
    ends, words, sounds = counted(texts, spanish_syllables)
    return 206.835 - 62.3 * sounds / words - words / ends


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Shop]:
    rates = DEMO_DATA / "rates.toml"
    folder = tmp_path_factory.mktemp("shop")
    opened = set_up_shop(folder, DEMO_DATA / "catalog", rates, date(2020, 1, 1), "owner")
    yield opened
    opened.close()


def running_text(value: Any, key: str = "") -> list[str]:
    if isinstance(value, str):
        return [value] if key in SENTENCES else []
    if isinstance(value, dict):
        return [text for name, inner in value.items() for text in running_text(inner, name)]
    if isinstance(value, list | tuple):
        return [text for inner in value for text in running_text(inner, key)]
    return []


def read_by_customers(shop: Shop, path: Path, language: str) -> list[str]:
    found = price_visit(
        shop, TESTER, visit_from(tomllib.loads(path.read_text(encoding="utf-8")), str(path))
    )
    sheet = found.rate_sheet.sheet
    view = build_customer_view(
        found.visit, found.estimate, sheet.shop, sheet.quote, ISSUED, language=language
    )
    shown = asdict(view)
    for side in ("repair", "replace"):
        shown[side]["prices"] = None
    return running_text(shown)


@pytest.mark.parametrize("path", VISITS, ids=lambda path: path.stem)
def test_a_demo_quote_reads_at_grade_eight_or_below(shop: Shop, path: Path) -> None:
    found = grade(read_by_customers(shop, path, "en"))
    assert found <= MOST_GRADE, f"{found:.1f}"


@pytest.mark.parametrize("path", VISITS, ids=lambda path: path.stem)
def test_a_demo_quote_in_spanish_is_of_normal_difficulty_or_easier(shop: Shop, path: Path) -> None:
    found = inflesz(read_by_customers(shop, path, "es"))
    assert found >= LEAST_INFLESZ, f"{found:.1f}"


def test_the_demo_quotes_have_every_kind_of_verdict(shop: Shop) -> None:
    kinds = {
        price_visit(
            shop, TESTER, visit_from(tomllib.loads(path.read_text(encoding="utf-8")), str(path))
        ).estimate.verdict.kind
        for path in VISITS
    }
    assert kinds == set(VerdictKind)


@pytest.mark.parametrize("language", ["en", "es"])
@pytest.mark.parametrize("state", ["lapsed", "superseded", "declined", "refused"])
def test_every_state_and_refusal_reads_easily(language: str, state: str) -> None:
    refusals = [bare_slots(Speech(language).find(text) or "") for text in TROUBLE_SENTENCES
                if "{" not in text]  # fmt: skip
    mark = replace(ISSUED, last_revision=2 if state == "superseded" else None)
    view = build_customer_view(
        estimates.visit(), estimates.estimate(), estimates.SHOP, estimates.TERMS, mark,
        language=language, today=date(2027, 1, 1) if state == "lapsed" else ISSUED.issued_on,
    )  # fmt: skip
    signed = agreement_text(view, "neither").splitlines() if view.choice_keys else []
    texts = {"declined": signed, "refused": refusals}.get(state, [view.heading.valid_text])
    assert all(texts)
    if language == "en":
        assert grade(texts) <= MOST_GRADE
    else:
        assert inflesz(texts) >= LEAST_INFLESZ


def test_what_is_said_for_safety_reads_at_grade_eight_or_below() -> None:
    english = Speech("en")
    cautions = [text for text in set(said.of_safety()) if text.endswith(".")]
    assert grade([english.retell(text) for text in cautions]) <= MOST_GRADE


def test_stops_read_at_grade_eight_or_below() -> None:
    english = Speech("en")
    texts = {text for stop in said.every_stop() for text in (f"{stop.why}.", stop.what_to_do)}
    assert grade([english.retell(text) for text in texts]) <= MOST_GRADE


@pytest.mark.parametrize(
    ("word", "count"),
    [("heater", 2), ("replace", 2), ("used", 1), ("gas", 1), ("carbon", 2), ("average", 3),
     ("energy", 3), ("licensed", 2), ("pressure", 2), ("thermostat", 3), ("valve", 1),
     ("needed", 2), ("table", 2), ("years", 1)],
)  # fmt: skip
def test_english_syllables_are_counted(word: str, count: int) -> None:
    assert english_syllables(word) == count


@pytest.mark.parametrize(
    ("word", "count"),
    [("agua", 2), ("calentador", 4), ("quemador", 3), ("día", 2), ("energía", 4), ("reparación", 4),
     ("fuego", 2), ("sitio", 2), ("guía", 2), ("ciudad", 2), ("gas", 1), ("leer", 2)],
)  # fmt: skip
def test_spanish_syllables_are_counted(word: str, count: int) -> None:
    assert spanish_syllables(word) == count


def test_hard_prose_would_fail() -> None:
    """The formula is alive: a sentence out of a regulation is far above the limit."""
    hard = (
        "Notwithstanding applicable requirements, residential instantaneous combustion "
        "appliances necessitate supplementary ventilation infrastructure determinations."
    )
    assert grade([hard]) > 15

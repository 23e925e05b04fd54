"""The gettext catalogs: complete, with the same slots, in step with the code."""

from __future__ import annotations

import re
import string
from io import BytesIO
from pathlib import Path

import pytest
from babel.messages.extract import extract_from_dir
from babel.messages.pofile import read_po

import app
from app.language.catalogs import catalog_of, po_file
from app.language.marking import mark
from app.language.speech import TEMPLATES, Speech
from app.language.templates import PATTERNS, Template, bare_slots

APP = Path(app.__file__).parent


def marked() -> set[str]:
    found = extract_from_dir(str(APP), [("**.py", "python")], keywords={"mark": None})
    return {message for _, _, message, *_ in found}


def messages(language: str) -> dict[str, str]:
    with po_file(language).open("rb") as file:
        catalog = read_po(BytesIO(file.read()))
    assert not [message.id for message in catalog if message.fuzzy and message.id]
    return {message.id: message.string for message in catalog if message.id}


def slots(text: str) -> set[str]:
    return {name for _, name, _, _ in string.Formatter().parse(text) if name}


def test_the_spanish_catalog_holds_what_is_marked_and_nothing_else() -> None:
    assert set(messages("es")) == marked()


def test_no_spanish_is_empty() -> None:
    assert [message for message, said in messages("es").items() if not said.strip()] == []


@pytest.mark.parametrize("language", ["es", "en"])
def test_a_translation_has_the_slots_of_its_message(language: str) -> None:
    held = messages(language)
    assert held
    differ = {m: said for m, said in held.items() if slots(bare_slots(m)) != slots(said)}
    assert differ == {}


@pytest.mark.parametrize("language", ["es", "en"])
def test_a_translation_has_the_numbers_of_its_message(language: str) -> None:
    def numbers(text: str) -> list[str]:
        return sorted(re.findall(r"\d+", re.sub(r"\{.*?\}|\(150 psi.*?\)", "", text)))

    differ = {
        message: said
        for message, said in messages(language).items()
        if numbers(message) != numbers(said) and " CFR " not in message and "CPSC" not in message
        and "Consumer Product" not in message and "common practice" not in message
    }  # fmt: skip
    assert differ == {}


def test_english_only_rewords_sentences_of_the_estimator_and_the_catalog() -> None:
    assert set(messages("en")) <= set(TEMPLATES)


def test_plainer_english_never_leaves_a_warning_out() -> None:
    """Words that carry the danger or the deed stand in the plain words as in the first."""
    must = ("never", "not", "gas", "burn", "flame", "150 psi", "vapor", "carbon monoxide",
            "licensed", "permit", "pressure", "vent", "gasoline", "sounds")  # fmt: skip
    for message, said in messages("en").items():
        if " CFR " in message or message.startswith(("CPSC", "US ")):
            continue
        lost = [word for word in must if word in message.lower() and word not in said.lower()]
        neither = "neither" in message and "never" in said.lower()
        assert not [word for word in lost if not neither or word != "not"], (message, said, lost)


def test_every_kind_of_slot_is_known() -> None:
    kinds = {kind for each in TEMPLATES for kind in Template(each).kinds.values()}
    assert kinds <= set(PATTERNS)


def test_no_template_stands_twice() -> None:
    held = [each.removesuffix(".") for each in TEMPLATES]
    assert len(held) == len(set(held))


def test_a_language_that_is_not_there_is_refused() -> None:
    with pytest.raises(ValueError, match="Language 'fr' is not one of en, es"):
        catalog_of("fr")
    with pytest.raises(ValueError, match="Language 'fr' is not one of en, es"):
        Speech("fr")


def test_a_mark_leaves_words_as_they_are() -> None:
    assert mark("Quote") == "Quote"

"""Sentences told apart by their templates and said again, with their numbers."""

from __future__ import annotations

import pytest

from app.language.speech import INVENTED, Speech

US, SI = Speech("es"), Speech("es", "si")


@pytest.mark.parametrize(
    ("speech", "english", "said"),
    [
        (
            US,
            "Repairing is expected to cost $1,344 less than replacing over the years compared.",
            "Se espera que reparar cueste $1,344 menos que reemplazar en los años comparados.",
        ),
        (
            SI,
            "The gas line carries 40,000 Btu/h, this heater needs 75,100 Btu/h.",
            "La línea de gas lleva 11.7 kW, y este calentador necesita 22 kW.",
        ),
        (
            US,
            "40 gal gas tank, natural draft (invented)",
            "tanque de gas de 40 galones, tiro natural (inventado)",
        ),
        # Two sentences after one another, and one inside another.
        (
            US,
            "There is a smell of gas. Turn off the gas and the cold water, and replace the heater.",
            "Huele a gas. Cierre el gas y el agua fría, y cambie el calentador.",
        ),
        (
            US,
            "No replacement may go here as things stand: none is on the list.",
            "Por ahora no se puede instalar ningún calentador nuevo: no hay ninguno en la lista.",
        ),
        # Several notes of one line, the first letter as it stands there.
        (
            US,
            "1.25 h times 1.5 for hard access; after-hours rate",
            "1.25 h por 1.5 por difícil acceso; tarifa fuera de horario",
        ),
        (US, "After-hours rate", "Tarifa fuera de horario"),
    ],
)
def test_a_stored_sentence_is_said_in_spanish(speech: Speech, english: str, said: str) -> None:
    assert speech.retell(english) == said


def test_english_in_si_units_says_the_same_with_other_measures() -> None:
    said = Speech("en", "si").retell(
        "Water at 140 °F can burn in 6 seconds or little more. Set the thermostat to 120 °F, or "
        "fit mixing valves where hotter storage is wanted."
    )
    assert said.startswith("Water at 60 °C can burn in 6 seconds")
    assert "49 °C" in said


def test_an_unknown_text_stays_as_it_is_and_is_known_to_be_unknown() -> None:
    text = "Widget, blue, by nobody in particular"
    assert US.find(text) is None
    assert US.retell(text) == text


def test_an_unknown_word_in_a_slot_leaves_the_whole_sentence_in_english() -> None:
    """Half a translation would be worse than none."""
    text = "No replacement may go here as things stand: the stars are wrong."
    assert US.retell(text) == text


def test_a_sentence_about_a_heater_with_a_name_of_its_own_is_said_with_that_name() -> None:
    text = "Repair is closed as things stand. To replace the heater: The Big One at $1,490.71."
    said = "Por ahora no se puede reparar. Para cambiar el calentador: The Big One por $1,490.71."
    assert US.retell(text) == said


def test_what_the_page_says_at_its_head_is_left_out_of_names() -> None:
    speech = Speech("en", unsaid=(INVENTED, ", natural draft"))
    assert speech.retell("40 gal gas tank, natural draft (invented)") == "40 gal gas tank"


def test_the_shop_s_own_words_come_first_wherever_they_stand() -> None:
    own = (("The Big One", "El Grande"), ("Drain pan and line.", "Bandeja propia"))
    speech = Speech("es", own=own)
    assert speech.retell("The Big One") == "El Grande"
    assert speech.retell("The Big One (invented)") == "El Grande (inventado)"
    assert speech.retell("Drain pan and line") == "Bandeja propia"
    assert US.retell("Drain pan and line") not in ("Drain pan and line", "Bandeja propia")
    text = "Repair is closed as things stand. To replace the heater: The Big One at $1,490.71."
    said = "Por ahora no se puede reparar. Para cambiar el calentador: El Grande por $1,490.71."
    assert speech.retell(text) == said
    assert Speech("en").retell("The Big One") == "The Big One"


def test_braces_in_a_text_do_no_harm() -> None:
    for text in ("{0}", "{name}", "}{", "{why:phrase}", "Stop {x.__class__}."):
        assert US.retell(text) == text

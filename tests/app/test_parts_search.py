"""The search box, the form by measure, and the parts view."""

from __future__ import annotations

import re
from dataclasses import fields, is_dataclass
from datetime import date
from decimal import Decimal
from typing import Any

import pytest

from app.parts_query import read_query
from app.parts_search import PartsAnswer, search_parts
from app.shop import Shop
from app.views.parts import PartsView, build_parts_view
from app.views.parts_drawings import DRAWINGS
from app.views.parts_form import (
    build_measure_form,
    families_to_measure,
    read_answers,
    read_back,
)
from catalog.fit import fit_parts
from catalog.fit_rules import FitRules, read_rules, rules_that_ship
from catalog.needs import Need
from catalog.part_rows import FEATURES
from catalog.parts import parts_by_number
from estimator.errors import InputTrouble
from estimator.supply import FitClass, PartFamily

ON = date(2026, 2, 2)
RULES: FitRules = read_rules(rules_that_ship(), "fit_rules.toml")


@pytest.mark.parametrize(
    ("typed", "kind", "family", "features", "unread"),
    [
        ("SE-20104", "number", None, {}, ()),
        ("20104", "number", None, {}, ()),
        ("  ", "nothing", None, {}, ()),
        (
            "thermocouple 24 in push-in flanged tip",
            "words",
            PartFamily.SENSING_ELEMENT,
            {"output_class_mv": 30.0, "length_in": 24.0, "connection": "push_in",
             "tip_style": "flanged"},
            (),
        ),
        (
            "600 mm thermocouple with cut-off blue",
            "words",
            PartFamily.SENSING_ELEMENT,
            {"output_class_mv": 30.0, "length_in": pytest.approx(23.622, abs=1e-3),
             "cut_off_built_in": True},
            ("blue",),
        ),
        (
            "gas valve propane 3/4 in NPT 11 kW",
            "words",
            PartFamily.GAS_CONTROL,
            {"fuel": "propane", "inlet_size": "npt_3_4",
             "max_input_btu_per_h": pytest.approx(37533.55, abs=0.1)},
            (),
        ),
        ("limit 180 °F manual reset", "words", PartFamily.LIMIT,
         {"opens_at_f": 180.0, "reset_kind": "manual"}, ()),
        ("thermal fuse", "words", PartFamily.LIMIT, {"reset_kind": "one_shot"}, ()),
        ("pilot tube 24 in", "words", PartFamily.PILOT_TUBE, {"length_in": 24.0}, ()),
        ("pilot tube 1/4 in 24 in", "words", PartFamily.PILOT_TUBE,
         {"diameter_in": 0.25, "length_in": 24.0}, ()),
        ("limit 24 kW", "words", PartFamily.LIMIT, {}, ("24 kw",)),
        ("24 in", "measure", None, {}, ()),
        ("610 mm long", "measure", None, {}, ()),
        ("24 in blue", "number", None, {}, ()),
    ],
)  # fmt: skip
def test_what_is_typed_is_understood(
    typed: str, kind: str, family: PartFamily | None, features: dict[str, Any],
    unread: tuple[str, ...],
) -> None:  # fmt: skip
    query = read_query(typed, RULES)
    assert (query.kind, query.family, query.unread) == (kind, family, unread)
    assert query.features == features


def view_of(shop: Shop, text: str) -> tuple[PartsAnswer, PartsView]:
    catalog = shop.catalog()
    answer = search_parts(catalog, text, "van-1", ON)
    pricing = shop.ledger.rate_sheets.on(ON).sheet.parts
    return answer, build_parts_view(answer, pricing, catalog.rules)


def test_a_number_is_shown_with_its_chain_price_and_place(shop: Shop) -> None:
    _, view = view_of(shop, "se2o195")
    assert view.read_as == "Read as SE20195: number SE-20195 of Maker A (invented)."
    assert view.chain == ("SE-20195", "SE-20194", "SE-20102")
    first = view.numbers[0]
    assert first.replaced
    assert first.today is not None
    assert first.today.number == "SE-20102"
    assert re.fullmatch(r"\$\d+\.\d\d", first.today.price)
    assert view.numbers[1].how.endswith("is meant.")


def test_a_text_too_long_to_be_a_search_is_refused(shop: Shop) -> None:
    assert search_parts(shop.catalog(), "SE-20104 " * 22, "van-1", ON).numbers is not None
    with pytest.raises(InputTrouble) as refused:
        search_parts(shop.catalog(), "SE-20104 " * 1000, "van-1", ON)
    assert str(refused.value) == (
        "The search has 9,000 characters; at most 200 are read. Type a number, or words with "
        "measures."
    )


@pytest.mark.parametrize(
    ("stamped", "opens_at"), [("82 °C", 180), ("88 °C", 190), ("93 °C", 200), ("190 °F", 190)]
)
def test_a_limit_stamped_in_whole_celsius_is_found(
    shop: Shop, stamped: str, opens_at: float
) -> None:
    told = {"opens_at_f": stamped, "reset_kind": "manual", "mounting": "surface_screw"}
    features = read_answers(RULES, PartFamily.LIMIT, told)
    found = fit_parts(shop.catalog(), Need(PartFamily.LIMIT, features=features), "van-1", ON)
    assert {fit.part.features["opens_at_f"] for fit in found.fitting} == {opens_at}


@pytest.mark.parametrize("stamped", ["189 °F", "191 °F", "199 °F"])
def test_a_limit_stamped_in_fahrenheit_is_held_against_that_alone(shop: Shop, stamped: str) -> None:
    features = read_answers(RULES, PartFamily.LIMIT, {"opens_at_f": stamped})
    found = fit_parts(shop.catalog(), Need(PartFamily.LIMIT, features=features), "van-1", ON)
    assert found.fitting == ()


def test_words_give_a_ranked_fit_and_unknown_is_never_a_match(shop: Shop) -> None:
    answer, view = view_of(shop, "thermocouple 24 in")
    assert view.read_as == "Read as sensing element, output class 30 mV, length 24 in (609.6 mm)."
    assert view.fits
    card = view.fits[0]
    assert card.fit_word == "Alike as far as known"
    assert ("check this", "Tip style") in [
        (reason.word, reason.sentence.split(":")[0]) for reason in card.reasons
    ]
    assert answer.fit is not None
    assert all(fit.check_these for fit in answer.fit.fitting)
    assert any("Look whether the chamber is sealed" in line for line in card.check_these)


def test_a_gas_control_by_measure_alone_is_not_offered_as_a_fit(shop: Shop) -> None:
    answer, view = view_of(shop, "gas control natural gas")
    assert answer.fit is not None
    assert all(fit.fit_class is FitClass.UNIVERSAL for fit in answer.fit.fitting)
    assert view.rejected


def test_no_cost_of_the_shop_is_in_the_view(shop: Shop) -> None:
    for text in ("SE-20104", "thermocouple 24 in"):
        answer, view = view_of(shop, text)
        assert not {name for name in names(view) if "cost" in name or "margin" in name}
        offers = {number: held.offer for number, held in answer.standing.items()}
        offers |= {fit.part.number: fit.offer for fit in answer.fit.fitting} if answer.fit else {}
        cards = [*view.fits, *(card.today for card in view.numbers if card.today)]
        assert cards
        for card in cards:
            offer = offers[card.number]
            assert offer is None or card.price != f"${offer.cost:,.2f}"


def names(shown: Any) -> set[str]:
    if isinstance(shown, tuple):
        return {name for each in shown for name in names(each)}
    if is_dataclass(shown):
        inner = {name for each in fields(shown) for name in names(getattr(shown, each.name))}
        return inner | {each.name for each in fields(shown)}
    assert shown is None or isinstance(shown, str | bool), shown
    return set()


def test_every_family_has_a_form_of_all_its_features() -> None:
    for choice in families_to_measure(RULES):
        family = PartFamily(choice.value)
        form = build_measure_form(RULES, family)
        assert {field.feature for field in form.fields} == set(FEATURES[family])
        assert all(field.label and field.kind for field in form.fields)


def test_a_form_shows_what_was_read_in_both_systems_and_what_is_wrong() -> None:
    form = build_measure_form(RULES, PartFamily.SENSING_ELEMENT)
    by = {field.feature: field for field in form.fields}
    assert read_back(by["length_in"], "600 mm").shown == "23.622 in (600.0 mm)"
    assert (by["length_in"].unit, by["length_in"].other_unit) == ("in", "mm")
    assert "another kind of measure" in read_back(by["output_class_mv"], "3 in").problem
    assert by["connection"].choices[0].label.endswith("(11/32-32 UNS, thread form of ASME B1.1)")


def test_answers_are_read_in_the_units_of_the_catalog() -> None:
    read = read_answers(
        RULES, PartFamily.LIMIT, {"opens_at_f": "100 °C", "reset_kind": "manual", "mounting": ""}
    )
    assert read == {"opens_at_f": 212.0, "reset_kind": "manual"}
    with pytest.raises(InputTrouble, match="opening temperature is"):
        read_answers(RULES, PartFamily.LIMIT, {"opens_at_f": "hot"})


@pytest.mark.parametrize("family", list(DRAWINGS))
def test_a_drawing_shows_a_letter_for_each_feature_it_names(family: PartFamily) -> None:
    drawing = DRAWINGS[family]
    svg = drawing.svg()
    assert set(drawing.letters) <= set(FEATURES[family])
    drawn = set(re.findall(r">([A-E])</text>", svg))
    assert drawn == set(drawing.letters.values())
    assert all(f"{letter} " in drawing.title for letter in drawn)


def test_prices_are_those_of_the_rate_sheet(shop: Shop) -> None:
    answer, view = view_of(shop, "LSW 4100")
    offer = answer.standing[view.numbers[0].part_number].offer
    assert offer is not None
    assert view.numbers[0].today is not None
    assert Decimal(view.numbers[0].today.price.strip("$")) > offer.cost


@pytest.mark.parametrize(
    ("typed", "of", "not_of"),
    [
        ("24 in", "sensing element 24 in", "vapor sensor 24 in"),
        ("610 mm", "sensing element 610 mm", "vapor sensor 610 mm"),
        ("180 °F", "limit 180 °F", "sensing element 180 °F"),
        ("11 kW", "gas control 11 kW", "limit 11 kW"),
    ],
)
def test_a_measure_alone_asks_of_what_it_is(shop: Shop, typed: str, of: str, not_of: str) -> None:
    pricing = shop.ledger.rate_sheets.on(ON).sheet.parts
    view = build_parts_view(search_parts(shop.catalog(), typed, "", ON), pricing, RULES)
    assert view.read_as == f"Read as a measure, {typed}. Of what part is it?"
    asks = [ask.typed for ask in view.asks]
    assert of in asks
    assert not_of not in asks
    assert len(asks) == len(set(asks))
    assert all(ask.typed == f"{ask.label.lower()} {typed}" for ask in view.asks)
    assert view.numbers == view.fits == ()
    answers = [search_parts(shop.catalog(), ask, "", ON) for ask in asks]
    assert all(answer.query.kind == "words" and answer.query.features for answer in answers)
    assert not any(answer.query.unread for answer in answers)


def test_a_number_found_for_sure_brings_what_goes_in_for_it(shop: Shop) -> None:
    pricing = shop.ledger.rate_sheets.on(ON).sheet.parts
    answer = search_parts(shop.catalog(), "se 2o195", "van-1", ON)
    view = build_parts_view(answer, pricing, RULES)
    assert view.goes_in == "What goes in for SE-20195"
    assert view.fits[0].number == view.chain[-1] == "SE-20102"
    assert view.fits[0].fit_word == "Listed by the maker"
    assert view.rejected
    unsure = build_parts_view(search_parts(shop.catalog(), "SE-20190Z", "", ON), pricing, RULES)
    assert unsure.numbers
    assert unsure.goes_in == ""
    assert unsure.fits == ()


@pytest.mark.parametrize(
    ("typed", "number", "told"),
    [
        ("SE-2010 24 in", "se-2010", {"length_in": 24.0}),
        ("24 in SE 2010", "se 2010", {"length_in": 24.0}),
        ("SE-2010 610mm long", "se-2010", {"length_in": pytest.approx(24.016, abs=1e-3)}),
        ("thermocouple SE-2010 24 in", "se-2010", {"length_in": 24.0, "output_class_mv": 30.0}),
        ("push-in thermocouple SE-2010", "se-2010",
         {"connection": "push_in", "output_class_mv": 30.0}),
    ],
)  # fmt: skip
def test_a_number_is_read_with_what_is_told_beside_it(
    typed: str, number: str, told: dict[str, Any]
) -> None:
    query = read_query(typed, RULES)
    assert query.number == number
    assert query.told is not None
    assert query.told[PartFamily.SENSING_ELEMENT] == told
    assert PartFamily.VAPOR_SENSOR not in query.told


@pytest.mark.parametrize(
    "typed", ["SE-20104", "LSW 4100 C", "24 in blue", "24 in", "12 V 40", "SE-2010 9 furlong"]
)
def test_where_no_number_stands_with_a_measure_nothing_is_told(typed: str) -> None:
    query = read_query(typed, RULES)
    assert (query.number, query.told) == (typed, None)


def test_a_measure_beside_a_worn_number_brings_those_that_are_so(shop: Shop) -> None:
    answer, view = view_of(shop, "SE-2010 24 in")
    assert answer.numbers is not None
    so = [held for held in answer.numbers.found if held.as_told]
    assert len(so) > 1
    assert list(answer.numbers.found[: len(so)]) == so
    parts = {held.part.number: held.part.features["length_in"] for held in answer.numbers.found}
    assert {number for number, length in parts.items() if length == 24} == {
        held.part.number for held in so
    }
    assert view.read_as == (
        f"Read as SE2010: not in the catalog; the nearest is {so[0].number}. Told with it, "
        f"length 24 in (609.6 mm): {len(so)} of these are so."
    )
    assert [card.known for card in view.numbers[: len(so)]] == [("As told with it",)] * len(so)
    assert view.numbers[len(so)].known == ()


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("SE-2010", " What is its length? The heater would tell them apart too."),
        ("SE-20104 11 kW", " None of these is as told with it."),
        ("SE-20104", ""),
        ("QX-SE-20104", ""),
    ],
)  # fmt: skip
def test_what_is_told_with_a_number_is_said_back(shop: Shop, typed: str, said: str) -> None:
    answer, view = view_of(shop, typed)
    assert answer.numbers is not None
    assert view.read_as == answer.numbers.how_read + said


def test_the_kind_of_part_told_with_a_number_is_said_back(shop: Shop) -> None:
    answer, view = view_of(shop, "thermocouple SE-20104")
    assert answer.numbers is not None
    found = parts_by_number(shop.catalog(), [held.part.number for held in answer.numbers.found])
    so = [each for each in found.values() if each.features.get("output_class_mv") == 30]
    assert 1 < len(so) < len(found)
    assert view.read_as == (
        f"{answer.numbers.how_read} Told with it, sensing element, output class 30 mV: "
        f"{len(so)} of these are so."
    )


def test_words_that_only_look_like_a_number_stay_words(shop: Shop) -> None:
    answer, view = view_of(shop, "thermocouple ZQ-99999 24 in")
    assert answer.numbers is None
    assert view.fits
    assert view.read_as.endswith("Not understood: zq-99999.")


def test_a_number_that_holds_a_measure_is_still_a_number(shop: Shop) -> None:
    answer, _ = view_of(shop, "ZQ-99999 24 in")
    assert answer.numbers is not None
    assert answer.numbers.read_as == "ZQ99999241N"


def test_a_worn_number_asks_for_the_measure_that_tells_most_apart(shop: Shop) -> None:
    answer, view = view_of(shop, " SE-2010")
    assert answer.numbers is not None
    found = parts_by_number(shop.catalog(), [held.part.number for held in answer.numbers.found])
    lengths = sorted({float(part.features["length_in"]) for part in found.values()})
    assert len(lengths) > 1
    assert [ask.label for ask in view.asks] == [f"{length:g} in" for length in lengths]
    assert [ask.typed for ask in view.asks] == [f"SE-2010 {length:g} in" for length in lengths]
    for ask, length in zip(view.asks, lengths, strict=True):
        narrowed, _ = view_of(shop, ask.typed)
        assert narrowed.numbers is not None
        first = narrowed.numbers.found[0]
        assert first.as_told
        assert first.part.features["length_in"] == length
        assert narrowed.apart is None


@pytest.mark.parametrize("typed", ["SE-20104", "SE-2010 24 in", "QX-SE-20104", "ZZ-99"])
def test_nothing_is_asked_where_few_or_one_is_meant(shop: Shop, typed: str) -> None:
    answer, view = view_of(shop, typed)
    assert answer.apart is None
    assert view.asks == ()


def test_a_limit_s_worn_number_asks_for_its_opening_temperature(shop: Shop) -> None:
    answer, view = view_of(shop, "LM-2010")
    assert answer.apart is not None
    assert answer.apart.rule.feature == "opens_at_f"
    assert all(ask.label.endswith(" °F") for ask in view.asks)

from __future__ import annotations

import json
from datetime import UTC, date, datetime
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.ledger.canonical import canonical_json, differences, digest
from estimator.errors import LedgerTrouble
from estimator.heater import Access
from tests.app.ledger.support import rate_sheet

texts = st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\x00"), max_size=8)
contents = st.recursive(
    st.none()
    | st.booleans()
    | st.integers()
    | st.floats(allow_nan=False, allow_infinity=False)
    | texts,
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(texts, inner, max_size=4),
    max_leaves=20,
)


@given(contents)
def test_content_comes_back_exactly_and_spells_the_same_again(content):
    text = canonical_json(content)
    back = json.loads(text)
    assert back == content
    assert canonical_json(back) == text
    assert list(differences(content, back)) == []


@given(st.floats(allow_nan=False, allow_infinity=False))
def test_a_float_keeps_every_bit(value):
    assert json.loads(canonical_json([value]))[0].hex() == value.hex()


def test_each_kind_of_value_has_its_one_spelling():
    content = {
        "b": Decimal("1.10"),
        "a": date(2026, 5, 4),
        "at": datetime(2026, 5, 4, 8, 0, tzinfo=UTC),
        Access.TIGHT: (0.1, 1, True, None),
        "name": "Muñoz",
        "set": {"y", "x"},
    }
    assert canonical_json(content) == (
        '{"a":"2026-05-04","at":"2026-05-04T08:00:00+00:00","b":"1.10","name":"Muñoz",'
        '"set":["x","y"],"tight":[0.1,1,true,null]}'
    )


def test_the_order_of_keys_does_not_matter_and_the_written_decimal_does():
    assert canonical_json({"a": 1, "b": 2}) == canonical_json({"b": 2, "a": 1})
    assert canonical_json(Decimal("1.1")) != canonical_json(Decimal("1.10"))


def test_a_rate_sheet_comes_back_equal():
    sheet = rate_sheet()
    assert type(sheet).model_validate_json(canonical_json(sheet)) == sheet


@pytest.mark.parametrize(
    ("content", "message"),
    [
        (
            {"a": [1.0, float("nan")]},
            "The number nan is not finite in a[1]. Leave the value out instead.",
        ),
        (
            {"a": Decimal("Infinity")},
            "The number Infinity is not finite in a. Leave the value out instead.",
        ),
        (
            {"a": object()},
            "A value of type object cannot be kept in a. Give text, numbers, dates, lists or"
            " mappings.",
        ),
        (
            {"a": {7: 1}},
            "The key 7 is not text in a. Name each value by a text.",
        ),
        (
            {"a": "x\ud83d"},
            "There is half of a character in the content to keep. Type the text again without it.",
        ),
    ],
)
def test_what_cannot_be_kept_is_refused_in_words(content, message):
    with pytest.raises(LedgerTrouble) as refused:
        canonical_json(content)
    assert str(refused.value) == message


def test_differences_name_the_path_and_the_cents():
    kept = {"repair": {"lines": [{"amount": "10.00"}, {"amount": "2.50"}]}, "gone": 1, "x": True}
    now = {"repair": {"lines": [{"amount": "10.00"}, {"amount": "2.49"}]}, "new": 2, "x": 1}
    assert [str(found) for found in differences(kept, now)] == [
        "gone is in the ledger and not there now",
        "new is not in the ledger and is there now",
        "repair.lines[1].amount is 2.50 in the ledger and 2.49 now (0.01 apart)",
        "x is true in the ledger and 1 now",
    ]


def test_differences_in_a_list_say_both_lengths():
    assert [str(found) for found in differences({"a": [1, 2]}, {"a": [1]})] == [
        "a has 2 entries in the ledger and 1 now"
    ]


def test_digest_keeps_texts_apart():
    assert digest("ab", "c") != digest("a", "bc")

"""A rate sheet typed with a slip: never taken in silence, always named, never a traceback."""

from __future__ import annotations

import copy
import tomllib
from pathlib import Path
from typing import Any

import pytest

from estimator.errors import RateSheetTrouble
from estimator.rates import rate_sheet_from

DEMO = tomllib.loads(
    (Path(__file__).parents[2] / "demo_data" / "rates.toml").read_text(encoding="utf-8")
)


def every_key(values: dict[str, Any], path: tuple[str, ...] = ()) -> list[tuple[str, ...]]:
    found = []
    for key, value in values.items():
        found.append((*path, key))
        if isinstance(value, dict):
            found += every_key(value, (*path, key))
    return found


def parent(values: dict[str, Any], path: tuple[str, ...]) -> dict[str, Any]:
    for key in path[:-1]:
        values = values[key]
    return values


KEYS = every_key(DEMO)


@pytest.mark.parametrize("path", KEYS, ids=".".join)
def test_every_misspelt_key_is_named_with_the_right_one(path: tuple[str, ...]) -> None:
    values = copy.deepcopy(DEMO)
    section = parent(values, path)
    slip = path[-1] + "x"
    section[slip] = section.pop(path[-1])
    with pytest.raises(RateSheetTrouble) as told:
        rate_sheet_from(values, "rates.toml")
    message = str(told.value)
    if "access_factor" not in path[:-1]:
        assert f'"{".".join((*path[:-1], slip))}" is not known in rates.toml' in message
        assert f'did you mean "{path[-1]}"?' in message
    else:
        assert slip in message
    assert "rates.toml" in message


@pytest.mark.parametrize("path", KEYS, ids=".".join)
@pytest.mark.parametrize("junk", [None, [[]], "??", {"??": 1}, float("nan")], ids=repr)
def test_junk_in_any_key_is_told_or_taken_never_thrown(path: tuple[str, ...], junk: object) -> None:
    values = copy.deepcopy(DEMO)
    parent(values, path)[path[-1]] = junk
    try:
        rate_sheet_from(values, "rates.toml")
    except RateSheetTrouble as told:
        message = str(told)
        assert "rates.toml" in message
        assert "Input should" not in message
    else:
        text_is_free = isinstance(junk, str)
        nothing_is_allowed = junk is None
        assert text_is_free or nothing_is_allowed, f"{path} took {junk!r}"


@pytest.mark.parametrize("path", [key for key in KEYS if len(key) == 1], ids=".".join)
def test_a_section_left_out_is_missing_or_has_defaults(path: tuple[str, ...]) -> None:
    values = copy.deepcopy(DEMO)
    del values[path[0]]
    if path[0] in {"shop", "labor", "trip", "parts", "fuel_prices"}:
        with pytest.raises(RateSheetTrouble, match=f'"{path[0]}" is missing in rates.toml'):
            rate_sheet_from(values, "rates.toml")
    else:
        rate_sheet_from(values, "rates.toml")

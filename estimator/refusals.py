"""What a model refused, in plain words: the value found, its key, and how to mend it."""

from __future__ import annotations

import re
import types
from collections.abc import Mapping
from decimal import Decimal
from difflib import get_close_matches
from math import isnan
from typing import Annotated, Any, Literal, NamedTuple, Union, get_args, get_origin

from pydantic import BaseModel, ValidationError

LISTS = (tuple, list, set, frozenset)

MUST_BE: dict[str, str] = {
    "greater_than_equal": "{ge} or more",
    "greater_than": "above {gt}",
    "less_than_equal": "{le} or less",
    "less_than": "below {lt}",
    "finite_number": "a finite number",
    "float_type": "a number",
    "float_parsing": "a number",
    "decimal_type": "a number",
    "decimal_parsing": "a number",
    "decimal_max_places": "a number with at most {decimal_places} decimals",
    "decimal_max_digits": "a number of at most {max_digits} digits",
    "decimal_whole_digits": "a number with at most {whole_digits} digits before the point",
    "int_type": "a whole number",
    "int_parsing": "a whole number",
    "int_from_float": "a whole number",
    "bool_type": "true or false",
    "bool_parsing": "true or false",
    "string_type": "text in quotes",
    "string_too_long": "at most {max_length} characters long",
    "string_too_short": "{min_length} or more characters long",
    "model_type": "a section with keys of its own",
    "model_attributes_type": "a section with keys of its own",
    "dict_type": "a section with keys of its own",
    "mapping_type": "a section with keys of its own",
    "tuple_type": "a list",
    "list_type": "a list",
    "set_type": "a list",
}
"""Kind of refusal → what the value must be."""


class Refusal(NamedTuple):
    """One thing that was refused: its path of keys, the fault found, and what mends it.

    `hint` goes on the sentence of `what`: "it must be 2 or more", "did you mean ...?"; it
    may be empty.
    """

    key: str
    what: str
    hint: str = ""


class _Place(NamedTuple):
    """Where a path of keys leads: as a person writes it, and the keys known beside it."""

    shown: str
    known: tuple[str, ...]
    whole: bool


def refusals(refused: ValidationError, model: type[BaseModel]) -> list[Refusal]:
    """Turn pydantic's refusal into plain words.

    Parameters
    ----------
    refused
        The refusal.
    model
        The model that refused.

    Returns
    -------
    One refusal for each thing to mend; a misspelt key that is also missing under its
    right name is one thing.
    """
    problems = refused.errors(include_url=False)
    missing = {".".join(map(str, each["loc"])) for each in problems if each["type"] == "missing"}
    found: dict[str, Refusal] = {}
    slips: set[str] = set()
    for number, problem in enumerate(problems):
        place = _follow(model, problem["loc"])
        if problem["type"] == "extra_forbidden":
            refusal, near = _unknown(str(problem["loc"][-1]), place)
            right = ".".join([*map(str, problem["loc"][:-1]), near])
            slips |= {right} & missing
        else:
            refusal = _refusal(problem, place)
        if not place.whole and place.shown in found:
            found[place.shown] = refusal._replace(
                hint="it must be text, a number, or true or false"
            )
        else:
            found[f"{place.shown}:{number}" if place.whole else place.shown] = refusal
    return [each for each in found.values() if not _is_slip(each, slips)]


def _is_slip(refusal: Refusal, slips: set[str]) -> bool:
    return refusal.key in slips and refusal.what.endswith("is missing")


def _refusal(problem: Any, place: _Place) -> Refusal:
    kind, key, context = problem["type"], place.shown, problem.get("ctx", {})
    if kind == "missing":
        return Refusal(key, f'the key "{key}" is missing')
    if kind == "value_error":
        what, _, hint = str(context["error"]).partition("; ")
        return Refusal(key, f"{key}: {what}" if key else what, hint)
    given = problem["input"]
    if kind in ("enum", "literal_error"):
        return _choice(key, given, context["expected"], is_key="[key]" in problem["loc"])
    if isinstance(given, float) and isnan(given):
        return Refusal(key, f"{key} is not a number", "give a number")
    if kind.startswith("date"):
        must_be = "a date, year first, such as 2019-05-31"
    elif kind in MUST_BE:
        bounds = {name: _number(bound) for name, bound in context.items()}
        must_be = MUST_BE[kind].format(**bounds)
    else:
        must_be = re.sub(r"^Input should be (a valid )?", "", str(problem["msg"]))
    return Refusal(key, f"{key or 'what was given'} is {_shown(given)}", f"it must be {must_be}")


def _unknown(last: str, place: _Place) -> tuple[Refusal, str]:
    near = _nearest(last, place.known)
    hint = f'did you mean "{near}"?' if near else ""
    if not near and place.known:
        hint = f"known here: {', '.join(place.known)}"
    return Refusal(place.shown, f'the key "{place.shown}" is not known', hint), near


def _choice(key: str, given: object, expected: str, *, is_key: bool) -> Refusal:
    choices = re.findall(r"'([^']*)'", expected) or re.split(r", | or ", expected)
    near = _nearest(str(given), choices)
    one_of = choices[0] if len(choices) == 1 else f"{', '.join(choices[:-1])} or {choices[-1]}"
    if is_key and near:
        return Refusal(key, f'the key "{key}" is not known', f'did you mean "{near}"?')
    what = f'the key "{key}" is not known' if is_key else f"{key} is {_shown(given)}"
    meant = f' (did you mean "{near}"?)' if near else ""
    return Refusal(key, what, f"it must be {one_of}{meant}")


def _nearest(word: str, known: tuple[str, ...] | list[str]) -> str:
    near = get_close_matches(word.lower(), known, n=1, cutoff=0.6)
    return near[0] if near else ""


def _shown(given: object) -> str:
    if given is None:
        return "empty"
    if isinstance(given, bool):
        return "true" if given else "false"
    if isinstance(given, Mapping | BaseModel):
        return "a section of keys"
    if isinstance(given, list | tuple | set):
        return "a list"
    text = str(given)
    text = text if len(text) <= 40 else f"{text[:40]}…"
    return f'"{text}"' if isinstance(given, str) else text


def _number(bound: object) -> str:
    if isinstance(bound, bool) or not isinstance(bound, int | float | Decimal):
        return str(bound)
    return f"{Decimal(str(bound)).normalize():,f}"


def _follow(model: type[BaseModel], loc: tuple[str | int, ...]) -> _Place:
    """Follow a path of keys through nested models, mappings and lists.

    `whole` is false where the path went on into the branches of a union of plain values,
    which mean nothing to a person.
    """
    shown = ""
    at: Any = _bare(model)
    known: tuple[str, ...] = ()
    for step in loc:
        if step == "[key]":
            break
        known = ()
        if isinstance(at, type) and issubclass(at, BaseModel):
            known = tuple(at.model_fields)
            field = at.model_fields.get(str(step))
            at = _bare(field.annotation) if field else None
        elif get_origin(at) in LISTS:
            at = _bare(get_args(at)[0])
        elif get_origin(at) in (dict, Mapping):
            at = _bare(get_args(at)[1])
        elif at is not None:
            return _Place(shown, (), whole=False)
        shown += f" #{step + 1}" if isinstance(step, int) else f".{step}" if shown else str(step)
    return _Place(shown, known, whole=True)


def _bare(annotation: Any) -> Any:
    """Strip what is only about validation: bounds, and "or nothing"."""
    origin = get_origin(annotation)
    if origin is Annotated:
        return _bare(get_args(annotation)[0])
    if origin in (Union, types.UnionType):
        inner = [each for each in get_args(annotation) if each is not type(None)]
        return _bare(inner[0]) if len(inner) == 1 else Literal
    return annotation

"""Features as somebody measured or typed them, checked against the family's rows and rules."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING, Annotated, Any

from pydantic import BaseModel, ValidationError, create_model

from catalog.part_rows import FEATURES, PART_ROWS
from estimator.errors import InputTrouble
from estimator.refusals import refusals

if TYPE_CHECKING:
    from collections.abc import Mapping

    from catalog.fit_rules import FitRules
    from catalog.part_lookup import Feature
    from estimator.supply import PartFamily

SIGNS_SAID = 40


def checked_features(
    rules: FitRules, family: PartFamily, features: Mapping[str, Any]
) -> dict[str, Feature]:
    """Check features as somebody measured or typed them.

    Parameters
    ----------
    rules
        The fit rules, for the words that a feature may take.
    family
        The part's family.
    features
        Name to value.

    Returns
    -------
    Name to value, typed.

    Raises
    ------
    InputTrouble
        If a name or a value is not usable.
    """
    known = FEATURES[family]
    words = {r.feature: rules.values[r.values] for r in rules.families[family].features if r.values}
    typed: dict[str, Feature] = {}
    for name, value in features.items():
        if name not in known:
            raise InputTrouble(
                f'"{name}" is not a feature of {a_family(family)}',
                "the features of the old part",
                f"Its features are {', '.join(known)}.",
            )
        if name in words and isinstance(value, str) and value not in words[name]:
            raise InputTrouble(
                f'{name} is "{_short(value)}", which the fit rules do not know',
                "the features of the old part",
                f"It is one of {', '.join(words[name])}.",
            )
        try:
            good = getattr(_model(family, name).model_validate({name: value}), name)
        except ValidationError as refused:
            [only] = refusals(refused, _model(family, name))
            raise InputTrouble(
                f"{only.what}; {only.hint}" if only.hint else only.what,
                "the features of the old part",
                "Measure it again, or leave it out.",
            ) from None
        if good is None:
            continue
        is_number = isinstance(good, int | float) and not isinstance(good, bool)
        typed[name] = float(good) if is_number else good if isinstance(good, bool) else str(good)
    return typed


def _short(value: object) -> str:
    text = str(value)
    return text if len(text) <= SIGNS_SAID else f"{text[:SIGNS_SAID]}…"


@lru_cache(maxsize=256)
def _model(family: PartFamily, name: str) -> type[BaseModel]:
    """Return a model of one feature, with the bounds that a row of the catalog has."""
    rows = next(model for model in PART_ROWS if model.family is family)
    found = rows.model_fields[name]
    kind: Any = found.annotation
    for mark in found.metadata:
        kind = Annotated[kind, mark]
    return create_model("Feature", **{name: (kind, None)})  # type: ignore[call-overload, no-any-return]


def family_words(family: PartFamily) -> str:
    """Return how a family is called in a sentence.

    Parameters
    ----------
    family
        The family.

    Returns
    -------
    Its name with spaces.
    """
    return family.value.replace("_", " ")


def a_family(family: PartFamily) -> str:
    """Return how one part of a family is called in a sentence: an igniter, a limit.

    Parameters
    ----------
    family
        The family.
    """
    words = family_words(family)
    return f"{'an' if words[0] in 'aeiou' else 'a'} {words}"

"""The form by which a part is found by its measures, one for each family."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from app.views.fields import Choice
from app.views.parts_drawings import DRAWINGS
from catalog.measures import OTHER_UNIT, read_measure, show_measure
from catalog.part_rows import FEATURES
from estimator.errors import InputTrouble

if TYPE_CHECKING:
    from collections.abc import Mapping

    from app.views.fields import Kind
    from catalog.fit_rules import FeatureRule, FitRules
    from catalog.parts import Feature
    from estimator.supply import PartFamily

MAIN = ("sensing_element", "pilot_assembly", "igniter", "limit", "gas_control")


@dataclass(frozen=True)
class MeasureField:
    """One thing to measure or look at.

    `feature` is the key of the answer; a number is asked as text, for a unit may stand
    behind it; `name` is what the trade calls it; `letter` is that of the drawing.
    """

    feature: str
    name: str
    label: str
    kind: Kind
    unit: str = ""
    other_unit: str = ""
    choices: tuple[Choice, ...] = ()
    letter: str = ""


@dataclass(frozen=True)
class ReadBack:
    """What was read of an answer, in both systems of units, or what is wrong with it."""

    shown: str = ""
    problem: str = ""


@dataclass(frozen=True)
class MeasureForm:
    """The form of one family; `drawing` is SVG, empty where there is none."""

    family: str
    title: str
    fields: tuple[MeasureField, ...]
    drawing: str = ""


def families_to_measure(rules: FitRules) -> tuple[Choice, ...]:
    """Return the families to choose from, the main ones first."""
    rest = [family for family in rules.families if family.value not in MAIN]
    main = [family for family in rules.families if family.value in MAIN]
    return tuple(Choice(each.value, _capital(rules.families[each].name)) for each in (*main, *rest))


def build_measure_form(rules: FitRules, family: PartFamily) -> MeasureForm:
    """Build the form of a family.

    Parameters
    ----------
    rules
        The catalog's fit rules: they name features, units and choices.
    family
        The family.

    Returns
    -------
    The form, empty.
    """
    drawing = DRAWINGS.get(family)
    letters = drawing.letters if drawing else {}
    fields = tuple(
        _field(rules, rule, letters.get(rule.feature, ""))
        for rule in rules.families[family].features
        if rule.feature in FEATURES[family]
    )
    title = _capital(rules.families[family].name)
    return MeasureForm(family.value, title, fields, drawing.svg() if drawing else "")


def read_back(field: MeasureField, given: Any) -> ReadBack:
    """Say what is read of an answer.

    Parameters
    ----------
    field
        What is asked.
    given
        The answer so far.

    Returns
    -------
    Nothing where none was given, or where it is of no measure.
    """
    if not field.unit or given in (None, ""):
        return ReadBack()
    try:
        value = read_measure(str(given), field.unit, field.name)
    except InputTrouble as trouble:
        return ReadBack(problem=str(trouble))
    return ReadBack(shown=show_measure(value, field.unit))


def read_answers(
    rules: FitRules, family: PartFamily, answers: Mapping[str, Any]
) -> dict[str, Feature]:
    """Read the answers of a form in the units that the catalog keeps.

    Parameters
    ----------
    rules
        The catalog's fit rules.
    family
        The family.
    answers
        What was typed, by feature; empty ones are left out.

    Returns
    -------
    Feature to value, for `catalog.needs.Need`.

    Raises
    ------
    InputTrouble
        If a measure is no number, or its unit is of another kind.
    """
    read: dict[str, Feature] = {}
    for rule in rules.families[family].features:
        given = answers.get(rule.feature)
        if given is None or given == "":
            continue
        if rule.unit and isinstance(given, str):
            read[rule.feature] = read_measure(given, rule.unit, rule.name)
        else:
            read[rule.feature] = given
    return read


def _field(rules: FitRules, rule: FeatureRule, letter: str) -> MeasureField:
    words = rules.values.get(rule.values or "", {})
    made_to = rules.standards.get(rule.values or "", {})
    kind: Kind = "long_choice" if words else "text"
    if rule.rule in ("keeps", "includes"):
        kind = "yes_no"
    return MeasureField(
        feature=rule.feature,
        name=rule.name,
        label=_capital(rule.name),
        kind=kind,
        unit=rule.unit,
        other_unit=OTHER_UNIT[rule.unit][0] if rule.unit in OTHER_UNIT else "",
        choices=tuple(
            Choice(value, f"{said} ({made_to[value]})" if value in made_to else said)
            for value, said in words.items()
        ),
        letter=letter,
    )


def _capital(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}"

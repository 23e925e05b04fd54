"""The fit rules: a file that a tradesperson can read, checked before it is used."""

from __future__ import annotations

import tomllib
from functools import lru_cache
from importlib.resources import files
from typing import TYPE_CHECKING, Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, ValidationError, model_validator

from estimator.errors import CatalogTrouble
from estimator.findings import Remedy
from estimator.refusals import refusals
from estimator.supply import PartFamily

if TYPE_CHECKING:
    from collections.abc import Iterator

FILE_NAME = "fit_rules.toml"

Rule = Literal["equal", "keeps", "no_higher", "at_least", "covers", "within", "includes", "note"]
PlateFact = Literal["fuel", "input_btu_per_h", "output_class_mv", "sensing_kind", "chamber"]


class _BadRule(ValueError):
    """A rule that is wrong only beside the rest of the file; `path` says where it stands."""

    def __init__(self, message: str, *path: str | int) -> None:
        super().__init__(message)
        self.path = path


class _Section(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")


class FeatureRule(_Section):
    """How one feature of a part is judged; the words are those of the rules file.

    `spare` is a length [in] for "at_least" and a share of the value needed [1] for
    "within". `only_if` names another feature: the rule counts only where the part has it.
    """

    feature: Annotated[str, Field(pattern=r"^[a-z][a-z0-9_]*$")]
    name: Annotated[str, Field(min_length=1, max_length=60)]
    rule: Rule
    unit: Annotated[str, Field(max_length=12)] = ""
    values: str | None = None
    safety: bool = False
    adapter: bool = False
    plate: PlateFact | None = None
    spare: Annotated[float, Field(ge=0, le=240)] = 0.0
    only_if: str | None = None

    @model_validator(mode="after")
    def _safety_rules_say_so(self) -> FeatureRule:
        if self.rule in ("keeps", "no_higher") and not self.safety:
            raise ValueError(f'"{self.feature}" has rule "{self.rule}" and so needs safety = true')
        if self.safety and self.rule in ("note", "includes", "at_least"):
            raise ValueError(
                f'"{self.feature}" is a safety feature, for which rule "{self.rule}" is too lax'
            )
        if self.safety and self.adapter:
            raise ValueError(f'"{self.feature}" is a safety feature, which no adapter may bridge')
        return self


SEALS = ("gasket",)
"""Kinds of sundry that seal a chamber: a file that says nothing of them keeps them listed."""


class FamilyRules(_Section):
    """How a part of one family is judged; `listed_kinds` are kinds of sundry that seal."""

    name: str
    listed_only: Literal["never", "always", "sealed_chamber"]
    universal: bool = True
    listed_kinds: tuple[str, ...] = SEALS
    features: tuple[FeatureRule, ...]

    @model_validator(mode="after")
    def _each_feature_once(self) -> FamilyRules:
        names = [rule.feature for rule in self.features]
        twice = sorted({name for name in names if names.count(name) > 1})
        if twice:
            raise ValueError(f"feature {', '.join(twice)} is given twice")
        return self


class CompanionRule(_Section):
    """A sundry that a job needs besides the part, and why."""

    kind: str
    position: str | None = None
    when: Literal["always", "sealed_chamber"]
    families: tuple[PartFamily, ...] = ()
    remedies: tuple[Remedy, ...] = ()
    because: str
    must_be_listed: bool = False


class FitRules(_Section):
    """All of a rules file; `standards` names what a thread or joint is made to."""

    values: dict[str, dict[str, str]]
    standards: dict[str, dict[str, str]] = {}
    families: dict[PartFamily, FamilyRules]
    companions: tuple[CompanionRule, ...] = ()

    @model_validator(mode="after")
    def _complete(self) -> FitRules:
        missing = [family.value for family in PartFamily if family not in self.families]
        if missing:
            raise ValueError(f"the rules of {', '.join(missing)} are missing")
        for family, rules in self.families.items():
            for place, rule in enumerate(rules.features):
                if rule.values is not None and rule.values not in self.values:
                    raise _BadRule(
                        f'{family.value}.{rule.feature} takes its values from "{rule.values}", '
                        f"which is not under [values]",
                        *("families", family.value, "features", place),
                    )
            _check_floor(family, rules)
        kinds = self.values.get("sundry_kind", {})
        for place, companion in enumerate(self.companions):
            if companion.kind not in kinds:
                raise _BadRule(
                    f'companion kind "{companion.kind}" is not under [values.sundry_kind]',
                    *("companions", place),
                )
        return self

    def rules(self) -> Iterator[tuple[PartFamily, FeatureRule]]:
        """Yield each feature rule with its family.

        Yields
        ------
        The family and the rule.
        """
        for family, rules in self.families.items():
            for rule in rules.features:
                yield family, rule

    def shown(self, rule: FeatureRule, value: str | float | bool | None) -> str:
        """Return a value as a person says it.

        Parameters
        ----------
        rule
            The feature's rule.
        value
            The value, or ``None`` for not known.

        Returns
        -------
        The value in words, with its unit.
        """
        if value is None:
            return "not known"
        if isinstance(value, bool):
            return "yes" if value else "no"
        if isinstance(value, str):
            return self.values.get(rule.values or "", {}).get(value, value.replace("_", " "))
        number = f"{value:,.4f}".rstrip("0").rstrip(".")
        return f"{number} {rule.unit}".strip()


# An owner's file may add to the rules; it may not take a safety rule away.
SAFETY_FLOOR: dict[PartFamily, frozenset[str]] = {
    PartFamily.SENSING_ELEMENT: frozenset({"output_class_mv", "cut_off_built_in"}),
    PartFamily.PILOT_ASSEMBLY: frozenset({"fuel", "output_class_mv", "cut_off_built_in"}),
    PartFamily.IGNITER: frozenset({"voltage_v"}),
    PartFamily.LIMIT: frozenset({"opens_at_f", "reset_kind"}),
    PartFamily.GAS_CONTROL: frozenset(
        {"fuel", "cut_off_built_in", "max_input_btu_per_h", "manifold_in_wc", "sensing_kind"}
    ),
    PartFamily.ORIFICE: frozenset({"fuel", "orifice_kind", "bore_in"}),
    PartFamily.DOOR_KIT: frozenset({"chamber"}),
    PartFamily.VAPOR_SENSOR: frozenset({"sensor_kind"}),
}
RULE_FLOOR: dict[str, Rule] = {
    "fuel": "equal",
    "cut_off_built_in": "keeps",
    "opens_at_f": "no_higher",
    "max_input_btu_per_h": "covers",
    "reset_kind": "equal",
    "chamber": "equal",
    "output_class_mv": "equal",
    "voltage_v": "equal",
    "manifold_in_wc": "within",
    "sensing_kind": "equal",
    "orifice_kind": "equal",
    "bore_in": "within",
    "sensor_kind": "equal",
}
SPARE_FLOOR: dict[str, float] = {"manifold_in_wc": 0.10, "bore_in": 0.03}
"""The most that may be spared of the value needed [1]; common practice and judgment, no source."""
# A pilot assembly without an element has neither output nor cut-off to compare.
ONLY_IF_FLOOR: dict[PartFamily, tuple[str | None, ...]] = {
    PartFamily.PILOT_ASSEMBLY: (None, "includes_element"),
}
ALWAYS_LISTED = (PartFamily.GAS_CONTROL, PartFamily.DOOR_KIT, PartFamily.VAPOR_SENSOR)


def _check_floor(family: PartFamily, rules: FamilyRules) -> None:
    held = {rule.feature: rule for rule in rules.features if rule.safety}
    places = {rule.feature: place for place, rule in enumerate(rules.features)}
    lost = sorted(SAFETY_FLOOR.get(family, frozenset()) - set(held))
    if lost:
        raise _BadRule(
            f"{family.value} must keep {', '.join(lost)} as a safety feature",
            *_where(family, places.get(lost[0])),
        )
    for feature in sorted(SAFETY_FLOOR.get(family, frozenset())):
        if held[feature].rule != RULE_FLOOR[feature]:
            raise _BadRule(
                f'{family.value}.{feature} must keep the rule "{RULE_FLOOR[feature]}", '
                f'not "{held[feature].rule}"',
                *_where(family, places[feature]),
            )
        most = SPARE_FLOOR.get(feature, held[feature].spare)
        if held[feature].spare > most:
            raise _BadRule(
                f"{family.value}.{feature} is a safety feature and may spare at most {most:g}, "
                f"not {held[feature].spare:g}",
                *_where(family, places[feature]),
            )
        if held[feature].only_if not in ONLY_IF_FLOOR.get(family, (None,)):
            raise _BadRule(
                f'{family.value}.{feature} is a safety feature and may not count "only_if" '
                f'the part has "{held[feature].only_if}"',
                *_where(family, places[feature]),
            )
    if family in ALWAYS_LISTED and rules.listed_only != "always":
        raise _BadRule(f'{family.value} must keep listed_only = "always"', *_where(family, None))
    loose = [kind for kind in SEALS if kind not in rules.listed_kinds]
    if family is PartFamily.SUNDRY and loose:
        raise _BadRule(
            f"{family.value} must keep {', '.join(loose)} among its listed_kinds",
            *_where(family, None),
        )


def _where(family: PartFamily, place: int | None) -> tuple[str | int, ...]:
    """Return the path of a family's rule, or of the family where the rule is missing."""
    head = ("families", family.value)
    return head if place is None else (*head, "features", place)


def read_rules(text: str, where: str) -> FitRules:
    """Read and check a rules file.

    Parameters
    ----------
    text
        The file's text.
    where
        Its name, for messages.

    Returns
    -------
    The rules.

    Raises
    ------
    CatalogTrouble
        If the file is no TOML (with the line), or a rule is not usable (with the line of
        its block where there is one).
    """
    try:
        given = tomllib.loads(text)
    except tomllib.TOMLDecodeError as refused:
        raise CatalogTrouble(
            f"The fit rules cannot be read: {refused}", where, "Correct that line."
        ) from None
    try:
        return FitRules.model_validate(given)
    except ValidationError as refused:
        line = _line_of(refused, text)
        place = f"{where} line {line}" if line else where
        first = refusals(refused, FitRules)[0]
        what = f"{first.what}; {first.hint}" if first.hint else first.what
        raise CatalogTrouble(what, place, "Correct that rule and build again.") from None


def _line_of(refused: ValidationError, text: str) -> int | None:
    """Return the line where the block of the first refused rule begins."""
    first = refused.errors()[0]
    path = first["loc"]
    if isinstance(bad := first.get("ctx", {}).get("error"), _BadRule):
        path = bad.path
    if len(path) >= 2 and path[0] == "families":
        header = f"[families.{path[1]}]"
        if len(path) >= 4 and path[2] == "features":
            header, nth = f"[[families.{path[1]}.features]]", int(path[3])
        else:
            nth = 0
    elif len(path) >= 2 and path[0] == "companions":
        header, nth = "[[companions]]", int(path[1])
    elif len(path) >= 2 and path[0] == "values":
        header, nth = f"[values.{path[1]}]", 0
    else:
        return None
    lines = [n for n, line in enumerate(text.splitlines(), 1) if line.strip() == header]
    return lines[nth] if nth < len(lines) else None


@lru_cache(maxsize=1)
def rules_that_ship() -> str:
    """Return the text of the rules that come with the catalog package.

    Returns
    -------
    TOML text.
    """
    return files("catalog").joinpath(FILE_NAME).read_text(encoding="utf-8")

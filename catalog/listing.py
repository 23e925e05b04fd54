"""Where only what the maker lists may go in: controls, seals, what a sealed chamber holds."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from estimator.supply import FitClass

if TYPE_CHECKING:
    from catalog.fit_rules import FamilyRules, FitRules
    from catalog.needs import Known
    from catalog.parts import Feature, Part
    from estimator.supply import PartFamily

KIND: Final = "sundry_kind"


def listed_only(rules: FitRules, known: Known) -> bool:
    """Return whether only what the maker lists may go in.

    Parameters
    ----------
    rules
        The fit rules.
    known
        What is known of the need.

    Returns
    -------
    True for gas controls and the like, and for what sits in a sealed chamber.
    """
    family = rules.families[known.need.family]
    kind = known.wanted.get(KIND)
    if kind is not None and kind.value in family.listed_kinds:
        return True
    return _bound(family, known)


def _bound(family: FamilyRules, known: Known) -> bool:
    """Return whether a whole family is bound to the list, whatever the kind."""
    where = family.listed_only
    return where == "always" or (where == "sealed_chamber" and known.sealed)


def called(rules: FitRules, family: PartFamily, kind: Feature | None) -> str:
    """Return what a part is called: by its family, a seal by its kind.

    Parameters
    ----------
    rules
        The fit rules.
    family
        The part's family.
    kind
        The kind of sundry, where it is one.
    """
    if kind in rules.families[family].listed_kinds:
        return rules.values["sundry_kind"][str(kind)]
    return rules.families[family].name


def not_listed(rules: FitRules, known: Known, held: Part, fit_class: FitClass) -> str | None:
    """Say so where a part may not go in, for the maker of the heater does not list it.

    Parameters
    ----------
    rules
        The fit rules.
    known
        What is known of the need.
    held
        The part.
    fit_class
        How it comes to be looked at: listed, alike or universal.

    Returns
    -------
    A sentence, or ``None`` where the list does not stand in its way.
    """
    family = rules.families[held.family]
    if fit_class is FitClass.LISTED:
        return None
    if fit_class is FitClass.UNIVERSAL and family.universal:
        return None
    kind = held.features.get(KIND)
    seal = kind in family.listed_kinds
    if not seal and not _bound(family, known) and fit_class is not FitClass.UNIVERSAL:
        return None
    place = "" if seal or family.listed_only == "always" else " in a sealed chamber"
    return (
        f"Not listed by the maker of the heater: a {called(rules, held.family, kind)}{place} is "
        "replaced only by the one that the maker lists."
    )

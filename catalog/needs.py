"""What is needed: gathered from the plate, the old part, the parts list, and measures."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from catalog.feature_checks import a_family, checked_features
from catalog.feature_sources import Wanted, plate_against_family, settled, sources_of
from catalog.heaters import HeaterFamily, heater_family
from catalog.part_lookup import Feature, Part, part, parts_by_number
from catalog.rows import FAMILY_AT, Position
from estimator.findings import REMEDIES, Remedy
from estimator.heater import Chamber, RatingPlate
from estimator.supply import PartFamily

if TYPE_CHECKING:
    from collections.abc import Mapping

    from catalog.snapshots import Catalog


POSITION_OF: dict[Remedy, Position] = {
    Remedy.REPLACE_LIMIT: "limit",
    Remedy.REPLACE_FUSE: "thermal_fuse",
    Remedy.REPLACE_ORIFICE: "pilot_orifice",
}
POSITION_IMPLIES: dict[str, dict[str, Feature]] = {
    "thermal_fuse": {"reset_kind": "one_shot"},
    "pilot_orifice": {"orifice_kind": "pilot"},
    "burner_orifice": {"orifice_kind": "burner"},
    "door_gasket": {"sundry_kind": "gasket"},
    "element_clip": {"sundry_kind": "clip"},
}
KIND_FEATURES = ("reset_kind", "orifice_kind", "sundry_kind")
"""Features that tell parts of one family at several positions apart."""

LOOK_AT_THE_CHAMBER = (
    "Look whether the chamber is sealed: then only a part that the maker lists may go in, and "
    "the door seal is renewed."
)


@dataclass(frozen=True)
class Need:
    """What a part is looked for, and what is known.

    Parameters
    ----------
    family
        Family of the part.
    plate
        The heater's rating plate; ``None`` where nobody stands at the heater: the heater
        family then speaks for it, and without that its facts are not known.
    heater_family
        Slug of the heater family, where it is known.
    old_part_number
        Number on the old part, where it can be read.
    features
        What was measured or seen, by the feature names of the part's family. Lengths
        [in], temperatures [°F], pressures [in wc].
    position
        Place in the heater, where a family has several (limit and thermal fuse).
    """

    family: PartFamily
    plate: RatingPlate | None = None
    heater_family: str | None = None
    old_part_number: str | None = None
    features: Mapping[str, Feature] = field(default_factory=dict)
    position: Position | None = None

    @classmethod
    def for_remedy(
        cls,
        remedy: Remedy,
        plate: RatingPlate,
        heater_family: str | None = None,
        old_part_number: str | None = None,
        features: Mapping[str, Feature] | None = None,
    ) -> Need | None:
        """Return the need of a remedy.

        Parameters
        ----------
        remedy
            The remedy.
        plate
            The heater's rating plate.
        heater_family
            Slug of the heater family, where it is known.
        old_part_number
            Number on the old part, where it can be read.
        features
            What was measured or seen.

        Returns
        -------
        The need, or ``None`` if the remedy puts in no part.
        """
        family = REMEDIES[remedy].family
        if family is None:
            return None
        position = POSITION_OF.get(remedy)
        return cls(family, plate, heater_family, old_part_number, features or {}, position)


@dataclass(frozen=True)
class Known:
    """Everything known about a need, ready to judge parts by.

    `listed` are the parts of the maker's list at this position, `old` the old part, each
    as it is, sold today or not. `conflicts` are sentences about sources that disagree.
    """

    need: Need
    heater: HeaterFamily | None
    old: Part | None
    listed: tuple[Part, ...]
    wanted: dict[str, Wanted]
    conflicts: tuple[str, ...]

    @property
    def sealed(self) -> bool:
        """Whether the chamber is sealed, by the plate or by the heater family."""
        return any(
            said.chamber is Chamber.SEALED for said in (self.heater, self.need.plate) if said
        )

    @property
    def chamber_known(self) -> bool:
        """Whether plate or heater family says what the chamber is."""
        return self.heater is not None or self.need.plate is not None

    @property
    def ambiguous(self) -> bool:
        """Whether the maker lists several kinds here and nothing says which is meant."""
        kinds = [name for name in KIND_FEATURES if name in self.wanted]
        return any(
            self.wanted[kind].value is None
            and len({held.features.get(kind) for held in self.listed}) > 1
            for kind in kinds
        )

    @property
    def nothing(self) -> bool:
        """Whether nothing but the rating plate is known."""
        return self.old is None and not self.listed and not self.need.features


def gather(catalog: Catalog, need: Need) -> Known:
    """Gather what is known about a need.

    Parameters
    ----------
    catalog
        The open catalog.
    need
        The need.

    Returns
    -------
    What is known, with the disagreements between sources.

    Raises
    ------
    InputTrouble
        If a measured feature is not one of the family, or its value is not usable.
    CatalogTrouble
        If the heater family or the old part's number is not in the catalog.
    """
    measured = checked_features(catalog.rules, need.family, need.features)
    heater = heater_family(catalog, need.heater_family) if need.heater_family else None
    conflicts = plate_against_family(heater, need.plate)
    old = part(catalog, need.old_part_number) if need.old_part_number else None
    if old is not None and old.family is not need.family:
        conflicts.append(
            f"Number {old.number} is {a_family(old.family)}, not {a_family(need.family)}: the old "
            "part is not gone by."
        )
        old = None
    implied = POSITION_IMPLIES.get(need.position or "", {})
    told = {**(old.features if old else {}), **measured, **implied}
    listed = _listed(catalog, need, told)
    kind_told = any(kind in told for kind in KIND_FEATURES)
    wanted: dict[str, Wanted] = {}
    for rule in catalog.rules.families[need.family].features:
        sources = sources_of(
            rule, need, old, listed, measured, implied, heater, kind_told=kind_told
        )
        wanted[rule.feature], conflict = settled(catalog.rules, rule, sources)
        if conflict:
            conflicts.append(conflict)
    known = Known(need, heater, old, listed, wanted, tuple(conflicts))
    if known.chamber_known or catalog.rules.families[need.family].listed_only != "sealed_chamber":
        return known
    return replace(known, conflicts=(*conflicts, LOOK_AT_THE_CHAMBER))


def positions_of(family: PartFamily) -> tuple[str, ...]:
    """Return the positions that a family's parts take.

    Parameters
    ----------
    family
        The family.

    Returns
    -------
    Position names.
    """
    others = tuple(position for position, held in FAMILY_AT.items() if held is family)
    return others if family is PartFamily.SUNDRY else (family.value, *others)


def _listed(catalog: Catalog, need: Need, known: Mapping[str, Feature]) -> tuple[Part, ...]:
    if need.heater_family is None:
        return ()
    positions = [need.position] if need.position else list(positions_of(need.family))
    rows = catalog.rows("listed_at", {"heater_family": need.heater_family, "positions": positions})
    found = parts_by_number(catalog, [row["part"] for row in rows])
    of_kind = tuple(
        held
        for held in found.values()
        if all(
            held.features.get(kind) == known[kind]
            for kind in KIND_FEATURES
            if kind in known and kind in held.features
        )
    )
    # Where none is of the kind that was told, the list still says what is safe here.
    return of_kind or tuple(found.values())

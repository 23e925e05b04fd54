"""What is needed: gathered from the plate, the old part, the parts list, and measures."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from functools import lru_cache
from typing import TYPE_CHECKING, Annotated, Any

from pydantic import TypeAdapter, ValidationError

from catalog.parts import Feature, HeaterFamily, Part, heater_family, part, parts_by_number
from catalog.rows import FAMILY_AT, FEATURES, PART_ROWS, Position
from estimator.errors import InputTrouble
from estimator.findings import REMEDIES, Remedy
from estimator.heater import Chamber, Ignition, RatingPlate
from estimator.supply import PartFamily

if TYPE_CHECKING:
    from collections.abc import Mapping

    from catalog.fit_rules import FeatureRule, FitRules
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

SENSING_KIND: dict[Ignition, str] = {
    Ignition.PILOT_THERMOCOUPLE: "thermocouple",
    Ignition.PILOT_THERMOPILE: "thermopile",
    Ignition.INTERMITTENT_PILOT: "flame_rod",
    Ignition.HOT_SURFACE: "flame_rod",
}
OUTPUT_CLASS_MV: dict[Ignition, float] = {
    Ignition.PILOT_THERMOCOUPLE: 30.0,
    Ignition.PILOT_THERMOPILE: 750.0,
}


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
class Wanted:
    """The value that a feature must have, and where it is known from.

    `absent` is true where the part that is gone by has no such feature.
    """

    value: Feature | None = None
    origin: str = ""
    absent: bool = False


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
    conflicts = _plate_against(heater, need.plate)
    old = part(catalog, need.old_part_number) if need.old_part_number else None
    if old is not None and old.family is not need.family:
        conflicts.append(
            f"Number {old.number} is a {_words(old.family)}, not a {_words(need.family)}: "
            "the old part is not gone by."
        )
        old = None
    implied = POSITION_IMPLIES.get(need.position or "", {})
    told = {**(old.features if old else {}), **measured, **implied}
    listed = _listed(catalog, need, told)
    kind_told = any(kind in told for kind in KIND_FEATURES)
    wanted: dict[str, Wanted] = {}
    for rule in catalog.rules.families[need.family].features:
        sources = _sources(rule, need, old, listed, measured, implied, heater, kind_told=kind_told)
        wanted[rule.feature], conflict = _settled(catalog.rules, rule, sources)
        if conflict:
            conflicts.append(conflict)
    known = Known(need, heater, old, listed, wanted, tuple(conflicts))
    if known.chamber_known or catalog.rules.families[need.family].listed_only != "sealed_chamber":
        return known
    return replace(known, conflicts=(*conflicts, LOOK_AT_THE_CHAMBER))


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
                f'"{name}" is not a feature of a {_words(family)}',
                "the features of the old part",
                f"Its features are {', '.join(known)}.",
            )
        try:
            good = _adapter(family, name).validate_python(value)
        except ValidationError as refused:
            said = refused.errors(include_url=False)[0]["msg"]
            message = said.removeprefix("Value error, ").replace("Input should be", "it must be")
            raise InputTrouble(
                f'{name} is "{value}": {message[:1].lower()}{message[1:]}',
                "the features of the old part",
                "Measure it again, or leave it out.",
            ) from None
        if good is None:
            continue
        if name in words and str(good) not in words[name]:
            raise InputTrouble(
                f'{name} is "{value}", which the fit rules do not know',
                "the features of the old part",
                f"It is one of {', '.join(words[name])}.",
            )
        is_number = isinstance(good, int | float) and not isinstance(good, bool)
        typed[name] = float(good) if is_number else good if isinstance(good, bool) else str(good)
    return typed


@lru_cache(maxsize=256)
def _adapter(family: PartFamily, name: str) -> TypeAdapter[Any]:
    model = next(model for model in PART_ROWS if model.family is family)
    found = model.model_fields[name]
    kind: Any = found.annotation
    for mark in found.metadata:
        kind = Annotated[kind, mark]
    return TypeAdapter(kind)


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


def _plate_against(heater: HeaterFamily | None, plate: RatingPlate | None) -> list[str]:
    if heater is None or plate is None:
        return []
    pairs = (
        ("fuel", plate.fuel, heater.fuel),
        ("ignition", plate.ignition, heater.ignition),
        ("chamber", plate.chamber, heater.chamber),
        ("venting", plate.venting, heater.venting),
    )
    return [
        f"The rating plate says {name} {str(on_plate).replace('_', ' ')}, heater family "
        f"{heater.slug} has {str(held).replace('_', ' ')}: check which heater family it is."
        for name, on_plate, held in pairs
        if on_plate != held
    ]


def _sources(
    rule: FeatureRule,
    need: Need,
    old: Part | None,
    listed: tuple[Part, ...],
    measured: Mapping[str, Feature],
    implied: Mapping[str, Feature],
    heater: HeaterFamily | None,
    *,
    kind_told: bool,
) -> list[Wanted]:
    """Return what each source says of a feature, the one that is gone by first."""
    name = rule.feature
    found = []
    if need.plate is not None:
        found += _on_plate(rule, need.plate, "on the rating plate")
    elif heater is not None:
        plate = heater.plate(heater.made_from)
        found += _on_plate(rule, plate, f"of heater family {heater.slug}")
    if name in implied:
        found.append(Wanted(implied[name], "the remedy asks for"))
    if old is not None:
        found.append(_of_part(rule, old, f"on the old part {old.number}"))
    if listed:
        said = [_of_part(rule, held, f"on the listed part {held.number}") for held in listed]
        if len({(one.value, one.absent) for one in said}) == 1:
            found.append(said[0])
        elif rule.rule in ("keeps", "no_higher") and kind_told:
            found += said
    if name == "insulation_in" and heater is not None:
        found.append(Wanted(heater.insulation_in, f"of heater family {heater.slug}"))
    if name in measured:
        found.append(Wanted(measured[name], "as measured"))
    return found


def _of_part(rule: FeatureRule, held: Part, origin: str) -> Wanted:
    counts = rule.only_if is None or bool(held.features.get(rule.only_if))
    value = held.features.get(rule.feature) if counts else None
    return Wanted(value, origin, absent=value is None)


def _on_plate(rule: FeatureRule, plate: RatingPlate, origin: str) -> list[Wanted]:
    if rule.plate is None:
        return []
    facts: dict[str, Feature | None] = {
        "fuel": str(plate.fuel),
        "input_btu_per_h": plate.input_btu_per_h,
        "output_class_mv": OUTPUT_CLASS_MV.get(plate.ignition),
        "sensing_kind": SENSING_KIND[plate.ignition],
        "chamber": str(plate.chamber),
    }
    value = facts[rule.plate]
    return [] if value is None else [Wanted(value, origin)]


def _settled(
    rules: FitRules, rule: FeatureRule, sources: list[Wanted]
) -> tuple[Wanted, str | None]:
    """Choose the source that is gone by: the first, but the safest of a safety function."""
    if not sources:
        return Wanted(), None
    chosen = sources[0]
    given = [source for source in sources if source.value is not None]
    if rule.rule == "keeps" and given:
        chosen = next((source for source in given if source.value is True), given[0])
    elif rule.rule == "no_higher" and given:
        chosen = min(given, key=lambda source: float(source.value or 0))
    elif rule.rule == "covers" and given:
        # The part's own largest input says nothing of what this heater needs.
        return given[0], None
    others = [s for s in given if chosen.value is not None and not _same(s.value, chosen.value)]
    if not others or rule.rule in ("includes", "note"):
        return chosen, None
    said = rules.shown(rule, others[0].value)
    conflict = (
        f"{rule.name[:1].upper()}{rule.name[1:]}: {rules.shown(rule, chosen.value)} "
        f"{chosen.origin}, but {said} {others[0].origin}: look again which is right."
    )
    return chosen, conflict


def _same(one: Feature | None, other: Feature | None) -> bool:
    if isinstance(one, float) and isinstance(other, float):
        return abs(one - other) <= 1e-6 * max(abs(one), abs(other), 1.0)
    return one == other


def _words(family: PartFamily) -> str:
    return family.value.replace("_", " ")

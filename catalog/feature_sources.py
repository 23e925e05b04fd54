"""What each source says of a feature: the plate, the old part, the parts list, a measure."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from estimator.heater import Ignition

if TYPE_CHECKING:
    from collections.abc import Mapping

    from catalog.fit_rules import FeatureRule, FitRules
    from catalog.heaters import HeaterFamily
    from catalog.needs import Need
    from catalog.part_lookup import Feature, Part
    from estimator.heater import RatingPlate

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


@dataclass(frozen=True)
class Wanted:
    """The value that a feature must have, and where it is known from.

    `absent` is true where the part that is gone by has no such feature.
    """

    value: Feature | None = None
    origin: str = ""
    absent: bool = False


def sources_of(
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
    """Return what each source says of a feature, the one that is gone by first.

    Parameters
    ----------
    rule
        The rule of the feature.
    need
        The need.
    old
        The old part, where it is known.
    listed
        The parts of the maker's list at this position.
    measured, implied
        What was measured, and what the position implies.
    heater
        The heater family, where it is known.
    kind_told
        Whether it is told which kind of the family is meant.

    Returns
    -------
    Each source, the one that is gone by first.
    """
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


def settled(rules: FitRules, rule: FeatureRule, sources: list[Wanted]) -> tuple[Wanted, str | None]:
    """Choose the source that is gone by: the first, but the safest of a safety function.

    Parameters
    ----------
    rules
        The fit rules, for the words of a conflict.
    rule
        The rule of the feature.
    sources
        What each source says, as `sources_of` gives it.

    Returns
    -------
    The source that is gone by, and a sentence where another disagrees.
    """
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


def plate_against_family(heater: HeaterFamily | None, plate: RatingPlate | None) -> list[str]:
    """Say where the rating plate and the heater family disagree.

    Parameters
    ----------
    heater
        The heater family, where it is known.
    plate
        The rating plate, where somebody stands at the heater.

    Returns
    -------
    A sentence for each fact on which they disagree.
    """
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

"""Why no part fits, in a sentence for the technician."""

from __future__ import annotations

from typing import TYPE_CHECKING

from catalog.heaters import families_like
from catalog.listing import KIND, called, listed_only
from catalog.part_lookup import parts_by_number
from estimator.heater import Chamber, Ignition
from estimator.supply import PartFamily

if TYPE_CHECKING:
    from catalog.needs import Known
    from catalog.snapshots import Catalog
    from estimator.heater import RatingPlate


def no_such_part(family: PartFamily, plate: RatingPlate | None) -> str | None:
    """Say so where a heater has no part of a family.

    Parameters
    ----------
    family
        The part's family.
    plate
        The rating plate, if there is one.

    Returns
    -------
    A sentence where a heater of this plate has no such part, else ``None``.
    """
    if plate is None:
        return None
    lit = plate.ignition
    by_rod = lit in (Ignition.INTERMITTENT_PILOT, Ignition.HOT_SURFACE)
    if family is PartFamily.SENSING_ELEMENT and by_rod:
        return "This heater proves its flame by a rod: it has no thermocouple or thermopile."
    if family is PartFamily.FLAME_ROD and not by_rod:
        return "This heater has a standing pilot: it has no flame rod."
    piloted = (PartFamily.PILOT_ASSEMBLY, PartFamily.PILOT_TUBE)
    if family in piloted and lit is Ignition.HOT_SURFACE:
        return "This heater is lit by a hot surface: it has no pilot."
    if family is PartFamily.VAPOR_SENSOR and plate.chamber is Chamber.OPEN:
        return "A heater with an open chamber has no vapor sensor."
    return None


def nothing_known(catalog: Catalog, known: Known) -> str:
    """Say that too little is known, and what would help.

    Parameters
    ----------
    catalog
        The open catalog.
    known
        What is known of the need.

    Returns
    -------
    What to give so that a part can be found.
    """
    need = known.need
    if need.heater_family is not None:
        inside = _inside_assembly(catalog, known)
        name = catalog.rules.families[need.family].name
        return inside or (
            f"The maker's list of heater family {need.heater_family} names no {name}: give the "
            "number on the old part, or its measures."
        )
    like = families_like(catalog, need.plate)[:3] if need.plate is not None else ()
    name = catalog.rules.families[need.family].name
    hint = (
        f" By its plate the heater may be of {', '.join(family.slug for family in like)}."
        if like
        else ""
    )
    return (
        f"Nothing is known of the {name} that is needed: give the heater family, the number on "
        f"the old part, or its measures.{hint}"
    )


def why_none(catalog: Catalog, known: Known) -> str:
    """Say why no part fits.

    Parameters
    ----------
    catalog
        The open catalog.
    known
        What is known of the need.

    Returns
    -------
    Why nothing fits.
    """
    kind = known.wanted.get(KIND)
    name = called(catalog.rules, known.need.family, kind.value if kind else None)
    inside = _inside_assembly(catalog, known)
    if inside:
        return inside
    gone = [part.number for part in known.listed if part.sold_as is None]
    if gone and len(gone) == len(known.listed):
        return (
            f"The {name} that the maker lists ({', '.join(gone)}) is no longer sold, nothing "
            "replaces it, and no other part fits."
        )
    if listed_only(catalog.rules, known) and not known.listed and known.old is None:
        if known.need.heater_family is None:
            return (
                f"Only a {name} that the maker lists may go in: give the heater family, or the "
                "number on the old part."
            )
        place = " for this sealed chamber" if known.sealed else " for this heater"
        return f"Only a {name} that the maker lists may go in, and none is listed{place}."
    return f"No {name} in the catalog fits; see the near misses for what differs."


def _inside_assembly(catalog: Catalog, known: Known) -> str | None:
    """Say so where the element comes only inside the pilot assembly."""
    if known.need.family is not PartFamily.SENSING_ELEMENT or known.listed:
        return None
    if known.need.heater_family is None:
        return None
    rows = catalog.rows(
        "listed_at",
        {"heater_family": known.need.heater_family, "positions": ["pilot_assembly"]},
    )
    for part in parts_by_number(catalog, [row["part"] for row in rows]).values():
        if part.features.get("includes_element"):
            return (
                "The sensing element of this heater comes only inside pilot assembly "
                f"{part.sold_as or part.number}: choose to replace the pilot assembly."
            )
    return None

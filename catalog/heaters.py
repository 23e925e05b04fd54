"""Heater families: look-up by slug, and by what the rating plate says."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING
from weakref import WeakKeyDictionary

from pydantic import BaseModel, ConfigDict

from estimator.errors import CatalogTrouble
from estimator.heater import Chamber, DrawBin, GasFuel, Ignition, RatingPlate, Venting

NEAR_SAID, LONGEST_SAID = 3, 60
"""Near slugs that a message names, and signs of a slug that it shows."""

if TYPE_CHECKING:
    from catalog.snapshots import Catalog

NEAR_VOLUME = 0.15
NEAR_INPUT = 0.15


class HeaterFamily(BaseModel):
    """A family of heaters: what its rating plate and label say.

    Units as on `estimator.heater.RatingPlate`; insulation [in].
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    slug: str
    name: str
    maker: str
    fuel: GasFuel
    tank_volume_gal: float
    input_btu_per_h: float
    ignition: Ignition
    venting: Venting
    chamber: Chamber
    insulation_in: float
    made_from: date
    made_to: date | None
    energy_factor: float | None
    uniform_energy_factor: float | None
    draw_bin: DrawBin | None
    recovery_efficiency: float
    first_hour_rating_gal: float
    parts_warranty_years: int
    tank_warranty_years: int

    def plate(self, manufactured: date) -> RatingPlate:
        """Return the rating plate of a heater of this family.

        Parameters
        ----------
        manufactured
            Its date of manufacture.

        Returns
        -------
        The plate, warranties in.
        """
        held = self.model_dump(include=set(RatingPlate.model_fields))
        return RatingPlate(manufactured=manufactured, **held)


def heater_families(catalog: Catalog) -> tuple[HeaterFamily, ...]:
    """Return every heater family.

    Parameters
    ----------
    catalog
        The open catalog.

    Returns
    -------
    Heater families, by slug.
    """
    if catalog not in _FAMILIES:  # a snapshot never changes
        rows = catalog.fixed_rows("heater_families")
        _FAMILIES[catalog] = tuple(HeaterFamily(**row) for row in rows)
    return _FAMILIES[catalog]


_FAMILIES: WeakKeyDictionary[Catalog, tuple[HeaterFamily, ...]] = WeakKeyDictionary()


def heater_family(catalog: Catalog, slug: str) -> HeaterFamily:
    """Return one heater family.

    Parameters
    ----------
    catalog
        The open catalog.
    slug
        Its slug.

    Returns
    -------
    The heater family.

    Raises
    ------
    CatalogTrouble
        If the catalog does not hold it; near slugs are named.
    """
    found = catalog.rows("heater_family", {"slug": slug})
    if found:
        return HeaterFamily(**found[0])
    # Here and not at the top: only a message about a slip needs it.
    from difflib import get_close_matches  # noqa: PLC0415

    known = [family.slug for family in heater_families(catalog)]
    begun = [each for each in known if slug and each.startswith(slug)][:NEAR_SAID]
    near = begun or get_close_matches(slug[:LONGEST_SAID], known, n=NEAR_SAID, cutoff=0.5)
    mend = f"Did you mean {', '.join(near)}?" if near else "Leave it out to go by the plate."
    said = slug if len(slug) <= LONGEST_SAID else f"{slug[:LONGEST_SAID]}…"
    raise CatalogTrouble(f'The heater family "{said}" is not in the catalog', "", mend)


def families_like(catalog: Catalog, plate: RatingPlate) -> tuple[HeaterFamily, ...]:
    """Return the heater families that a rating plate may belong to, the likeliest first.

    Parameters
    ----------
    catalog
        The open catalog.
    plate
        The rating plate.

    Returns
    -------
    Families of the same fuel, ignition and venting whose volume and input lie within
    15 %: first those that agree in chamber and date of manufacture, then by nearness.
    """
    scored = []
    for family in heater_families(catalog):
        volume = abs(family.tank_volume_gal / plate.tank_volume_gal - 1)
        burner = abs(family.input_btu_per_h / plate.input_btu_per_h - 1)
        same = (family.fuel, family.ignition, family.venting) == (
            plate.fuel,
            plate.ignition,
            plate.venting,
        )
        if not same or volume > NEAR_VOLUME or burner > NEAR_INPUT:
            continue
        made = family.made_from <= plate.manufactured and (
            family.made_to is None or plate.manufactured <= family.made_to
        )
        misses = (family.chamber is not plate.chamber) + (not made)
        scored.append((misses, volume + burner, family.slug, family))
    return tuple(family for *_, family in sorted(scored, key=lambda item: item[:3]))

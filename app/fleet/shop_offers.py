"""A shop's own terms and its catalog's replacement heaters, priced at its rates."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from functools import cached_property, lru_cache
from typing import TYPE_CHECKING, Any

from app.fleet.offers import Key, Offer, tank_model
from app.fleet.setting import FleetSetting, yearly
from app.fleet.terms_file import study_years_of
from app.publishing import rates_of_visit
from app.wiring import open_shop
from catalog.replacements import replacements
from catalog.snapshots import Catalog
from estimator.economics import UnitUpkeep
from estimator.heater import Fuel, HeaterClass, Household, Ignition, RatingPlate, Site
from estimator.money import to_float
from estimator.priced_job import Job
from estimator.pricing import price_job

if TYPE_CHECKING:
    from pathlib import Path

    from app.people.guard import Actor
    from estimator.rates import RateSheetVersion
    from estimator.supply import ReplacementHeater

SLOTS: tuple[tuple[str, HeaterClass], ...] = (
    ("standard", HeaterClass.GAS_STORAGE),
    ("high_efficiency", HeaterClass.GAS_STORAGE),
    ("condensing", HeaterClass.GAS_STORAGE_CONDENSING),
    ("instantaneous", HeaterClass.GAS_INSTANTANEOUS),
    ("heat_pump", HeaterClass.HEAT_PUMP),
    ("electric", HeaterClass.ELECTRIC_STORAGE),
)
"""One challenger of each kind that the catalog knows."""

KEYS_KEPT = 20_000


class ShopOffers:
    """The offers of a shop's catalog at its rates; opens the catalog where it is used.

    Parameters
    ----------
    catalogs
        Where the catalog snapshots are.
    version
        Version of the catalog.
    rates
        The rate sheet.
    on
        The day.
    """

    def __init__(self, catalogs: Path, version: str, rates: RateSheetVersion, on: date) -> None:
        self.catalogs, self.version, self.rates, self.on = catalogs, version, rates, on
        self._remembered: Any = None

    def __getstate__(self) -> dict[str, Any]:
        """Leave the open catalog behind when sent to another process."""
        return {
            "catalogs": self.catalogs,
            "version": self.version,
            "rates": self.rates,
            "on": self.on,
            "_remembered": None,
        }

    @property
    def slots(self) -> tuple[tuple[str, HeaterClass], ...]:
        """Name and class of each challenger."""
        return SLOTS

    def fingerprint(self) -> str:
        """Return text that changes when an offer changes."""
        return f"{self.version} {self.rates.model_dump_json()} {self.on.isoformat()}"

    def offers_for(self, key: Key) -> tuple[Offer | None, ...]:
        """Return the offer of each slot for heaters of a key, ``None`` where there is none."""
        if self._remembered is None:
            self._remembered = lru_cache(KEYS_KEPT)(self._found)
        found: tuple[Offer | None, ...] = self._remembered(key)
        return found

    @cached_property
    def _catalog(self) -> Catalog:
        return Catalog.open_version(self.catalogs, self.version)

    def _found(self, key: Key) -> tuple[Offer | None, ...]:
        plate = RatingPlate(
            fuel=Fuel(key.fuel),
            tank_volume_gal=key.tank_volume_gal,
            input_btu_per_h=key.input_btu_per_h,
            ignition=Ignition.PILOT_THERMOCOUPLE,
            venting=key.venting,
            manufactured=self.on,
        )
        site = Site(
            location=key.location,
            access=key.access,
            circuit_240v=key.circuit_240v,
            condensate_drain=key.condensate_drain,
            gas_line_btu_per_h=key.gas_line_btu_per_h,
        )
        by_slot: dict[str, Offer] = {}
        for each in replacements(self._catalog, plate, site, Household(), self.on):
            by_slot[_slot(each)] = self._priced(each, key)
        return tuple(by_slot.get(name) for name, _ in SLOTS)

    def _priced(self, replacement: ReplacementHeater, key: Key) -> Offer:
        job = Job(
            name=replacement.name,
            heater=replacement,
            site_items=replacement.site_items,
            access=key.access,
        )
        total = price_job(job, self.rates.sheet)[0].total
        offered = sum((each.amount for each in replacement.incentives), Decimal(0))
        ua, recovery, rated_input = tank_model(
            replacement.heater_class,
            replacement.uniform_energy_factor,
            replacement.draw_bin,
            replacement.recovery_efficiency,
            replacement.input_btu_per_h,
            replacement.name,
        )
        closed = replacement.closed_reason is not None
        catalog_says = UnitUpkeep(upkeep_per_year=replacement.upkeep_per_year)
        upkeep = self.rates.sheet.economics.challenger_upkeep.get(
            replacement.heater_class, catalog_says
        )
        return Offer(
            name=replacement.slug,
            heater_class=replacement.heater_class,
            uniform_energy_factor=replacement.uniform_energy_factor,
            ua=ua,
            recovery_efficiency=recovery,
            input_btu_per_h=rated_input,
            yearly_upkeep=yearly(upkeep),
            installed_price=to_float(total),
            incentives=to_float(min(offered, total)),
            like_for_like=replacement.like_for_like,
            standing=2 if closed else 1 if replacement.unsettled else 0,
        )


def _slot(replacement: ReplacementHeater) -> str:
    if replacement.heater_class is HeaterClass.GAS_STORAGE:
        return "standard" if replacement.like_for_like else "high_efficiency"
    return next(name for name, of in SLOTS if of is replacement.heater_class)


def setting_from_shop(
    folder: Path, actor: Actor, on: date, years: int | None, repair_price: float | None
) -> FleetSetting:
    """Take terms, rates and replacement heaters from a shop.

    Parameters
    ----------
    folder
        The shop's folder.
    actor
        Who asks.
    on
        The day: the rate sheet, heaters and incentives of that day.
    years
        Study period [yr]; by the mean life of a new gas tank where ``None``.
    repair_price
        Price of repairing [USD] where the file gives none.

    Returns
    -------
    The setting.

    Raises
    ------
    Trouble
        If there is no shop, no catalog, or no rate sheet of that day.
    """
    shop = open_shop(folder)
    try:
        rates = rates_of_visit(shop, actor, on)
        version = shop.catalog().version
    finally:
        shop.close()
    return FleetSetting(
        on=on,
        years=years or study_years_of(rates.sheet.economics),
        economics=rates.sheet.economics,
        fuel_prices=rates.sheet.fuel_prices,
        offers=ShopOffers(folder / "catalogs", version, rates, on),
        repair_price=repair_price,
    )

"""The replacements offered to each heater of a part, looked up once for each distinct place."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from app.fleet.checking import BLANK
from app.fleet.columns import BY_NAME
from app.fleet.offers import Key
from app.fleet.setting import GAS_FUELS
from estimator.heater import Access, Location, Venting

if TYPE_CHECKING:
    from app.fleet.checking import CheckedPart
    from app.fleet.offers import Offer
    from app.fleet.setting import FleetSetting

Floats = NDArray[np.float64]

CLOSED = 2
"""Standing of an offer that is there but cannot go to the heater's place."""

NOWHERE = 3
"""Standing of a slot without an offer."""

_PLACES = {"venting": Venting, "location": Location, "access": Access}
_KEY_NUMBERS = ("tank_volume_gal", "input_btu_per_h", "gas_line_btu_per_h")
_KEY_WORDS = ("fuel", "venting", "location", "access", "circuit_240v", "condensate_drain")


@dataclass(frozen=True, eq=False)
class OfferedColumns:
    """The offers of each row by slot, as columns of shape (slots, n)."""

    standing: NDArray[np.int8]
    name: NDArray[Any]
    uef: Floats
    ua: Floats
    recovery: Floats
    rated_input: Floats
    upkeep: Floats
    price: Floats
    incentives: Floats
    like_for_like: Floats  # price of a like-for-like heater, shape (n,)


def offered_to(part: CheckedPart, setting: FleetSetting) -> OfferedColumns:
    """Look up the offers once for each distinct place, and lay them out by row.

    Parameters
    ----------
    part
        The usable rows.
    setting
        Terms, energy prices and offers.

    Returns
    -------
    The offers by slot and row.
    """
    frame = pd.DataFrame(
        {name: part.numbers[name] for name in _KEY_NUMBERS}
        | {name: part.words[name] for name in _KEY_WORDS}
    )
    grouped = frame.groupby(list(frame.columns), dropna=False, sort=False)
    place = grouped.ngroup().to_numpy()
    distinct = frame.drop_duplicates().to_dict("records")
    offers = [setting.offers.offers_for(_key(each)) for each in distinct]
    slots = len(setting.offers.slots)

    def laid_out(name: str, otherwise: float, kind: Any = np.float64) -> NDArray[Any]:
        table = np.array(
            [
                [otherwise if each is None else getattr(each, name) for each in by_slot]
                for by_slot in offers
            ],
            dtype=kind,
        ).reshape(len(offers), slots)
        return np.ascontiguousarray(table[place].T)

    alike = np.array([_like_for_like(by_slot) for by_slot in offers], dtype=np.float64)
    return OfferedColumns(
        standing=laid_out("standing", NOWHERE, np.int8),
        name=laid_out("name", 0, object),
        uef=laid_out("uniform_energy_factor", 1.0),
        ua=laid_out("ua", 0.0),
        recovery=laid_out("recovery_efficiency", 1.0),
        rated_input=laid_out("input_btu_per_h", 1.0),
        upkeep=laid_out("yearly_upkeep", 0.0),
        price=laid_out("installed_price", 0.0),
        incentives=laid_out("incentives", 0.0),
        like_for_like=alike[place],
    )


def _like_for_like(by_slot: tuple[Offer | None, ...]) -> float:
    """Price of a like-for-like heater, the cheapest where there are several, else of any."""
    there = [offer for offer in by_slot if offer is not None]
    alike = [offer.installed_price for offer in there if offer.like_for_like]
    return min(alike or [offer.installed_price for offer in there], default=0.0)


def _key(row: dict[Any, Any]) -> Key:
    placed: dict[str, Any] = {}
    usual = {"venting": Venting.NATURAL_DRAFT, "location": Location.BASEMENT, "access": Access.OPEN}
    for name, of in _PLACES.items():
        code = int(row[name])
        placed[name] = usual[name] if code == BLANK else of(BY_NAME[name].words[code])
    line = float(row["gas_line_btu_per_h"])
    return Key(
        fuel=GAS_FUELS[int(row["fuel"])].value,
        tank_volume_gal=float(row["tank_volume_gal"]),
        input_btu_per_h=float(row["input_btu_per_h"]),
        circuit_240v=_looked_at(row["circuit_240v"]),
        condensate_drain=_looked_at(row["condensate_drain"]),
        gas_line_btu_per_h=None if np.isnan(line) else line,
        **placed,
    )


def _looked_at(code: int) -> bool | None:
    return None if code == BLANK else bool(code)

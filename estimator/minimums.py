"""Federal minimum ratings of water heaters, by the date from which they hold."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from estimator.heater import DrawBin, HeaterClass
from estimator.rating_conversion import Metric


@dataclass(frozen=True)
class Minimum:
    """One rule: ``base + slope * rated volume`` within a range of volumes.

    Attributes
    ----------
    heater_class
        Kind of heater.
    metric
        "EF" or "UEF".
    made_from
        First date of manufacture that it applies to.
    over_gal, to_gal
        Volumes above `over_gal` and up to `to_gal` are covered [gal]; `over_gal` itself
        too where the range is the first.
    draw_bin
        Its draw bin; ``None`` for an energy factor.
    base
        Rating at no volume [1].
    slope_per_gal
        Change with rated volume [1/gal].
    source
        Where it is written.
    verified
        False where the numbers are from memory and still to be checked.
    """

    heater_class: HeaterClass
    metric: Metric
    made_from: date
    over_gal: float
    to_gal: float
    draw_bin: DrawBin | None
    base: float
    slope_per_gal: float
    source: str
    verified: bool = True

    def at(self, volume_gal: float) -> float:
        """Return the minimum rating of a tank.

        Parameters
        ----------
        volume_gal
            Rated storage volume [gal].

        Returns
        -------
        EF or UEF [1].
        """
        return self.base + self.slope_per_gal * volume_gal

    def covers(self, volume_gal: float) -> bool:
        """Say whether the rule is written for a volume [gal]."""
        return self.distance_gal(volume_gal) == 0.0

    def distance_gal(self, volume_gal: float) -> float:
        """Return how far a volume lies outside the range [gal]; 0 inside."""
        if volume_gal < self.over_gal:
            return self.over_gal - volume_gal
        if volume_gal == self.over_gal and self.over_gal == SPLIT_GAL:
            return 1e-9  # exactly 55 gal belongs to the range that ends there
        return max(volume_gal - self.to_gal, 0.0)


SPLIT_GAL = 55.0
_ALL = (0.0, float("inf"))
_BINS = (DrawBin.VERY_SMALL, DrawBin.LOW, DrawBin.MEDIUM, DrawBin.HIGH)

_CFR = "10 CFR 430.32(d)"
_LAW = "42 USC 6295(e)(1)"
_2004 = "10 CFR 430.32(d) as in force from 20 January 2004, from memory"
_2015 = "75 FR 20112"
_2029 = "89 FR 37778, from memory, to be verified"

UEF_FROM = date(2016, 12, 29)
"""Effective date of 81 FR 96204, which restated the minimums as uniform energy factors."""

AMENDED_FROM = date(2029, 5, 6)
"""Compliance date of 89 FR 37778."""


def _by_bin(
    heater_class: HeaterClass,
    made_from: date,
    range_gal: tuple[float, float],
    lines: tuple[tuple[float, float], ...],
    source: str,
    *,
    verified: bool = True,
) -> tuple[Minimum, ...]:
    return tuple(
        Minimum(heater_class, "UEF", made_from, *range_gal, draw_bin, base, -fall, source, verified)
        for draw_bin, (base, fall) in zip(_BINS, lines, strict=True)
    )


_GAS = HeaterClass.GAS_STORAGE
_LOWER, _UPPER = (20.0, SPLIT_GAL), (SPLIT_GAL, 100.0)

MINIMUMS: tuple[Minimum, ...] = (
    Minimum(_GAS, "EF", date(1990, 1, 1), *_ALL, None, 0.62, -0.0019, _LAW),
    Minimum(_GAS, "EF", date(2004, 1, 20), 20.0, 100.0, None, 0.67, -0.0019, _2004),
    Minimum(_GAS, "EF", date(2015, 4, 16), *_LOWER, None, 0.675, -0.0015, _2015),
    Minimum(_GAS, "EF", date(2015, 4, 16), *_UPPER, None, 0.8012, -0.00078, _2015),
    *_by_bin(
        _GAS,
        UEF_FROM,
        _LOWER,
        ((0.3456, 0.0020), (0.5982, 0.0019), (0.6483, 0.0017), (0.6920, 0.0013)),
        _CFR,
    ),
    *_by_bin(
        _GAS,
        UEF_FROM,
        _UPPER,
        ((0.6470, 0.0006), (0.7689, 0.0005), (0.7897, 0.0004), (0.8072, 0.0003)),
        _CFR,
    ),
    *_by_bin(
        HeaterClass.ELECTRIC_STORAGE,
        UEF_FROM,
        _LOWER,
        ((0.8808, 0.0008), (0.9254, 0.0003), (0.9307, 0.0002), (0.9349, 0.0001)),
        _CFR,
    ),
    *_by_bin(
        HeaterClass.GAS_INSTANTANEOUS,
        UEF_FROM,
        (0.0, 2.0),
        ((0.80, 0.0), (0.81, 0.0), (0.81, 0.0), (0.81, 0.0)),
        _CFR,
    ),
    *_by_bin(
        _GAS,
        AMENDED_FROM,
        _LOWER,
        ((0.3925, 0.0020), (0.6451, 0.0019), (0.7046, 0.0017), (0.7424, 0.0013)),
        _2029,
        verified=False,
    ),
    *_by_bin(
        _GAS,
        AMENDED_FROM,
        _UPPER,
        ((0.6470, 0.0006), (0.7689, 0.0005), (0.7897, 0.0004), (0.8072, 0.0003)),
        _2029,
        verified=False,
    ),
)
"""Every rule held, oldest first within a class."""

COMMON_PRACTICE_BEFORE = Minimum(
    _GAS,
    "EF",
    date(1950, 1, 1),
    *_ALL,
    None,
    0.50,
    0.0,
    "common practice, no source: gas tanks made before 1990 had no federal minimum",
)
"""What stands in for a minimum before 1990."""


def federal_minimum(
    heater_class: HeaterClass, manufactured: date, volume_gal: float, draw_bin: DrawBin
) -> Minimum | None:
    """Return the federal minimum rating in force when a heater was made.

    Parameters
    ----------
    heater_class
        Kind of heater.
    manufactured
        Date of manufacture.
    volume_gal
        Rated storage volume [gal].
    draw_bin
        Draw bin, for the minimums that are uniform energy factors.

    Returns
    -------
    The rule that applies, whose `at` gives the value; ``None`` where the rules held here
    know none for the date or the class.

    Notes
    -----
    A volume outside the rule's range takes the nearest range of the same date; `covers`
    says whether it was inside. Levels that take force in 2029 are held but not verified,
    and apply to heaters made from then on only.

    References
    ----------
    10 CFR 430.32(d); 42 USC 6295(e)(1); 75 FR 20112; 89 FR 37778.
    """
    in_force = [
        rule
        for rule in MINIMUMS
        if rule.heater_class is heater_class
        and rule.made_from <= manufactured
        and rule.draw_bin in (None, draw_bin)
    ]
    if not in_force:
        return None
    latest = max(rule.made_from for rule in in_force)
    current = [rule for rule in in_force if rule.made_from == latest]
    return min(current, key=lambda rule: rule.distance_gal(volume_gal))

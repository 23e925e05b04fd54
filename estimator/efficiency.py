"""Efficiency ratings: from the label, or the federal minimum of the day it was made.

Energy factor (EF) until 2017, uniform energy factor (UEF) with its draw bin since.
"""

from __future__ import annotations

from typing import NamedTuple

from pydantic import BaseModel, ConfigDict

from estimator.cautions import Caution
from estimator.heater import DrawBin, HeaterClass, RatingPlate
from estimator.minimums import COMMON_PRACTICE_BEFORE, federal_minimum
from estimator.rating_conversion import Metric
from estimator.recovery import (
    check_recovery,
    default_recovery_efficiency,
    recovery_caution,
)

FIRST_HOUR_BIN_LIMITS_GAL = (18.0, 51.0, 75.0)
VOLUME_BIN_LIMITS_GAL = (20.0, 30.0, 50.0)


class Rating(BaseModel):
    """The rating of a heater and what it rests on.

    `value` is the EF or UEF [1] by `metric`; `draw_bin` goes with a UEF.
    `recovery_efficiency` [1]. `assumed` says that no label gave the value, and
    `recovery_assumed` the same of the recovery efficiency.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    value: float
    metric: Metric
    draw_bin: DrawBin | None = None
    recovery_efficiency: float
    assumed: bool = False
    recovery_assumed: bool = False
    source: str = "label"
    cautions: tuple[Caution, ...] = ()


class _Read(NamedTuple):
    """A rating as read or assumed, before its recovery efficiency is known."""

    value: float
    metric: Metric
    draw_bin: DrawBin | None
    source: str
    cautions: tuple[Caution, ...]
    assumed: bool = False


def rating_of(plate: RatingPlate) -> Rating:
    """Return the rating of the heater in place.

    Parameters
    ----------
    plate
        What its rating plate and label say.

    Returns
    -------
    The label's rating; where there is none, the federal minimum for a gas tank of its
    manufacture date, volume and draw bin, flagged as assumed.

    Raises
    ------
    InputTrouble
        If the rating is not below the recovery efficiency: more heat would come out than
        the burner puts in.

    Notes
    -----
    Before 1990 there was no federal minimum: a value of common practice stands in. A UEF
    without a draw bin takes the bin from the first-hour rating, else from the volume.

    References
    ----------
    10 CFR 430.32(d); 10 CFR 430 subpart B appendix E.
    """
    read = _read_label(plate)
    recovery = plate.recovery_efficiency
    cautions = read.cautions
    if recovery is None:
        recovery = default_recovery_efficiency(HeaterClass.GAS_STORAGE, read.value, read.metric)
        cautions = (*cautions, recovery_caution(recovery))
    check_recovery(read.value, read.metric, recovery)
    return Rating(
        value=read.value,
        metric=read.metric,
        draw_bin=read.draw_bin,
        recovery_efficiency=recovery,
        assumed=read.assumed,
        recovery_assumed=plate.recovery_efficiency is None,
        source=read.source,
        cautions=cautions,
    )


def draw_bin_of(
    first_hour_rating_gal: float | None, volume_gal: float
) -> tuple[DrawBin, Caution | None]:
    """Return the draw bin of a tank from its first-hour rating, else from its volume.

    Parameters
    ----------
    first_hour_rating_gal
        First-hour rating [gal], or ``None``.
    volume_gal
        Rated storage volume [gal].

    Returns
    -------
    The bin, and a caution where it was taken from the volume.

    Notes
    -----
    Limits by first-hour rating: below 18, 51 and 75 gal. By volume: below 20, 30 and
    50 gal; common practice, no source.

    References
    ----------
    10 CFR 430 subpart B appendix E, section 5.4.1.
    """
    if first_hour_rating_gal is not None:
        return _bin(first_hour_rating_gal, FIRST_HOUR_BIN_LIMITS_GAL), None
    found = _bin(volume_gal, VOLUME_BIN_LIMITS_GAL)
    return found, Caution(
        code="draw_bin_assumed",
        message=(
            f"The draw bin is taken as {found.value.replace('_', ' ')} from the tank's volume, "
            "for neither it nor a first-hour rating was given."
        ),
        source="common practice, no source",
        topic="assumed",
    )


def _bin(amount: float, limits: tuple[float, float, float]) -> DrawBin:
    bins = (DrawBin.VERY_SMALL, DrawBin.LOW, DrawBin.MEDIUM, DrawBin.HIGH)
    return bins[sum(amount >= limit for limit in limits)]


def _read_label(plate: RatingPlate) -> _Read:
    if plate.energy_factor is not None:
        return _Read(plate.energy_factor, "EF", None, "label", ())
    if plate.draw_bin is not None:
        draw_bin, caution = plate.draw_bin, None
    else:
        draw_bin, caution = draw_bin_of(plate.first_hour_rating_gal, plate.tank_volume_gal)
    bin_cautions = (caution,) if caution else ()
    if plate.uniform_energy_factor is not None:
        return _Read(plate.uniform_energy_factor, "UEF", draw_bin, "label", bin_cautions)
    return _assumed_rating(plate, draw_bin, bin_cautions)


def _assumed_rating(
    plate: RatingPlate, draw_bin: DrawBin, bin_cautions: tuple[Caution, ...]
) -> _Read:
    volume = plate.tank_volume_gal
    rule = federal_minimum(HeaterClass.GAS_STORAGE, plate.manufactured, volume, draw_bin)
    if rule is None:
        rule, reason = COMMON_PRACTICE_BEFORE, "a typical tank made before the first minimum"
    else:
        reason = "the federal minimum of its manufacture date"
    value = rule.at(volume)
    cautions = [
        Caution(
            code="rating_assumed",
            message=(
                f"There is no label: {rule.metric} {value:.3f} is taken, {reason}. "
                "The heater itself may rate higher."
            ),
            source=rule.source,
            topic="assumed",
        )
    ]
    if not rule.covers(volume):
        cautions.append(
            Caution(
                code="volume_outside_minimum",
                message=(
                    f"A tank of {volume:g} gal lies outside the volumes that the rule covers; "
                    "its nearest range is used."
                ),
                source=rule.source,
                topic="assumed",
            )
        )
    if rule.metric == "UEF":
        cautions.extend(bin_cautions)
    found_bin = draw_bin if rule.metric == "UEF" else None
    return _Read(value, rule.metric, found_bin, rule.source, tuple(cautions), assumed=True)

"""Efficiency ratings: from the label, or the federal minimum of the day it was made.

Energy factor (EF) until 2017, uniform energy factor (UEF) with its draw bin since.
"""

from __future__ import annotations

from datetime import date
from typing import Literal, NamedTuple

from pydantic import BaseModel, ConfigDict

from estimator.cautions import Caution
from estimator.errors import InputTrouble
from estimator.heater import DrawBin, HeaterClass, RatingPlate
from estimator.minimums import COMMON_PRACTICE_BEFORE, MINIMUMS, Minimum

Metric = Literal["EF", "UEF"]

CONVERSION_SOURCE = "RESNET energy factor calculator, 2017"
RECOVERY_SOURCE = (
    "regression of recovery efficiency on energy factor used by building-energy simulation "
    "(0.252 EF + 0.608 below EF 0.75, else 0.561 EF + 0.439)"
)
ELECTRIC_RECOVERY_EFFICIENCY = 0.98
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


def ef_from_uef(heater_class: HeaterClass, uef: float) -> float:
    """Return the energy factor that goes with a uniform energy factor.

    Parameters
    ----------
    heater_class
        Kind of heater.
    uef
        Uniform energy factor [1].

    Returns
    -------
    Energy factor [1].

    Notes
    -----
    Straight lines fitted to rated models: good to about 0.02 within the range of the
    models of 2017, and no further.

    References
    ----------
    RESNET energy factor calculator, 2017.
    """
    slope, intercept = _EF_LINES[heater_class]
    return slope * uef + intercept


def uef_from_ef(heater_class: HeaterClass, ef: float) -> float:
    """Return the uniform energy factor that goes with an energy factor.

    Parameters
    ----------
    heater_class
        Kind of heater.
    ef
        Energy factor [1].

    Returns
    -------
    Uniform energy factor [1]: the inverse of `ef_from_uef`, with its limits.

    References
    ----------
    RESNET energy factor calculator, 2017.
    """
    slope, intercept = _EF_LINES[heater_class]
    return (ef - intercept) / slope


_EF_LINES: dict[HeaterClass, tuple[float, float]] = {
    HeaterClass.GAS_STORAGE: (0.9066, 0.0711),
    HeaterClass.GAS_STORAGE_CONDENSING: (0.9066, 0.0711),
    HeaterClass.GAS_INSTANTANEOUS: (1.0, 0.0),
    HeaterClass.HEAT_PUMP: (1.2101, -0.6052),
    HeaterClass.ELECTRIC_STORAGE: (2.4029, -1.2844),
}


def default_recovery_efficiency(heater_class: HeaterClass, value: float, metric: Metric) -> float:
    """Return the recovery efficiency that goes with a rating when none is given.

    Parameters
    ----------
    heater_class
        Kind of heater.
    value
        EF or UEF [1].
    metric
        Which of the two.

    Returns
    -------
    Recovery efficiency [1]: 0.98 for electric tanks, else by two straight lines in the
    energy factor.

    Notes
    -----
    The lines lie above the energy factor over all of 0 to 1. EF 0.59 gives 0.757, where
    the label of such a tank says 0.76.

    References
    ----------
    Regression used by building-energy simulation of US homes on rated models; 0.98 is the
    value that 10 CFR 430 subpart B appendix E sets for immersed elements.
    """
    if heater_class is HeaterClass.ELECTRIC_STORAGE:
        return ELECTRIC_RECOVERY_EFFICIENCY
    ef = value if metric == "EF" else ef_from_uef(heater_class, value)
    return 0.252 * ef + 0.608 if ef < 0.75 else 0.561 * ef + 0.439


def recovery_caution(recovery: float) -> Caution:
    """Say that the recovery efficiency was assumed.

    Parameters
    ----------
    recovery
        The value taken [1].

    Returns
    -------
    The caution.
    """
    return Caution(
        code="recovery_efficiency_assumed",
        message=f"Recovery efficiency is taken as {recovery:.3f}, for none was given.",
        source=RECOVERY_SOURCE,
        topic="assumed",
    )


def check_recovery(value: float, metric: Metric, recovery: float) -> None:
    """Refuse a rating that is not below the recovery efficiency.

    Parameters
    ----------
    value
        EF or UEF [1].
    metric
        Which of the two.
    recovery
        Recovery efficiency [1].

    Raises
    ------
    InputTrouble
        If the rating is at or above the recovery efficiency.
    """
    if value >= recovery:
        raise InputTrouble(
            f"{metric} {value:g} is not below the recovery efficiency {recovery:g}; a tank "
            "that loses heat while it stands must rate below it",
            mend="Read both on the label again.",
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

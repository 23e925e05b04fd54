"""Recovery efficiency: what goes with a rating where none is given, and what cannot be."""

from __future__ import annotations

from estimator.cautions import Caution
from estimator.errors import InputTrouble
from estimator.heater import HeaterClass
from estimator.rating_conversion import Metric, ef_from_uef

RECOVERY_SOURCE = (
    "regression of recovery efficiency on energy factor used by building-energy simulation "
    "(0.252 EF + 0.608 below EF 0.75, else 0.561 EF + 0.439)"
)
ELECTRIC_RECOVERY_EFFICIENCY = 0.98


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

"""Where a rating comes from, and what is said when it had to be assumed."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from estimator.efficiency import Rating, draw_bin_of, rating_of
from estimator.errors import InputTrouble
from estimator.heater import DrawBin, RatingPlate
from estimator.recovery import recovery_caution


def plate(**changes: Any) -> RatingPlate:
    values = {
        "fuel": "natural_gas",
        "tank_volume_gal": 40,
        "input_btu_per_h": 40_000,
        "ignition": "pilot_thermocouple",
        "manufactured": date(2019, 3, 1),
    }
    return RatingPlate.model_validate(values | changes)


def codes(rating: Rating) -> list[str]:
    return [caution.code for caution in rating.cautions]


def test_label_with_everything_assumes_nothing() -> None:
    rating = rating_of(plate(uniform_energy_factor=0.62, draw_bin="high", recovery_efficiency=0.79))
    assert rating == Rating(
        value=0.62, metric="UEF", draw_bin=DrawBin.HIGH, recovery_efficiency=0.79
    )


def test_energy_factor_keeps_its_metric_and_flags_the_recovery_efficiency() -> None:
    rating = rating_of(plate(energy_factor=0.59))
    assert (rating.value, rating.metric, rating.draw_bin) == (0.59, "EF", None)
    assert (rating.assumed, rating.recovery_assumed) == (False, True)
    assert rating.recovery_efficiency == pytest.approx(0.252 * 0.59 + 0.608)
    assert codes(rating) == ["recovery_efficiency_assumed"]


def test_label_without_draw_bin_takes_it_from_the_first_hour_rating() -> None:
    rating = rating_of(plate(uniform_energy_factor=0.6, first_hour_rating_gal=76))
    assert rating.draw_bin is DrawBin.HIGH
    assert "draw_bin_assumed" not in codes(rating)


def test_label_without_draw_bin_or_first_hour_rating_says_so() -> None:
    rating = rating_of(plate(uniform_energy_factor=0.6))
    assert rating.draw_bin is DrawBin.MEDIUM
    assert "draw_bin_assumed" in codes(rating)
    said = next(c.message for c in rating.cautions if c.code == "draw_bin_assumed")
    assert said == (
        "The draw bin is taken as medium from the tank's volume, for neither it nor a "
        "first-hour rating was given."
    )


@pytest.mark.parametrize(
    ("volume", "draw_bin"),
    [
        (19, DrawBin.VERY_SMALL),
        (29, DrawBin.LOW),
        (40, DrawBin.MEDIUM),
        (50, DrawBin.HIGH),
        (75, DrawBin.HIGH),
    ],
)
def test_draw_bin_by_volume(volume: float, draw_bin: DrawBin) -> None:
    found, caution = draw_bin_of(None, volume)
    assert found is draw_bin
    assert caution is not None
    assert caution.source == "common practice, no source"


def test_no_label_says_that_the_minimum_was_taken() -> None:
    rating = rating_of(plate(manufactured=date(2010, 1, 1)))
    assert rating.assumed
    assert rating.cautions[0].message == (
        "There is no label: EF 0.594 is taken, the federal minimum of its manufacture date. "
        "The heater itself may rate higher."
    )
    assert "draw_bin_assumed" not in codes(rating), "an EF has no draw bin"


def test_no_label_before_1990_takes_common_practice_and_says_so() -> None:
    rating = rating_of(plate(manufactured=date(1985, 1, 1)))
    assert (rating.value, rating.metric, rating.assumed) == (0.5, "EF", True)
    assert "common practice, no source" in rating.source
    assert "a typical tank made before the first minimum" in rating.cautions[0].message


def test_volume_outside_the_rule_takes_the_nearest_range_and_says_so() -> None:
    rating = rating_of(plate(tank_volume_gal=119, first_hour_rating_gal=90))
    assert rating.value == pytest.approx(0.8072 - 0.0003 * 119)
    assert "volume_outside_minimum" in codes(rating)
    assert "volume_outside_minimum" not in codes(rating_of(plate()))


def test_rating_not_below_recovery_efficiency_is_refused() -> None:
    with pytest.raises(InputTrouble) as refused:
        rating_of(plate(energy_factor=0.78, recovery_efficiency=0.76))
    assert str(refused.value) == (
        "EF 0.78 is not below the recovery efficiency 0.76; a tank that loses heat while it "
        "stands must rate below it. Read both on the label again."
    )


@pytest.mark.parametrize("made_year", [1960, 1991, 2005, 2016, 2018, 2030])
@pytest.mark.parametrize("volume", [10, 20, 40, 55, 56, 100, 120])
def test_an_assumed_rating_is_always_below_its_recovery_efficiency(
    made_year: int, volume: float
) -> None:
    rating = rating_of(plate(manufactured=date(made_year, 6, 1), tank_volume_gal=volume))
    assert 0.2 < rating.value < rating.recovery_efficiency < 1


def test_recovery_caution_says_the_number() -> None:
    assert recovery_caution(0.757).message == (
        "Recovery efficiency is taken as 0.757, for none was given."
    )

"""Minimum ratings, draw bins and conversions against the rules that print them."""

from __future__ import annotations

from datetime import date

import pytest

from estimator.efficiency import draw_bin_of, rating_of
from estimator.heater import DrawBin, HeaterClass, Ignition, RatingPlate
from estimator.minimums import federal_minimum
from estimator.rating_conversion import ef_from_uef, uef_from_ef
from estimator.recovery import default_recovery_efficiency
from tests.published.row import Printed, rows

GAS = HeaterClass.GAS_STORAGE
ELECTRIC = HeaterClass.ELECTRIC_STORAGE
TANKLESS = HeaterClass.GAS_INSTANTANEOUS
CFR = "10 CFR 430.32(d)"
BINS = (DrawBin.VERY_SMALL, DrawBin.LOW, DrawBin.MEDIUM, DrawBin.HIGH)
NOW = date(2020, 1, 1)
RESNET = "RESNET energy factor calculator, 2017"
RESNET_READ = f"{RESNET}, as read in building-energy simulation code"


def minimum(
    heater_class: HeaterClass, made: date, volume_gal: float, draw_bin: DrawBin = DrawBin.MEDIUM
) -> float:
    found = federal_minimum(heater_class, made, volume_gal, draw_bin)
    assert found is not None
    return found.at(volume_gal)


def by_bin(
    heater_class: HeaterClass, volume_gal: float, *printed: str, source: str = CFR
) -> list[Printed]:
    return [
        Printed(
            f"minimum UEF {heater_class.value} {volume_gal:g} gal {draw_bin.value}",
            minimum,
            (heater_class, NOW, volume_gal, draw_bin),
            value,
            source,
        )
        for draw_bin, value in zip(BINS, printed, strict=True)
    ]


# The rules print a line for each bin; a volume of 40, 50 or 75 gal is put into it by hand.
@rows(
    *by_bin(GAS, 40, ".2656", ".5222", ".5803", ".6400"),
    *by_bin(GAS, 50, ".2456", ".5032", ".5633", ".6270"),
    *by_bin(GAS, 55, ".2356", ".4937", ".5548", ".6205"),
    *by_bin(GAS, 75, ".6020", ".7314", ".7597", ".7847"),
    *by_bin(ELECTRIC, 40, ".8488", ".9134", ".9227", ".9309"),
    *by_bin(TANKLESS, 0, ".80", ".81", ".81", ".81"),
)
def test_minimum_uef_against_10_cfr_430(row: Printed) -> None:
    row.check()


@rows(
    Printed("EF 1990 at 40 gal", minimum, (GAS, date(1990, 1, 1), 40), ".544", "42 USC 6295(e)(1)"),
    Printed(
        "EF 2003 at 50 gal", minimum, (GAS, date(2004, 1, 19), 50), ".525", "42 USC 6295(e)(1)"
    ),
    Printed("EF 2004 at 40 gal", minimum, (GAS, date(2004, 1, 20), 40), ".594", f"{CFR}, memory"),
    Printed("EF 2010 at 50 gal", minimum, (GAS, date(2010, 6, 1), 50), ".575", f"{CFR}, memory"),
    Printed("EF 2015 at 40 gal", minimum, (GAS, date(2015, 4, 16), 40), ".615", "75 FR 20112"),
    Printed("EF 2015 at 55 gal", minimum, (GAS, date(2015, 4, 16), 55), ".5925", "75 FR 20112"),
    Printed("EF 2015 at 75 gal", minimum, (GAS, date(2016, 1, 1), 75), ".7427", "75 FR 20112"),
)
def test_minimum_ef_against_the_rule_of_its_date(row: Printed) -> None:
    row.check()


def test_minimum_before_1990_is_no_rule_at_all() -> None:
    """42 USC 6295(e)(1) begins with 1990."""
    assert federal_minimum(GAS, date(1989, 12, 31), 40, DrawBin.MEDIUM) is None


def test_amended_minimum_against_its_date() -> None:
    """89 FR 37778: in force 6 May 2029, not a day sooner; its lines are not verified."""
    before = federal_minimum(GAS, date(2029, 5, 5), 40, DrawBin.MEDIUM)
    after = federal_minimum(GAS, date(2029, 5, 6), 40, DrawBin.MEDIUM)
    assert before is not None
    assert after is not None
    assert before.verified
    assert not after.verified
    assert "to be verified" in after.source


@pytest.mark.parametrize(
    ("first_hour_gal", "draw_bin"),
    [
        (17.9, DrawBin.VERY_SMALL),
        (18, DrawBin.LOW),
        (50.9, DrawBin.LOW),
        (51, DrawBin.MEDIUM),
        (74.9, DrawBin.MEDIUM),
        (75, DrawBin.HIGH),
    ],
)
def test_draw_bin_against_appendix_e(first_hour_gal: float, draw_bin: DrawBin) -> None:
    """10 CFR 430 subpart B appendix E: first-hour bins below 18, 51 and 75 gal."""
    assert draw_bin_of(first_hour_gal, 40) == (draw_bin, None)


@rows(
    Printed("EF of gas tank at UEF .60", ef_from_uef, (GAS, 0.60), ".61506", RESNET),
    Printed("EF of gas tank at UEF .70", ef_from_uef, (GAS, 0.70), ".70572", RESNET),
    Printed(
        "EF of electric tank at UEF .92", ef_from_uef, (ELECTRIC, 0.92), ".926268", RESNET_READ
    ),
    Printed(
        "EF of heat pump at UEF 3.5",
        ef_from_uef,
        (HeaterClass.HEAT_PUMP, 3.5),
        "3.63015",
        RESNET_READ,
    ),
    Printed("EF of tankless at UEF .82", ef_from_uef, (TANKLESS, 0.82), ".82", RESNET_READ),
    Printed("UEF of gas tank at EF .61506", uef_from_ef, (GAS, 0.61506), ".60000", RESNET),
)
def test_conversion_against_resnet(row: Printed) -> None:
    row.check()


@rows(
    Printed(
        "recovery efficiency at EF .59",
        default_recovery_efficiency,
        (GAS, 0.59, "EF"),
        ".76",
        "Lutz et al., WHAM: the sample tank of EF .59 has RE .76",
    ),
    Printed(
        "recovery efficiency of an element",
        default_recovery_efficiency,
        (ELECTRIC, 0.92, "UEF"),
        ".98",
        "10 CFR 430 subpart B appendix E",
    ),
)
def test_recovery_efficiency_against_wham_and_appendix_e(row: Printed) -> None:
    row.check()


@pytest.mark.parametrize(
    ("made", "metric", "printed"),
    [
        (date(1995, 5, 1), "EF", 0.544),
        (date(2008, 5, 1), "EF", 0.594),
        (date(2016, 5, 1), "EF", 0.615),
        (date(2018, 5, 1), "UEF", 0.5803),
    ],
)
def test_rating_without_label_against_the_minimum(made: date, metric: str, printed: float) -> None:
    """42 USC 6295(e)(1), 75 FR 20112 and 10 CFR 430.32(d), for 40 gal."""
    plate = RatingPlate.model_validate(
        {
            "fuel": "natural_gas",
            "tank_volume_gal": 40,
            "input_btu_per_h": 40_000,
            "ignition": Ignition.PILOT_THERMOCOUPLE,
            "manufactured": made,
        }
    )
    rating = rating_of(plate)
    assert (rating.metric, rating.assumed) == (metric, True)
    assert rating.value == pytest.approx(printed, abs=5e-5)

"""Measures in either system of units, against the published factors."""

from __future__ import annotations

import pytest

from catalog.measures import read_measure, show_measure
from estimator.errors import InputTrouble


@pytest.mark.parametrize(
    ("typed", "unit", "value"),
    [
        ("24", "in", 24.0),
        ("23 5/8 in", "in", 23.625),
        ("2-1/2 in", "in", 2.5),
        ('3/8"', "in", 0.375),
        ("1,000 mm", "in", 1000 / 25.4),
        ("2 ft", "in", 24.0),
        ("60,5 cm", "in", 60.5 / 2.54),
        ("3,5 in wc", "in wc", 3.5),
        ("0,018", "in", 0.018),
        ("0,5", "in", 0.5),
        ("12,34", "in", 12.34),
        ("1,234.5 mm", "in", 1234.5 / 25.4),
        ("24½ in", "in", 24.5),
        ("24 ½", "in", 24.5),
        ("⅝", "in", 0.625),
        ("24''", "in", 24.0),
        ("24” ", "in", 24.0),
        ("2\u2032", "in", 24.0),
        ("100 °C", "°F", 212.0),
        ("180F", "°F", 180.0),
        ("7 in w.c.", "in wc", 7.0),
        ("40,000 Btu/h", "Btu/h", 40000.0),
        ("1 kPa", "in wc", 1000 / 249.08891),
        ("10 kW", "Btu/h", 10_000 / 0.2930711),
    ],
)
def test_measures_are_read(typed: str, unit: str, value: float) -> None:
    assert read_measure(typed, unit, "length") == pytest.approx(value, rel=1e-6)


def test_inches_against_nist_sp_811() -> None:
    """NIST SP 811, appendix B.8: inch, 2.54 E+00 cm, exact."""
    assert read_measure("25.4 mm", "in", "length") == pytest.approx(1.0, abs=1e-6)


def test_pressure_against_nist_sp_811() -> None:
    """NIST SP 811, appendix B.8: inch of water, 2.490889 E+02 Pa."""
    assert read_measure("249.0889 Pa", "in wc", "pressure") == pytest.approx(1.0, abs=1e-6)
    assert read_measure("2.490889 mbar", "in wc", "pressure") == pytest.approx(1.0, abs=1e-6)


def test_input_against_nist_sp_811() -> None:
    """NIST SP 811, appendix B.8: Btu (IT) per hour, 2.930711 E-01 W."""
    assert read_measure("293.0711 W", "Btu/h", "input") == pytest.approx(1000.0, rel=1e-5)


@pytest.mark.parametrize(
    ("typed", "unit", "said"),
    [
        ("3 kW", "in", 'length is "3 kW", which is another kind of measure. Give it in in, mm.'),
        ("3 furlongs", "in", '"furlongs" is no unit that is known here. Give it in in, mm.'),
        ("long", "in", 'length is "long", which is no number. Measure again.'),
        ("1/0 in", "in", 'length is "1/0 in", which is no number. Measure again.'),
        ("1,2,3", "in", 'length is "1,2,3", which is no number. Measure again.'),
        ("1,2.3", "in", 'length is "1,2.3", which is no number. Measure again.'),
        ("12,3456,7", "in", "which is no number"),
        ("", "in", 'length is "", which is no number. Measure again.'),
        ("9" * 50, "in", f'length is "{"9" * 40}…", more than any part measures. Measure again.'),
        ("1/" + "9" * 5000, "in", '9…", 5,002 characters. A measure is a number and a unit.'),
        ("x" * 50, "in", f'length is "{"x" * 40}…", which is no number. Measure again.'),
        ("1" + "x" * 50, "in", f'"{"x" * 40}…" is no unit that is known here.'),
    ],
)
def test_what_is_no_measure_is_refused(typed: str, unit: str, said: str) -> None:
    with pytest.raises(InputTrouble) as refused:
        read_measure(typed, unit, "length")
    assert said in str(refused.value)


@pytest.mark.parametrize(
    ("value", "unit", "shown"),
    [
        (24.0, "in", "24 in (609.6 mm)"),
        (180.0, "°F", "180 °F (82 °C)"),
        (3.5, "in wc", "3.5 in wc (0.872 kPa)"),
        (40000.0, "Btu/h", "40,000 Btu/h (11.7 kW)"),
        (30.0, "mV", "30 mV"),
    ],
)
def test_measures_are_shown_in_both(value: float, unit: str, shown: str) -> None:
    assert show_measure(value, unit) == shown

"""The draft: what is typed, what hangs on it, and what is not kept."""

from __future__ import annotations

import pytest

from app.views import payload
from app.views.fields import Field, filled, problems_in, with_unit
from app.visit import Work
from estimator.heater import Household, RatingPlate

PLATE = {
    "fuel": "natural_gas",
    "tank_volume_gal": 40,
    "input_btu_per_h": 38000,
    "ignition": "pilot_thermocouple",
    "manufactured": "2015-09-01",
}


def test_put_leaves_the_draft_that_it_was_given_as_it_is() -> None:
    before = {"heater": {"fuel": "propane"}}
    after = payload.put(before, "heater.tank_volume_gal", 50.0)
    assert before == {"heater": {"fuel": "propane"}}
    assert after == {"heater": {"fuel": "propane", "tank_volume_gal": 50}}


@pytest.mark.parametrize("nothing", [None, ""])
def test_put_takes_an_answer_away(nothing: object) -> None:
    after = payload.put({"visit": {"note": "x"}}, "visit.note", nothing)
    assert payload.read(after, "visit.note") is None


def test_put_keeps_no_and_zero() -> None:
    after = payload.put({}, "readings.joint_tight", False)
    after = payload.put(after, "readings.limit_ohms", 0.0)
    assert after["readings"] == {"joint_tight": False, "limit_ohms": 0}


def test_year_and_month_make_the_date_and_the_month_may_come_first_or_last() -> None:
    year_first = payload.put(payload.put({}, "ui.made_year", 2015), "ui.made_month", 9)
    month_first = payload.put(payload.put({}, "ui.made_month", 9), "ui.made_year", 2015)
    assert year_first["heater"]["manufactured"] == "2015-09-01"
    assert month_first["heater"]["manufactured"] == "2015-09-01"


def test_a_year_without_a_month_is_taken_as_its_middle() -> None:
    after = payload.put({}, "ui.made_year", 2015)
    assert after["heater"]["manufactured"] == "2015-06-01"
    assert payload.made_month(after) is None


def test_a_month_changed_on_a_known_date_keeps_the_year() -> None:
    after = payload.put({"heater": dict(PLATE)}, "ui.made_month", 3)
    assert after["heater"]["manufactured"] == "2015-03-01"
    assert payload.made_year(after) == 2015


def test_a_year_that_is_cleared_takes_the_date_away() -> None:
    after = payload.put({"heater": dict(PLATE)}, "ui.made_year", None)
    assert payload.read(after, "heater.manufactured") is None
    assert payload.made_year(after) is None


@pytest.mark.parametrize("year", [-1, 0, 1949, 99999])
def test_a_year_that_cannot_be_is_kept_as_typed_and_makes_no_date(year: int) -> None:
    after = payload.put({}, "ui.made_year", year)
    assert payload.made_year(after) == year
    assert payload.read(after, "heater.manufactured") is None


def test_the_label_carries_one_rating_only() -> None:
    before = {"heater": {**PLATE, "uniform_energy_factor": 0.58, "draw_bin": "medium"}}
    assert payload.label_kind(before) == "uef"
    after = payload.put(before, "ui.label", "ef")
    assert "uniform_energy_factor" not in after["heater"]
    assert "draw_bin" not in after["heater"]


def test_a_new_finding_keeps_a_remedy_of_its_own_and_drops_another() -> None:
    worn = {"work": {"finding": "element_fouled", "remedy": "replace_element"}}
    kept = payload.put(worn, "work.finding", "element_worn")
    assert kept["work"]["remedy"] == "replace_element"
    dropped = payload.put(worn, "work.finding", "no_spark")
    assert "remedy" not in dropped["work"]


def test_the_only_remedy_of_a_finding_is_taken() -> None:
    after = payload.put({}, "work.finding", "control_magnet")
    assert after["work"]["remedy"] == "replace_gas_control"


def test_a_new_remedy_drops_the_part_picked_for_the_old_one() -> None:
    before = {"work": {"finding": "element_worn", "remedy": "replace_element", "part_number": "X"}}
    after = payload.put(before, "work.remedy", "replace_pilot_assembly")
    assert "part_number" not in after["work"]


def test_a_discount_is_typed_in_percent_and_kept_exactly() -> None:
    after = payload.put({}, "work.discount", 7.5)
    assert after["work"]["discount"] == "0.075"
    [shown] = filled((Field("work.discount", "Discount", unit="%"),), after)
    assert shown.value == 7.5


def test_what_is_only_for_the_page_never_reaches_the_visit() -> None:
    after = payload.put({}, "ui.made_year", 2015)
    assert "ui" in after
    assert "ui" not in payload.visit_values(after)


def test_a_broken_reading_counts_as_not_taken_and_the_others_stand() -> None:
    readings = payload.readings_of({"readings": {"millivolts_open": 9e9, "millivolts_loaded": 5}})
    assert readings.millivolts_open is None
    assert readings.millivolts_loaded == 5


def test_problems_name_the_key_and_leave_out_what_is_missing() -> None:
    problems = problems_in(RatingPlate, {"tank_volume_gal": -40, "fuel": "coal"})
    assert problems["tank_volume_gal"] == "is -40; it must be 2 or more"
    assert "input_btu_per_h" not in problems
    assert 'is "coal"; it must be' in problems["fuel"]


def test_problems_of_a_section_as_a_whole_stand_under_the_empty_key() -> None:
    problems = problems_in(Household, {"inlet_f": 90, "setpoint_f": 90})
    assert "must be below setpoint_f" in "".join(problems.values())


def test_filled_gives_each_field_its_answer_its_problem_and_what_is_assumed() -> None:
    fields = (
        Field("heater.tank_volume_gal", "Tank size", unit="gal"),
        Field("heater.energy_factor", "EF", assumed="lowest allowed"),
    )
    size, rating = filled(fields, {"heater": {**PLATE, "tank_volume_gal": 500}})
    assert size.value == 500
    assert size.problem == "Tank size is 500; it must be 120 or less."
    assert rating.assumed == "lowest allowed"


def test_filled_reads_a_number_kept_as_text() -> None:
    [rating] = filled((Field("heater.energy_factor", "EF"),), {"heater": {"energy_factor": "0.59"}})
    assert rating.value == 0.59


def test_a_discount_out_of_bounds_is_said_in_percent() -> None:
    [field] = filled(
        (Field("work.discount", "Discount", unit="%"),), payload.put({}, "work.discount", 150.0)
    )
    assert field.problem == "Discount is 150%; it must be below 100%."
    assert Work.model_fields["discount"].metadata  # the bound is the model's own


@pytest.mark.parametrize(
    ("value", "unit", "text"),
    [
        (148, "$/h", "$148/h"),
        (-5, "$/h", "\N{MINUS SIGN}$5/h"),
        (65, "%", "65%"),
        (40, "gal", "40 gal"),
    ],
)
def test_with_unit_writes_as_one_speaks(value: float, unit: str, text: str) -> None:
    assert with_unit(value, unit) == text


def test_measures_of_another_kind_of_part_stay_in_the_draft_and_out_of_the_visit() -> None:
    draft = {
        "work": {"finding": "element_worn", "remedy": "replace_element"},
        "old_part": {"number": None, "features": {"length_in": 22, "tip_style": "snap_in_collar"}},
    }
    assert payload.visit_values(draft)["old_part"] == draft["old_part"]
    other = payload.put(draft, "work.remedy", "replace_pilot_assembly")
    assert "length_in" not in payload.visit_values(other)["old_part"]["features"]
    assert other["old_part"]["features"]["length_in"] == 22

"""Fleet files as people write them: what is read, what is refused, what is set aside."""

from __future__ import annotations

import csv
import json
from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import Any

import pyarrow as pa
import pyarrow.parquet as pq
import pytest
from typer.testing import CliRunner

from app.cli import app
from app.fleet.answers import COLUMNS_OUT, output_columns
from app.fleet.columns import BY_NAME
from app.fleet.running import run_fleet
from app.fleet.setting import FleetSetting
from app.fleet.terms_file import setting_from_terms
from estimator.errors import InputTrouble

GOOD = {
    "id": "H-1",
    "site": "Elm Yard",
    "fuel": "natural_gas",
    "tank_volume_gal": "40",
    "input_btu_per_h": "38000",
    "manufactured": "2012-05-31",
    "repair_price": "310.00",
}


def lines_of(path: Path) -> list[dict[str, str]]:
    with path.open(newline="", encoding="utf-8") as file:
        return list(csv.DictReader(file))


def answers_of(path: Path) -> list[dict[str, Any]]:
    rows: list[dict[str, Any]] = pq.read_table(path).to_pylist()
    return rows


@pytest.mark.parametrize(
    ("delimiter", "bom"), [(",", True), (";", False), (";", True), ("\t", False)]
)
def test_any_delimiter_and_mark_give_the_same_answers(
    delimiter: str, bom: bool, rows: Any, as_csv: Any, setting: FleetSetting, tmp_path: Path
) -> None:
    given = rows(40)
    run_fleet(as_csv(tmp_path / "a.csv", given), tmp_path / "a.parquet", setting)
    other = as_csv(tmp_path / "b.csv", given, delimiter=delimiter, bom=bom)
    run_fleet(other, tmp_path / "b.parquet", setting)
    assert answers_of(tmp_path / "a.parquet") == answers_of(tmp_path / "b.parquet")


def test_parquet_of_any_types_gives_what_csv_gives(
    rows: Any, as_csv: Any, setting: FleetSetting, tmp_path: Path
) -> None:
    given = rows(50)
    run_fleet(as_csv(tmp_path / "a.csv", given), tmp_path / "a.parquet", setting)

    def column(name: str) -> list[Any]:
        return [None if row[name] == "" else row[name] for row in given]

    dates = [None if each is None else date.fromisoformat(each) for each in column("manufactured")]
    table = pa.table(
        {
            "ID": pa.array(column("id")),
            "site": pa.array(column("site")).dictionary_encode(),
            "fuel": pa.array(column("fuel")).dictionary_encode(),
            "tank_volume_gal": pa.array(column("tank_volume_gal"), pa.int16()),
            "input_btu_per_h": pa.array(column("input_btu_per_h"), pa.int32()),
            "manufactured": pa.array(dates, pa.date32()).cast(pa.timestamp("ms")),
            "age_years": pa.array(column("age_years"), pa.float64()),
            "energy_factor": pa.array(column("energy_factor"), pa.float64()),
            "uniform_energy_factor": pa.array(column("uniform_energy_factor"), pa.float64()),
            "draw_bin": pa.array(column("draw_bin"), pa.large_string()),
            "gallons_per_day": pa.array(column("gallons_per_day")).cast(pa.string()),
            "people": pa.array(column("people"), pa.int8()),
            "setpoint_f": pa.array(column("setpoint_f"), pa.float32()),
            "inlet_f": pa.array(column("inlet_f"), pa.float64()),
            "repair_price": pa.array(
                [Decimal(str(each)) for each in column("repair_price")], pa.decimal128(10, 2)
            ),
            "x_tenant": pa.array([["left", "alone"]] * 50),
        }
    )
    pq.write_table(table, tmp_path / "b_in.parquet", row_group_size=7)
    finished = run_fleet(tmp_path / "b_in.parquet", tmp_path / "b.parquet", setting, part_rows=16)
    assert finished.parts == 4
    for a, b in zip(
        answers_of(tmp_path / "a.parquet"), answers_of(tmp_path / "b.parquet"), strict=True
    ):
        for name, value in a.items():
            # the last bit may differ, for the parts are of another size
            same = pytest.approx(b[name], rel=1e-13) if isinstance(value, float) else b[name]
            assert value == same


def one_wrong(tmp_path: Path, setting: FleetSetting, **cells: str) -> str:
    """Return why the second of two rows is set aside."""
    names = list(GOOD | cells)
    rows = [dict.fromkeys(names, "") | GOOD, dict.fromkeys(names, "") | GOOD | cells]
    with (tmp_path / "in.csv").open("w", newline="") as file:
        writer = csv.DictWriter(file, names)
        writer.writeheader()
        writer.writerows(rows)
    finished = run_fleet(tmp_path / "in.csv", tmp_path / "out.parquet", setting)
    assert finished.summary.heaters == 1
    assert [row["row"] for row in answers_of(tmp_path / "out.parquet")] == [1]
    (line,) = lines_of(tmp_path / "out.rejected.csv")
    assert line["row"] == "2"
    return line["reason"]


@pytest.mark.parametrize(
    ("cells", "reason"),
    [
        ({"id": " "}, "id is blank; give each heater one"),
        (
            {"fuel": "oil"},
            'fuel is "oil"; it must be one of natural_gas, propane',
        ),
        ({"fuel": ""}, "fuel is blank"),
        (
            {"tank_volume_gal": "-40"},
            'tank_volume_gal is "-40"; it must be a number from 2 to 120',
        ),
        (
            {"tank_volume_gal": "nan"},
            'tank_volume_gal is "nan"; it must be a number from 2 to 120',
        ),
        (
            {"repair_price": "1,310"},
            'repair_price is "1,310"; it must be written with a point, not a comma: '
            "a number from 0 to 10,000,000",
        ),
        ({"people": "2.5"}, 'people is "2.5"; it must be a whole number from 1 to 20'),
        (
            {"manufactured": "31/05/2012"},
            'manufactured is "31/05/2012"; it must be a date, year first, such as 2019-05-31, '
            "not before 1950",
        ),
        (
            {"manufactured": "2012-02-30"},
            'manufactured is "2012-02-30"; it must be a date, year first, such as 2019-05-31, '
            "not before 1950",
        ),
        (
            {"manufactured": "2031-01-01"},
            "manufactured is 2031-01-01; it must not lie after 2026-06-01",
        ),
        ({"manufactured": ""}, "manufactured and age_years are both blank; give one"),
        ({"age_years": "9"}, "manufactured and age_years are both given; keep one"),
        (
            {"energy_factor": "0.6", "uniform_energy_factor": "0.6"},
            "energy_factor and uniform_energy_factor are both given; keep one",
        ),
        (
            {"energy_factor": "0.8", "recovery_efficiency": "0.76"},
            "the rating is not below the recovery efficiency, or the input cannot heat the water "
            "of the rating test; read the label again",
        ),
        (
            {"inlet_f": "95", "setpoint_f": "95"},
            "inlet_f is not below setpoint_f; the heater warms the water",
        ),
        (
            {"people": "many", "access": "tihgt"},
            'people is "many"; it must be a whole number from 1 to 20; '
            'access is "tihgt"; it must be one of open, tight, very_tight',
        ),
        ({"circuit_240v": "maybe"}, 'circuit_240v is "maybe"; it must be yes or no'),
    ],
)
def test_a_row_that_cannot_be_used_is_set_aside_with_its_reason(
    cells: dict[str, str], reason: str, setting: FleetSetting, tmp_path: Path
) -> None:
    assert one_wrong(tmp_path, setting, **cells) == reason


def test_rows_with_too_few_or_too_many_cells_are_set_aside(
    setting: FleetSetting, tmp_path: Path
) -> None:
    header = ",".join(GOOD)
    good = ",".join(GOOD.values())
    (tmp_path / "in.csv").write_text(f"{header}\n{good}\n\nH-2,short\n{good},more\nB{good}\n")
    run_fleet(tmp_path / "in.csv", tmp_path / "out.parquet", setting)
    assert [row["row"] for row in answers_of(tmp_path / "out.parquet")] == [1, 5]
    assert [(line["row"], line["reason"]) for line in lines_of(tmp_path / "out.rejected.csv")] == [
        ("3", "it has 2 cells; the header has 7"),
        ("4", "it has 8 cells; the header has 7"),
    ]


def test_blank_repair_price_without_one_for_all(terms_file: Path, tmp_path: Path) -> None:
    text = terms_file.read_text()
    (tmp_path / "terms.toml").write_text(text.replace("repair_price = 300.00 ", "# "))
    reason = one_wrong(tmp_path, setting_from_terms(tmp_path / "terms.toml"), repair_price="")
    assert reason == "repair_price is blank, and no price was given for all"


def test_no_offer_for_a_fuel(terms_file: Path, tmp_path: Path) -> None:
    text = terms_file.read_text().replace(
        "[[challenger]]", '[[challenger]]\nfuels = ["natural_gas"]'
    )
    (tmp_path / "terms.toml").write_text(text)
    reason = one_wrong(tmp_path, setting_from_terms(tmp_path / "terms.toml"), fuel="propane")
    assert reason == (
        "no replacement can go here: closed by what was found at the site, or none offered"
    )


@pytest.mark.parametrize("text", ["=1+1", "+A1", "-2", "@SUM(A1)", '=HYPERLINK("x")'])
def test_text_like_a_formula_is_kept_and_disarmed_in_csv(
    text: str, setting: FleetSetting, tmp_path: Path
) -> None:
    rows = [GOOD | {"id": text, "site": text}, GOOD | {"id": text, "fuel": text}]
    with (tmp_path / "in.csv").open("w", newline="") as file:
        writer = csv.DictWriter(file, list(GOOD))
        writer.writeheader()
        writer.writerows(rows)
    run_fleet(tmp_path / "in.csv", tmp_path / "out.parquet", setting)
    (answer,) = answers_of(tmp_path / "out.parquet")
    assert (answer["id"], answer["site"]) == (text, text)
    assert lines_of(tmp_path / "out.summary.csv")[0]["site"] == f"'{text}"
    assert lines_of(tmp_path / "out.rejected.csv")[0]["id"] == f"'{text}"


def test_a_file_without_rows_gives_empty_answers(setting: FleetSetting, tmp_path: Path) -> None:
    (tmp_path / "in.csv").write_text(",".join(GOOD) + "\n")
    finished = run_fleet(tmp_path / "in.csv", tmp_path / "out.parquet", setting)
    assert finished.summary.heaters == finished.summary.rejected == 0
    table = pq.read_table(tmp_path / "out.parquet")
    assert table.num_rows == 0
    assert table.column_names == list(output_columns(setting))
    assert lines_of(tmp_path / "out.rejected.csv") == []
    assert lines_of(tmp_path / "out.summary.csv") == []
    assert "<svg" in (tmp_path / "out.svg").read_text()
    empty = pa.table({name: pa.array([], pa.string()) for name in GOOD})
    pq.write_table(empty, tmp_path / "in.parquet")
    assert run_fleet(tmp_path / "in.parquet", tmp_path / "o2.parquet", setting).parts == 0


@pytest.mark.parametrize(
    ("content", "message"),
    [
        (b"", "The file is empty in IN. Give one with a header line."),
        (
            b"id,feul,tank_volume_gal,input_btu_per_h,age_years\n",
            'The column "feul" is not known in IN; did you mean "fuel"? Rename it, or begin its '
            'name with "x_" to have it left alone.',
        ),
        (
            b"id,fuel,tank_volume_gal,input_btu_per_h,age_years,energy_facter\n",
            'The column "energy_facter" is not known in IN; did you mean "energy_factor"? Rename '
            'it, or begin its name with "x_" to have it left alone.',
        ),
        (
            b"id,fuel,tank_volume_gal,age_years\n",
            "The column input_btu_per_h is missing in IN. Add it.",
        ),
        (
            b"id,fuel,tank_volume_gal,input_btu_per_h\n",
            "There is neither a column manufactured nor a column age_years in IN. Add one.",
        ),
        (
            b"id,id,fuel,tank_volume_gal,input_btu_per_h,age_years\n",
            'The column "id" is there twice in IN. Remove one.',
        ),
        (
            b"id,fuel\xff\n",
            "The file is not UTF-8 text in IN. Save it as CSV UTF-8 and try again.",
        ),
    ],
)
def test_a_file_that_cannot_be_read_is_refused_as_text(
    content: bytes, message: str, setting: FleetSetting, tmp_path: Path
) -> None:
    source = tmp_path / "in.csv"
    source.write_bytes(content)
    with pytest.raises(InputTrouble) as refused:
        run_fleet(source, tmp_path / "out.parquet", setting)
    assert str(refused.value).replace(str(source), "IN") == message
    assert sorted(path.name for path in tmp_path.iterdir()) == ["in.csv"]


def test_places_that_cannot_be_used_are_refused(setting: FleetSetting, tmp_path: Path) -> None:
    source = tmp_path / "in.parquet"
    with pytest.raises(InputTrouble, match=r"There is no file in .*Check the name\."):
        run_fleet(source, tmp_path / "out.parquet", setting)
    source.write_bytes(b"PAR1 damaged PAR1")
    with pytest.raises(InputTrouble, match=r"The Parquet file is damaged: .*Write it again\."):
        run_fleet(source, tmp_path / "out.parquet", setting)
    with pytest.raises(InputTrouble, match=r'named "out.csv"; it must end in .parquet\.'):
        run_fleet(source, tmp_path / "out.csv", setting)
    with pytest.raises(InputTrouble, match="The output is the file to be read"):
        run_fleet(source, source, setting)
    with pytest.raises(InputTrouble, match="There is no folder in"):
        run_fleet(source, tmp_path / "none" / "out.parquet", setting)


def test_terms_file_is_refused_by_key(terms_file: Path, tmp_path: Path) -> None:
    text = terms_file.read_text()
    wrong = tmp_path / "terms.toml"
    wrong.write_text(text.replace("uniform_energy_factor = 0.80", "uniform_energy_factor = 0.95"))
    with pytest.raises(InputTrouble, match="challenger condensing_tank; a tank that loses heat"):
        setting_from_terms(wrong)
    wrong.write_text(text.replace('name = "heat_pump"', 'name = "gas_tank"'))
    with pytest.raises(InputTrouble, match="Two challengers have the same name"):
        setting_from_terms(wrong)


def test_command_prints_json_alone(terms_file: Path, tmp_path: Path) -> None:
    out = tmp_path / "out.parquet"
    arguments = ["fleet", str(terms_file.with_name("fleet.csv")), str(out)]
    ran = CliRunner().invoke(app, [*arguments, "--terms", str(terms_file), "--json"])
    assert ran.exit_code == 0, ran.output
    said = json.loads(ran.stdout)
    assert (said["heaters"], said["rejected"], said["study_years"]) == (58, 2, 13)
    assert sum(said["advice"].values()) == 58
    assert "gas odor" in said["caution"]
    assert all(Path(path).exists() for path in said["files"].values())
    assert not (tmp_path / "out.parquet.parts").exists()
    ran = CliRunner().invoke(app, [*arguments, "--terms", str(terms_file)])
    assert ran.exit_code == 0, ran.output
    assert "Heaters costed" in ran.stdout
    assert "58" in ran.stdout


def test_command_says_what_each_column_holds() -> None:
    ran = CliRunner().invoke(app, ["fleet", "--columns"])
    assert ran.exit_code == 0, ran.output
    assert "tank_volume_gal (needed)" in ran.stdout
    for name in (*BY_NAME, *COLUMNS_OUT):
        assert f"  {name}" in ran.stdout


def test_terms_and_shop_options_do_not_mix(terms_file: Path, tmp_path: Path) -> None:
    arguments = ["fleet", str(terms_file.with_name("fleet.csv")), str(tmp_path / "o.parquet")]
    ran = CliRunner().invoke(app, [*arguments, "--terms", str(terms_file), "--years", "5"])
    assert isinstance(ran.exception, InputTrouble)
    assert str(ran.exception).startswith("--on and --years stand in the terms file")

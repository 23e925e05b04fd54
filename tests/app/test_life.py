"""`heater life fit`: records read with plain refusals, fitted, plotted, adopted."""

from __future__ import annotations

import json
import math
import re
import xml.etree.ElementTree as ET
from datetime import UTC, date, datetime
from pathlib import Path

import numpy as np
import pytest

from app.life_records import RecordSpan, read_life_records
from app.lives import fit_lives
from app.views.life import build_life_view, paper_height
from app.wiring import open_shop
from estimator.errors import InputTrouble
from estimator.heater import HeaterClass
from estimator.life_fit import fit_life
from tests.app.command import run

PROJECT = Path(__file__).parents[2]
DEMO = PROJECT / "demo_data" / "lives.csv"
GAS = HeaterClass.GAS_STORAGE
END = RecordSpan(None, date(2026, 1, 1))
HEAD = "installed,failed"


def written(folder: Path, *rows: str, head: str = HEAD) -> Path:
    path = folder / "records.csv"
    path.write_text("\n".join([head, *rows]) + "\n")
    return path


def refusal(path: Path, span: RecordSpan = END) -> str:
    with pytest.raises(InputTrouble) as refused:
        read_life_records(path, span, GAS)
    return str(refused.value).replace(str(path), "FILE")


def test_a_failed_and_a_running_heater(tmp_path: Path) -> None:
    path = written(tmp_path, "2010-01-01,2020-01-01", "2016-01-01,")
    failed, running = read_life_records(path, END, GAS)
    assert (failed.failed, failed.began_years, failed.heater_class) == (True, 0.0, GAS)
    assert failed.ended_years == pytest.approx(10.0, abs=0.005)
    assert (running.failed, running.ended_years) == (False, pytest.approx(10.0, abs=0.005))


def test_records_that_begin_late_by_column_and_by_option(tmp_path: Path) -> None:
    path = written(
        tmp_path, "2000-01-01,2012-01-01,2010-01-01", "2000-01-01,2012-01-01,", "2014-01-01,,",
        head=f"{HEAD},records_from",
    )  # fmt: skip
    own, by_option, young = read_life_records(path, RecordSpan(date(2005, 1, 1), END.end), GAS)
    assert own.began_years == pytest.approx(10.0, abs=0.01)
    assert by_option.began_years == pytest.approx(5.0, abs=0.01)
    assert young.began_years == 0.0


def test_last_seen_ends_the_record_of_a_running_heater(tmp_path: Path) -> None:
    path = written(tmp_path, "2010-01-01,,2015-01-01", head=f"{HEAD},last_seen")
    (record,) = read_life_records(path, END, GAS)
    assert (record.failed, record.ended_years) == (False, pytest.approx(5.0, abs=0.005))


@pytest.mark.parametrize(
    ("row", "why"),
    [
        (",2020-01-01", "the installed date is missing"),
        ("2010-13-01,", 'installed "2010-13-01" is not a date as 2015-09-01'),
        ("2010-01-01,soon", 'failed "soon" is not a date as 2015-09-01'),
        ("2010-01-01,2009-05-05", "it failed on 2009-05-05, before it was installed on 2010-01-01"),
        ("2010-01-01,2010-01-01", "it failed on 2010-01-01, the day on which it was installed"),
        ("2010-01-01,2027-01-01", "it failed on 2027-01-01, after the records end on 2026-01-01"),
        ("2027-01-01,", "it was installed on 2027-01-01, after the records end on 2026-01-01"),
        ("1949-01-01,", "installed 1949-01-01 lies before 1950"),
    ],
)
def test_a_row_that_cannot_be_is_named(tmp_path: Path, row: str, why: str) -> None:
    path = written(tmp_path, "2010-01-01,2020-01-01", row)
    assert refusal(path) == f"A heater cannot be used in FILE row 3; {why}. Correct each such row."


def test_a_failure_before_the_records_begin_is_refused(tmp_path: Path) -> None:
    path = written(tmp_path, "2000-01-01,2004-01-01")
    assert "stands in no record, so it cannot be counted" in refusal(
        path, RecordSpan(date(2005, 1, 1), END.end)
    )


def test_many_bad_rows_are_told_together_and_at_most_five(tmp_path: Path) -> None:
    said = refusal(written(tmp_path, *["2010-01-01,never"] * 7))
    assert said.startswith("7 heaters cannot be used in FILE; row 2: failed")
    assert "row 6" in said
    assert "row 7" not in said
    assert said.endswith("and 2 more. Correct each such row.")


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("installed\n2010-01-01\n", 'The column "failed" is missing'),
        ("installed,failed,died\n2010-01-01,,\n", 'The column "died" is not known'),
        ("installed,failed,failed\n2010-01-01,,\n", 'The column "failed" stands there twice'),
        (
            "installed,failed\n2010-01-01\n",
            "There are not 2 values as in the first row in FILE row 2",
        ),
        ("installed,failed\n2010-01-01,,x\n", "There are not 2 values as in the first row"),
        ('installed,failed\n2010-01-01,"2\n', "The row is not CSV"),
        ("installed,failed\n", "There is no heater in FILE"),
        ("", 'The column "installed" is missing'),
    ],
)
def test_a_file_that_is_not_such_a_table_is_refused(tmp_path: Path, text: str, said: str) -> None:
    path = tmp_path / "records.csv"
    path.write_text(text)
    assert said in refusal(path)


def test_a_file_that_is_not_there_or_not_text(tmp_path: Path) -> None:
    path = tmp_path / "none.csv"
    assert refusal(path) == "There is no file in FILE. Check the name."
    path.write_bytes(b"\xff\xfe\x00")
    assert refusal(path).startswith("The file is not UTF-8 text in FILE")


def test_the_command_gives_what_the_formula_gives() -> None:
    done = run("life", "fit", DEMO, "--json", "--delay", 0.5)
    assert done.status == 0, done.stderr
    tank, instantaneous = json.loads(done.stdout)["lives"]
    to_today = RecordSpan(None, datetime.now(UTC).date())
    records = [it for it in read_life_records(DEMO, to_today, GAS) if it.heater_class is GAS]
    fit = fit_life(
        [it.ended_years for it in records], [it.failed for it in records], 0.5,
        [it.began_years for it in records],
    )  # fmt: skip
    assert tank["fit"]["shape"] == fit.shape
    assert tank["fit"]["mean_interval_years"] == list(fit.mean_interval)
    assert tank["failures"] == sum(it.failed for it in records)
    assert len(tank["kaplan_meier"]) == len({it.ended_years for it in records if it.failed})
    assert instantaneous["fit"] is None
    assert instantaneous["refused"].startswith("There are 8 failures; a life needs at least 10.")


def test_the_demo_records_hold_the_life_they_were_drawn_from() -> None:
    """Drawn with shape 2.6, scale 13.6 and delay 0.5, recorded from 2012 on."""
    fit = json.loads(run("life", "fit", DEMO, "--json", "--delay", 0.5).stdout)["lives"][0]["fit"]
    assert fit["shape_interval"][0] < 2.6 < fit["shape_interval"][1]
    assert fit["scale_interval_years"][0] < 13.6 < fit["scale_interval_years"][1]


def test_the_words_name_the_sample_and_the_refusal() -> None:
    said = run("life", "fit", DEMO).stdout
    assert "Gas tank: 79 failures, 61 still running, 58 recorded only from some age on" in said
    assert re.search(r"Mean life when new +12\.2 years \(11\.1 to 13\.4\)", said)
    assert "Not fitted. There are 8 failures; a life needs at least 10." in said


def test_a_file_that_carries_no_life_is_refused() -> None:
    done = run("life", "fit", DEMO, "--class", "gas_instantaneous")
    assert done.status == 2
    assert done.stdout == ""
    assert "There are 8 failures; a life needs at least 10." in done.stderr
    done = run("life", "fit", DEMO, "--class", "heat_pump")
    assert done.stderr.startswith("There is no heater of class heat_pump in ")


def test_adopting_publishes_a_new_version_and_leaves_the_old(shop_folder: Path) -> None:
    shop = open_shop(shop_folder)
    today = datetime.now(UTC).date()
    before = shop.ledger.rate_sheets.on(today)
    done = run("life", "fit", DEMO, "--adopt", "--shop", shop_folder, "--json")
    found = json.loads(done.stdout)
    assert found["adopted"] == {"version": before.version + 1, "holds_from": today.isoformat()}
    after = shop.ledger.rate_sheets.on(today)
    life = after.sheet.economics.lives[GAS]
    assert life.shape == found["lives"][0]["fit"]["shape"]
    assert life.source.startswith("fitted to 79 failures and 61 heaters still running")
    assert shop.ledger.rate_sheets.version(before.version) == before
    # Nothing else changes, and a class that was not fitted keeps its life.
    kept = {**after.sheet.economics.lives, GAS: before.sheet.economics.lives[GAS]}
    economics = after.sheet.economics.model_copy(update={"lives": kept})
    assert after.sheet.model_copy(update={"economics": economics}) == before.sheet
    shop.close()
    said = run("life", "fit", DEMO, "--shop", shop_folder).stdout
    assert "The rate sheet now holds a mean of 12.2 years." in said


def test_nothing_is_published_without_a_shop(tmp_path: Path) -> None:
    done = run("life", "fit", DEMO, "--adopt", "--shop", tmp_path / "none")
    assert done.status == 2
    assert done.stderr.startswith("There is no shop in the folder")


def plot_of(folder: Path) -> ET.Element:
    path = folder / "life.svg"
    done = run("life", "fit", DEMO, "--class", "gas_storage", "--plot", path)
    assert f"Written: {path}" in done.stdout
    return ET.fromstring(path.read_text())


def test_the_plot_shows_every_failure_and_says_so_in_words(tmp_path: Path) -> None:
    drawing = plot_of(tmp_path)
    name = "{http://www.w3.org/2000/svg}"
    assert drawing.find(f"{name}title").text == "Gas tank: how long they last"  # type: ignore[union-attr]
    assert "79 failures" in (drawing.find(f"{name}desc").text or "")  # type: ignore[union-attr]
    steps = json.loads(run("life", "fit", DEMO, "--json").stdout)["lives"][0]["kaplan_meier"]
    assert len(drawing.findall(f"{name}circle")) == len(steps)
    dashed = [line for line in drawing.iter(f"{name}polyline") if "stroke-dasharray" in line.attrib]
    assert len(dashed) >= 2  # the fit differs by its dashes, not by its color alone


def test_points_of_an_exact_weibull_sample_lie_on_the_line() -> None:
    shares = np.array([0.1, 0.3, 0.5, 0.7, 0.9])
    ages = 12.0 * (-np.log1p(-shares)) ** (1 / 2.3)
    heights = [paper_height(float(share)) for share in shares]
    np.testing.assert_allclose(heights, 2.3 * (np.log(ages) - math.log(12.0)), rtol=1e-12)


def test_one_plot_is_of_one_class(tmp_path: Path) -> None:
    many = [f"{year}-01-01,{year + 5 + year % 7}-03-01,{kind}"
            for year in range(1990, 2010) for kind in ("gas_storage", "heat_pump")]  # fmt: skip
    path = written(tmp_path, *many, head=f"{HEAD},heater_class")
    done = run("life", "fit", path, "--plot", tmp_path / "x.svg")
    assert done.stderr.startswith("There are 2 classes to plot, and one file in ")
    assert not (tmp_path / "x.svg").exists()


def test_records_of_two_kinds_mixed_are_doubted(tmp_path: Path) -> None:
    """Half of them fail at three years, half at eighteen: no Weibull curve follows that."""
    random = np.random.default_rng(2)
    ages = np.concatenate([random.normal(3, 0.3, 60), random.normal(18, 0.5, 60)])
    rows = [
        f"2000-01-01,{date.fromordinal(date(2000, 1, 1).toordinal() + int(age * 365))}"
        for age in ages
    ]
    (found,) = fit_lives(read_life_records(written(tmp_path, *rows), END, GAS))
    assert any("does not follow these records" in said for said in build_life_view(found).cautions)
    (demo, _) = fit_lives(read_life_records(DEMO, RecordSpan(None, date(2026, 11, 1)), GAS))
    assert build_life_view(demo).cautions == ()


def test_few_failures_are_said_to_be_rough(tmp_path: Path) -> None:
    rows = [f"2000-01-01,{2005 + at}-01-01" for at in range(12)]
    (found,) = fit_lives(read_life_records(written(tmp_path, *rows), END, GAS))
    assert build_life_view(found).cautions[0].startswith("With 12 failures the intervals are rough")


def test_a_failure_within_the_delay_is_named_by_its_row(tmp_path: Path) -> None:
    path = written(tmp_path, "2000-01-01,2011-01-01", "2000-01-01,2000-07-02", "2025-12-01,")
    done = run("life", "fit", path, "--delay", 1, "--records-to", "2026-01-01")
    assert (done.status, done.stdout) == (2, "")
    assert done.stderr.strip() == (
        f"A heater cannot be used in {path} row 3; it failed at 0.50 years, within "
        "the delay of 1 yr before which nothing is to fail. "
        "Correct the date or give a shorter delay."
    )

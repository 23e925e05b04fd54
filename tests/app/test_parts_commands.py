"""`heater parts …` and `heater catalog diff | publish | rollback`, as a person runs them."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

from tests.app.command import run

VISIT = Path(__file__).parents[2] / "demo_data" / "visits" / "worn_element.toml"
SOUTH = "Counter South (invented)"


def test_find_by_number_and_by_words(demo_shop_folder: Path) -> None:
    at = ("--shop", demo_shop_folder, "--on", "2026-02-02")
    found = json.loads(run("parts", "find", "se 2o195", *at, "--json").stdout)
    assert found["chain"] == ["SE-20195", "SE-20194", "SE-20102"]
    said = run("parts", "find", "thermocouple", "24", "in", *at).stdout
    assert said.startswith("Read as sensing element, output class 30 mV, length 24 in (609.6 mm).")
    assert "check this: Tip style" in said


def test_find_says_what_goes_in_and_asks_of_what_a_measure_is(demo_shop_folder: Path) -> None:
    at = ("--shop", demo_shop_folder, "--on", "2026-02-02")
    said = run("parts", "find", "SE-20195", *at).stdout
    assert "Replaced: SE-20195 → SE-20194 → SE-20102\n" in said
    assert "What goes in for SE-20195:\n- SE-20102  " in said
    assert "matches: Replaces SE-20195, the number on the old part." in said
    assert "If it was misread, it may be one of: " in said
    asked = run("parts", "find", "610", "mm", *at).stdout.splitlines()
    assert asked[0] == "Read as a measure, 610 mm. Of what part is it?"
    assert "  heater parts find sensing element 610 mm" in asked
    strange = run("parts", "find", "thermocouple 24 kW", *at).stdout
    assert "Not understood: 24 kw." in strange


def test_a_number_of_a_heater_that_is_told_comes_first(demo_shop_folder: Path) -> None:
    at = ("--shop", demo_shop_folder, "--on", "2026-02-02")
    told = ("--heater", "a-30-ng-tc-nd-open-1994")
    first = "- SE-20101 (Maker A (invented)): Sensing element, 30 mV, 18 in, 11/32-32 right-hand "
    said = run("parts", "find", "SE-2010", *told, *at).stdout.splitlines()
    assert said[0] == ("Read as SE2010: not in the catalog; this heater's parts list has SE-20101.")
    assert said[1].startswith(first)
    assert said[1].endswith("1 is missing at the end. On this heater's parts list.")
    assert "parts list" not in run("parts", "find", "SE-2010", *at).stdout
    done = run("parts", "find", "SE-2010", "--heater", "no-such", *at)
    assert (done.status, done.stderr) == (
        2, 'The heater family "no-such" is not in the catalog. Leave it out to go by the plate.\n'
    )  # fmt: skip


def test_fit_by_measures_with_units(demo_shop_folder: Path) -> None:
    at = ("--shop", demo_shop_folder, "--on", "2026-02-02", "--json")
    inches = json.loads(run("parts", "fit", "pilot_tube", "length_in=24", *at).stdout)
    metric = json.loads(run("parts", "fit", "pilot_tube", "length_in=609.6 mm", *at).stdout)
    assert [card["number"] for card in inches["fits"]] == [
        card["number"] for card in metric["fits"]
    ]
    assert inches["fits"]
    done = run("parts", "fit", "pilot_tube", "length_in=24 kW", *at)
    assert done.status == 2
    assert done.stderr == (
        'length is "24 kW", which is another kind of measure. Give it in in, mm.\n'
    )
    assert run("parts", "fit", "pilot_tube", "24", *at).status == 2


@pytest.mark.parametrize(
    ("given", "said"),
    [
        (["cut_of_built_in=yes"], '"cut_of_built_in" is not a feature of a sensing element. Did'),
        (["=24"], '"" is not a feature of a sensing element. Its features are output_class_mv,'),
        (["length_in=24", "length_in=30"], '"length_in" is given twice. Give it once.'),
        (["length_in=24 ft"], "length_in is 288.0 in the features of the old part; it must be 240"),
        (["output_class_mv=31"], "the output class is 30 or 750 mV, not 31"),
    ],
)
def test_a_measure_that_is_not_usable_is_never_left_out(
    demo_shop_folder: Path, given: list[str], said: str
) -> None:
    done = run("parts", "fit", "sensing_element", *given, "--shop", demo_shop_folder, "--json")
    assert (done.status, done.stdout) == (2, "")
    assert said in done.stderr


def test_an_old_part_of_another_family_is_said(demo_shop_folder: Path) -> None:
    done = run("parts", "fit", "igniter", "--old", "SE-20104", "--shop", demo_shop_folder)
    assert done.stdout.startswith("Nothing is known of the igniter that is needed")
    assert done.stdout.endswith(
        "\nNumber SE-20104 is a sensing element, not an igniter: the old part is not gone by.\n"
    )


def test_a_heater_family_that_is_begun_is_named_whole(demo_shop_folder: Path) -> None:
    done = run("parts", "heater", "a-40-ng", "--shop", demo_shop_folder)
    assert done.status == 2
    assert "Did you mean a-40-ng-tc-nd-" in done.stderr
    long = run("parts", "heater", "x" * 5_000, "--shop", demo_shop_folder).stderr
    assert f'"{"x" * 60}…" is not in the catalog. Leave it out' in long


def test_brackets_in_each_other_without_end_are_no_visit(
    demo_shop_folder: Path, tmp_path: Path
) -> None:
    deep = tmp_path / "deep.toml"
    deep.write_text("a = " + "[" * 5_000 + "]" * 5_000)
    done = run("parts", "kit", deep, "--shop", demo_shop_folder)
    assert done.status == 2
    assert done.stderr == (
        f"The file is not TOML: its brackets stand in each other too deep in {deep}. "
        "Correct them and try again.\n"
    )


@pytest.mark.parametrize("encoding", ["ascii", "utf-8:strict", "cp1252"])
def test_no_sign_that_a_terminal_cannot_show_stops_a_command(
    demo_shop_folder: Path, encoding: str
) -> None:
    def told(*words: str) -> bytes:
        heater = [sys.executable, "-m", "app.cli", "parts", *words, "--shop", demo_shop_folder]
        how = {**os.environ, "PYTHONIOENCODING": encoding, "PYTHONUTF8": "0"}
        done = subprocess.run(heater, capture_output=True, env=how, check=True)
        assert done.stderr == b""
        return done.stdout

    number = "SE\udcff20104→"  # a byte that is no text, as a shell hands it on
    found = json.loads(told("find", number, "--json").decode(encoding.partition(":")[0]))
    assert found["typed"] == number
    assert found["numbers"][0]["number"] == "SE-20104"
    assert b"SE-20104" in told("find", number)


def test_more_parts_as_near_are_counted_and_how_to_part_them_said(demo_shop_folder: Path) -> None:
    at = ("--shop", demo_shop_folder, "--on", "2026-02-02")
    asked = ("parts", "fit", "sensing_element", "output_class_mv=30", *at)
    more = json.loads(run(*asked, "--json").stdout)["more"]
    assert " more parts are as near by all that is known: give the built-in thermal cut-off" in more
    assert run(*asked).stdout.endswith(f"{more}\n")
    told = run("parts", "find", "thermocouple", *at).stdout
    assert told.endswith(f"{more}\n")


def test_chain_heater_and_kit(demo_shop_folder: Path) -> None:
    at = ("--shop", demo_shop_folder)
    chain = json.loads(run("parts", "chain", "SE-20195", *at, "--json").stdout)
    assert chain["sold_today"] == "SE-20102"
    rows = json.loads(run("parts", "heater", "a-40-ng-tc-nd-sealed-2003", *at, "--json").stdout)
    assert {"Sensing element", "Gas control"} <= {row["position"] for row in rows}
    cards = json.loads(run("parts", "kit", VISIT, *at, "--json").stdout)
    quoted = json.loads(run("quote", VISIT, *at, "--json").stdout)
    assert cards[0]["remedy"] == "replace_element"
    told = run("parts", "kit", VISIT, *at).stdout
    assert "    labor: Replace the sensing element, 0.75 h\n" in told
    assert "    labor in all: 1 h\n" in told
    leak = run("parts", "kit", VISIT.with_name("tank_leak.toml"), *at).stdout
    assert leak == "No remedy repairs this finding: the heater is replaced.\n"
    assert cards[0]["price"] == f"${quoted['repair']['price_today']:,.2f}"


def test_a_price_list_is_looked_at_published_remembered_and_taken_back(
    shop_folder: Path, tmp_path: Path
) -> None:
    prices = tmp_path / "prices.csv"
    prices.write_text("What;Worth\nSE-20104;21.00\nSE-99999;1\n")
    at = ("--supplier", SOUTH, "--shop", shop_folder, "--from", "2026-02-01")
    mapping = ("--map", "number=What", "--map", "cost=Worth")
    refused = run("catalog", "diff", prices, *at)
    assert refused.status == 2
    assert "It is not clear which column holds the number and the cost" in refused.stderr
    before = json.loads((shop_folder / "catalogs" / "current.json").read_text())["version"]
    seen = json.loads(run("catalog", "diff", prices, *at, *mapping, "--json").stdout)
    assert seen["preview"]["counts"]["changed"] == 1
    assert seen["preview"]["rejected"] == [[3, "number SE-99999 is not in the catalog"]]
    (effect,) = seen["effects"]
    assert (effect["part"], effect["cost"]) == ("SE-20104", "21.00")
    assert float(effect["margin"]) < float(effect["margin_before"])
    whole = seen["preview"]["effect"]
    assert (whole["rows"], whole["rises"], whole["falls"]) == (1, 1, 0)
    assert (whole["cost_before"], whole["cost"], whole["price"]) == ("12.74", "21.00", "52.50")
    assert whole["spread"] == ["0.6484", "0.6484", "0.6484"]  # 8.26 / 12.74
    assert (whole["margin_before"], whole["margin_kept"]) == ("0.6667", "0.4505")  # 17.22 / 38.22
    assert (seen["used"]["taken"], seen["used"]["parts"]) == (0, [])  # no quote was issued
    told = run("catalog", "diff", prices, *at, *mapping).stdout
    assert "No quote since " in told
    assert "1 margin falls by a point or more, most that of SE-20104: 66.7% to 60%." in told
    assert re.search(r"Largest rise +SE-20104: \$12\.74 → \$21\.00, \+64\.8%", told)
    assert json.loads((shop_folder / "catalogs" / "current.json").read_text())["version"] == before
    published = json.loads(run("catalog", "publish", prices, *at, *mapping, "--json").stdout)
    assert published["version"] != before
    again = json.loads(run("catalog", "diff", prices, *at, "--json").stdout)
    assert again["preview"]["mapping"] == {"number": "What", "cost": "Worth"}
    assert again["preview"]["counts"]["same"] == 1
    back = json.loads(run("catalog", "rollback", "--shop", shop_folder, "--json").stdout)
    assert back["version"] == before

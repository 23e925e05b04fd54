"""`heater catalog build | check` on sound and broken sources: what is printed, and the status."""

from __future__ import annotations

import csv
import json
import re
import shutil
from pathlib import Path

import pytest

from tests.app.command import run

DEMO = Path(__file__).parents[2] / "demo_data" / "catalog"


@pytest.fixture
def sources(tmp_path: Path) -> Path:
    return Path(shutil.copytree(DEMO, tmp_path / "sources"))


def test_a_sound_folder_is_checked_and_built(sources: Path, tmp_path: Path) -> None:
    checked = run("catalog", "check", sources, "--json")
    assert checked.status == 0
    report = json.loads(checked.stdout)
    assert report["sound"]
    assert report["rejected"] == []
    build = ("catalog", "build", sources, "--shop", tmp_path / "shop", "--json")
    built = run(*build)
    assert built.status == 0
    made = json.loads(built.stdout)
    assert made["rows"] == report["rows"]
    pointer = json.loads((tmp_path / "shop" / "catalogs" / "current.json").read_text())
    assert pointer["version"] == made["version"]
    again = json.loads(
        run("catalog", "build", sources, "--shop", tmp_path / "shop", "--json").stdout
    )
    assert again["unchanged"]
    assert again["version"] == made["version"]


def test_publishing_tells_the_rows_that_are_left_out(shop_folder: Path, tmp_path: Path) -> None:
    prices = tmp_path / "prices.csv"
    rows = ["SE-20101,9.50", *(f"XX-{n},1" for n in range(25))]
    prices.write_text("\n".join(["number,cost", *rows]) + "\n")
    given = ("catalog", "publish", prices, "--supplier", "New counter", "--shop", shop_folder)
    said = run(*given)
    assert said.status == 0
    assert "Left out, prices.csv row 3: number XX-0 is not in the catalog\n" in said.stdout
    assert said.stdout.endswith("5 more rows are left out.\n")
    assert said.stdout.count("Left out") == 20
    told = json.loads(run(*given, "--json").stdout)
    assert told["counts"] == {"new": 0, "changed": 0, "same": 1, "vanished": 0, "rejected": 25}
    assert told["rejected"][-1] == [27, "number XX-24 is not in the catalog"]


def test_a_list_that_changes_nothing_is_told_in_words(shop_folder: Path, tmp_path: Path) -> None:
    prices = tmp_path / "prices.csv"
    prices.write_text("number,cost\nSE-20101,9.50\n")
    given = (prices, "--supplier", "New counter", "--shop", shop_folder)
    assert run("catalog", "publish", *given).status == 0
    seen = run("catalog", "diff", *given)
    assert (seen.status, seen.stderr) == (0, "")
    assert re.search(r"^changed +0\nsame +1$", seen.stdout, re.MULTILINE)


def test_a_loop_and_a_dangling_end_are_named_with_their_rows(sources: Path, tmp_path: Path) -> None:
    path = sources / "vapor_sensor.csv"
    with path.open(encoding="utf-8", newline="") as held:
        rows = list(csv.DictReader(held))
    rows[0] |= {"discontinued": "yes", "replaced_by": rows[0]["number"]}
    rows[1] |= {"discontinued": "yes", "replaced_by": "VS-77777"}
    with path.open("w", encoding="utf-8", newline="") as out:
        writer = csv.DictWriter(out, list(rows[0]))
        writer.writeheader()
        writer.writerows(rows)
    checked = run("catalog", "check", sources, "--json")
    assert checked.status == 2
    reasons = {row: why for file, row, why in json.loads(checked.stdout)["rejected"]
               if file == "vapor_sensor.csv"}  # fmt: skip
    assert "the replaced-by chain runs in a loop" in reasons[2]
    assert "is replaced by VS-77777, which is not in the catalog" in reasons[3]
    assert checked.stderr.startswith("2 rows or files are not usable in ")
    built = run("catalog", "build", sources, "--shop", tmp_path / "shop", "--json")
    assert built.status == 2
    assert "vapor_sensor.csv row 2: the replaced-by chain runs in a loop" in built.stderr
    assert not (tmp_path / "shop" / "catalogs").exists()

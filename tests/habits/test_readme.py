"""The README's worked visit says what the program says."""

from __future__ import annotations

import json
import re
from pathlib import Path

from tests.app.command import run

PROJECT = Path(__file__).parents[2]
README = (PROJECT / "README.md").read_text()


def test_the_worked_visit_is_what_the_command_prints(demo_shop_folder: Path) -> None:
    visit = PROJECT / "demo_data" / "visits" / "worn_element.toml"
    found = json.loads(run("quote", visit, "--shop", demo_shop_folder, "--json").stdout)
    repair, replace = found["repair"], found["replacements"][0]
    saved = replace["lcc"] - repair["lcc"]
    rows = {
        "price today, tax in": (repair["price_today"], replace["price_today"]),
        "a month, over 10 years": (repair["per_month"], replace["per_month"]),
        "in all, over 10 years (present value)": (repair["lcc"], replace["lcc"]),
    }
    assert found["study_years"] == 10
    for label, (left, right) in rows.items():
        assert f"| {label} | ${left:,.2f} | ${right:,.2f} |" in README
    assert found["verdict"] == "repair"
    assert f"${saved:,.0f}; it would stay so" in " ".join(README.split())
    assert f"${repair['break_even_price']:,.2f}" in README
    part = found["part"]
    assert f"The part is {part['number']}, {part['fit_class']} for this heater" in README
    assert ("on the van" if part["stock"]["van"] else "at the branch") in README


def test_the_job_comes_first() -> None:
    first = README.split("\n\n")[1]
    assert first.startswith("A service technician")
    assert README.index("](docs/screenshot.png)") < README.index("## Run it")


def test_every_command_in_the_table_exists() -> None:
    for words in re.findall(r"^\| `heater ([a-z-]+(?: [a-z]+)?)", README, flags=re.MULTILINE):
        done = run(*words.split(), "--help")
        assert done.status == 0, words


def test_every_make_target_named_is_there() -> None:
    targets = set(re.findall(r"^([a-z-]+):", (PROJECT / "Makefile").read_text(), re.MULTILINE))
    named = set(re.findall(r"`?make ([a-z-]+)", README))
    assert named - {"are"} <= targets

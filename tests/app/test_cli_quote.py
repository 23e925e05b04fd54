"""`heater quote` on every demo visit: documented keys, nothing of cost, plain refusals."""

from __future__ import annotations

import json
from collections.abc import Iterator
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from app.files import read_toml
from app.people.guard import operator
from app.quoting import issue_quote, owner_results
from app.visit import Visit
from app.visiting import price_visit, visit_from
from app.wiring import open_shop
from tests.acting import TESTER
from tests.app.command import run
from tests.app.ledger.support import NOW

VISITS = sorted((Path(__file__).parents[2] / "demo_data" / "visits").glob("*.toml"))
VERDICTS = {"repair", "replace", "either", "closed"}


def quoted(visit: Path, shop: Path, *options: str) -> dict[str, Any]:
    done = run("quote", visit, "--shop", shop, "--json", *options)
    assert done.status == 0, done.stderr
    assert done.stderr == ""
    found: dict[str, Any] = json.loads(done.stdout)
    return found


def changed(visits: Path, tmp_path: Path, name: str, old: str, new: str) -> Path:
    text = (visits / f"{name}.toml").read_text()
    assert old in text
    path = tmp_path / "visit.toml"
    path.write_text(text.replace(old, new, 1))
    return path


@pytest.mark.parametrize("visit", VISITS, ids=lambda path: path.stem)
def test_every_demo_visit_is_quoted(visit: Path, demo_shop_folder: Path) -> None:
    found = quoted(visit, demo_shop_folder)
    assert found["verdict"] in VERDICTS
    assert found["reasons"]
    assert found["cautions"]
    heater = found["heater"]
    assert heater["age_years"] > 0
    assert heater["therms_per_year"] > 50
    assert isinstance(heater["rating_assumed"], bool)
    assert found["replacements"]
    for path in found["replacements"]:
        assert path["lcc"] > 0
        assert path["per_month"] > 0
        assert path["totals"]["total"] == path["price_today"]
        assert sum(line["amount"] for line in path["lines"]) == pytest.approx(
            path["totals"]["subtotal"], abs=1e-9
        )
    repair = found["repair"]
    if repair["open"]:
        assert repair["lcc"] > repair["price_today"] > 0
        assert found["lines"]
        assert found["verdict"] != "closed"
    else:
        assert found["verdict"] == "closed"
        assert repair["closed_reason"]
        assert repair["price_today"] is None


def test_the_demo_visits_show_every_verdict(demo_shop_folder: Path) -> None:
    assert {quoted(visit, demo_shop_folder)["verdict"] for visit in VISITS} == VERDICTS


def test_break_even_price_is_where_both_paths_meet(visits: Path, demo_shop_folder: Path) -> None:
    found = quoted(visits / "worn_element.toml", demo_shop_folder)
    repair, compared = found["repair"], found["replacements"][0]
    gap = compared["lcc"] - repair["lcc"]
    assert repair["break_even_price"] - repair["price_today"] == pytest.approx(gap, abs=0.01)


def test_a_part_no_longer_made_leads_to_the_one_sold_today(
    visits: Path, demo_shop_folder: Path
) -> None:
    found = quoted(visits / "part_no_longer_made.toml", demo_shop_folder)
    old = read_toml(visits / "part_no_longer_made.toml")["old_part"]["number"]
    assert found["part"]["number"] != old
    assert any(old in reason for reason in found["part"]["reasons"])


def test_a_heater_without_a_label_is_rated_by_the_minimum_of_its_date(
    visits: Path, demo_shop_folder: Path
) -> None:
    found = quoted(visits / "no_label.toml", demo_shop_folder)
    # Federal minimum from 1990, 42 USC 6295(e)(1): EF = .62 - .0019 V at 40 gal.
    assert found["heater"]["rating"] == pytest.approx(0.62 - 0.0019 * 40)
    assert found["heater"]["rating_assumed"] is True


def test_a_running_parts_warranty_makes_the_part_free(visits: Path, demo_shop_folder: Path) -> None:
    found = quoted(visits / "warranty_running.toml", demo_shop_folder)
    control = next(
        line for line in found["lines"] if found["part"]["number"] in line["description"]
    )
    assert control["amount"] == 0
    assert any(line["kind"] == "labor" and line["amount"] > 0 for line in found["lines"])


def test_a_leaking_tank_closes_the_repair(visits: Path, demo_shop_folder: Path) -> None:
    found = quoted(visits / "tank_leak.toml", demo_shop_folder)
    assert [stop["code"] for stop in found["stops"]] == ["tank_leak"]
    assert found["replacements"][0]["closed_reason"] is None


def test_a_spilling_flue_closes_both(visits: Path, demo_shop_folder: Path) -> None:
    found = quoted(visits / "flue_spills.toml", demo_shop_folder)
    assert all(path["closed_reason"] for path in found["replacements"])


def test_pdf_and_words_come_with_one_command(
    visits: Path, demo_shop_folder: Path, tmp_path: Path
) -> None:
    pdf = tmp_path / "quote.pdf"
    done = run("quote", visits / "worn_element.toml", "--shop", demo_shop_folder, "--pdf", pdf)
    assert done.status == 0
    assert pdf.read_bytes().startswith(b"%PDF-")
    assert "Repair" in done.stdout
    assert "Replace" in done.stdout


def test_issuing_keeps_the_quote_and_the_ledger_replays_it(visits: Path, shop_folder: Path) -> None:
    found = quoted(visits / "worn_element.toml", shop_folder, "--issue")
    assert found["number"]
    again = quoted(visits / "thermopile.toml", shop_folder, "--issue")
    assert again["number"] > found["number"]
    done = run("ledger", "verify", "--shop", shop_folder)
    assert done.status == 0, done.stderr
    assert "2 quotes" in done.stdout


@pytest.mark.parametrize(
    ("name", "old", "new", "said"),
    [
        ("worn_element", "tank_volume_gal = 40", "tank_volume_gal = -40", "tank_volume_gal is -40"),
        ("worn_element", "2015-09-01", "2027-09-01", "lies after the visit on 2026-11-24"),
        ("worn_element", "energy_factor", "enrgy_factor", 'did you mean "energy_factor"'),
        ("worn_element", 'finding = "element_worn"', 'finding = "worn"', "work.finding"),
        ("worn_element", "replace_element", "vent_work", "is not one for"),
        ("worn_element", 'fuel = "natural_gas"', "", 'The key "heater.fuel" is missing'),
        ("worn_element", 'van = "van-1"', 'van = "van-9"', "van-9"),
        ("worn_element", "energy_factor = 0.59", "energy_factor = 0.79", "recovery"),
        ("part_no_longer_made", "SE-20195", "SE-99999", '"SE-99999" is not in the catalog'),
        ("worn_element", "[work]", '[work]\npart_number = "SE-20103"', "does not fit this heater"),
        ("worn_element", "people = 3", "people = 3\ngallons_per_day = nan", "gallons_per_day"),
        ("worn_element", 'family = "a-40', 'family = "z-40', "z-40"),
    ],
)
def test_what_cannot_be_is_refused_in_plain_words(
    name: str,
    old: str,
    new: str,
    said: str,
    visits: Path,
    demo_shop_folder: Path,
    tmp_path: Path,
) -> None:
    path = changed(visits, tmp_path, name, old, new)
    done = run("quote", path, "--shop", demo_shop_folder, "--json")
    assert done.status == 2
    assert said in done.stderr
    assert done.stdout == ""
    assert "Traceback" not in done.stderr
    assert len(done.stderr) < 1500


def test_low_propane_pressure_is_said(visits: Path, demo_shop_folder: Path, tmp_path: Path) -> None:
    path = changed(visits, tmp_path, "old_propane", "in_wc = 11.5", "in_wc = 5")
    found = quoted(path, demo_shop_folder)
    assert any("5" in c["message"] and "propane" in c["message"] for c in found["cautions"])


def test_contradicting_readings_are_said(
    visits: Path, demo_shop_folder: Path, tmp_path: Path
) -> None:
    path = changed(visits, tmp_path, "worn_element", "millivolts_open = 12", "millivolts_open = 27")
    path.write_text(path.read_text().replace("millivolts_loaded = 5", "millivolts_loaded = 14"))
    found = quoted(path, demo_shop_folder)
    assert found["evidence"]["support"] == "contradicted"
    assert any("contradict" in c["code"] for c in found["cautions"])


@pytest.mark.parametrize("hurt", ["missing", "truncated", "not a database"])
def test_a_hurt_catalog_or_ledger_is_said(hurt: str, visits: Path, shop_folder: Path) -> None:
    catalog = next((shop_folder / "catalogs").glob("catalog-*.duckdb"))
    ledger = shop_folder / "ledger.sqlite"
    for path, word in ((catalog, "catalog"), (ledger, "ledger")):
        whole = path.read_bytes()
        if hurt == "missing":
            path.unlink()
        else:
            path.write_bytes(whole[:2000] if hurt == "truncated" else b"not a database " * 500)
        done = run("quote", visits / "worn_element.toml", "--shop", shop_folder)
        assert done.status == 2, word
        assert "Traceback" not in done.stderr
        assert "did not foresee" not in done.stderr
        assert str(path.parent) in done.stderr
        path.write_bytes(whole)


def costs_in(shop: Path, visit: Path) -> Iterator[Decimal]:
    opened = open_shop(shop)
    priced = price_visit(opened, TESTER, visit_from(read_toml(visit), str(visit)))
    opened.close()
    yield from (part.unit_cost for part in priced.supply.parts)
    yield priced.owner.repair_margin.cost
    for margin in priced.owner.replacement_margins.values():
        yield margin.cost


@pytest.mark.parametrize("visit", VISITS, ids=lambda path: path.stem)
def test_no_cost_and_no_margin_in_the_json(visit: Path, demo_shop_folder: Path) -> None:
    text = run("quote", visit, "--shop", demo_shop_folder, "--json").stdout
    for key in ("unit_cost", "gross_margin", "line_costs", "below_floor", "markup"):
        assert key not in text
    shown = {Decimal(str(number)) for number in numbers_in(json.loads(text))}
    leaked = [cost for cost in costs_in(demo_shop_folder, visit) if cost > 0 and cost in shown]
    assert not leaked


def numbers_in(value: object) -> Iterator[float]:
    if isinstance(value, dict):
        for inner in value.values():
            yield from numbers_in(inner)
    elif isinstance(value, list):
        for inner in value:
            yield from numbers_in(inner)
    elif isinstance(value, int | float) and not isinstance(value, bool):
        yield value


def test_the_schema_is_that_of_the_visit_file(visits: Path) -> None:
    schema = json.loads(run("visit-schema").stdout)
    assert set(schema["properties"]) == set(Visit.model_fields)
    assert "open" in json.dumps(schema["$defs"]["Readings"]["properties"]["limit_ohms"])


def test_a_stored_quote_reads_back_as_it_was(visits: Path, shop_folder: Path) -> None:
    opened = open_shop(shop_folder)
    visit = visit_from(read_toml(visits / "hot_surface.toml"), "hot_surface.toml")
    priced = price_visit(opened, TESTER, visit)
    quote = issue_quote(opened, priced, operator("somebody"), NOW)
    assert owner_results(opened, TESTER, quote) == priced.owner
    opened.close()


def test_a_job_under_the_margin_floor_is_not_issued(
    visits: Path, shop_folder: Path, tmp_path: Path
) -> None:
    sheet = (visits.parent / "rates.toml").read_text()
    assert "margin_floor = " in sheet
    lines = [
        "margin_floor = 0.95" if line.startswith("margin_floor") else line
        for line in sheet.splitlines()
    ]
    rates = tmp_path / "rates.toml"
    rates.write_text("\n".join(lines))
    assert run("rates", "publish", rates, "--from", "2026-11-01", "--shop", shop_folder).status == 0
    done = run("quote", visits / "worn_element.toml", "--shop", shop_folder, "--issue", "--json")
    assert done.status == 2
    assert "ask the owner" in done.stderr
    assert "0.95" not in done.stderr
    assert run("ledger", "verify", "--shop", shop_folder).stdout.startswith("0 quotes")


def test_a_quote_is_said_in_spanish_and_si_units(visits: Path, demo_shop_folder: Path) -> None:
    file = visits / "worn_element.toml"
    done = run("quote", file, "--shop", demo_shop_folder, "--lang", "es", "--units", "si")
    assert done.status == 0, done.stderr
    assert "Es probable que reparar le cueste menos." in done.stdout
    assert "151 litros" in done.stdout
    assert "Repairing" not in done.stdout


def test_an_issued_quote_is_written_as_quotation_and_calendar_file(
    visits: Path, shop_folder: Path, tmp_path: Path
) -> None:
    ubl, ics = tmp_path / "quote.xml", tmp_path / "work.ics"
    options = ("--ubl", ubl, "--ics", ics, "--start", "2026-12-01T09:00-06:00", "--issue")
    file = visits / "worn_element.toml"
    done = run("quote", file, "--shop", shop_folder, "--json", *options)
    assert done.status == 0, done.stderr
    number = json.loads(done.stdout)["number"]
    assert f"<cbc:ID>{number}</cbc:ID>" in ubl.read_text(encoding="utf-8")
    assert b"DTSTART:20261201T150000Z" in ics.read_bytes()


@pytest.mark.parametrize(
    ("options", "says"),
    [
        (("--ubl", "x.xml"), "A draft has no number yet in --ubl. Add --issue."),
        (
            ("--ics", "x.ics", "--start", "2026-12-01T09:00", "--issue"),
            '"2026-12-01T09:00" is not a time with its zone in --start. Write it as '
            "2026-12-01T09:00-06:00.",
        ),
        (("--ubl", "x.xml", "--path", "moon", "--issue"), 'Replacement "moon" is not open'),
    ],
)
def test_what_cannot_be_written_is_refused_before_anything_is_issued(
    visits: Path,
    shop_folder: Path,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    options: tuple[str, ...],
    says: str,
) -> None:
    def issued() -> int:
        shop = open_shop(shop_folder)
        try:
            return len(shop.ledger.quotes.listed(1_000))
        finally:
            shop.close()

    before, here = issued(), tmp_path / "here"
    here.mkdir()
    monkeypatch.chdir(here)
    done = run("quote", visits / "worn_element.toml", "--shop", shop_folder, *options)
    assert done.status == 2
    assert says in done.stderr
    assert issued() == before
    assert list(here.iterdir()) == []

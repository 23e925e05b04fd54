"""Server work of one interaction: the page's own script over a whole visit, in both catalogs."""

from __future__ import annotations

import os
import shutil
import time
from collections import defaultdict
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Any

import duckdb
import pytest
from streamlit.testing.v1 import AppTest

from app import session, wiring
from app.people.accounts import DEMO_PASSWORD, DEMO_TECHNICIAN
from app.people.signing_in import sign_in
from app.shop_settings import CATALOGS
from catalog.versions import current_version, point_to, snapshot_path
from tests.app.screens.conftest import MAIN
from tests.app.screens.reading import asked
from tests.bench.dense_catalog import build_dense

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path


pytestmark = pytest.mark.bench

MILLION = 1_000_000
VISITS = 6
VERSION = "dense1shop"
OWN = ("operation", "replacement_heater", "site_item", "incentive")
"""Tables that a shop has of its own; the dense catalog has none of their rows."""
MOST_MS = 100


@pytest.fixture(scope="module")
def dense_shop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A demo shop whose catalog has a million parts and the demo's labor and new heaters."""
    folder = tmp_path_factory.mktemp("page") / "dense"
    wiring.build_demo_shop(folder).close()
    catalogs = folder / CATALOGS
    demo = snapshot_path(catalogs, current_version(catalogs))
    kept = os.environ.get("DENSE_CATALOG")
    dense = build_dense(wiring.Path(kept) if kept else folder.parent / "catalog", MILLION)
    target = snapshot_path(catalogs, VERSION)
    shutil.copy(dense, target)
    with duckdb.connect() as connection:
        connection.execute(f"ATTACH '{target}' AS dense")
        connection.execute(f"ATTACH '{demo}' AS demo (READ_ONLY)")
        for table in OWN:
            connection.execute(f"INSERT INTO dense.{table} SELECT * FROM demo.{table}")
        connection.execute("UPDATE dense.catalog_info SET version = $1", [VERSION])
    point_to(catalogs, VERSION)
    return folder


@pytest.fixture(scope="module")
def demo_shop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("page") / "demo"
    wiring.build_demo_shop(folder).close()
    return folder


def test_an_interaction_takes_at_most_100_ms_of_the_server(
    dense_shop: Path, demo_shop: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    small = visits(demo_shop, "a-40-ng-tc-nd-sealed-2003", monkeypatch)
    large = visits(dense_shop, "heater-2", monkeypatch)
    said = f"{'':<28}{'a million parts':^31}{'demo catalog':>12}{'ratio':>8}"
    print(f"\n{said}\n{'processor ms':<28}{'p50':>8}{'p95':>8}{'p95 wall':>11}{'p50':>12}")
    every = [each for taken in large.values() for each in taken]
    for step, taken in (*large.items(), ("every interaction", every)):
        beside = small.get(step) or [each for one in small.values() for each in one]
        middle, high = percentile(taken, 0.5), percentile(taken, 0.95)
        wall, demo = percentile(taken, 0.95, 1), percentile(beside, 0.5)
        figures = f"{middle:>8.0f}{high:>8.0f}{wall:>11.0f}{demo:>12.0f}{middle / demo:>8.2f}"
        print(f"{step:<28}{figures}")
    assert percentile(every, 0.95) <= MOST_MS


def percentile(taken: list[tuple[float, float]], share: float, which: int = 0) -> float:
    """A percentile of processor times (0) or wall times (1) [ms]."""
    return sorted(each[which] for each in taken)[int(share * (len(taken) - 1))] * 1e3


def visits(
    folder: Path, family: str, monkeypatch: pytest.MonkeyPatch
) -> dict[str, list[tuple[float, float]]]:
    """Work some visits, each to its issued quote, and time every interaction.

    The first visit is not counted: it loads what every later one finds loaded.
    """
    monkeypatch.setenv("HEATER_SHOP", str(folder))
    taken: dict[str, list[tuple[float, float]]] = defaultdict(list)
    for turn in range(VISITS + 1):
        work_visit(folder, family, turn, defaultdict(list) if turn == 0 else taken)
    return taken


def work_visit(
    folder: Path, family: str, turn: int, taken: dict[str, list[tuple[float, float]]]
) -> None:
    shop = wiring.open_shop(folder)
    token = sign_in(shop, DEMO_TECHNICIAN, DEMO_PASSWORD, datetime.now(UTC)).token
    shop.close()
    page = AppTest.from_file(str(MAIN), default_timeout=60)
    page.session_state[session.TOKEN] = token

    def did(step: str, what: Callable[[], Any]) -> None:
        started, worked = time.perf_counter(), time.process_time()
        what()
        spent = time.process_time() - worked, time.perf_counter() - started
        taken[step].append(spent)
        assert not page.exception
        assert [each.value for each in page.error] == []

    did("list of visits", page.run)
    did("start", lambda: page.button(key="start").click().run())
    draft = asked(page, "draft")

    def type_in(step: str, path: str, text: str) -> None:
        did(step, lambda: page.text_input(key=f"{draft}:{path}").set_value(text).run())

    def tap(step: str, path: str, value: Any) -> None:
        def tapped() -> None:
            page.button_group(key=f"{draft}:{path}").set_value(value).run()

        did(step, tapped)

    def go(to: str) -> None:
        did(f"go to {to}", lambda: page.button(key=f"to-{to}").click().run())

    chosen = page.selectbox(key=f"{draft}:family")
    did("heater: family", lambda: chosen.set_value(family).run())
    type_in("heater: a field", "ui.made_year", str(2008 + turn))
    type_in("heater: a field", "household.people", "3")
    type_in("heater: a field", "visit.customer_name", "J. Sample")
    go("finding")
    for path, text in (
        ("readings.inlet_standing_in_wc", "7"),
        ("readings.millivolts_open", "12"),
        ("readings.millivolts_loaded", f"{3 + turn / 10}"),
    ):
        type_in("finding: a reading", path, text)
    tap("finding: a reading", "readings.flame", "good")
    tap("finding: a reading", "readings.joint_tight", True)
    did("finding: named", lambda: page.button(key="name-element_worn").click().run())
    remedy = page.radio(key=f"{draft}:work.remedy")
    did("finding: remedy", lambda: remedy.set_value("replace_element").run())
    go("part")
    type_in("part: a field", "old_part.number", "")
    go("price")
    go("show")
    go("price")
    go("show")
    did("issue", lambda: page.button(key="issue").click().run())
    assert asked(page, "issued")

"""Fixtures that more than one room needs."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

from app.shop import Shop
from app.wiring import build_demo_shop, open_shop

PROJECT = Path(__file__).parents[1]

# A slow machine fails no property. On a desk each run draws other examples and keeps those
# that failed; where CI is set the examples are the same each time, so that a change passes or
# fails for what it is.
settings.register_profile("desk", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.register_profile(
    "ci", settings.get_profile("desk"), derandomize=True, database=None, print_blob=True
)
settings.load_profile("ci" if os.environ.get("CI") else "desk")

# What the commands print is read as text: no colors, and as wide as where nothing is known of
# the terminal. And a shop of the developer's own is left alone.
for name in ("FORCE_COLOR", "PY_COLORS", "GITHUB_ACTIONS", "HEATER_SHOP", "HEATER_DEBUG"):
    os.environ.pop(name, None)
os.environ["COLUMNS"] = "80"


def pytest_make_parametrize_id(val: object, argname: str) -> str | None:
    """Name no test by bytes: an archive may hold the second at which a process packed it.

    Processes that share the tests must all find the same names.
    """
    return argname if isinstance(val, bytes) else None


@pytest.fixture(scope="session")
def demo_shop_folder(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    """A demo shop, built once; copy it to change it."""
    folder = tmp_path_factory.mktemp("demo") / "shop"
    build_demo_shop(folder).close()
    yield folder
    left = open_shop(folder)
    issued = left.ledger.quotes.listed()
    left.close()
    assert not issued, f"a test issued {issued[0].number} into the shop that all tests share"


@pytest.fixture
def shop_folder(demo_shop_folder: Path, tmp_path: Path) -> Path:
    """A demo shop of the test's own."""
    folder = tmp_path / "shop"
    shutil.copytree(demo_shop_folder, folder)
    return folder


@pytest.fixture
def shop(shop_folder: Path) -> Iterator[Shop]:
    """The test's own demo shop, open."""
    opened = open_shop(shop_folder)
    yield opened
    opened.close()


@pytest.fixture
def visits() -> Path:
    """The folder of demo visits."""
    return PROJECT / "demo_data" / "visits"

"""More parts alike than can be judged: which are looked at, and what is said of the rest."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest

from catalog.database import build_catalog
from catalog.fit import FitAnswer, Need, fit_parts
from catalog.snapshots import Catalog
from estimator.supply import PartFamily
from tests.catalog.small_catalog import PLATE, SmallCatalog

SE = PartFamily.SENSING_ELEMENT
ON = date(2026, 2, 2)
KNOWN = {"length_in": 24.0, "connection": "push_in", "tip_style": "flanged"}
Ask = Callable[[int, dict[str, object]], FitAnswer]


@pytest.fixture
def ask(tmp_path: Path) -> Ask:
    """Build a catalog of so many equal elements, the last of them on the van, and ask."""

    def asked(equal: int, features: dict[str, object]) -> FitAnswer:
        shelf = SmallCatalog()
        for n in range(equal):
            shelf.part(SE, f"SE-{1000 + n}", {"length_in": 24, "connection": "push_in",
                                              "tip_style": "flanged"})  # fmt: skip
        shelf.part(SE, "SE-0001", {"length_in": 60, "connection": "spade", "tip_style": "plain"})
        shelf.stock(f"SE-{999 + equal}", "van-1", 1)
        build_catalog(shelf.write(tmp_path / "source"), tmp_path / "catalogs")
        with Catalog.open_current(tmp_path / "catalogs") as catalog:
            need = Need(SE, PLATE, features={**features})  # type: ignore[arg-type]
            return fit_parts(catalog, need, "van-1", ON)

    return asked


def test_all_equal_parts_are_judged_where_they_are_few(ask: Ask) -> None:
    answer = ask(59, {**KNOWN, "cut_off_built_in": False})
    assert len(answer.fitting) == 59
    assert answer.more == ""


def test_the_one_on_the_van_is_among_those_judged_whatever_its_number(ask: Ask) -> None:
    answer = ask(85, {**KNOWN, "cut_off_built_in": False})
    assert len(answer.fitting) == 60
    assert answer.fitting[0].part.number == "SE-1084"
    assert answer.fitting[0].stock.van == 1
    assert answer.more == (
        "25 more parts are as near by all that is known; those in stock are looked at first."
    )


def test_what_is_not_known_is_asked_for_to_narrow_it_down(ask: Ask) -> None:
    answer = ask(61, {"length_in": 24.0})
    assert answer.more == (
        "1 more part is as near by all that is known: give the built-in thermal cut-off or the "
        "connection at the control to tell them apart."
    )


def test_more_than_can_be_counted_are_said_as_at_least(ask: Ask) -> None:
    assert ask(300, {**KNOWN}).more.startswith("At least 100 more parts are as near")

"""More parts alike than can be judged: which are looked at, and what is said of the rest."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest

from catalog.database import build_catalog
from catalog.fit import FitAnswer, fit_parts
from catalog.needs import Need
from catalog.offers import counted_at, stocks
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


def test_which_equal_parts_are_judged_is_by_free_pieces_the_van_before_the_branch(
    tmp_path: Path,
) -> None:
    shelf = SmallCatalog()
    for n in range(90):
        shelf.part(SE, f"SE-{1000 + n}", {"length_in": 24, "connection": "push_in",
                                          "tip_style": "flanged"})  # fmt: skip
    shelf.part(SE, "SE-0001", {"length_in": 60, "connection": "spade", "tip_style": "plain"})
    for n in range(60, 89):  # enough on another van to crowd out what is at hand
        shelf.stock(f"SE-{1000 + n}", "van-2", 1)
    shelf.stock("SE-1089", "van-1", 1)
    shelf.stock("SE-1088", "branch-1", 1)
    shelf.stock("SE-1088", "branch-2", 2)
    shelf.stock("SE-1087", "van-1", 1)
    build_catalog(shelf.write(tmp_path / "source"), tmp_path / "catalogs")
    need = Need(SE, PLATE, features={**KNOWN, "cut_off_built_in": False})
    on_van, at_branch = ("SE-1087", "van-1"), ("SE-1088", "branch-1")

    def judged(catalog: Catalog) -> list[str]:
        return [fit.part.number for fit in fit_parts(catalog, need, "van-1", ON).fitting]

    with Catalog.open_current(tmp_path / "catalogs") as catalog:
        assert judged(catalog)[:4] == ["SE-1087", "SE-1089", "SE-1088", "SE-1000"]
        taken = catalog.less({on_van: 1, at_branch: 1})
        assert judged(taken)[:3] == ["SE-1089", "SE-1088", "SE-1000"]
        assert "SE-1087" not in judged(taken)  # sixty others are as near and no farther away
        assert stocks(taken, ["SE-1088"], "van-1", {})["SE-1088"].branch == 2
        # More held at one branch than is counted there takes nothing from the other.
        every = catalog.less({on_van: 1, at_branch: 5, ("SE-1088", "branch-2"): 2})
        assert stocks(every, ["SE-1088"], "van-1", {})["SE-1088"].branch == 0
        assert judged(every)[:2] == ["SE-1089", "SE-1000"]
        assert "SE-1088" not in judged(every)
        assert judged(catalog)[:3] == ["SE-1087", "SE-1089", "SE-1088"]
        assert counted_at(every, ["SE-1088", "SE-1087", "SE-1000"], "van-1") == {
            "SE-1088": (("branch-1", 1), ("branch-2", 2)),
            "SE-1087": (("van-1", 1),),
        }


def test_what_is_not_known_is_asked_for_to_narrow_it_down(ask: Ask) -> None:
    answer = ask(61, {"length_in": 24.0})
    assert answer.more == (
        "1 more part is as near by all that is known: give the built-in thermal cut-off or the "
        "connection at the control to tell them apart."
    )


def test_more_than_can_be_counted_are_said_as_at_least(ask: Ask) -> None:
    assert ask(300, {**KNOWN}).more.startswith("At least 100 more parts are as near")

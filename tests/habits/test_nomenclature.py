"""The NOMENCLATURE tables in DEVELOPERS.md are the law for names of numbers and units."""

from __future__ import annotations

import importlib
import inspect
import pkgutil
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from pydantic import BaseModel

import estimator

DEVELOPERS = Path(__file__).parents[2] / "DEVELOPERS.md"
NUMERIC = re.compile(r"\b(float|int|Decimal|Floats|ArrayLike|Dollars|Share|Hours|Quantity)\b")


def table(heading: str) -> set[str]:
    text = DEVELOPERS.read_text()
    section = text.split(f"\n### {heading}\n", 1)[1].split("\n### ", 1)[0].split("\n## ", 1)[0]
    return set(re.findall(r"^\| `([a-z0-9_]+)` ", section, flags=re.MULTILINE))


def numeric_names() -> Iterator[tuple[str, str]]:
    """Yield every number that a public name of the estimator takes or holds, and where."""
    for info in pkgutil.iter_modules(estimator.__path__):
        module = importlib.import_module(f"estimator.{info.name}")
        for name, thing in vars(module).items():
            if name.startswith("_") or getattr(thing, "__module__", None) != module.__name__:
                continue
            where = f"{module.__name__}.{name}"
            if inspect.isclass(thing) and issubclass(thing, BaseModel):
                for field, info_of in thing.model_fields.items():
                    if NUMERIC.search(str(info_of.annotation)):
                        yield field, where
            elif inspect.isfunction(thing):
                for parameter in inspect.signature(thing).parameters.values():
                    if NUMERIC.search(str(parameter.annotation)):
                        yield parameter.name, where


def known(name: str, names: set[str], endings: set[str]) -> bool:
    return name in names or any(ends_in(name, ending) for ending in endings)


def ends_in(name: str, ending: str) -> bool:
    return f"_{name}".endswith(f"_{ending}")


def test_every_number_has_a_name_or_a_unit_from_the_tables() -> None:
    names, endings = table("Names"), table("Unit endings")
    strangers = sorted(
        {f"{name} ({where})" for name, where in numeric_names() if not known(name, names, endings)}
    )
    assert not strangers, "not in the NOMENCLATURE tables: " + ", ".join(strangers)


def test_every_name_in_the_table_is_used() -> None:
    used = {name for name, _ in numeric_names()}
    assert table("Names") <= used, f"nobody uses {sorted(table('Names') - used)}"


def test_every_unit_ending_is_used() -> None:
    used = {name for name, _ in numeric_names()}
    idle = [e for e in table("Unit endings") if not any(ends_in(n, e) for n in used)]
    assert not idle, f"nobody uses the endings {idle}"


@pytest.mark.parametrize("stranger", ["tank_size", "temp", "btu"])
def test_a_name_outside_the_tables_would_be_found(stranger: str) -> None:
    assert not known(stranger, table("Names"), table("Unit endings"))

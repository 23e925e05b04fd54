"""Every function of the app that works on a shop asks who acts, or says here why it does not."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

APP = Path(__file__).parents[2] / "app"
ROOMS = ("", "desk", "fleet", "people")
NOBODY_YET = "nobody is signed in yet"
ASKS_NOBODY = {
    "visiting.heater_families": "names and plates of the catalog, the same for everybody",
    "customer_links.open_link": "the link itself says who asks; it is checked in here",
    "people/accounts.needs_first_owner": NOBODY_YET,
    "people/accounts.create_first_owner": NOBODY_YET,
    "people/accounts.create_demo_people": "sets the invented shop up, where there is nobody",
    "people/accounts.demo_people": "the page says who has a published password",
    "people/signing_in.sign_in": NOBODY_YET,
    "people/signing_in.checked_person": NOBODY_YET,
    "people/signing_in.sign_in_by_provider": NOBODY_YET,
    "people/signing_in.who": "says who asks",
    "people/signing_in.sign_out": "whoever holds the token ends its session",
    "desk/book_table.book_table": "the columns beneath the books, which ask before they read it",
    "desk/what_if.stored_jobs": "the jobs beneath what-if, which asks before it reads them",
    "people/guard.require": "the question itself",
    "price_uploads.upload_path": "says where a list lies; what reads the list asks",
    "reserving.free_catalog": "the stock beneath a price, whose use case asks first",
    "reserving.wishes_of": "takes what was priced already, for who may price it",
    "reserving.reserves_by_default": "a setting of the shop, no data of it",
}


def _on_a_shop() -> Iterator[tuple[str, ast.FunctionDef]]:
    for room in ROOMS:
        for path in sorted((APP / room).glob("*.py")):
            name = f"{room}/{path.stem}" if room else path.stem
            if name in ("session", "wiring", "main", "serve"):
                continue
            for node in ast.parse(path.read_text(encoding="utf-8")).body:
                if not isinstance(node, ast.FunctionDef) or node.name.startswith("_"):
                    continue
                if "Shop" in _kinds(node):
                    yield f"{name}.{node.name}", node


def _kinds(node: ast.FunctionDef) -> list[str]:
    given = [*node.args.posonlyargs, *node.args.args, *node.args.kwonlyargs]
    return [ast.unparse(each.annotation) for each in given if each.annotation]


def _asks(node: ast.FunctionDef) -> bool:
    """Whether it takes an actor and hands him to whatever asks: the guard or another use case."""
    if "Actor" not in _kinds(node):
        return False
    calls = [call for call in ast.walk(node) if isinstance(call, ast.Call)]
    handed = [arg for call in calls for arg in [*call.args, *(it.value for it in call.keywords)]]
    return any(isinstance(arg, ast.Name) and arg.id == "actor" for arg in handed)


def test_every_use_case_takes_who_acts_and_asks() -> None:
    found = dict(_on_a_shop())
    assert len(found) > 40
    silent = [name for name, node in found.items() if not _asks(node) and name not in ASKS_NOBODY]
    assert silent == []


def test_no_reason_outlives_its_function() -> None:
    found = dict(_on_a_shop())
    assert [name for name in ASKS_NOBODY if name not in found] == []


def test_every_use_case_is_tried_by_every_role() -> None:
    matrix = (APP.parent / "tests/app/people/test_role_matrix.py").read_text(encoding="utf-8")
    asked = [name.rsplit("/", 1)[-1] for name in dict(_on_a_shop()) if name not in ASKS_NOBODY]
    assert [name for name in asked if not re.search(rf"\b{re.escape(name)}\b", matrix)] == []

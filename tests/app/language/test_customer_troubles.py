"""Every refusal that a customer can meet on his own page is said in his language."""

from __future__ import annotations

import ast
from datetime import timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

import app
from app import answering, customer_links, customer_page, session
from app.files import read_toml
from app.language import speech as speeches
from app.language.customer_troubles import not_now, said_to_customer
from app.language.speech import Speech
from app.language.trouble_sentences import TROUBLE_SENTENCES
from app.people.guard import customer
from app.quoting import issue_quote
from app.visiting import price_visit, visit_from
from estimator.errors import LedgerTrouble, Trouble
from tests.acting import TESTER
from tests.app.ledger.support import NOW

if TYPE_CHECKING:
    from collections.abc import Callable

    from app.ledger.records import IssuedQuote
    from app.shop import Shop

APP = Path(app.__file__).parent

# Where the troubles of a customer's page are raised.
RAISED_IN = (
    "answering.py",
    "customer_links.py",
    "customer_page.py",
    "views/customer_acceptance.py",
    "ledger/answers.py",
)
NOT_FOR_CUSTOMERS = {
    "Declining is no path to accept": "no choice on the page gives it",
    "An acceptance needs a choice and a typed name": "the ledger keeps none without",
    "The text agreed to is not the one that was signed": "damage, which the shop must mend",
}


def refusal_of(act: Callable[[], Any]) -> Trouble:
    with pytest.raises(Trouble) as refused:
        act()
    return refused.value


def made(shop: Shop, visits: Path, **how: Any) -> IssuedQuote:
    values = read_toml(visits / "worn_element.toml")
    priced = price_visit(shop, TESTER, visit_from(values, "a test"))
    return issue_quote(shop, priced, TESTER, NOW, **how)


@pytest.fixture
def met(shop: Shop, visits: Path) -> list[Trouble]:
    """Each trouble, provoked as a customer's page would."""
    quote = made(shop, visits)
    who = customer(quote.number)
    late = NOW + timedelta(days=400)

    def answer(choice: str = "repair", name: str = "A", text: str = "text", at: Any = NOW) -> Any:
        return customer_page.answer(shop, who, quote, choice, name, text, at)

    view = customer_page.customers_view(shop, who, quote, late.date())
    found = [
        refusal_of(lambda: customer_links.open_link(shop, "x", NOW)),
        refusal_of(lambda: answer(name=" ")),
        refusal_of(lambda: answer("neither", name="")),
        refusal_of(lambda: answer(text=" ")),
        refusal_of(lambda: answer(name="A" * 201)),
        refusal_of(lambda: answer(name="A\x00")),
        refusal_of(lambda: answer(name="A\ud800")),
        refusal_of(lambda: answer("no such path")),
        refusal_of(lambda: answer(at=late)),
        refusal_of(lambda: customer_page.agreed_text(view, "repair")),
        session._not_signed_in(),
    ]
    answer()
    found.append(refusal_of(lambda: answer("neither")))
    declined = made(shop, visits)
    its = customer(declined.number)
    customer_page.answer(shop, its, declined, "neither", "A", "text", NOW)
    found.append(
        refusal_of(lambda: customer_page.answer(shop, its, declined, "repair", "A", "text", NOW))
    )
    old = made(shop, visits)
    made(shop, visits, revises=old.number)
    its_own = customer(old.number)
    found.append(
        refusal_of(lambda: answering.accept(shop, its_own, old, "repair", "A", "text", NOW))
    )
    return found


def test_each_is_said_in_spanish_and_in_english(met: list[Trouble]) -> None:
    for trouble in met:
        spanish, english = (said_to_customer(trouble, each) for each in ("es", "en"))
        assert spanish is not None, str(trouble)
        assert english is not None, str(trouble)
        assert spanish != english
    told = [said_to_customer(trouble, "es") or "" for trouble in met]
    assert told[0] == "Este enlace no abre nada. Pida uno nuevo a la empresa."
    assert told[1] == told[2] == "Falta el nombre. Escriba su nombre para firmar."
    assert any("ya fue aceptada el 4 de mayo de 2026" in text for text in told)
    assert any("ya fue rechazada el 4 de mayo de 2026" in text for text in told)
    assert any("no ofrece no such path. Elija una de sus opciones." in text for text in told)
    assert any("la revisión 1 ya no vale. Abra la última revisión." in text for text in told)
    english = [said_to_customer(trouble, "en") or "" for trouble in met]
    assert any("accepted already on May 4, 2026." in text for text in english)


def test_every_sentence_is_one_that_is_met(
    met: list[Trouble], monkeypatch: pytest.MonkeyPatch
) -> None:
    used: set[str] = set()
    look_up = speeches._said

    def noted(speech: Speech, open_ended: str) -> str:
        used.add(speeches._msgids()[open_ended])
        return look_up(speech, open_ended)

    monkeypatch.setattr(speeches, "_said", noted)
    speeches._find.cache_clear()
    for trouble in met:
        said_to_customer(trouble, "es")
    assert sorted(set(TROUBLE_SENTENCES) - used) == []


def troubles_in(path: Path) -> list[tuple[str, list[str]]]:
    """Return what each trouble of a module says and how to mend it, as literal beginnings."""
    found = []
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        name = getattr(getattr(node, "func", None), "id", "")
        if isinstance(node, ast.Call) and (name.endswith("Trouble") or name == "QuoteNotFound"):
            texts = [_beginning(each) for each in node.args]
            if texts and texts[0]:
                found.append((texts[0], [text for text in texts[1:] if text]))
    return found


def _beginning(node: ast.expr) -> str:
    if isinstance(node, ast.Constant):
        return str(node.value)
    if isinstance(node, ast.JoinedStr):
        words = [each.value for each in node.values if isinstance(each, ast.Constant)]
        return str(words[0]) if words else ""
    return ""


def test_no_trouble_is_raised_there_that_has_no_words_for_a_customer() -> None:
    told = [trouble for path in RAISED_IN for trouble in troubles_in(APP / path)]
    assert len(told) >= 12
    begun = [template.partition("{")[0].rstrip(".") for template in TROUBLE_SENTENCES]
    without = [
        what
        for what, _ in told
        if not any(what.startswith(start) or start.startswith(what) for start in begun if start)
        and what not in NOT_FOR_CUSTOMERS
    ]
    assert without == []
    assert set(NOT_FOR_CUSTOMERS) <= {what for what, _ in told}


def test_what_is_not_a_customers_to_know_is_not_told() -> None:
    for problem in (
        LedgerTrouble("The disk is full", "/srv/shop/ledger.sqlite", "Make room."),
        RuntimeError("x"),
    ):
        assert said_to_customer(problem, "es") is None
        assert said_to_customer(problem, "en") is None
    assert not_now("0a1b", "es").endswith("dé a la empresa esta referencia: 0a1b.")

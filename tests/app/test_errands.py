"""Work beside the page: done once by name, waited for briefly, forgotten in the end."""

from __future__ import annotations

from threading import Event

import pytest

from app.errands import KEPT, Errands, wait
from estimator.errors import InputTrouble


def test_an_errand_of_one_name_is_done_once_and_waited_for_without_standing_still() -> None:
    errands, go, done = Errands(), Event(), []

    def work() -> str:
        go.wait(60)
        done.append(1)
        return "seen"

    first = errands.send("list", work)
    assert errands.send("list", work) is first
    assert errands.sent("list") is first
    assert not wait(first, 0)  # it stands at the event: the page goes on
    go.set()
    assert wait(first, 60)
    assert first.result() == "seen"
    assert done == [1]
    errands.forget("list")
    assert errands.sent("list") is None
    assert errands.send("list", lambda: "anew").result(60) == "anew"


def test_trouble_in_an_errand_is_kept_for_who_asks() -> None:
    def work() -> None:
        raise InputTrouble("The file is empty", "prices.csv", "Choose another.")

    errand = Errands().send("bad", work)
    assert wait(errand, 60)
    with pytest.raises(InputTrouble, match="The file is empty"):
        errand.result()


def test_only_the_last_results_are_kept() -> None:
    errands = Errands()
    for name in range(KEPT + 5):
        errands.send(name, lambda: None).result(60)
    errands.send("last", lambda: None).result(60)
    assert errands.sent(0) is None
    assert errands.sent(KEPT + 4) is not None

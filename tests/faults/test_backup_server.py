"""A ledger on a database server: backed up into a file, restored into an empty database."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from app import keeping
from app.ledger.ledger import Ledger
from app.people.guard import operator
from app.shop_settings import ledger_url as url_of
from app.wiring import open_shop
from estimator.errors import InputTrouble, LedgerTrouble
from tests.app.ledger.support import BACKENDS, NOW, fresh_url, published, quote_to_issue, replay

WHO = operator("O. Sample")


@pytest.fixture(params=BACKENDS)
def ledger_url(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[str]:
    with fresh_url(request.param, tmp_path) as url:
        yield url


@pytest.fixture(params=BACKENDS)
def empty_url(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[str]:
    (tmp_path / "empty").mkdir()
    with fresh_url(request.param, tmp_path / "empty") as url:
        yield url


def shop_in(folder: Path, url: str) -> Path:
    folder.mkdir()
    (folder / "shop.toml").write_text(f'ledger_url = "{url}"\n')
    return folder


def test_a_shop_by_address_is_backed_up_and_restored_into_an_empty_database(
    ledger_url, empty_url, tmp_path
):
    with Ledger.open(ledger_url) as ledger:
        published(ledger)
        for _ in range(3):
            ledger.quotes.issue(quote_to_issue())
        ledger.photos.attach("draft", "plate", b"\x00\xff bytes", (2, 1), "T", NOW)
        ledger.answers.keep("2026-000002", 1, "declined", "A", "", "T", "door", NOW)
    shop = open_shop(shop_in(tmp_path / "one", ledger_url))
    archive = tmp_path / "backup.zip"
    keeping.back_up(shop, WHO, archive, NOW)
    kept = shop.ledger.quotes.listed()
    shop.close()
    other = shop_in(tmp_path / "two", empty_url)
    keeping.restore(other, WHO, archive, NOW)
    back = open_shop(other)
    assert url_of(other) == empty_url
    assert back.ledger.quotes.listed() == kept
    assert back.ledger.verify(replay).problems == ()
    assert back.ledger.answers.of("2026-000002", 1).choice == "declined"
    assert back.ledger.quotes.issue(quote_to_issue()).number == "2026-000004"
    back.close()
    with pytest.raises(LedgerTrouble, match="There is something in "):
        keeping.restore(other, WHO, archive, NOW, replace=True)


def test_settings_with_a_misspelt_key_are_refused_by_name(tmp_path):
    folder = tmp_path / "shop"
    folder.mkdir()
    (folder / "shop.toml").write_text('ledger_ulr = "postgresql://shop@127.0.0.1/shop"\n')
    with pytest.raises(InputTrouble, match="ledger_ulr") as refused:
        open_shop(folder)
    assert "ledger_url" in str(refused.value)

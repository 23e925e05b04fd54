from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from app.ledger.ledger import Ledger
from tests.app.ledger.support import BACKENDS, fresh_url


@pytest.fixture(params=BACKENDS)
def ledger_url(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[str]:
    with fresh_url(request.param, tmp_path) as url:
        yield url


@pytest.fixture
def ledger(ledger_url: str) -> Iterator[Ledger]:
    with Ledger.open(ledger_url) as opened:
        yield opened

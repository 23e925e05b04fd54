from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from app.shop import Shop
from tests.app.people.support import bare_shop


@pytest.fixture
def bare(tmp_path: Path) -> Iterator[Shop]:
    opened = bare_shop(tmp_path)
    yield opened
    opened.close()

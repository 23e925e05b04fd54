"""Which names of a shop's catalog stay English in a Spanish quote."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from app.own_words import words_left_english
from catalog.database import build_catalog
from catalog.snapshots import Catalog
from estimator.rates import QuoteTerms
from estimator.supply import PartFamily
from tests.catalog.small_catalog import SmallCatalog


@pytest.fixture(scope="module")
def catalog(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Catalog]:
    shelf = SmallCatalog()
    shelf.part(PartFamily.SENSING_ELEMENT, "SE-1")
    folder = tmp_path_factory.mktemp("own-words")
    build_catalog(shelf.write(folder / "source"), folder / "catalogs")
    with Catalog.open_current(folder / "catalogs") as opened:
        yield opened


def test_what_the_owner_wrote_is_no_longer_english(catalog: Catalog) -> None:
    before = words_left_english(catalog, QuoteTerms(), "es")
    assert "Invented sensing_element" in before
    assert list(before) == sorted(before)
    terms = QuoteTerms(words_es="Invented sensing_element = Sensor inventado")
    after = words_left_english(catalog, terms, "es")
    assert set(before) - set(after) == {"Invented sensing_element"}

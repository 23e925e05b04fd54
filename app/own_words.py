"""The words of a shop's own catalog that a customer who reads Spanish would meet in English."""

from __future__ import annotations

from typing import TYPE_CHECKING

from catalog.customer_names import customer_names

if TYPE_CHECKING:
    from catalog.snapshots import Catalog
    from estimator.rates import QuoteTerms


def words_left_english(catalog: Catalog, terms: QuoteTerms, language: str) -> tuple[str, ...]:
    """Return the names of a catalog that have no words in a language.

    Parameters
    ----------
    catalog
        The open catalog; its first two thousand names are looked at.
    terms
        The rate sheet's terms, with the shop's own words.
    language
        ``es``, or any other that quotes are written in.

    Returns
    -------
    The names as the catalog writes them, by the alphabet.
    """
    from app.language.speech import Speech  # noqa: PLC0415 - slow, and not always wanted

    speech = Speech(language, own=terms.own_words(language))
    return tuple(name for name in customer_names(catalog) if speech.find(name) is None)

"""Gettext catalogs, read from their .po files: no compiled file has to be kept in step."""

from __future__ import annotations

import gettext
from functools import cache
from io import BytesIO
from pathlib import Path

from app.formatting_numbers import LOCALES

HERE = Path(__file__).parent
DOMAIN = "quote"
LANGUAGES = tuple(LOCALES)
NAMES = {"en": "English", "es": "Español"}
"""Language → its own name for itself, for a switch on a page."""


def po_file(language: str) -> Path:
    """Return where the catalog of a language is.

    Parameters
    ----------
    language
        One of `LANGUAGES`.

    Returns
    -------
    The path of its .po file. That of English holds only sentences of the estimator that
    are said to a customer in plainer words.
    """
    return HERE / language / "LC_MESSAGES" / f"{DOMAIN}.po"


@cache
def catalog_of(language: str) -> gettext.NullTranslations:
    """Read a language's catalog, once a process.

    Parameters
    ----------
    language
        One of `LANGUAGES`.

    Returns
    -------
    The catalog; a text that it does not hold comes back as it is.

    Raises
    ------
    ValueError
        If the language is not known.
    """
    if language not in LANGUAGES:
        raise ValueError(f"Language {language!r} is not one of {', '.join(LANGUAGES)}")
    from babel.messages.mofile import write_mo  # noqa: PLC0415 - slow to import
    from babel.messages.pofile import read_po  # noqa: PLC0415

    compiled = BytesIO()
    with po_file(language).open("rb") as file:
        write_mo(compiled, read_po(file, locale=LOCALES[language]))
    compiled.seek(0)
    return gettext.GNUTranslations(compiled)

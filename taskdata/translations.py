"""The texts of pages in other languages: one gettext catalogue, in ``taskdata/locale``."""

from __future__ import annotations

import gettext
from functools import cache
from importlib.resources import files

LANGUAGES = ("en", "de")
"""What a page can be written in; the first is the language of the program itself."""


def N_(text: str) -> str:  # noqa: N802 - the name by which tools for catalogues know a text that is translated later
    """Return a text as it is; it is taken into the catalogue."""
    return text


def translated(text: str, language: str) -> str:
    """Return a text in a language, as it is where the catalogue does not have it."""
    return text if language == LANGUAGES[0] or not text else _catalogue(language).gettext(text)


@cache
def _catalogue(language: str) -> gettext.NullTranslations:
    packed = files("taskdata").joinpath("locale", language, "LC_MESSAGES", "taskdata.mo")
    with packed.open("rb") as file:
        return gettext.GNUTranslations(file)

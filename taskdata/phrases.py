"""Texts of the program that remember what they were made of, so that they can be said in another language."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from string import Formatter
from typing import Any

_POINT_TO_COMMA = str.maketrans(",.", ".,")


class Phrase(str):
    """A text in English, with the pattern and the facts that it was made of.

    Attributes
    ----------
    pattern : str
        The text with ``{fact}`` placeholders; the text itself where there are no facts.
    facts : mapping of str to object
        What stands in their places; phrases among them are said in the other language too.
    """

    __slots__ = ("facts", "pattern")

    pattern: str
    facts: Mapping[str, object]

    def __new__(cls, pattern: str, facts: Mapping[str, object]) -> Phrase:
        """Return the text of a pattern with facts in it."""
        made = str.__new__(cls, _in_english(pattern, facts) if facts else pattern)
        made.pattern, made.facts = pattern, facts
        return made

    def __reduce__(self) -> tuple[type[Phrase], tuple[str, dict[str, object]]]:
        return Phrase, (self.pattern, dict(self.facts))


def phrase(pattern: str, /, **facts: object) -> Phrase:
    """Return a text of the program; ``facts`` stand in the places of the pattern, several in one with commas."""
    return Phrase(pattern, facts)


def in_language(text: str, translate: Callable[[str], str], *, comma: bool) -> str:
    """Return a text in another language; what is no phrase is data, and stays.

    Parameters
    ----------
    text : str
    translate : callable
        Returns a pattern in the other language.
    comma : bool
        Whether a comma stands before decimals there.
    """
    if not isinstance(text, Phrase):
        return text
    pattern = translate(text.pattern)
    return _Spoken(translate, comma=comma).vformat(pattern, (), text.facts) if text.facts else pattern


def _in_english(pattern: str, facts: Mapping[str, object]) -> str:
    for fact in facts.values():
        if fact.__class__ is list or fact.__class__ is tuple:
            return _English().vformat(pattern, (), facts)
    return pattern.format_map(facts)  # many times faster, and most phrases are never said in another language


class _English(Formatter):
    """Puts facts into a pattern."""

    def format_field(self, value: Any, format_spec: str) -> str:
        if isinstance(value, tuple | list):
            return ", ".join(self.format_field(item, format_spec) for item in value)
        return format(value, format_spec)


class _Spoken(_English):
    """Puts facts into a pattern of another language."""

    def __init__(self, translate: Callable[[str], str], *, comma: bool) -> None:
        self._translate, self._comma = translate, comma

    def format_field(self, value: Any, format_spec: str) -> str:
        if isinstance(value, Phrase):
            return in_language(value, self._translate, comma=self._comma)
        text = super().format_field(value, format_spec)
        return text.translate(_POINT_TO_COMMA) if self._comma and isinstance(value, float) else text

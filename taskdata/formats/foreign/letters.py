"""Texts of other programs in their letters: those of UTF-8 that was written as UTF-8 again."""

from __future__ import annotations

from dataclasses import replace
from functools import partial

from taskdata.findings import Finding, Place
from taskdata.formats.base import RawTable
from taskdata.formats.layers.of_dataset import is_own
from taskdata.formats.letters import UTF_8, is_words, non_ascii, respelt
from taskdata.formats.placing.placed_layers import PlacedLayers
from taskdata.raised_rules.import_.letters_guessed import RULE as LETTERS_GUESSED

_TWICE = ("cp1252", "latin-1")
"""Encodings that bytes of UTF-8 were taken for when they were written as UTF-8 again (common practice)."""


def with_letters(source: PlacedLayers) -> PlacedLayers:
    """Return layers with the texts of other programs in their letters; what was guessed is told."""
    findings: list[Finding] = []
    tables = {name: raw if is_own(raw) else _spelt(raw, findings) for name, raw in source.tables.items()}
    return replace(source, tables=tables, findings=[*source.findings, *findings])


def _spelt(raw: RawTable, findings: list[Finding]) -> RawTable:
    texts = list(non_ascii(raw.table)) if raw.encoding in (None, UTF_8) else []
    for once in _TWICE if texts else ():
        found = [_once(text, once) for text in texts]
        if all(text is not None and is_words(text) for text in found):
            table = respelt(raw.table, partial(_once, taken_for=once))
            if table is not None:
                place, guess = Place(file=raw.file), "UTF-8 that was written twice"
                findings.append(LETTERS_GUESSED.at(place, layer=raw.label, guess=guess))
                return replace(raw, table=table)
    return raw


def _once(text: str, taken_for: str) -> str | None:
    """Return a text that was written twice as it was before, None for any other, such as one that ends in a ß."""
    try:
        return text.encode(taken_for).decode(UTF_8)
    except UnicodeError:
        return None

"""Columns with words that say what each row is: those of our own layers, and general ones in several languages."""

from __future__ import annotations

from collections.abc import Sequence

import pyarrow as pa

from taskdata.dataclass import dataclass
from taskdata.formats.foreign import words
from taskdata.formats.foreign.roles import column_values
from taskdata.formats.foreign.roles.judgement import Shape
from taskdata.formats.foreign.roles.layer_words import area_kind, line_kind, point_kind
from taskdata.model.fields import GuidanceKind
from taskdata.model.shapes import AreaKind
from taskdata.results.survey import ItemKind

_GUIDANCE = frozenset(kind.value for kind in GuidanceKind) | {"guidance"}


@dataclass(frozen=True, slots=True)
class KindColumn:
    """A column of kinds: its name, and the word of each row, None where it has none."""

    name: str
    words: Sequence[str | None]

    def kind(self, shape: Shape) -> ItemKind | None:
        """Return what rows of a shape are by their words; None where they say different things, or nothing of it."""
        said = {meant(word, shape) for word in self.words if word is not None}
        return said.pop() if len(said) == 1 else None


def kind_column(table: pa.Table) -> KindColumn | None:
    """Return the column whose every text is a word for a kind of area, line, point or guidance line."""
    for name in table.column_names:
        if not column_values.is_text(table[name].type) or "category" not in words.meanings(name):
            continue
        texts = column_values.texts(table[name])
        told = {text for text in texts if text is not None}
        if told and all(_is_known(text) for text in told):
            return KindColumn(name, texts)
    return None


def _is_known(word: str) -> bool:
    return word.strip().lower() in _GUIDANCE or any(meant(word, shape) is not None for shape in Shape)


def meant(word: str | None, shape: Shape) -> ItemKind | None:
    """Return what a word says that a row of a shape is; None for no word, and one that says nothing of that shape."""
    if word is None:
        return None
    if shape is Shape.POINT:
        return None if point_kind(word) is None else ItemKind.POINT
    if shape is Shape.LINE:
        guidance = word.strip().lower() in _GUIDANCE
        return ItemKind.GUIDANCE if guidance else None if line_kind(word) is None else ItemKind.LINE
    found = area_kind(word)
    return None if found is None else ItemKind.FIELD if found is AreaKind.BOUNDARY else ItemKind.AREA

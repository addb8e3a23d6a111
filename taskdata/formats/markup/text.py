"""Texts as XML 1.0 holds them."""

from __future__ import annotations

import re
from collections.abc import Iterator
from xml.sax import saxutils

import numpy as np
import pyarrow as pa
import pyarrow.compute as pc

from taskdata.formats.columns import Layer
from taskdata.ledger import Loss, LossKind
from taskdata.phrases import phrase

HEAD = '<?xml version="1.0" encoding="UTF-8"?>\n'
_FORBIDDEN = r"[\x00-\x08\x0b\x0c\x0e-\x1f\x{fffe}\x{ffff}]"
_WITHOUT = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ufffe\uffff]")


def escaped(text: str) -> str:
    """Return a text for an element or an attribute; characters that XML has no way to hold are not in it."""
    return saxutils.escape(_WITHOUT.sub("", text), {'"': "&quot;", "\r": "&#13;", "\n": "&#10;", "\t": "&#9;"})


def element(tag: str, text: str | None) -> str:
    """Return an element with a text, nothing where there is none."""
    return "" if text is None else f"<{tag}>{escaped(text)}</{tag}>"


def decimal(value: float) -> str:
    """Return a number with every digit and without an exponent, as the type xs:decimal asks."""
    return np.format_float_positional(value, trim="0")


def unheld(layer: Layer) -> Iterator[Loss]:
    """Yield a loss for each column with characters that XML cannot hold."""
    for name in layer.attributes.column_names:
        column = layer.table[name]
        if pa.types.is_string(column.type):
            count = int(pc.sum(pc.match_substring_regex(column, _FORBIDDEN)).as_py() or 0)
            if count:
                what = phrase(
                    "control characters in {count} texts of column {name} of layer {name_2}",
                    count=count,
                    name=name,
                    name_2=layer.name,
                )
                yield Loss(LossKind.CHANGED, None, what, phrase("XML has no way to write them"))

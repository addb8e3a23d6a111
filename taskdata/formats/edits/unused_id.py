"""Identifiers for what rows of layers make anew."""

from __future__ import annotations

from collections.abc import Container
from itertools import count

from taskdata.formats.layers.wording import id_prefix


def unused_id(tag: str, used: Container[str]) -> str:
    """Return the first identifier of a kind of element that is not in use."""
    return next(name for number in count(1) if (name := f"{id_prefix(tag)}{number}") not in used)

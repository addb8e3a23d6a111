"""Options of the command line in messages, named as the fields of the page are."""

from __future__ import annotations

import re
from collections.abc import Callable

from taskdata.arguments import as_option

_FIELDS = {
    "accept-guess": "Use the most likely system",
    "accept-rates": "Accept rates that are out of the usual",
    "as": "Stored as",
    "cell": "Side of a cell, m",
    "classes": "Classes",
    "column": "Column",
    "crs": "Coordinate system",
    "derive-fields": "Make outlines of fields from swaths and logs",
    "field": "Field",
    "headland": "Headland passes",
    "line": "Guidance line",
    "offset-back": "Antenna back to the implement, or to the hitch, m",
    "offset-right": "Antenna to the implement's centre, to the right, m",
    "overlap": "Overlap, m",
    "overwrite": "Replace what this program wrote there",
    "product": "Product",
    "rescue": "Read a damaged file up to the damage",
    "skip": "Skip, m",
    "to": "Format",
    "trailed": "Hitch back to a trailed implement, m",
    "unit": "Unit",
    "version": "Version of ISO-XML",
    "width": "Working width, m",
}
"""Options that have a field on the page, and its label."""
_OPTION = re.compile(r"--([a-z]+(?:-[a-z]+)*)")


def in_page(text: str, label: Callable[[str], str] = str) -> str:
    """Return a text with arguments and options named as on the page, those that it lacks as options.

    ``label`` returns the label of a field in the language of the page.
    """

    def named(found: re.Match[str]) -> str:
        return f"“{label(_FIELDS[found[1]])}”" if found[1] in _FIELDS else found[0]

    return _OPTION.sub(named, as_option(text))

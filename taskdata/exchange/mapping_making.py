"""A mapping file out of a survey, as a start: what each layer was taken for, to be corrected.

Reading with it gives what reading without it gives: what a file states and what is only guessed stands in comments.
"""

from __future__ import annotations

import glob
import os
from collections.abc import Iterator
from typing import Unpack

from taskdata.exchange.surveying import survey
from taskdata.formats.foreign.options import Reading
from taskdata.formats.foreign.roles.column_units import DEFAULTS, named
from taskdata.raised_rules.import_.letters_guessed import RULE as LETTERS_GUESSED
from taskdata.results.survey import Item, ItemKind, Survey
from taskdata.staging import write_text
from taskdata.strict_json import as_toml

_TABLE = "item"
_HEAD = """\
# What lies in {source}, and what it was taken for. Correct it and give it back as the mapping.
#
# file      the path of an item from the source on; * stands for any letters
# role      field, area, line, guidance, swath, point, log or ratemap; other leaves it aside
# columns   which column holds what: name, farm, customer, crop, variety, width (also spacing), heading, rate, time,
#           speed, state, comment; a list where a value is spread over several
# units     in which units columns hold numbers, such as width = "cm"
# crs       replaces what the file states
# encoding  of texts, such as "cp1252"
"""


def make_mapping(
    data: Survey | str | os.PathLike[str], target: str | os.PathLike[str], **reading: Unpack[Reading]
) -> Survey:
    """Write what a survey found as a mapping file, as a start for what a person knows better.

    Parameters
    ----------
    data : Survey or path
        What ``survey`` returned, or what it takes.
    target : path
        The TOML file to make; an existing file is never replaced.
    **reading
        As for ``survey``, of a path.

    Returns
    -------
    Survey
        What the file tells. Reading with it as ``mapping`` gives what reading without it gives, until it is changed.

    Raises
    ------
    SourceError
        The source could not be read.
    TargetError
        The file exists, or the disk reported an error.

    Examples
    --------
    >>> import taskdata
    >>> found = taskdata.make_mapping("samples/display-shapefiles", "display.toml")
    >>> data = taskdata.read("samples/display-shapefiles", mapping="display.toml", crs="EPSG:32632")
    """
    found = data if isinstance(data, Survey) else survey(data, **reading)
    write_text(target, "\n".join(_lines(found)) + "\n")
    return found


def _lines(found: Survey) -> Iterator[str]:
    yield from _HEAD.format(source=found.source).splitlines()
    layers = [item for item in found.items if item.kind is not ItemKind.TASKDATA]
    if not layers:
        yield "item = []"
    for item in found.items:
        yield ""
        if item.kind is ItemKind.TASKDATA:
            yield f"# {_plain(item.path)} is a task data set ({_plain(item.why)}): it says itself what it holds."
        else:
            yield from _entry(item, found)


def _entry(item: Item, found: Survey) -> Iterator[str]:
    yield f"# {item.format}, {item.rows} rows: {_plain(item.why)} ({item.confidence:.0%} sure)"
    yield f"[[{_TABLE}]]"
    yield f"file = {as_toml(_pattern(item, found))}"
    yield f"role = {as_toml(str(item.kind))}"
    if item.columns:
        columns = (f"{role} = {_column(names)}" for role, names in item.columns.items())
        yield f"columns = {{ {', '.join(columns)} }}"
    measured = {role: item.columns[role][0] for role in DEFAULTS if role in item.columns}
    units = {role: named(column, role).unit or DEFAULTS[role] for role, column in measured.items()}
    if units:
        yield f"units = {{ {', '.join(f'{role} = {as_toml(unit)}' for role, unit in units.items())} }}"
    if item.crs is not None:
        yield f"# crs = {as_toml(item.crs)}  # as it states"
    if item.guess is not None:
        reasons = _plain("; ".join(item.guess.reasons))
        yield f"# crs = {as_toml(item.guess.crs)}  # a guess, not used unless you take away the first #: {reasons}"
    for encoding in _encodings(item, found):
        yield f"# encoding = {as_toml(encoding)}  # a guess: the texts are in no encoding that is stated"


def _encodings(item: Item, found: Survey) -> Iterator[str]:
    for finding in found.findings:
        if finding.rule is LETTERS_GUESSED and finding.place.file in (item.path, os.path.basename(found.source)):
            yield str(finding.facts["guess"])


def _pattern(item: Item, found: Survey) -> str:
    """Return the pattern that fits this item alone: from the source on, where things lie in folders."""
    if item.path == ".":
        return glob.escape(os.path.basename(found.source))
    below = any("/" in other.path for other in found.items)
    return f"{'/' if below else ''}{glob.escape(item.path)}"


def _column(names: tuple[str, ...]) -> str:
    return as_toml(names[0]) if len(names) == 1 else f"[{', '.join(map(as_toml, names))}]"


def _plain(text: str) -> str:
    """Return a text that ends no comment."""
    return " ".join(text.split())

"""A page, or picture, of a set."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path
from typing import Literal, Unpack

from taskdata.api.audit import check
from taskdata.api.sets import Source, compare, read
from taskdata.errors import UsageError
from taskdata.exchange.covering import coverage
from taskdata.exchange.targets import refuse_source
from taskdata.formats.foreign.options import Reading
from taskdata.model.dataset import Dataset
from taskdata.page.changed_section import Changed
from taskdata.page.content import Content
from taskdata.page.html_page import html_page, svg_page
from taskdata.page.made_by import MARK, foreign_page
from taskdata.page.wording import Wording
from taskdata.paths import target_path
from taskdata.quantities.units import System
from taskdata.results.comparison import Comparison
from taskdata.results.reporting import Reported
from taskdata.staging import staged
from taskdata.translations import LANGUAGES

WRITERS = {".html": html_page, ".htm": html_page, ".svg": svg_page}


def report(
    data: Dataset | Source,
    target: Source,
    *,
    against: Dataset | Source | None = None,
    changed: Changed | None = None,
    language: Literal["en", "de"] = "en",
    units: System = "metric",
    overwrite: bool = False,
    **reading: Unpack[Reading],
) -> Reported:
    """Write a page of a set that opens in any browser, without a network: its map, what is wrong, what was done.

    Parameters
    ----------
    data : Dataset or path
        What ``read`` returned, or what it takes.
    target : path
        A file with the suffix ``.html``, or ``.svg`` for the map alone.
    against : Dataset or path, optional
        Another set: the page also lists what differs in this one, and draws what moved.
    changed : Cleaning, Conversion or Merging, optional
        What ``clean``, ``convert``, ``write`` or ``merge`` returned when it made this set: its journal and its ledger
        become a section of the page.
    language : {"en", "de"}
        Language of the page. In German: labels, cautions, and what errors say; the rest is in English.
    units : {"metric", "us"}
    overwrite : bool
        Allow that an existing page, which this program wrote, is replaced.
    **reading
        As for ``read``.

    Returns
    -------
    Reported

    Raises
    ------
    UsageError, SourceError, TargetError
        The call, a source or the target is at fault.

    Examples
    --------
    >>> import taskdata
    >>> done = taskdata.report("samples/machine", "machine.html")
    >>> done.summary["error"]
    0
    """
    place, writer = writer_of(target)
    if language not in LANGUAGES:
        raise UsageError("is not a language of pages", where=language, remedy=f"Choose {' or '.join(LANGUAGES)}")
    dataset = data if isinstance(data, Dataset) else read(data, **reading)
    for source in (dataset.source, None if against is None else _path_of(against)):
        if source:
            refuse_source(place, Path(source))
    found = check(dataset)
    tasks = coverage(dataset).tasks
    other, compared = _compared(against, dataset, reading)
    content = Content(dataset, found, tasks, compared, other, changed)
    text = writer(content, Wording(language, units))
    with staged(place, overwrite=overwrite, foreign=foreign_page) as fresh:
        Path(fresh).write_text(text + MARK, encoding="utf-8", newline="\n")
    return Reported(dataset.source, os.fspath(target), found.summary, dataset.findings)


def writer_of(target: Source) -> tuple[Path, Callable[[Content, Wording], str]]:
    """Return where a page goes and what makes it.

    Raises
    ------
    UsageError
        The name is none of a page or picture.
    """
    place = target_path(target)
    writer = WRITERS.get(place.suffix.lower())
    if writer is None:
        raise UsageError("is not a page or picture", where=place, remedy="End the name with .html, or .svg for the map")
    return place, writer


def _path_of(data: Dataset | Source) -> str | None:
    return data.source if isinstance(data, Dataset) else os.fspath(data)


def _compared(
    against: Dataset | Source | None, dataset: Dataset, reading: Reading
) -> tuple[Dataset | None, Comparison | None]:
    if against is None:
        return None, None
    other = against if isinstance(against, Dataset) else read(against, **reading)
    return other, compare(other, dataset)

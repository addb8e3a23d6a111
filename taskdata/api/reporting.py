"""A page, or picture, of a set."""

from __future__ import annotations

import os
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Literal, Unpack

from taskdata.api.audit import check
from taskdata.api.reading import Source, read
from taskdata.api.sets import compare
from taskdata.errors import UsageError
from taskdata.exchange.targets import refuse_source
from taskdata.fieldwork.coverage.task_coverage import TaskChoice, cover_tasks
from taskdata.fieldwork.implement import Settings
from taskdata.formats.foreign.options import Reading
from taskdata.model.dataset import Dataset
from taskdata.page.content import Content
from taskdata.page.html_page import html_page, svg_page
from taskdata.page.layers.changes import Changed
from taskdata.page.made_by import MARK, foreign_page
from taskdata.page.wording import Wording
from taskdata.paths import target_path
from taskdata.quantities.units import System
from taskdata.results.merging import Merging
from taskdata.results.reporting import Reported
from taskdata.staging import staged
from taskdata.translations import LANGUAGES

WRITERS = {".html": html_page, ".htm": html_page, ".svg": svg_page}


def report(
    data: Dataset | Source,
    target: Source,
    *,
    against: Dataset | Source | Sequence[Dataset | Source] | None = None,
    changed: Changed | None = None,
    line: str | None = None,
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
    against : Dataset or path, or sequence of them, optional
        Another set: the page also lists what differs in this one, and draws what was there before, what is new and what
        moved. Of a merge all its sources: the page draws each of them.
    changed : Cleaning, Conversion or Merging, optional
        What ``clean``, ``convert``, ``write`` or ``merge`` returned when it made this set: its journal and its ledger
        become a section of the page.
    line : str, optional
        Identifier or name of a guidance line: how well it was followed, as for ``coverage``. Default: of each task the
        line of its field that most of its passes run along, where there is one.
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
    others = _several(against)
    for source in (dataset.source, *map(_path_of, others)):
        if source:
            refuse_source(place, Path(source))
    found = check(dataset)
    tasks = cover_tasks(dataset, Settings(), TaskChoice(line=line, any_line=True))
    before = [item if isinstance(item, Dataset) else read(item, **reading) for item in others]
    if isinstance(changed, Merging):
        content = Content(dataset, found, tasks, changed=changed, sources=before)
    else:
        other = before[0] if before else None
        content = Content(dataset, found, tasks, None if other is None else compare(other, dataset), other, changed)
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


def _several(against: Dataset | Source | Sequence[Dataset | Source] | None) -> list[Dataset | Source]:
    if against is None:
        return []
    return [against] if isinstance(against, Dataset | str | os.PathLike) else list(against)

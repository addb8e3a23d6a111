"""``taskdata.batch``: one command over many sources."""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator
from contextlib import closing
from pathlib import Path
from typing import Any

from taskdata import strict_json
from taskdata.arguments import one_or_several
from taskdata.batches.cluster import over_scheduler
from taskdata.batches.commands import command_named, refuse_options
from taskdata.batches.links import links_told
from taskdata.batches.outlet import claim, outlet_at
from taskdata.batches.pool import can_bound, over_processes, usual_memory, usual_workers
from taskdata.batches.running import program, run
from taskdata.batches.sources import is_url, local, units_of
from taskdata.batches.summary import csv_of, parquet_of
from taskdata.batches.unit import Unit, call_of
from taskdata.errors import UsageError
from taskdata.exchange.targets import lies_on_source, refuse_source
from taskdata.paths import target_path
from taskdata.progress import stage
from taskdata.reports.batch_json import batch_document
from taskdata.results.batch import Batch, BatchedSource

Source = str | os.PathLike[str]


def batch(
    command: str,
    sources: Source | Iterable[Source],
    out: Source,
    *,
    workers: int | None = None,
    memory_mb: int | None = None,
    scheduler: str | None = None,
    **options: Any,
) -> Batch:
    """Do one command with every source below some paths, several at a time; called again, go on where it ended.

    A source whose content, options, command and version of the program are those of an earlier call is not done again.
    What is wrong with one source costs that source alone. A source whose worker died is tried once more.

    Parameters
    ----------
    command : str
        ``check``, ``inspect``, ``convert``, ``clean`` or ``coverage``.
    sources : path or iterable of path
        Sources as ``read`` takes them, and folders and archives that hold sources at any depth; also URLs of file
        systems that fsspec knows, such as ``s3://bucket/sticks``, with the extra ``taskdata[cluster]``.
    out : path
        Folder, or URL of one, for results and summary: a new one, or that of an earlier call. It gets ``results``,
        ``summary.json``, ``summary.csv`` and ``summary.parquet`` (GeoParquet), the last three when all is done.
    workers : int, optional
        Processes that work at a time; default: one for each processor.
    memory_mb : int, optional
        MB of memory that each may take (Linux alone); default: 80 % of that of the machine, in equal parts.
    scheduler : str, optional
        Address of a Dask scheduler, whose workers are used instead; they have to see sources and ``out``.
    **options
        Those of the command, as of the function of its name; of ``check`` also ``fail_on`` (default ``"error"``).

    Returns
    -------
    Batch
        A row for each source, by path; ``exit_code`` is the highest of them.

    Raises
    ------
    UsageError
        The command is not one of these, or an option is wrong.
    SourceError
        A file that an option names cannot be read.
    TargetError
        ``out`` lies on a source, holds something else or cannot be written, no worker can be started, or the
        scheduler is lost; what is finished is kept.

    Notes
    -----
    Workers are processes that import the main module of a script: call this below ``if __name__ == "__main__":``.

    Examples
    --------
    >>> import taskdata
    >>> found = taskdata.batch("check", "samples/season", "checked", workers=1, select="reference")
    >>> [(item.source, item.exit) for item in found.sources][0]
    ('samples/season/drill/TASKDATA', 0)
    >>> again = taskdata.batch("check", "samples/season", "checked", workers=1, select="reference")
    >>> [item.kept for item in again.sources]
    [True, True, True]
    """
    doing = command_named(command).doing
    most = _workers(workers, scheduler)
    refuse_options(command, options)
    folder = local(out, "target")
    outlet = outlet_at(folder if is_url(folder) else os.path.abspath(target_path(folder)))
    if scheduler is None:
        _refuse_own_memory(outlet.where)
    call = call_of(command, options, outlet.where, program())
    listed = one_or_several(sources) if isinstance(sources, str) else _listed(sources)
    _refuse_sources(outlet.where, listed)
    units = units_of(call, listed)
    claim(outlet, command)
    warnings = links_told(place for source in listed if not is_url(place := local(source)))
    count = min(most, max(len(units), 1))
    if memory_mb is not None and (scheduler is not None or not can_bound()):
        warnings.append("The memory of workers is not bounded here: only on Linux, and not those of a scheduler.")
    memory = usual_memory(count) if memory_mb is None else memory_mb * 1_000_000 if can_bound() else None
    pending = iter(units)
    rows = over_processes(pending, count, memory, run) if scheduler is None else over_scheduler(pending, scheduler, run)
    done = sorted(_watched(rows, units, doing), key=lambda row: row.source)
    result = Batch(command, folder, tuple(done), tuple(warnings))
    document = strict_json.dumps(batch_document(result), indent=2)
    outlet.write("summary.csv", csv_of(result))
    outlet.write("summary.parquet", parquet_of(result))
    outlet.write("summary.json", document.encode("utf-8", "backslashreplace"))
    return result


def _watched(rows: Iterator[BatchedSource], units: list[Unit], doing: str) -> Iterator[BatchedSource]:
    with closing(rows) as open_rows, stage(doing, "sources", len(units)) as advance:  # type: ignore[type-var]
        for row in open_rows:
            yield row
            advance(1)


def _listed(sources: Source | Iterable[Source]) -> list[Source]:
    return [sources] if isinstance(sources, os.PathLike) else list(sources)


def _workers(workers: int | None, scheduler: str | None) -> int:
    if workers is None:
        return usual_workers()
    if scheduler is not None:
        raise UsageError("a scheduler has workers of its own", remedy="Leave out [[workers]] or [[scheduler]]")
    if workers < 1:
        raise UsageError("there has to be one worker at least", where=str(workers), remedy="Give [[workers=1]] or more")
    return workers


def _refuse_sources(out: str, sources: Iterable[Source]) -> None:
    """Refuse a folder of results on a source, in it or around it: the next call would take the results for sources."""
    for source in sources:
        place = local(source)
        if not (is_url(place) or is_url(out)):
            refuse_source(Path(out), Path(place))
        elif f"{out}/".startswith(f"{place}/") or f"{place}/".startswith(f"{out}/"):
            raise lies_on_source(out)


def _refuse_own_memory(out: str) -> None:
    if out.startswith("memory:"):
        remedy = "Name a folder, or a [[scheduler]] whose workers are threads of this process"
        raise UsageError("is in the memory of one process, which its workers do not see", where=out, remedy=remedy)

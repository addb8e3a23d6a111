"""One unit of work: one source read, the command done, its result written, and what came of it as a row.

Called in whatever process, on whatever machine; nothing is kept between two calls.
"""

from __future__ import annotations

import json
import posixpath
import tempfile
import time
import warnings
from collections.abc import Iterator, Mapping
from contextlib import contextmanager, nullcontext
from dataclasses import asdict, replace
from functools import cache
from importlib import import_module, metadata
from pathlib import Path
from typing import Any

from taskdata import strict_json
from taskdata.batches.commands import Done, command_named
from taskdata.batches.digest import digest_of_source
from taskdata.batches.outlet import Outlet, outlet_at, record_path, result_path
from taskdata.batches.unit import AttachedFile, Unit
from taskdata.errors import SourceError, TaskdataError
from taskdata.findings import cause_of
from taskdata.results.batch import BatchedSource

_REMOTE = "taskdata.batches.remote"


def run(unit: Unit) -> BatchedSource:
    """Do one unit of work; whatever is wrong with its source is told in the row and raised nowhere.

    A source that is finished, its content and the call being the same, is not done again.
    """
    began = time.monotonic()
    digest = None
    try:
        _refuse_version(unit)
        outlet = outlet_at(unit.call.out)
        with warnings.catch_warnings(), _fetched(unit.place) as path:
            warnings.simplefilter("ignore", RuntimeWarning)  # of GDAL; what is wrong comes as error or finding
            digest = digest_of_source(path)
            known = _finished(outlet, unit, digest)
            if known is not None:
                return known
            with _reworded(path, unit.source):
                row = _carried_out(unit, path, outlet)
        row = replace(row, digest=digest, seconds=round(time.monotonic() - began, 3))
        if digest is not None:
            record = {"call": unit.call.digest, "run": unit.call.run, **asdict(row)}
            outlet.write(record_path(unit.name), strict_json.dumps(record).encode())
    except Exception as error:
        return failed_row(unit.source, error, digest, time.monotonic() - began)
    return row


def failed_row(source: str, error: Exception, digest: str | None = None, seconds: float = 0.0) -> BatchedSource:
    """Return the row of a source that ended in an error; what is no failure told on purpose is a defect of the program.

    Either costs this source and no other.
    """
    told = error if isinstance(error, TaskdataError) else SourceError("failed", where=source, why=cause_of(error))
    return BatchedSource.failed(source, told, digest, seconds)


def _carried_out(unit: Unit, path: str, outlet: Outlet) -> BatchedSource:
    """Do the command and write what came of it: the result, then its document."""
    command = command_named(unit.call.command)
    result = result_path(unit.name)
    with outlet.room(result) as target, with_files(unit.call.options) as options:
        done = command.run(path, target, options)
        text = strict_json.dumps(done.document, indent=2).replace(str(target), result)
    document = f"{result}.json"
    outlet.write(document, text.replace(path, unit.source).encode("utf-8", "backslashreplace"))
    return _row(unit, done, document, None if command.writes else document)


def _row(unit: Unit, done: Done, document: str, result: str | None) -> BatchedSource:
    if done.target is not None:
        result = f"{posixpath.dirname(document)}/{done.target.name}"
    return BatchedSource(
        unit.source, None, done.exit, result, document, 0.0, bounds=done.bounds, counts=dict(done.counts)
    )


def _finished(outlet: Outlet, unit: Unit, digest: str | None) -> BatchedSource | None:
    """Return the row of a source that an earlier call finished, None where it is to be done."""
    text = None if digest is None else outlet.read(record_path(unit.name))
    if text is None:
        return None
    try:
        record = json.loads(text)
        if record.pop("call") != unit.call.digest or record["digest"] != digest:
            return None
        kept = record.pop("run") != unit.call.run
        row = BatchedSource(**{**record, "bounds": tuple(record["bounds"]) if record["bounds"] else None})
    except (ValueError, KeyError, TypeError, AttributeError):  # cut or changed: it is done again
        return None
    written = [path for path in (row.result, row.document) if path is not None]
    return replace(row, source=unit.source, kept=kept) if all(map(outlet.holds, written)) else None


@contextmanager
def with_files(options: Mapping[str, Any]) -> Iterator[dict[str, Any]]:
    """Give options with a path for each file that came along."""
    attached = {name: value for name, value in options.items() if isinstance(value, AttachedFile)}
    with tempfile.TemporaryDirectory(prefix="taskdata-") if attached else nullcontext("") as room:
        paths = {}
        for name, file in attached.items():
            (Path(room) / name).mkdir()
            paths[name] = Path(room) / name / file.name
            paths[name].write_bytes(file.content)
        yield {**options, **paths}


@contextmanager
def _fetched(place: str) -> Iterator[str]:
    """Give the path of a source on this machine; of one behind a URL, that of a copy."""
    if "://" not in place:
        yield place
        return
    with import_module(_REMOTE).fetched(place) as path:
        yield path


@contextmanager
def _reworded(path: str, source: str) -> Iterator[None]:
    """Let failures name a source as the caller did."""
    try:
        yield
    except TaskdataError as error:
        error.reword(lambda text: text.replace(path, source))
        raise


def _refuse_version(unit: Unit) -> None:
    if unit.call.program != program():
        why = f"version {program()} here, {unit.call.program} where it was called"
        remedy = "Install one version of taskdata everywhere"
        raise SourceError("was given to a worker with another version", where=unit.source, why=why, remedy=remedy)


@cache
def program() -> str:
    """Return the version of this package."""
    return metadata.version("taskdata")

"""NMEA 0183 logs of GNSS receivers: the position at each moment, read only."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import numpy as np
import pyarrow as pa

from taskdata.errors import SourceError
from taskdata.findings import Finding, Place
from taskdata.formats.base import RawTable, Tables, read_each
from taskdata.formats.columns import GEOMETRY
from taskdata.formats.geometries import fixed_size_wkb
from taskdata.formats.nmea.bulk import rows_of
from taskdata.formats.nmea.epochs import NAMES, epochs
from taskdata.formats.nmea.sentences import Counts
from taskdata.formats.spooling import Spool
from taskdata.raised_rules.import_.broken_sentences import RULE as BROKEN_SENTENCES
from taskdata.raised_rules.import_.date_unknown import RULE as DATE_UNKNOWN

_DAY_MS = 86_400_000
_WHOLE = ("fix", "satellites")


class Nmea:
    """The driver."""

    def read(self, path: Path, files: Sequence[Path]) -> Tables:
        """Return the epochs of each file."""
        return read_each(files, read_file)


DRIVER = Nmea()


def read_file(path: Path) -> Tables:
    """Return the epochs of a log as a table of points, and what is wrong in it.

    Its columns are ``time`` (coordinated universal time), and those of an epoch.

    Raises
    ------
    SourceError
        It holds no position.
    """
    counts = Counts()
    spool = Spool()
    for rows in epochs(rows_of(path, counts)):
        spool.add(_batch(rows))
    table = spool.table()
    if table is None:
        why = f"{counts.broken} sentences are broken; the first in line {counts.first_broken}: {counts.why}"
        raise SourceError(
            "The log holds no position",
            where=path,
            why=why if counts.broken else "no GGA or RMC sentence says one",
            remedy="Check that the receiver had a fix, and copy the file again.",
        )
    found = Tables(findings=_findings(path, counts, table))
    found.add(RawTable(path.stem, path.name, table, always_wgs84=True, heights=None, log=True))
    return found


def _batch(rows: np.ndarray[tuple[int, int], np.dtype[np.float64]]) -> pa.RecordBatch:
    columns = dict(zip(NAMES, rows.T, strict=True))
    dated = ~np.isnan(columns["day"])
    stamps = np.full(len(rows), np.datetime64("NaT", "ms"))
    moments = columns["day"][dated] * _DAY_MS + np.round(columns["clock"][dated] * 1000.0)
    stamps[dated] = moments.astype(np.int64).astype("datetime64[ms]")
    arrays = {"time": pa.array(stamps, pa.timestamp("ms"))}
    for name, values in columns.items():
        if name not in {"clock", "day", "lon", "lat"}:
            known = pa.array(values, from_pandas=True)
            arrays[name] = known.cast(pa.int64()) if name in _WHOLE else known
    arrays[GEOMETRY] = fixed_size_wkb.points(columns["lon"], columns["lat"]).cast(pa.large_binary())
    return pa.record_batch(arrays)


def _findings(path: Path, counts: Counts, table: pa.Table) -> list[Finding]:
    told = []
    if counts.broken:
        place = Place(file=path.name, line=counts.first_broken)
        told.append(BROKEN_SENTENCES.at(place, file=path.name, count=str(counts.broken), reason=counts.why))
    undated = table["time"].null_count
    if undated:
        told.append(DATE_UNKNOWN.at(Place(file=path.name), file=path.name, count=str(undated)))
    return told

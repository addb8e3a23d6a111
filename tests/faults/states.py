"""What lies in a folder, so that two states can be told apart."""

from __future__ import annotations

import csv
import hashlib
import re
import sqlite3
from contextlib import closing
from pathlib import Path

import pyarrow.parquet as pq

Held = dict[str, str]

_CHANGES = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{3}Z")
_TOOK = re.compile(rb'"(?:seconds|run|kept)": ?[^,}]*')
"""How long a source of a batch took, which run did it, and how many were done before."""


def held(place: Path, *, times: bool = False) -> Held:
    """Return every file at or below a place with its digest, with ``times`` also when it was changed; links as such."""
    items = [place, *sorted(place.rglob("*"))] if place.exists() else []
    found = {}
    for item in items:
        if item.is_file() or item.is_symlink():
            stamp = f" {item.lstat().st_mtime_ns}" if times else ""
            found[str(item.relative_to(place.parent))] = f"{_digest(item)}{stamp}"
    return found


def half_made(folder: Path) -> list[str]:
    """Return the names of what runs left in a folder and below it."""
    return sorted(str(item.relative_to(folder)) for item in folder.rglob(".*.part"))


def _digest(path: Path) -> str:
    content = path.read_bytes()
    if content.startswith(b"SQLite format 3\0"):  # a GeoPackage holds the time of its making
        with closing(sqlite3.connect(path)) as base:
            rows = sorted(_CHANGES.sub("", line) for line in base.iterdump())
        content = "\n".join(rows).encode("utf-8", "surrogateescape")
    elif path.suffix == ".dbf":
        content = content[:1] + content[4:]  # the day of its making
    elif path.name == "summary.parquet":
        content = repr(pq.read_table(path).drop_columns(["seconds"]).to_pylist()).encode()
    elif path.name == "summary.csv":
        rows = csv.DictReader(content.decode("utf-8").splitlines())
        content = repr([{**row, "seconds": None} for row in rows]).encode()
    elif path.suffix == ".json":
        content = _TOOK.sub(b"", content)
    return hashlib.sha256(content).hexdigest()

"""What of a GeoPackage is read, found before GDAL opens it: base tables that its contents list, and nothing that acts.

A database may hold stored queries (views), computed columns, tables made by program code (virtual tables) and
triggers, which run when rows are read or written. None of them is run: the list of tables stands in a base table of
SQLite's own, and what is not a plain table is left out by its name. The database is opened read-only and untrusted.
"""

from __future__ import annotations

import re
import shutil
import sqlite3
import tempfile
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import field
from pathlib import Path

from taskdata import limits
from taskdata.dataclass import dataclass
from taskdata.errors import SourceError
from taskdata.file_formats.regular import other_beside
from taskdata.formats.drivers.damage_reasons import reason
from taskdata.formats.styles.layer_styles import TABLE

_INTERNAL = re.compile(r"(gpkg|rtree|sqlite)_|ogr_empty_table$", re.IGNORECASE)
_VIRTUAL = re.compile(r"\s*create\s+virtual", re.IGNORECASE)
_CELL = 9
_COMPUTED = (2, 3)
_STEPS = 1000


@dataclass
class Listed:
    """What a GeoPackage lists.

    Parameters
    ----------
    tables : list of str
        The tables to read.
    refused : dict of str to str
        Layers that cannot be read, and why.
    aside : dict of str to str
        Tables that its contents do not list, and why they are left aside.
    whole : bool
        Whether the pages of the database fit together.
    """

    tables: list[str] = field(default_factory=list)
    refused: dict[str, str] = field(default_factory=dict)
    aside: dict[str, str] = field(default_factory=dict)
    whole: bool = True


@contextmanager
def at_rest(path: Path, *, copied: bool) -> Iterator[Path]:
    """Yield a path at which a database and its log are read; a copy where reading would write beside the source.

    Parameters
    ----------
    path : Path
        The database.
    copied : bool
        Whether a copy is needed in any case.
    """
    log = path.with_name(f"{path.name}-wal")
    if not copied and not log.is_file() and not other_beside(path):
        yield path
        return
    with tempfile.TemporaryDirectory(prefix="taskdata-") as folder:
        place = Path(folder) / "layers.gpkg"
        shutil.copyfile(path, place)
        if log.is_file():
            shutil.copyfile(log, place.with_name(f"{place.name}-wal"))
        yield place


def listed(file: Path, shown: Path) -> Listed:
    """Return what a GeoPackage lists.

    Parameters
    ----------
    file : Path
        Where it is read, as `at_rest` gives it.
    shown : Path
        What it is called in messages.

    Raises
    ------
    SourceError
        It is damaged, is no GeoPackage, or what GDAL needs to know of it would have to be computed.
    """
    mode = "mode=ro" if file.with_name(f"{file.name}-wal").exists() else "mode=ro&immutable=1"
    try:
        with closing(sqlite3.connect(f"{file.absolute().as_uri()}?{mode}", uri=True)) as base:
            found = _Listing(base, file.stat().st_size).made()
    except _RefusedError as error:
        raise _unreadable(shown, str(error)) from error
    except sqlite3.Error as error:
        raise _unreadable(shown, reason(error)) from error
    if not (found.tables or found.refused) and file.with_name(f"{file.name}-wal").is_file():
        raise _unreadable(shown, "it lists no layer, and another program has not written all of it yet")
    return found


def _unreadable(shown: Path, why: str) -> SourceError:
    remedy = "Copy it again from the original"
    return SourceError("The GeoPackage cannot be read", where=shown, why=why, remedy=remedy)


class _RefusedError(Exception):
    """A table that is not read, and why."""


class _Listing:
    """One look at a database."""

    def __init__(self, base: sqlite3.Connection, size: int) -> None:
        self._base, self._size, self._steps = base, size, 0
        base.text_factory = lambda text: text.decode("utf-8", "replace")
        base.execute("PRAGMA trusted_schema=OFF")
        base.execute("PRAGMA query_only=ON")
        base.setlimit(sqlite3.SQLITE_LIMIT_LENGTH, min(limits.room_for(size), 1 << 30))
        base.set_progress_handler(self._beyond, _STEPS)

    def _beyond(self) -> int:
        """Tell SQLite to stop where a file has it do far more than its size can ask for."""
        self._steps += _STEPS
        return int(self._steps > limits.room_for(self._size))

    def made(self) -> Listed:
        kinds = self._kinds()
        for name, kind in kinds.items():
            if name.lower().startswith("gpkg_"):
                self._check(name, kind)
        found = Listed(whole=self._is_whole())
        query = "SELECT table_name FROM gpkg_contents WHERE data_type NOT IN ('tiles', '2d-gridded-coverage')"
        names = {name.lower(): name for name in kinds}
        own = [names.get(str(name).lower(), str(name)) for (name,) in self._base.execute(query)]
        if len(own) > limits.most("database_layers"):
            raise _RefusedError(f"it lists {len(own)} layers; {_advice('database_layers')}")
        for name in own:
            if name == TABLE:
                continue
            try:
                self._check(name, kinds.get(name, ""))
                if not found.whole:
                    self._walk(name)
            except _RefusedError as error:
                found.refused[name] = str(error)
                continue
            found.tables.append(name)
        for name, kind in kinds.items():
            if kind == "table" and name not in own and name != TABLE and not _INTERNAL.match(name):
                found.aside[name] = "the contents of the GeoPackage do not list it"
        return found

    def _kinds(self) -> dict[str, str]:
        """Return the kind of every table and view by its name."""
        query = "SELECT name, type, sql FROM sqlite_master WHERE type IN ('table', 'view')"
        return {
            str(name): "virtual table" if kind == "table" and _VIRTUAL.match(str(sql)) else str(kind)
            for name, kind, sql in self._base.execute(query)
        }

    def _check(self, name: str, kind: str) -> None:
        """Refuse what is not a plain table of stored values, or becomes far more than it takes in the file."""
        if not kind:
            raise _RefusedError(f"its table {name} is missing")
        if kind != "table":
            raise _RefusedError(f"{name} is a {kind}, which would have to be run; only stored tables are read")
        columns = self._base.execute(f"PRAGMA table_xinfo({_quoted(name)})").fetchall()
        computed = next((str(row[1]) for row in columns if row[6] in _COMPUTED), None)
        if computed is not None:
            raise _RefusedError(f"its column {computed} is computed by the database; only stored values are read")
        room = limits.room_for(self._size)
        width = sum(_CELL + len(str(row[4] or "")) for row in columns)
        if width and self._rows(name) > room // width:
            raise _RefusedError(f"its rows would take more than {room} bytes; {_advice(limits.binding(self._size))}")

    def _rows(self, name: str) -> int:
        try:
            (count,) = self._base.execute(f"SELECT count(*) FROM {_quoted(name)}").fetchone()  # noqa: S608  # a name, quoted
        except sqlite3.OperationalError as error:
            if "interrupted" in str(error):
                raise _RefusedError("its rows have no end") from None
            return 0  # damaged: GDAL says what can be read of it
        except sqlite3.DatabaseError:
            return 0
        return int(count)

    def _walk(self, name: str) -> None:
        """Refuse a table of a damaged database whose pages lead in circles: it would grow without end."""
        room, taken = limits.room_for(self._size), 0
        try:
            for row in self._base.execute(f"SELECT * FROM {_quoted(name)}"):  # noqa: S608  # a name, quoted
                taken += sum(len(value) if isinstance(value, str | bytes) else _CELL for value in row)
                if taken > room:
                    raise _RefusedError(f"its rows have no end; {_advice(limits.binding(self._size))}")
        except sqlite3.Error as error:
            if "interrupted" in str(error) or "too big" in str(error):
                raise _RefusedError("its rows have no end") from None

    def _is_whole(self) -> bool:
        """Return whether the pages of the database fit together; True where SQLite cannot say."""
        try:
            return bool(self._base.execute("PRAGMA quick_check(1)").fetchall() == [("ok",)])
        except sqlite3.OperationalError:
            return True
        except sqlite3.DatabaseError:
            return False


def _advice(name: str) -> str:
    return f"{limits.told(name)}, and {limits.variable(name)} raises it"


def _quoted(name: str) -> str:
    return '"' + name.replace('"', '""') + '"'

"""Which things of an archive are the same: identities, and what they are found by, in a file that grows.

Sets are entered one after the other. A thing gets the identity of the first step by which one of an earlier set is
found; each look-up takes the logarithm of what is known, in the memory of a few pages of the file. Where a sure step
finds two identities that this call gave, they become one; those of earlier calls stay as they are.
"""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from taskdata import strict_json
from taskdata.archives.entering import Entering
from taskdata.archives.things import KINDS, Thing

_TABLES = """
CREATE TABLE sets (digest TEXT PRIMARY KEY, facts TEXT) WITHOUT ROWID;
CREATE TABLE places (source TEXT, told TEXT, PRIMARY KEY (source, told)) WITHOUT ROWID;
CREATE TABLE keys (key BLOB, identity TEXT, facts TEXT, PRIMARY KEY (key, identity)) WITHOUT ROWID;
CREATE INDEX keys_of ON keys (identity);
CREATE TABLE marks (identity TEXT, kind TEXT, mark TEXT, PRIMARY KEY (identity, kind, mark)) WITHOUT ROWID;
CREATE TABLE outlines (number INTEGER PRIMARY KEY, identity TEXT, name TEXT, shape BLOB);
CREATE INDEX outlines_of ON outlines (identity);
CREATE VIRTUAL TABLE boxes USING rtree (number, west, east, south, north);
"""
_HERE = """
CREATE TEMP TABLE here (place INTEGER, kind TEXT, key INTEGER, identity TEXT, PRIMARY KEY (place, kind, key));
CREATE INDEX temp.here_of ON here (identity, place);
CREATE TEMP TABLE fresh (identity TEXT PRIMARY KEY) WITHOUT ROWID;
"""


class Register:
    """The identities of an archive.

    Parameters
    ----------
    path : Path
        Its file; it is made where there is none.
    """

    def __init__(self, path: Path) -> None:
        fresh = not path.exists()
        self.database = sqlite3.connect(path, isolation_level=None)
        self.run("PRAGMA journal_mode = OFF")  # the whole file is put in place, or none of it
        self.run("PRAGMA synchronous = OFF")
        self.database.executescript((_TABLES if fresh else "") + _HERE)
        self.run("BEGIN")

    def close(self) -> None:
        """Write what was entered."""
        self.run("COMMIT")
        self.database.close()

    def facts(self, digest: str | None) -> dict[str, Any] | None:
        """Return what is said of a set whose rows are in the catalogue, None where they are not."""
        found = self.rows("SELECT facts FROM sets WHERE digest = ?", digest)
        return json.loads(found[0][0]) if found else None

    def enter_set(self, digest: str, facts: Mapping[str, Any]) -> None:
        """Note that the rows of a set are in the catalogue, and what is said of it."""
        self.run("INSERT INTO sets VALUES (?, ?)", digest, strict_json.dumps(facts))

    def is_empty(self) -> bool:
        """Tell whether no set was entered."""
        return not self.rows("SELECT 1 FROM sets LIMIT 1")

    def enter_place(self, source: str, told: str) -> bool:
        """Note what was found at a path: a digest, or why there is none. Return whether that is new."""
        words = "INSERT OR IGNORE INTO places VALUES (?, ?) RETURNING 1"
        return bool(self.rows(words, in_utf8(source), in_utf8(told)))

    def enter(self, place: int, digest: str, things: Sequence[Thing]) -> None:
        """Give each thing of a set its identity.

        Parameters
        ----------
        place : int
            Number of the set in this call.
        digest : str
            Digest of the set.
        things : sequence of Thing
            All its things.
        """
        for kind in KINDS:
            Entering(self, place, digest, [thing for thing in things if thing["kind"] == kind]).run()

    def identity(self, place: int, kind: str, key: int | None) -> str | None:
        """Return the identity of a thing of a set that was entered in this call, by the key of its element."""
        found = self.rows("SELECT identity FROM here WHERE place = ? AND kind = ? AND key = ?", place, kind, key)
        return found[0][0] if found else None

    def run(self, words: str, *values: Any) -> int:
        """Carry out a statement; return the number of the row that it inserted."""
        return self.database.execute(words, values).lastrowid or 0

    def rows(self, words: str, *values: Any) -> list[Any]:
        """Return what a query finds."""
        return self.database.execute(words, values).fetchall()


def in_utf8(text: str) -> str:
    """Return a text that is one in UTF-8, whatever bytes the name of a file has."""
    return text.encode("utf-8", "backslashreplace").decode()

"""What one call adds to a catalogue: the sets that are new, read, recognised and written."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from contextlib import closing
from dataclasses import field, replace
from pathlib import Path
from typing import Any

from taskdata.archives.parts import Parts
from taskdata.archives.place import REGISTER, next_part
from taskdata.archives.projecting import digest, partition, project, read_projected
from taskdata.archives.recognising import identified
from taskdata.archives.register import Register
from taskdata.batches.pool import over_processes, usual_memory
from taskdata.batches.running import program
from taskdata.batches.sources import units_of
from taskdata.batches.unit import Unit, call_of
from taskdata.dataclass import dataclass
from taskdata.errors import SourceError
from taskdata.formats.foreign.options import Reading
from taskdata.progress import each, stage
from taskdata.results.batch import BatchedSource

FAILED = 2
"""The exit code from which a source has no rows."""


@dataclass(eq=False)
class Adding:
    """One call.

    Parameters
    ----------
    folder : str
        The archive.
    place : Path
        The catalogue as it is.
    workers : int
        How many processes read sets.
    reading : dict
        Options of reading.
    done : list of BatchedSource
        A row for each source when it has been called, by path.
    """

    folder: str
    place: Path
    workers: int
    reading: Reading
    done: list[BatchedSource] = field(default_factory=list)

    def into(self, fresh: Path, room: Path) -> bool:
        """Add what is new; return whether there is anything.

        Parameters
        ----------
        fresh : Path
            The new state of the catalogue, which holds the old one.
        room : Path
            An empty folder where workers leave what they made of a set.

        Raises
        ------
        SourceError
            Nothing could be read, and the catalogue holds nothing.
        """
        units = self._units(room)
        with closing(Register(fresh / REGISTER)) as known:
            digests = {row.source: row.digest for row in self._over(units, digest, "Looking at sets")}
            firsts: dict[str, Unit] = {}
            for unit in units:
                if known.facts(digests[unit.source]) is None:
                    firsts.setdefault(digests[unit.source] or unit.source, unit)
            rows = self._over(list(firsts.values()), project, "Reading sets")
            made = {row.source: row for row in rows}
            self.done += [_row(unit.source, digests[unit.source], firsts, made) for unit in units]
            read = {row.digest: row for row in made.values() if row.exit < FAILED and known.facts(row.digest) is None}
            new = sorted(read.values(), key=lambda row: row.digest or "")
            if not new and known.is_empty():
                raise self._nothing()
            with Parts(fresh, next_part(self.place)) as parts:
                self._write(known, new, room, parts)
                return self._write_places(known, parts) or bool(new)

    def _units(self, room: Path) -> list[Unit]:
        """Return a unit for each source, but for what lies in the catalogue."""
        units = units_of(call_of("catalogue", self.reading, str(room.absolute()), program()), [self.folder])
        own = os.path.join(os.path.abspath(self.place), "")
        return [unit for unit in units if not os.path.join(unit.place, "").startswith(own)]

    def _over(self, units: list[Unit], work: Callable[[Unit], BatchedSource], doing: str) -> Iterator[BatchedSource]:
        if not units:
            return
        count = min(self.workers, len(units))
        rows = over_processes(iter(units), count, usual_memory(count), work)
        with closing(rows) as open_rows, stage(doing, "sets", len(units)) as advance:  # type: ignore[type-var]
            for row in open_rows:
                yield row
                advance(1)

    def _write(self, known: Register, new: list[BatchedSource], room: Path, parts: Parts) -> None:
        """Give all things of new sets their identities, then write the rows, set by set."""
        for at, row in enumerate(each(new, "Recognising things", "sets")):
            found = read_projected(room / str(row.document))
            known.enter(at, str(row.digest), found["things"])
            known.enter_set(str(row.digest), found["set"])
        for at, row in enumerate(each(new, "Writing rows", "sets")):
            found = read_projected(room / str(row.document))
            for layer, rows in found["rows"].items():
                for own in identified(layer, rows, at, str(row.digest), known):
                    parts.add(layer, partition(own), [{**own, "set": row.digest, "source": row.source}])

    def _write_places(self, known: Register, parts: Parts) -> bool:
        """Write a row for each place at which something was found that was not there before."""
        found = False
        for row in self.done:
            facts: dict[str, Any] | None = known.facts(row.digest)
            if facts is None:
                facts = {"error": row.error}
            if known.enter_place(row.source, row.digest or row.error or ""):
                parts.add("sets", partition(facts), [{**facts, "set": row.digest, "source": row.source}])
                found = True
        return found

    def _nothing(self) -> SourceError:
        error = next((row.error for row in self.done if row.error), None)
        return SourceError("holds no set that can be read", where=self.folder, why=error, remedy="Check the path")


def _row(source: str, found: str | None, firsts: dict[str, Unit], made: dict[str, BatchedSource]) -> BatchedSource:
    """Return the row of a source: what came of reading it or a copy of it, or that it is known."""
    first = firsts.get(found or source)
    if first is None:
        return BatchedSource(source, found, 0, None, None, 0.0, kept=True)
    row = replace(made[first.source], document=None)
    return row if first.source == source else replace(row, source=source, seconds=0.0, counts={})

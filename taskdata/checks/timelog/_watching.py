"""Every log of a set is read once, piece by piece, and shown to all rules; none has it in memory as a whole."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import field
from functools import partial
from typing import Any, TypeVar

from taskdata.checks._once import once
from taskdata.checks.subject import Subject
from taskdata.checks.timelog._pieces import Numbers, Piece, StoredPiece, read_pieces, stored_pieces
from taskdata.dataclass import dataclass
from taskdata.errors import TaskdataError
from taskdata.findings import Place
from taskdata.isoxml.timelog.files import outcome_of, read_in_parts
from taskdata.isoxml.timelog.layout import Layout
from taskdata.isoxml.tree.document import Document, XmlFile
from taskdata.isoxml.tree.filenames import file_name
from taskdata.model.logs import Log
from taskdata.model.tasks import Task
from taskdata.progress import stage


@dataclass(frozen=True, eq=False)
class Stored:
    """The files of a log: name of the binary one, the header, what each record holds."""

    file: str
    header: XmlFile
    element: str | None
    layout: Layout

    def stores(self, name: str) -> bool:
        """Tell whether each record holds a field, by the standard's name; a constant of the header is not held."""
        return any(item.name == name for item in self.layout.fields)


@dataclass(frozen=True, eq=False)
class Track:
    """A log of a task."""

    task: Task
    log: Log
    has_utc: bool


@dataclass(frozen=True, eq=False)
class Source:
    """A log: how many records it holds, its files where it has any, its task where it belongs to one, its pieces."""

    count: int
    pieces: Callable[[], Iterator[Piece]]
    stored: Stored | None = None
    track: Track | None = None


class Watch:
    """What a rule finds out about one log while it is shown its pieces; ``wanted`` is False where it needs none."""

    wanted = True

    def see(self, piece: Any) -> None:
        """Look at the next records."""
        raise NotImplementedError


class StoredWatch(Watch):
    """Of the files of a log."""

    def __init__(self, stored: Stored, subject: Subject) -> None:
        self.stored, self.subject = stored, subject
        self.begin()

    def begin(self) -> None:
        """Prepare for the first records."""

    def see(self, piece: StoredPiece) -> None:
        """Look at the next records."""
        raise NotImplementedError


class TrackWatch(Watch):
    """Of a log of a task."""

    def __init__(self, track: Track, subject: Subject) -> None:
        self.track, self.subject = track, subject
        self.begin()

    def begin(self) -> None:
        """Prepare for the first records."""

    def see(self, piece: Piece) -> None:
        """Look at the next records."""
        raise NotImplementedError


Kind = TypeVar("Kind", bound=Watch)
_KINDS: list[type[Watch]] = []


def watches(kind: type[Kind]) -> type[Kind]:
    """Let a class be shown every log; put it above a subclass of `StoredWatch` or `TrackWatch`."""
    _KINDS.append(kind)
    return kind


@dataclass(eq=False)
class Tally:
    """Records with a fault: how many, the first and the last, where the first stands and what it has."""

    count: int = 0
    first: int = -1
    last: int = -1
    place: Place = field(default_factory=Place)
    value: Any = None

    def add(self, piece: Piece, records: Numbers, value: Callable[[int], Any] | None = None) -> None:
        """Count records of a piece; ``value`` tells what the first has."""
        if not len(records):
            return
        if not self.count:
            at = int(records[0])
            self.first, self.place = piece.first + at, piece.place(at)
            self.value = None if value is None else value(at)
        self.count += len(records)
        self.last = piece.first + int(records[-1])

    @property
    def where(self) -> str:
        """Which records, as words: ``record 5``, ``records 5 to 7``, ``12 records from 5 to 900``."""
        return extent(self.count, self.first, self.last)


def extent(count: int, first: int, last: int) -> str:
    """Return which records have a fault, as words; see ``Tally.where``."""
    if count == 1:
        return f"record {first}"
    return f"records {first} to {last}" if count == last - first + 1 else f"{count} records from {first} to {last}"


def found(subject: Subject, kind: type[Kind]) -> Iterator[Kind]:
    """Yield what a kind found out about each log.

    Raises
    ------
    Exception
        What it raised while it looked; others go on.
    """
    known = _results(subject)
    if kind not in known:
        _look(subject, known)
    for item in known[kind]:
        if isinstance(item, Exception):
            raise item
        yield item  # type: ignore[misc]  # of this kind by its key


@once
def _results(subject: Subject) -> dict[type[Watch], list[Watch | Exception]]:
    return {}


def _look(subject: Subject, known: dict[type[Watch], list[Watch | Exception]]) -> None:
    """Show every log to all kinds that have not seen them."""
    kinds = [kind for kind in _KINDS if kind not in known]
    known.update((kind, []) for kind in kinds)
    logs = sources(subject)
    with stage("Checking logs", "records", sum(source.count for source in logs)) as advance:
        for source in logs:
            looking = _begun(source, subject, kinds, known)
            for piece in source.pieces() if looking else ():
                looking = [watch for watch in looking if _seen(watch, piece, known)]
                advance(len(piece.lon))


def _begun(
    source: Source, subject: Subject, kinds: list[type[Watch]], known: dict[type[Watch], list[Watch | Exception]]
) -> list[Watch]:
    found: list[Watch] = []
    for kind in kinds:
        of = source.stored if issubclass(kind, StoredWatch) else source.track
        if of is not None:
            watch = kind(of, subject)  # type: ignore[call-arg]  # both kinds are made so
            known[kind].append(watch)
            found += [watch] if watch.wanted else []
    return found


def _seen(watch: Watch, piece: Piece, known: dict[type[Watch], list[Watch | Exception]]) -> bool:
    """Show a piece; return False where that fails, which the rule tells later."""
    try:
        watch.see(piece)
    except (TaskdataError, OSError):
        raise
    except Exception as error:  # whatever one rule does wrong must not hide what the others find
        results = known[type(watch)]
        results[results.index(watch)] = error
        return False
    return True


@once
def sources(subject: Subject) -> tuple[Source, ...]:
    """Return every log that can be read: by its files, each once, or from records without files."""
    tasks: dict[str, tuple[Task, Log]] = {}
    for task in subject.dataset.tasks:
        for log in task.logs:
            tasks.setdefault(log.file.upper(), (task, log))
    if subject.document is not None:
        return tuple(_stored(subject, tasks))
    return tuple(
        Source(log.length, partial(_read, task, log), track=Track(task, log, has_utc=False))
        for task, log in tasks.values()
        if log.length is not None
    )


def logged(subject: Subject) -> dict[str, int]:
    """Return how many records the logs of each task hold, by its identifier; tasks without any are left out."""
    known = (source for source in sources(subject) if source.track is not None)
    sizes = {source.track.log.file.upper(): source.count for source in known if source.track is not None}
    counts = {task.id: sum(sizes.get(log.file.upper(), 0) for log in task.logs) for task in subject.dataset.tasks}
    return {task: count for task, count in counts.items() if count}


def _stored(subject: Subject, tasks: dict[str, tuple[Task, Log]]) -> Iterator[Source]:
    done: set[str] = set()
    for element in subject.tagged("TLG"):
        name = (file_name(element) or "").upper()
        header, binary, document = subject.header(name), subject.file(f"{name}.BIN"), subject.document
        if document is None or header is None or binary is None or header.root.tag != "TIM" or name in done:
            continue
        outcome = outcome_of(document, name)
        if outcome is None or outcome.layout is None:
            continue
        done.add(name)
        stored = Stored(binary.name, header, subject.place(element).element, outcome.layout)
        known = tasks.get(header.name.upper().removesuffix(".XML"))
        track = None if known is None else Track(*known, has_utc=_has_utc(outcome.layout))
        yield Source(outcome.records, partial(_pieces, document, name, stored), stored, track)


def _pieces(document: Document, name: str, stored: Stored) -> Iterator[Piece]:
    return stored_pieces(read_in_parts(document, name), partial(_place, stored.file, stored.element))


def _read(task: Task, log: Log) -> Iterator[Piece]:
    return read_pieces(log.parts(), partial(_place, log.file, task.id))


def _place(file: str, element: str | None, record: int, offset: int | None) -> Place:
    return Place(file=file, element=element, record=record, offset=offset)


def _has_utc(layout: Layout) -> bool:
    known = {*layout.constants, *(item.name for item in layout.fields)}
    return {"GpsUtcDate", "GpsUtcTime"} <= known

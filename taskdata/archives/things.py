"""What the things of one set are recognised by in other sets, as plain data that travels to any process.

The steps are those of merging (``taskdata.sets.joining.steps``), as keys that can be looked up: a link, identifier and
content, what a device or a log says of itself, the ground of a field, the place of a line, identifier and name.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Mapping
from typing import Any, TypedDict

import shapely

from taskdata.isoxml.facts import elements, letter
from taskdata.isoxml.tree.element import Element
from taskdata.isoxml.tree.filenames import file_name
from taskdata.model.dataset import Dataset
from taskdata.sets.joining.contents import Contents
from taskdata.sets.joining.places import points_of
from taskdata.sets.joining.same_work import PLANNED
from taskdata.sets.joining.sources import RankedSource, stamps
from taskdata.sets.joining.steps import common_name, spots_of
from taskdata.sets.joining.things import MergedEntities
from taskdata.sets.side import Side, name_of

KINDS = ("machines", "fields", "tasks", "guidance", "logs")
"""Kinds of things, those that others refer to first."""

_CATALOGUED = {"DVC": "machines", "PFD": "fields"}
_SHORTEST = 64
"""Bytes from which on the beginnings of a log are told from others, at every power of two."""


class Key(TypedDict):
    """One key of a thing.

    ``how`` is the step, ``text`` what is equal in equal things, ``scope`` whose identities count too (``parent``,
    ``refs`` or none), ``test`` and ``facts`` what is compared where the keys are equal, and ``use`` whether others are
    looked for by it (``find``), others find this by it (``leave``), or both.
    """

    how: str
    text: str
    scope: str
    test: str
    facts: Any
    use: str


class Thing(TypedDict):
    """A thing of a set: its kind, the key of its element, and what tells it.

    ``parent`` is the field that a task or a line is for, or the task of a log, ``refs`` the machines and fields that it
    refers to, each as kind and key; ``outline`` that of a field as hexadecimal WKB.
    """

    kind: str
    key: int
    parent: list[Any] | None
    refs: list[list[Any]]
    name: str
    marks: list[list[str]]
    keys: list[Key]
    outline: str | None


class _Tokens(MergedEntities):
    """What references of one set mean to other sets: the kind of thing, and what it says of itself."""

    def token(self, index: int, identifier: str) -> str:
        """Return the name of what a reference points to, else all that it says; what is catalogued counts apart."""
        target = self.sources[index].target(identifier)
        if target is None or target.tag in _CATALOGUED:
            return identifier if target is None else f"@{target.tag}"
        if target.tag == "DET":
            return f"@DET {target.get('DeviceElementNumber')}"
        fact = elements().get(target.tag)
        left_out = {item.letter for item, _ in target.references()} | {None if fact is None else fact.id_letter}
        said = (f"{name}={text}" for name, text in sorted(target.attributes.items()) if name not in left_out)
        return f"{target.tag} {common_name(target) or ' '.join(said)}"


class SetThings:
    """The things of one set.

    Parameters
    ----------
    side : Side
        The set.
    """

    def __init__(self, side: Side) -> None:
        self.side = side
        self.source = RankedSource(side)
        self.contents = Contents([self.source], _Tokens([self.source]))
        self.elements = {key: element for element, key in side.document.keys.items()}
        self.owners: dict[str, tuple[str, int]] = {}

    def all(self) -> Iterator[Thing]:
        """Yield every thing that is catalogued, by kind; ``owners`` then tells whose identifiers are whose."""
        for kind, key, home in _records(self.side.dataset):
            element = self.elements.get(key)
            if element is not None:
                parent = self._field(element) if kind == "tasks" else home
                for item in element.walk():
                    if item.id is not None:
                        self.owners[item.id] = kind, key
                yield self._thing(kind, key, parent, element)

    def _thing(self, kind: str, key: int, parent: tuple[str, int] | None, element: Element) -> Thing:
        outline = self.side.outlines.get(element) if kind == "fields" else None
        return Thing(
            kind=kind,
            key=key,
            parent=None if parent is None else [*parent],
            refs=self._refs(element),
            name=common_name(element),
            marks=self._marks(element),
            keys=[*self._shared_keys(kind, element), *_KEYS[kind](self, element)],
            outline=None if outline is None else shapely.to_wkb(outline, hex=True),
        )

    def _field(self, task: Element) -> tuple[str, int] | None:
        """Return the field that a task names and the set has."""
        field = self.source.target(task.get("PartfieldIdRef") or "")
        return None if field is None or field.tag != "PFD" else ("fields", self.side.document.keys[field])

    def _refs(self, element: Element) -> list[list[Any]]:
        """Return which catalogued things an element refers to, parts of machines by the machine."""
        found: dict[tuple[str, int], None] = {}
        for item in element.walk():
            for _, text in item.references():
                target = self.source.target(text)
                while target is not None and target.tag == "DET":
                    target = target.parent
                if target is not None and target is not element and target.tag in _CATALOGUED:
                    found[_CATALOGUED[target.tag], self.side.document.keys[target]] = None
        return [list(item) for item in found]

    def _marks(self, element: Element) -> list[list[str]]:
        uuid = self.source.uuids.get(element.id or "")
        label = element.get("DeviceStructureLabel") if element.tag == "DVC" else None
        marks = {"uuid": uuid, "structure": label and label.upper()}
        return [[kind, mark] for kind, mark in marks.items() if mark]

    def _shared_keys(self, kind: str, element: Element) -> Iterator[Key]:
        for link in sorted(self.side.link(element)):
            yield _key("link", link)
        made = kind == "fields" and (element.id or "").startswith("PFD-") and not any(element.elements())
        if not made:  # nothing but its name tells it from any other
            scope = "parent" if kind in {"guidance", "logs"} else "refs"
            yield _key("content", f"{element.id} {self.contents.digest(0, element).hex()}", scope)

    def machine(self, element: Element) -> Iterator[Key]:
        """Yield what tells a description of a device from any other (ISO 11783-10, 5.3, A.1)."""
        marks = [(element.get(name) or "").upper() for name in ("ClientNAME", "DeviceStructureLabel")]
        if all(marks):
            yield _key("own", " ".join(marks))

    def field(self, element: Element) -> Iterator[Key]:
        """Yield identifier and name; two fields that both have an outline are not the same by these."""
        name = common_name(element)
        if name:
            owners = [self._meant(element, item) for item in ("CustomerIdRef", "FarmIdRef")]
            lies, text = element in self.side.outlines, f"{element.id} {name}"
            yield _key("name", f"no outline {text}", test="agree", facts=owners, use="find" if lies else "both")
            yield _key("name", f"outline {text}", test="agree", facts=owners, use="leave" if lies else "find")

    def task(self, element: Element) -> Iterator[Key]:
        """Yield how the logs of a task begin, without logs its first time of work, and identifier and name."""
        yield from self._work(element)
        told = name_of(element) or self._meant(element, "PartfieldIdRef")
        if element.id is None or not told:
            return
        found, made = stamps(element), element.id.startswith("TSK-")
        first = [time.get("Start") for time in element.elements("TIM")][:1]
        if made and not (first and first[0]):
            return
        facts = {
            "owners": [self._meant(element, item) for item in ("CustomerIdRef", "FarmIdRef")],
            "span": [min(found), max(found)] if found else None,
        }
        text = f"{element.id} {told} {first[0] if made else ''}"
        if self._field(element) is None:
            yield _key("plan", f"none {text}", "", "plan", facts)
            yield _key("plan", f"any {text}", "", "plan", facts, use="find")
        else:
            yield _key("plan", f"field {text}", "parent", "plan", facts)
            yield _key("plan", f"none {text}", "", "plan", facts, use="find")
            yield _key("plan", f"any {text}", "", "plan", facts, use="leave")

    def _work(self, element: Element) -> Iterator[Key]:
        logs = [log for log in element.elements("TLG") if file_name(log)]
        for log in logs:
            beginnings = self._beginnings(log)
            if beginnings:
                header = self.contents.header(0, file_name(log) or "").hex()
                yield _key("done", f"{header} {beginnings[0]}", test="longer", facts=beginnings)
        times = [time for time in element.elements("TIM") if time.get("Start") and time.get("Type") != PLANNED]
        if not logs and name_of(element) and element.get("PartfieldIdRef") and times:
            text = f"{name_of(element)} {times[0].get('Start')} {times[0].get('Type')}"
            yield _key("done", text, "parent")

    def line(self, element: Element) -> Iterator[Key]:
        """Yield kind, name and cells of a guidance line, which is the same where it lies within a decimetre."""
        points = points_of(element)
        if len(points):
            where = points.round(9).tolist()
            for spot in spots_of(element, points):
                yield _key("place", repr(spot), "parent", "place", where)

    def log(self, element: Element) -> Iterator[Key]:
        """Yield name and header of a log, which is the same where one of both is the beginning of the other."""
        name = file_name(element)
        beginnings = self._beginnings(element)
        if name is not None and beginnings:
            header = self.contents.header(0, name).hex()
            yield _key("own", f"{name} {header}", "parent", "longer", beginnings)

    def _meant(self, element: Element, name: str) -> str:
        return self.contents.text(0, element, letter(element.tag, name))

    def _beginnings(self, log: Element) -> list[str]:
        """Return digests of the beginnings of a log, of 64, 128, 256 ... bytes."""
        blob = self.source.file(f"{file_name(log)}.BIN")
        digest, found, count, due = hashlib.blake2b(digest_size=8), [], 0, _SHORTEST
        for piece in () if blob is None else blob.pieces():
            rest = memoryview(piece)
            while count + len(rest) >= due:
                digest.update(rest[: due - count])
                rest, count, due = rest[due - count :], due, 2 * due
                found.append(digest.hexdigest())
            digest.update(rest)
            count += len(rest)
        return found


_KEYS = {
    "machines": SetThings.machine,
    "fields": SetThings.field,
    "tasks": SetThings.task,
    "guidance": SetThings.line,
    "logs": SetThings.log,
}


def _key(how: str, text: str, scope: str = "", test: str = "", facts: Any = None, *, use: str = "both") -> Key:
    return Key(how=how, text=text, scope=scope, test=test, facts=facts, use=use)


def _records(dataset: Dataset) -> Iterator[tuple[str, int, tuple[str, int] | None]]:
    """Yield kind and key of each record, and of the one it lies in."""
    found: Mapping[str, Any] = {"machines": dataset.machines, "fields": dataset.fields, "tasks": dataset.tasks}
    for kind, records in found.items():
        yield from ((kind, item.key, None) for item in records if item.key is not None)
    for field in dataset.fields:
        for line in (*field.guidance, *field.line_guidance):
            if line.key is not None and field.key is not None:
                yield "guidance", line.key, ("fields", field.key)
    for task in dataset.tasks:
        for log in task.logs:
            if log.key is not None and task.key is not None:
                yield "logs", log.key, ("tasks", task.key)

"""The lossless tree: elements, runs of points, and whatever else stands in an XML file."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from functools import cache
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from taskdata.findings import Place
from taskdata.isoxml.facts import AttributeFact, elements, letter, references
from taskdata.isoxml.tree.decimals import DecimalColumn
from taskdata.isoxml.tree.point_store import PointStore

POINT = "PNT"


class OtherNode:
    """Something in an XML file that is neither element nor blank: text, a comment or a processing instruction."""

    __slots__ = ("kind", "text")

    def __init__(self, kind: str, text: str) -> None:
        self.kind = kind
        self.text = text


class PointRun:
    """Consecutive points (PNT) of one parent with the same numeric attributes, as columns.

    ``len(run)`` points with the attribute letters ``names``, in the order of the source.
    """

    __slots__ = ("start", "stop", "store")

    def __init__(self, store: PointStore, start: int, stop: int) -> None:
        self.store = store
        self.start = start
        self.stop = stop

    @classmethod
    def of(cls, columns: Mapping[str, Sequence[str]]) -> PointRun:
        """Make a run from attribute letters and texts.

        Raises
        ------
        ValueError
            The columns have different lengths.
        """
        store = PointStore(tuple(columns))
        store.columns = tuple(DecimalColumn.from_texts(texts) for texts in columns.values())
        store.lines = np.zeros(max(map(len, store.columns), default=0), np.int64)
        if any(len(column) != len(store.lines) for column in store.columns):
            raise ValueError("the columns of a run must have one length")
        return cls(store, 0, len(store.lines))

    def only(self, kept: NDArray[np.bool_]) -> PointRun:
        """Return a run of the points where ``kept`` (n,) is True, with columns of its own."""
        rows = self.start + np.flatnonzero(kept)
        return PointRun(self.store.chosen(rows), 0, len(rows))

    @staticmethod
    def each_only(kept: Sequence[tuple[PointRun, NDArray[np.intp]]]) -> list[PointRun]:
        """Return of each run one of some of its points, by their numbers in it; those of one store share one again."""
        by_store: dict[PointStore, list[NDArray[np.intp]]] = {}
        for run, numbers in kept:
            by_store.setdefault(run.store, []).append(run.start + numbers)
        stores = {store: store.chosen(np.concatenate(rows)) for store, rows in by_store.items()}
        ends = dict.fromkeys(stores, 0)
        found = []
        for run, numbers in kept:
            start = ends[run.store]
            ends[run.store] = start + len(numbers)
            found.append(PointRun(stores[run.store], start, ends[run.store]))
        return found

    def __len__(self) -> int:
        return self.stop - self.start

    @property
    def names(self) -> tuple[str, ...]:
        """Attribute letters in the order of the source."""
        return self.store.names

    def line(self, index: int) -> int:
        """Return the line of point ``index`` in its file, 0 if unknown."""
        return int(self.store.lines[self.start + index])

    def texts(self, name: str) -> list[str]:
        """Return the values of attribute letter ``name``, exactly.

        Raises
        ------
        KeyError
            The run has no such attribute.
        """
        return self.column(name).texts(self.start, self.stop)

    def floats(self, name: str) -> NDArray[np.float64]:
        """Return the values of attribute letter ``name`` as numbers, NaN where absent or no number."""
        if name not in self.names:
            return np.full(len(self), np.nan)
        return self.column(name).floats(self.start, self.stop, _largest(name))

    def positions(self) -> NDArray[np.float64]:
        """Return longitude and latitude, float64 (n, 2), NaN where absent or no number.

        They are a view, not to be written to, of what all runs of the store share: turned into numbers once.
        """
        if self.store.positions is None:
            whole = PointRun(self.store, 0, len(self.store.lines))
            columns = [whole.floats(letter(POINT, name)) for name in ("PointEast", "PointNorth")]
            self.store.positions = self.store.arrays.kept(np.column_stack(columns))
            self.store.positions.flags.writeable = False
        return self.store.positions[self.start : self.stop]

    def rows(self) -> Iterator[dict[str, str]]:
        """Yield the attributes of each point."""
        for values in zip(*(self.texts(name) for name in self.names), strict=True):
            yield dict(zip(self.names, values, strict=True))

    def column(self, name: str) -> DecimalColumn:
        """Return the shared column of attribute letter ``name``; this run is its rows ``start`` to ``stop``."""
        if name not in self.names:
            raise KeyError(name)
        return self.store.columns[self.names.index(name)]


class Element:
    """One XML element with its attributes in order, its children, and where it stands.

    ``attributes`` maps names as written (letters, mostly) to texts exactly. ``element["PartfieldDesignator"]``
    and ``element.get(...)`` go by the standard's name instead.
    """

    __slots__ = ("attributes", "children", "file", "line", "parent", "tag")

    def __init__(
        self,
        tag: str,
        attributes: dict[str, str] | None = None,
        *,
        file: str = "",
        line: int = 0,
        parent: Element | None = None,
    ) -> None:
        self.tag = tag
        self.attributes: dict[str, str] = {} if attributes is None else attributes
        self.children: list[Node] = []
        self.file = file
        self.line = line
        self.parent = parent

    def __getitem__(self, name: str) -> str:
        return self.attributes[letter(self.tag, name)]

    def get(self, name: str) -> str | None:
        """Return the attribute with the standard's ``name``, None where it is absent or blank."""
        return self.attributes.get(letter(self.tag, name)) or None

    def set(self, name: str, value: str | None) -> None:
        """Set the attribute with the standard's ``name``; None removes it."""
        if value is None:
            self.attributes.pop(letter(self.tag, name), None)
        else:
            self.attributes[letter(self.tag, name)] = value

    @property
    def id(self) -> str | None:
        """The identifier, where the standard gives this element one and the file fills it."""
        fact = elements().get(self.tag)
        if fact is None or fact.id_letter is None:
            return None
        return self.attributes.get(fact.id_letter) or None

    def references(self) -> Iterator[tuple[AttributeFact, str]]:
        """Yield every filled attribute that names another element, with the identifier in it."""
        for fact in references(self.tag):
            if text := self.attributes.get(fact.letter):
                yield fact, text

    def append(self, node: Node) -> None:
        """Add a child at the end."""
        if isinstance(node, Element):
            node.parent = self
        self.children.append(node)

    def elements(self, tag: str | None = None) -> Iterator[Element]:
        """Yield child elements (points in runs not among them), all or of one tag."""
        for child in self.children:
            if isinstance(child, Element) and (tag is None or child.tag == tag):
                yield child

    def walk(self) -> Iterator[Element]:
        """Yield this element and all below it in document order, points in runs not among them."""
        stack = [self]
        while stack:
            node = stack.pop()
            yield node
            if node.children:
                stack += [child for child in reversed(node.children) if isinstance(child, Element)]

    def point_count(self) -> int:
        """How many points (PNT) are children, in runs or not."""
        count = 0
        for child in self.children:
            if isinstance(child, PointRun):
                count += child.stop - child.start
            elif isinstance(child, Element) and child.tag == POINT:
                count += 1
        return count

    def point_numbers(self, name: str) -> NDArray[np.float64]:
        """Return an attribute (by the standard's name) of all child points as float64, NaN where absent."""
        key = letter(POINT, name)
        parts: list[NDArray[np.float64]] = []
        for child in self.children:
            if isinstance(child, PointRun):
                parts.append(child.floats(key))
            elif isinstance(child, Element) and child.tag == POINT:
                parts.append(child._number(name))
        return np.concatenate(parts) if parts else np.empty(0)

    def coordinates(self) -> NDArray[np.float64]:
        """Return longitude and latitude of all child points, float64 (n, 2), NaN where absent or no number."""
        parts: list[NDArray[np.float64]] = []
        for child in self.children:
            if isinstance(child, PointRun):
                parts.append(child.positions())
            elif isinstance(child, Element) and child.tag == POINT:
                parts.append(child.own_coordinates())
        return np.concatenate(parts) if parts else np.empty((0, 2))

    def _number(self, name: str) -> NDArray[np.float64]:
        """Return an attribute of a point, by the standard's name, as float64 (1,), NaN where absent."""
        key = letter(POINT, name)
        return DecimalColumn.from_texts([self.attributes.get(key, "")]).floats(most=_largest(key))

    def own_coordinates(self) -> NDArray[np.float64]:
        """Return longitude and latitude of this point (PNT), float64 (1, 2), NaN where absent or no number."""
        return np.column_stack([self._number("PointEast"), self._number("PointNorth")])

    def nearest_id(self) -> str | None:
        """Return the identifier of the nearest identified element at or above."""
        node: Element | None = self
        while node is not None:
            if node.id is not None:
                return node.id
            node = node.parent
        return None

    def path(self) -> str:
        """Return the XPath of the element in its file."""
        steps: list[str] = []
        node = self
        while node.parent is not None:
            steps.append(f"{node.tag}[{_position(node)}]")
            node = node.parent
        return "/".join(["", node.tag, *reversed(steps)])

    def place(self) -> Place:
        """Where the element stands, for a finding."""
        return Place(file=self.file or None, line=self.line or None, element=self.nearest_id(), path=self.path())


Node: TypeAlias = Element | PointRun | OtherNode


@cache
def _largest(name: str) -> float | None:
    """Return the largest value that the attribute letter ``name`` of a point can have; None where that is unknown."""
    fact = elements()[POINT].attributes.get(name)
    return None if fact is None or fact.maximum is None else float(fact.maximum)


def _position(element: Element) -> int:
    """Position among the siblings of the same tag, counted from 1."""
    position = 1
    for sibling in element.parent.children if element.parent else ():
        if sibling is element:
            break
        if isinstance(sibling, Element):
            position += sibling.tag == element.tag
        elif isinstance(sibling, PointRun) and element.tag == POINT:
            position += len(sibling)
    return position

"""The placemarks of a KML file as tables, one a folder; tracks with times as logs."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Iterator
from contextlib import suppress
from dataclasses import field
from pathlib import Path
from typing import Any

import pyarrow as pa
import pyarrow.compute as pc

from taskdata.dataclass import dataclass
from taskdata.errors import UnfitError
from taskdata.findings import Finding, Place
from taskdata.formats.base import RawTable
from taskdata.formats.columns import GEOMETRY
from taskdata.formats.drivers.kml_shapes import Shapes, tracks_of
from taskdata.formats.drivers.kml_tracks import HEIGHTS, Track, track
from taskdata.formats.geometries.nested import Notes, shape
from taskdata.formats.geometries.shapes import to_wkb
from taskdata.formats.markup.events import Event, Node
from taskdata.formats.markup.growing import TIME, Growing
from taskdata.formats.markup.moments import moment
from taskdata.raised_rules.import_.bad_geometry import RULE as BAD_GEOMETRY
from taskdata.raised_rules.import_.heights_left_out import RULE as HEIGHTS_LEFT_OUT
from taskdata.raised_rules.import_.heights_taken import RULE as HEIGHTS_TAKEN
from taskdata.raised_rules.import_.link_not_followed import RULE as LINK_NOT_FOLLOWED
from taskdata.raised_rules.import_.open_ring import RULE as OPEN_RING
from taskdata.raised_rules.import_.part_left_out import RULE as PART_LEFT_OUT
from taskdata.raised_rules.import_.value_left_out import RULE as VALUE_LEFT_OUT

THROUGH = frozenset({"kml", "Document", "Folder"})
"""The elements that are gone through."""

_SAID = ("name", "address", "phoneNumber", "Snippet", "snippet", "description")
_TIMES = {("TimeStamp", "when"): "time", ("TimeSpan", "begin"): "begin", ("TimeSpan", "end"): "end"}
_OVERLAYS = frozenset({"GroundOverlay", "ScreenOverlay", "PhotoOverlay", "Tour"})
_ON_GROUND = "KML says that its shapes lie on the ground or are measured from it"
_TEXTS = frozenset({"name", "description", "address", "phoneNumber", "Snippet", "snippet"})
_TYPES = {
    "int": pa.int64(),
    "uint": pa.int64(),
    "short": pa.int64(),
    "ushort": pa.int64(),
    "float": pa.float64(),
    "double": pa.float64(),
    "bool": pa.bool_(),
    "string": pa.string(),
}


@dataclass
class _Folder:
    """A folder or document while it is read."""

    name: str | None = None
    rows: Growing = field(
        default_factory=lambda: Growing(
            {"name": pa.string(), **dict.fromkeys(_TIMES.values(), TIME), GEOMETRY: pa.large_binary()}
        )
    )
    types: dict[str, pa.DataType] = field(default_factory=dict)
    fields: dict[str, pa.DataType] = field(default_factory=dict)
    noted: dict[int, tuple[str | None, Notes]] = field(default_factory=dict)
    heights: int = 0


class Reading:
    """What was read so far.

    Parameters
    ----------
    path : Path
        The file, for messages and names.
    """

    def __init__(self, path: Path) -> None:
        self.path = path
        self.findings: list[Finding] = []
        self._open: list[_Folder] = []
        self._folders: list[_Folder] = []
        self._tracks: list[tuple[str | None, Track]] = []
        self._schemas: dict[str, dict[str, str]] = {}
        self._features = {"Placemark"}
        self._links: list[str] = []
        self._overlays: Counter[str] = Counter()

    def take(self, event: Event) -> None:
        """Take what comes next."""
        kind, tag, node = event
        if kind == "begin":
            self._open.append(_Folder())
            self._folders.append(self._open[-1])
        elif kind == "end":
            self._open.pop()
        elif tag in self._features:
            self._feature(node, self._open[-1])
        elif tag == "name":
            self._open[-1].name = node.text.strip() or None
        elif tag == "Schema":
            self._schema(node)
        elif tag == "NetworkLink":
            self._links.append((node.of("Link", "href") or node.of("Url", "href") or "").strip())
        elif tag in _OVERLAYS:
            self._overlays[tag] += 1

    def tables(self) -> list[RawTable]:
        """Return what there is."""
        filled = [folder for folder in self._folders if folder.rows.count]
        single = len(filled) + len(self._tracks) == 1
        self._tell_others()
        stem, names = self.path.stem, Counter[str]()
        tables = []
        for folder in filled:
            name = stem if single else folder.name or stem
            names[name] += 1
            name = name if names[name] == 1 else f"{name} ({names[name]})"
            stated = _stated(folder.rows.table(_TEXTS | folder.types.keys()), folder.fields)
            table = _typed(_filled(stated, folder.fields), folder.types | folder.fields)
            tables.append(RawTable(name, self.path.name, table, always_wgs84=True, heights=HEIGHTS))
            self._tell(folder, tables[-1])
        for number, (said, item) in enumerate(self._tracks, 1):
            name = said or (stem if len(self._tracks) == 1 else f"{stem} {number}")
            tables.append(RawTable(name, self.path.name, item.table, always_wgs84=True, heights=HEIGHTS, log=True))
            if item.high:
                place = Place(file=self.path.name)
                self.findings.append(HEIGHTS_TAKEN.at(place, layer=tables[-1].label, reason=HEIGHTS))
        return tables

    def _feature(self, node: Node, folder: _Folder) -> None:
        row: dict[str, Any] = dict(_said(node))
        for column, text, kind in self._data(node, folder):
            key = _free(column, text, row)
            row[key] = text if key != "time" else moment(text)
            if kind is not None:
                folder.types[key] = kind
        tracks, name = [track(item) for item in tracks_of(node)], row.get("name")
        timed = [item for item in tracks if item.timed]
        self._tracks += [(name, item) for item in timed]
        for item in tracks:
            if item.lost:
                what = f"{item.lost} positions or times of the track {name or 'without a name'} in {self.path.name}"
                reason = "they cannot be read, or have no counterpart"
                self.findings.append(VALUE_LEFT_OUT.at(Place(file=self.path.name), what=what, reason=reason))
        lines = [item.line for item in tracks if not item.timed and item.line is not None]
        self._shape(node, folder, row, lines, timed)

    def _shape(self, node: Node, folder: _Folder, row: dict[str, Any], lines: list[bytes], timed: list[Track]) -> None:
        notes, why, made = Notes(), None, None
        try:
            shapes = Shapes(node)
            folder.heights += shapes.heights
            made = None if shapes.nested is None else shape(shapes.nested, notes)
        except UnfitError as error:
            why = str(error)
        if timed and made is None and why is None:
            self._tell_of_track(row)
            return
        records = [*([] if made is None else [to_wkb(made)]), *lines]
        number = folder.rows.add(row | {GEOMETRY: records[0] if records else None})
        for record in records[1:]:
            folder.rows.add(row | {GEOMETRY: record})
        if why is not None or notes.left_out or notes.closed:
            folder.noted[number] = (why, notes)

    def _tell_of_track(self, row: dict[str, Any]) -> None:
        rest = [key for key in row if key != "name"]
        if rest:
            what = f"What the track {row.get('name', 'without a name')} says of itself ({', '.join(rest)})"
            reason = "a log has no place for it"
            self.findings.append(VALUE_LEFT_OUT.at(Place(file=self.path.name), what=what, reason=reason))

    def _schema(self, node: Node) -> None:
        fields = {item.attributes.get("name", ""): item.attributes.get("type", "") for item in node.all("SimpleField")}
        for key in ("id", "name"):
            if node.attributes.get(key):
                self._schemas.setdefault(node.attributes[key], fields)
        if "parent" in node.attributes and node.attributes.get("name"):  # KML 2.0: its features are named as it is
            self._features.add(node.attributes["name"])

    def _data(self, node: Node, folder: _Folder) -> Iterator[tuple[str, str, pa.DataType | None]]:
        """Yield name, text and stated type of the data of a feature."""
        for extended in node.all("ExtendedData"):
            for item in extended.children:
                if item.tag == "Data":
                    yield item.attributes.get("name", "data"), item.of("value") or "", None
                elif item.tag == "SchemaData":
                    fields = self._schemas.get(item.attributes.get("schemaUrl", "").rpartition("#")[2], {})
                    folder.fields |= {
                        name: _TYPES.get(kind.removeprefix("xsd:"), pa.string()) for name, kind in fields.items()
                    }
                    for cell in item.all("SimpleData"):
                        name = cell.attributes.get("name", "data")
                        yield name, cell.text, _TYPES.get(fields.get(name, "").removeprefix("xsd:"))
                else:
                    yield from ((leaf.tag, leaf.text.strip(), None) for leaf in _leaves(item))

    def _tell(self, folder: _Folder, raw: RawTable) -> None:
        label = raw.label
        for number, (why, notes) in folder.noted.items():
            place = Place(file=self.path.name, record=number - 1)
            if why is not None:
                self.findings.append(BAD_GEOMETRY.at(place, row=number, layer=label, reason=why))
            self.findings += [PART_LEFT_OUT.at(place, row=number, layer=label, reason=part) for part in notes.left_out]
            if notes.closed:
                counted = "1 ring" if notes.closed == 1 else f"{notes.closed} rings"
                self.findings.append(OPEN_RING.at(place, count=counted, row=number, layer=label))
        if folder.heights:
            self.findings.append(HEIGHTS_LEFT_OUT.at(Place(file=self.path.name), layer=label, reason=_ON_GROUND))

    def _tell_others(self) -> None:
        place = Place(file=self.path.name)
        if self._links:
            first = self._links[0][:100] or "without an address"
            more = f" and {len(self._links) - 1} more" if len(self._links) > 1 else ""
            what = f"the link {first}{more}"
            self.findings.append(LINK_NOT_FOLLOWED.at(place, file=self.path.name, what=what))
        for tag, count in self._overlays.items():
            what = f"{count} element{'s' if count > 1 else ''} {tag} of {self.path.name}"
            self.findings.append(
                VALUE_LEFT_OUT.at(place, what=what, reason="it is a picture or a flight, and no shape")
            )


def _said(node: Node) -> Iterator[tuple[str, Any]]:
    """Yield what a feature says of itself."""
    for tag in _SAID:
        text = node.of(tag)
        if text is not None:
            yield tag, text
    for path, name in _TIMES.items():
        text = node.of(*path)
        found = moment(text)
        if found is not None:
            yield name, found
        elif text is not None:
            yield f"{name}_text", text.strip()


def _free(name: str, text: str, row: dict[str, Any]) -> str:
    """Return the name of a column for a value; where the feature itself says another thing by that name, another."""
    same = name not in row or row[name] == text
    if (same and name not in {*_TIMES.values(), GEOMETRY}) or (name == "time" and same and moment(text) is not None):
        return name
    return _free(f"{name}_data", text, row)


def _leaves(node: Node) -> Iterator[Node]:
    if not node.children:
        yield node
    for child in node.children:
        yield from _leaves(child)


def _stated(table: pa.Table, fields: Iterable[str]) -> pa.Table:
    """Return a table with a column for each field of its schema, also where no row fills it."""
    for name in fields:
        if name not in table.column_names:
            table = table.add_column(table.num_columns - 1, name, pa.nulls(table.num_rows, pa.string()))
    return table


def _filled(table: pa.Table, fields: Collection[str]) -> pa.Table:
    """Return a table without times that no row has; without a schema, without names that no row has either."""
    names = set(_TIMES.values()) - set(fields) | ({"name"} if not fields else set())
    return table.select(
        [name for name in table.column_names if name not in names or table[name].null_count < table.num_rows]
    )


def _typed(table: pa.Table, types: dict[str, pa.DataType]) -> pa.Table:
    """Return a table whose columns are of the types that a schema states, as far as their texts can be."""
    for name, kind in types.items():
        if name in table.column_names and pa.types.is_string(table[name].type) and not pa.types.is_string(kind):
            trimmed = pc.utf8_trim_whitespace(table[name])
            filled = pc.if_else(pc.equal(trimmed, ""), None, trimmed)
            with suppress(pa.ArrowInvalid):
                table = table.set_column(table.column_names.index(name), name, filled.cast(kind))
    return table

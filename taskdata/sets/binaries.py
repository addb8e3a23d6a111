"""What differs in the files of two sets beside the XML of the task data: logs, grids, point files, attachments."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from taskdata.findings import Fact
from taskdata.isoxml.binary.points import read_points
from taskdata.isoxml.files.blob import Blob
from taskdata.isoxml.tree.differences import digest
from taskdata.isoxml.tree.document import Document
from taskdata.isoxml.tree.element import POINT, Element
from taskdata.isoxml.tree.filenames import BINARY, FILE_KINDS, file_names
from taskdata.phrases import phrase
from taskdata.results.comparison import Difference, DifferenceKind
from taskdata.sets.keys import Ids, reference_letters
from taskdata.sets.logs import log_differences
from taskdata.sets.pairing import Pairs
from taskdata.sets.shapes import PLACES
from taskdata.sets.side import Side


def binary_differences(one: Element, two: Element, first: Side, second: Side, pairs: Pairs) -> Iterator[Difference]:
    """Yield what differs in the files that two elements name."""
    left, right = _blob(first, one), _blob(second, two)
    if one.tag == "TLG":
        yield from _headers(one, two, (first, second), pairs.ids)
    thing = _thing(one, left or right)
    if left is None or right is None:
        sizes = [None if blob is None else blob.size for blob in (left, right)]
        if left is not right:
            yield _changed(one, two, phrase("content of {thing}, bytes", thing=thing), sizes[0], sizes[1], thing=thing)
        return
    if not _equal(left, right):
        yield from _contents((one, left), (two, right), (first, second), thing)


def _contents(
    here: tuple[Element, Blob], there: tuple[Element, Blob], sides: tuple[Side, Side], thing: str
) -> Iterator[Difference]:
    """Yield what differs in two files of one name and other bytes."""
    (one, left), (two, right) = here, there
    if one.tag == POINT:
        yield from _points(here, there, thing)
        return
    found: list[Difference] = []
    if one.tag == "TLG":
        found = log_differences(one, two, *sides, thing)
    elif one.tag == "GRD":
        found = _cells(one, two, sides, thing)
    if found:
        yield from found
    elif left.size != right.size:
        yield _changed(one, two, phrase("content of {thing}, bytes", thing=thing), left.size, right.size, thing=thing)
    else:
        yield _changed(
            one, two, phrase("content of {thing} of {size} bytes", thing=thing, size=left.size), None, None, thing=thing
        )


def stray_differences(first: Document, second: Document) -> Iterator[Difference]:
    """Yield what differs in files that no element of either set names."""
    left, right = _strays(first), _strays(second)
    for name, blob in left.items():
        other = right.get(name)
        what = phrase("file {name}, which nothing in the set names, bytes", name=blob.name)
        if other is None:
            if name not in second.others:
                yield Difference(
                    DifferenceKind.REMOVED,
                    None,
                    None,
                    what,
                    before=blob.size,
                    thing=phrase("file {name}", name=blob.name),
                )
        elif not _equal(blob, other):
            yield Difference(
                DifferenceKind.CHANGED,
                None,
                None,
                what,
                blob.size,
                other.size,
                thing=phrase("file {name}", name=blob.name),
            )
    for name, blob in right.items():
        if name not in left and name not in first.others:
            what = phrase("file {name}, which nothing in the set names, bytes", name=blob.name)
            yield Difference(
                DifferenceKind.ADDED, None, None, what, after=blob.size, thing=phrase("file {name}", name=blob.name)
            )


def _strays(document: Document) -> dict[str, Blob]:
    naming = (item for tag in (*BINARY, "AFE") for item in document.by_tag.get(tag, ()))
    named = {name.upper() for item in naming for name in file_names(item)[-1:]}
    return {name: blob for name, blob in document.others.items() if name not in named}


def _blob(side: Side, element: Element) -> Blob | None:
    if element.tag == "AFE":
        return side.document.others.get((element.get("FilenameWithExtension") or "").upper())
    return side.binary(element)


def _equal(left: Blob, right: Blob) -> bool:
    return left.size == right.size and digest(left) == digest(right)


def _thing(element: Element, blob: Blob | None) -> str:
    name = "" if blob is None else blob.name
    owner = element.nearest_id()
    told = phrase("{kind} {name}", kind=phrase(FILE_KINDS[element.tag]), name=name)
    return phrase("{thing} of {owner}", thing=told, owner=owner) if owner and element.tag != "AFE" else told


def _changed(one: Element, two: Element, what: str, before: Fact, after: Fact, *, thing: str) -> Difference:
    return Difference(DifferenceKind.CHANGED, one.nearest_id(), two.nearest_id(), what, before, after, thing=thing)


def _cells(one: Element, two: Element, sides: tuple[Side, Side], thing: str) -> list[Difference]:
    """Say how many cells of a grid differ; nothing where the two cannot be laid one over the other."""
    grids = [side.grids.get(side.document.keys[item]) for side, item in zip(sides, (one, two), strict=True)]
    cells = [None if grid is None else grid.cells for grid in grids]
    if cells[0] is None or cells[1] is None or cells[0].shape != cells[1].shape:
        return []
    other = cells[0] != cells[1]
    if not other.any():  # what follows the last cell differs
        return []
    per_cell = other.any(axis=2) if other.ndim == 3 else other
    row, column = (int(at) for at in np.argwhere(per_cell)[0])
    count, of = int(per_cell.sum()), per_cell.size
    where = phrase("column {column} from the west, row {row} from the south", column=column + 1, row=row + 1)
    told = (
        phrase("a cell ({where})", where=where)
        if count == 1
        else phrase("{count} of {of} cells (the first in {where})", count=count, of=of, where=where)
    )
    at = tuple(int(part) for part in np.argwhere(other)[0])
    values = int(cells[0][at]), int(cells[1][at])
    return [_changed(one, two, phrase("value of {cells} in {thing}", cells=told, thing=thing), *values, thing=thing)]


def _points(one: tuple[Element, Blob], two: tuple[Element, Blob], thing: str) -> Iterator[Difference]:
    """Say what differs in point files besides where the points lie."""
    left, right = (read_points(blob, point.attributes) for point, blob in (one, two))
    if left is None or right is None:
        return
    if len(left) != len(right):
        yield _changed(one[0], two[0], phrase("points in {thing}", thing=thing), len(left), len(right), thing=thing)
        return
    for field in left.layout.fields:
        if field.name not in PLACES[POINT] and field in right.layout.fields:
            other = left.rows[field.name] != right.rows[field.name]
            if other.any():
                at, count = int(np.argmax(other)), int(other.sum())
                values = int(left.rows[field.name][at]), int(right.rows[field.name][at])
                words = (
                    phrase("point {at}", at=at + 1)
                    if count == 1
                    else phrase("{count} points, the first is point {at}", count=count, at=at + 1)
                )
                yield _changed(
                    one[0],
                    two[0],
                    phrase("{name} of {points} in {thing}", name=field.name, points=words, thing=thing),
                    *values,
                    thing=thing,
                )


def _headers(one: Element, two: Element, sides: tuple[Side, Side], ids: Ids) -> Iterator[Difference]:
    """Yield what differs in what logs say that their records hold."""
    names = str(one.get("Filename")), str(two.get("Filename"))
    left, right = sides[0].document.header(names[0]), sides[1].document.header(names[1])
    before = [] if left is None else [_line(item, ids) for item in left.root.walk()]
    after = [] if right is None else [_line(item, {}) for item in right.root.walk()]
    if before == after:
        return
    gone, come = _only(before, after), _only(after, before)
    thing = phrase("log {name} of {owner}", name=names[0], owner=one.nearest_id())
    what = phrase("header of {thing}", thing=thing)
    if not (gone or come):
        what = phrase("{what}, order of its values", what=what)
    yield _changed(one, two, what, ", ".join(gone) or None, ", ".join(come) or None, thing=thing)


def _only(these: list[str], those: list[str]) -> list[str]:
    rest = list(those)
    found = []
    for line in these:
        if line in rest:
            rest.remove(line)
        else:
            found.append(line)
    return found


def _line(element: Element, ids: Ids) -> str:
    """Return an element of a header in one line, references carried over to the other set."""
    named = reference_letters(element.tag)
    said = (f'{name}="{ids.get(text, text) if name in named else text}"' for name, text in element.attributes.items())
    return " ".join([element.tag, *said])

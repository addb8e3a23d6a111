"""Whether two documents hold the same: every file, element, attribute, order and byte."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from itertools import zip_longest
from typing import TypeVar

import numpy as np

from taskdata.isoxml.files.blob import Blob
from taskdata.isoxml.tree.document import Document, XmlFile
from taskdata.isoxml.tree.element import POINT, Element, OtherNode, PointRun

_T = TypeVar("_T")


def differences(first: Document, second: Document) -> Iterator[str]:
    """Yield in plain words what differs between two documents; nothing if they hold the same.

    Not compared: where they were read from, line numbers, the case of file names, white space between elements, and
    how the XML files are encoded.
    """
    pairs = _pairs({_key(file): file for file in first.xml_files}, {_key(file): file for file in second.xml_files})
    for name, left, right in pairs:
        if left is None or right is None:
            yield f"file {name} is only in the {'first' if right is None else 'second'}"
        else:
            yield from differences_of_files(left, right)
    for name, one, two in _pairs(_readable(first), _readable(second)):
        if one is None or two is None:
            yield f"file {name} is only in the {'first' if two is None else 'second'}"
        elif one.size != two.size or digest(one) != digest(two):
            yield f"file {name} has other bytes"


def _readable(document: Document) -> dict[str, Blob]:
    return {name: blob for name, blob in document.others.items() if blob.fault is None}


def _key(file: XmlFile) -> str:
    return f"{file.name.upper()} ({file.role})"


def _pairs(first: dict[str, _T], second: dict[str, _T]) -> Iterator[tuple[str, _T | None, _T | None]]:
    for name in dict.fromkeys([*first, *second]):
        yield name, first.get(name), second.get(name)


def digest(blob: Blob) -> bytes | None:
    """Return what tells the bytes of a file from others, None where it cannot be read."""
    found = hashlib.sha256()
    for piece in blob.pieces():
        found.update(piece)
    return found.digest() if blob.fault is None else None


def differences_of_files(first: XmlFile, second: XmlFile) -> Iterator[str]:
    """Yield what differs in two XML files; see ``differences``."""
    for left, right in ((first.before, second.before), (first.after, second.after)):
        if [(stray.kind, stray.text) for stray in left] != [(stray.kind, stray.text) for stray in right]:
            yield f"{first.name}: comments or instructions outside the root differ"
    stack = [(first.root, second.root)]
    while stack:
        left_node, right_node = stack.pop()
        told = _nodes(left_node, right_node)
        if told is not None:
            yield f"{first.name} line {left_node.line}, {left_node.nearest_id() or left_node.tag}: {told}"
            continue
        stack.extend(zip(_branches(left_node), _branches(right_node), strict=True))


def _nodes(left: Element, right: Element) -> str | None:
    """Say what differs in two elements and in what they hold, branches apart."""
    if left.tag != right.tag:
        return f"{left.tag} against {right.tag}"
    if list(left.attributes.items()) != list(right.attributes.items()):
        return f"attributes of {left.tag} differ: {left.attributes} against {right.attributes}"
    if _same_shape(left, right):
        return None
    for one, two in zip_longest(_content(left), _content(right)):
        if one != two:
            return f"content of {left.tag} differs: {one} against {two}"
    return None


def _same_shape(left: Element, right: Element) -> bool:
    """Tell quickly whether two elements hold the same runs in the same places, and no other points or texts."""
    if len(left.children) != len(right.children):
        return False
    for one, two in zip(left.children, right.children, strict=True):
        if isinstance(one, PointRun) and isinstance(two, PointRun):
            if not _same_run(one, two):
                return False
        elif not (_is_branch(one) and _is_branch(two)):
            return False
    return True


def _content(element: Element) -> Iterator[tuple[str, object]]:
    """Yield what stands in an element as things that compare; a point is the same alone and in a run."""
    for child in element.children:
        if isinstance(child, PointRun):
            yield from ((POINT, list(row.items())) for row in child.rows())
        elif isinstance(child, OtherNode):
            yield (f"#{child.kind}", child.text)
        else:
            yield (child.tag, None if _is_branch(child) else list(child.attributes.items()))


def _branches(element: Element) -> Iterator[Element]:
    """Yield the elements in an element that are looked at on their own: all but bare points."""
    for child in element.elements():
        if _is_branch(child):
            yield child


def _is_branch(node: object) -> bool:
    return isinstance(node, Element) and (node.tag != POINT or bool(node.children))


def _same_run(one: PointRun, two: PointRun) -> bool:
    if len(one) != len(two) or one.names != two.names:
        return False
    for name in one.names:
        left, right = one.column(name), two.column(name)
        here, there = slice(one.start, one.stop), slice(two.start, two.stop)
        if not np.array_equal(left.digits[here], right.digits[there]):
            return False
        if not np.array_equal(left.scaled[here], right.scaled[there]):
            return False
        if (left.odd or right.odd) and one.texts(name) != two.texts(name):
            return False
    return True

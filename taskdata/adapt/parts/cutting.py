"""A part of a set as a set of its own."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import replace

from taskdata.adapt.parts.belonging import Belonging
from taskdata.isoxml.facts import letter
from taskdata.isoxml.tree.copying import copy_document
from taskdata.isoxml.tree.document import Document, XmlFile
from taskdata.isoxml.tree.element import Element, Node
from taskdata.isoxml.tree.filenames import LINK_LIST


def cut(belonging: Belonging, keep: Collection[Element], *, first: bool, remarks: bool = True) -> Document:
    """Return a set of its own with some things of a set.

    Parameters
    ----------
    belonging : Belonging
        The set; it stays as it is.
    keep : collection of Element
        The things, with all that they need.
    first : bool
        Whether it takes files that nothing in the set refers to, and links that lead nowhere.
    remarks : bool
        Whether it takes comments and texts that stand outside the things themselves, and groups of links without any.
    """
    whole = belonging.document
    here, named = (set().union(*map(belonging.files_of, things)) for things in (keep, belonging.things))
    elsewhere = named - here
    stays = here.__contains__ if not first else lambda name: name not in elsewhere
    files = []
    for file in whole.xml_files:
        if file.role == "linklist":
            linked = _linked(belonging, file, keep, first=first, remarks=remarks)
            if LINK_LIST in here or (LINK_LIST not in named and (first or _has_links(linked))):
                files.append(linked)
        elif file.role == "header":
            files += [file] if stays(file.name.upper()) else []
        elif file is whole.main or file.name.upper() in here:
            root = [node for node in file.root.children if (node in keep if isinstance(node, Element) else remarks)]
            files.append(_with_root(file, root, remarks=remarks))
    others = {name: blob for name, blob in whole.others.items() if stays(name)}
    return copy_document(replace(whole, xml_files=files, others=others))


def _with_root(file: XmlFile, children: list[Node], *, remarks: bool) -> XmlFile:
    root = Element(file.root.tag, file.root.attributes, file=file.root.file, line=file.root.line)
    root.children = children
    before, after = (file.before, file.after) if remarks else ([], [])
    return replace(file, root=root, blob=None, before=before, after=after)


def _has_links(file: XmlFile) -> bool:
    return any(element.tag == "LNK" for element in file.root.walk())


def _linked(belonging: Belonging, file: XmlFile, keep: Collection[Element], *, first: bool, remarks: bool) -> XmlFile:
    """Return a link list of what stands here.

    A group of which nothing is left goes, unless no other is left, or one of its kind follows, known by its place.
    """

    def stays(link: Node) -> bool:
        if not isinstance(link, Element) or link.tag != "LNK":
            return remarks
        owner = belonging.owner(link.get("ObjectIdRef"))
        return owner in keep if owner is not None else first

    children: list[Node] = []
    emptied: list[Element] = []
    for node in file.root.children:
        if not isinstance(node, Element):
            children += [node] if remarks else []
            continue
        group = Element(node.tag, dict(node.attributes), file=node.file, line=node.line)
        group.children = [child for child in node.children if stays(child)]
        if (len(group.children) < len(node.children) or not remarks) and not any(group.elements()):
            emptied.append(group)
        children.append(group)
    filled = [node for node in children if isinstance(node, Element) and node not in emptied]
    for group in emptied:
        if filled and not _precedes(group, filled, children):
            children.remove(group)
        elif not remarks:
            group.attributes.pop(letter("LGP", "LinkGroupDesignator"), None)
    return _with_root(file, children, remarks=remarks)


def _precedes(group: Element, filled: Collection[Element], children: Sequence[Node]) -> bool:
    """Tell whether a group stands before a filled one that only its place among such groups tells apart from it."""
    behind = children[children.index(group) :]
    return any(_space(other) == _space(group) for other in filled if other in behind)


def _space(group: Element) -> list[str | None]:
    """Return what a group says of what its links are."""
    names = ("LinkGroupType", "ManufacturerGLN", "LinkGroupNamespace") if group.tag == "LGP" else ()
    return [group.tag, *(group.get(name) for name in names)]

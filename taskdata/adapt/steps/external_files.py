"""External files are folded into the main file."""

from __future__ import annotations

from taskdata.adapt.adaptation import Adaptation, replace_child
from taskdata.isoxml.tree.element import Element, OtherNode
from taskdata.phrases import phrase


def fold_in(work: Adaptation) -> None:
    """Put the content of every external file (XFC) in the place of what names it (XFR)."""
    document = work.document
    files = {file.name.upper(): file for file in document.xml_files if file.role == "external"}
    for reference in work.tagged("XFR"):
        name = f"{reference.get('Filename')}.XML"
        file = files.pop(name.upper(), None)
        if reference.parent is None:
            continue
        if file is None:
            work.drop(
                None,
                phrase("reference to the external file {name}", name=name),
                phrase("there is no such file, or it was already named"),
            )
            work.remove(reference)
            continue
        work.alter(None, phrase("external file {name} becomes part of the main file", name=name))
        content = [child for child in file.root.children if isinstance(child, Element)]
        at = reference.parent.children.index(reference)
        reference.parent.children[at:at] = [child for child in file.root.children if isinstance(child, OtherNode)]
        replace_child(reference.parent, reference, content)
        document.xml_files.remove(file)

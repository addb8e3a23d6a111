"""A part of one set: of the document behind it where there is one, else of its records."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from taskdata.adapt.choosing.cutting_out import findings_of
from taskdata.adapt.choosing.cutting_out import part_of as cut_out
from taskdata.adapt.choosing.picking import Picks
from taskdata.adapt.choosing.records_out import records_of
from taskdata.exchange.agreement import noted_beside
from taskdata.exchange.counting import things
from taskdata.file_formats.table import ISOXML
from taskdata.isoxml.to_model.dataset import to_dataset
from taskdata.isoxml.tree.document import Document
from taskdata.isoxml.tree.element import Element, OtherNode
from taskdata.model.choice import Choice, Chosen
from taskdata.model.dataset import Dataset

_COUNTED = frozenset({"CTR", "FRM", "PFD", "PDT", "WKR", "CTP", "DVC", "TSK", "AFE", "XFR"})
"""Elements under the roots that are counted as records or files."""
_OF_LAYERS = "import."
"""How the rules begin that speak of layers, or of what was said of a source."""
_FREE_TEXT = "Designators and remarks go along as they are: whether they speak of other people cannot be told."


def part_of(dataset: Dataset, document: Document | None, choice: Choice, picks: Picks) -> Dataset:
    """Return what is picked of a set: cut out of the document behind it, or else of its records."""
    if document is None:
        part, notes = records_of(dataset, choice, picks)
        left = _less(things(dataset), things(part))
    else:
        cut = cut_out(document, dataset, choice, picks)
        fresh = to_dataset(cut.document)
        imported = dataset.format != ISOXML or any(item.rule.id.startswith(_OF_LAYERS) for item in dataset.noted)
        beside = noted_beside(to_dataset(document), dataset) if imported else []
        noted = (*findings_of(cut.document, document, beside), *fresh.noted)
        part = fresh.with_changes(source=dataset.source, format=dataset.format, losses=dataset.losses, noted=noted)
        notes = cut.notes
        left = {**_less(things(dataset), things(part)), **_less(_rest(document), _rest(cut.document))}
    if choice.names_something:
        notes = (*notes, _FREE_TEXT)
    return part.with_changes(chosen=Chosen.together([dataset.chosen, Chosen(MappingProxyType(left), notes)]))


def _less(whole: Mapping[str, int], part: Mapping[str, int]) -> dict[str, int]:
    return {kind: count - part.get(kind, 0) for kind, count in whole.items() if count > part.get(kind, 0)}


def _rest(document: Document) -> dict[str, int]:
    """Return how much of a document is no record: other elements under its roots, files, remarks outside of things."""
    roots = [file.root for file in document.task_files]
    others = (item for root in roots for item in root.elements() if item.tag not in _COUNTED)
    remarks = [
        node
        for file in document.xml_files
        for node in (*file.before, *file.after, *file.root.children)
        if isinstance(node, OtherNode)
    ]
    return {
        "links": 0 if document.link_list is None else sum(_is_link(item) for item in document.link_list.root.walk()),
        "other_elements": sum(1 for _ in others),
        "files": len(document.xml_files) - 1 + len(document.others),
        "remarks": len(remarks),
    }


def _is_link(element: Element) -> bool:
    return element.tag == "LNK"

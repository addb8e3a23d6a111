"""A chosen part of sets of any format: of the document behind them where there is one, else of their records."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from types import MappingProxyType

from taskdata.adapt.choosing.cutting_out import findings_of, part_of
from taskdata.adapt.choosing.leaving import refuse_unknown
from taskdata.adapt.choosing.picking import Missing, Picks, pick, refuse
from taskdata.adapt.choosing.records_out import records_of
from taskdata.errors import UsageError
from taskdata.exchange.agreement import in_agreement, noted_beside
from taskdata.exchange.counting import things
from taskdata.exchange.load import document_behind
from taskdata.file_formats.table import ISOXML
from taskdata.isoxml.to_model.dataset import to_dataset
from taskdata.isoxml.tree.document import Document
from taskdata.isoxml.tree.element import Element, OtherNode
from taskdata.model.choice import Choice, Chosen, Only
from taskdata.model.dataset import Dataset

_COUNTED = frozenset({"CTR", "FRM", "PFD", "PDT", "WKR", "CTP", "DVC", "TSK", "AFE", "XFR"})
"""Elements under the roots that are counted as records or files."""
_OF_LAYERS = "import."
"""How the rules begin that speak of layers, or of what was said of a source."""
_FREE_TEXT = "Designators and remarks go along as they are: whether they speak of other people cannot be told."


def chosen_part(dataset: Dataset, only: Only) -> Dataset:
    """Return the chosen part of a set, with all that it needs; ``chosen`` of the result tells what stayed behind.

    Raises
    ------
    UsageError
        A name fits nothing, or several things; or nothing is left of the set.
    """
    return chosen_parts([dataset], only)[0]


def chosen_parts(datasets: Iterable[Dataset], only: Only) -> list[Dataset]:
    """Return the chosen parts of several sets, in their order; see ``Choosing``.

    Raises
    ------
    UsageError
        A name fits in none of them, or several things of one; or nothing is left of any.
    """
    choosing = Choosing(only)
    parts = [choosing.part_of(dataset) for dataset in datasets]
    choosing.refuse_unfit()
    return parts


class Choosing:
    """One choice from several sets, one after the other: a name has to fit in one of them.

    Parameters
    ----------
    only : dict
        What is chosen, by the arguments of ``Dataset.only``.
    """

    def __init__(self, only: Only) -> None:
        self.choice = Choice.of(**only)
        self._missing: list[list[Missing]] = []
        self._notes: list[str] = []
        self._ids: dict[str, None] = {}
        self._fits = False

    def part_of(self, dataset: Dataset) -> Dataset:
        """Return the chosen part of a set, the set itself where nothing is chosen at all.

        Names that fit nothing are kept in mind for ``refuse_unfit``.

        Raises
        ------
        UsageError
            Several things have a name.
        """
        if not self.choice:
            return dataset
        dataset, _ = in_agreement(dataset)
        document = document_behind(dataset)
        picks = pick(dataset, self.choice)
        self._missing.append(picks.missing)
        self._notes += picks.notes
        self._fits |= bool(picks.customers or picks.farms or picks.fields or picks.tasks)
        if self.choice.leave_out:
            self._ids |= dict.fromkeys(_ids_of_records(dataset) if document is None else document.by_id)
        return _part(dataset, document, self.choice, picks)

    def refuse_unfit(self) -> None:
        """Refuse names that fit in none of the sets so far, and a choice that nothing fits.

        Raises
        ------
        UsageError
            There is one; the message names what is written most alike.
        """
        if not self.choice:
            return
        missing = [item for found in self._missing for item in found]
        refuse([item for item in missing if all(item.is_among(found) for found in self._missing)])
        refuse_unknown(self.choice.leave_out, self._ids)
        if self.choice.names_something and not self._fits:
            what = "nothing is chosen"
            why = " ".join(self._notes).rstrip(".") or None
            raise UsageError(what, why=why, remedy="Names of different kinds and dates narrow the choice; give fewer")


def _ids_of_records(dataset: Dataset) -> Iterable[str]:
    kinds = (dataset.customers, dataset.farms, dataset.fields, dataset.products, dataset.workers, dataset.crops)
    records = (item for kind in (*kinds, dataset.machines, dataset.tasks) for item in kind)
    parts = (item for kind in (dataset.guidance, dataset.areas, dataset.lines, dataset.points) for item in kind)
    yield from (item.id for item in records)
    yield from (item.id for item in parts if item.id is not None)


def _part(dataset: Dataset, document: Document | None, choice: Choice, picks: Picks) -> Dataset:
    if document is None:
        part, notes = records_of(dataset, choice, picks)
        left = _less(things(dataset), things(part))
    else:
        cut = part_of(document, dataset, choice, picks)
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

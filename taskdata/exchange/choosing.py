"""A chosen part of sets of any format; what cuts it out is loaded only where something is chosen."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from taskdata.errors import UsageError
from taskdata.exchange.agreement import in_agreement
from taskdata.exchange.behind import document_behind
from taskdata.model.choice import Choice, Only
from taskdata.model.dataset import Dataset

if TYPE_CHECKING:
    from taskdata.adapt.choosing.picking import Missing


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
        from taskdata.adapt.choosing.picking import pick
        from taskdata.exchange.parts import part_of

        dataset, _ = in_agreement(dataset)
        document = document_behind(dataset)
        picks = pick(dataset, self.choice)
        self._missing.append(picks.missing)
        self._notes += picks.notes
        self._fits |= bool(picks.customers or picks.farms or picks.fields or picks.tasks)
        if self.choice.leave_out:
            self._ids |= dict.fromkeys(_ids_of_records(dataset) if document is None else document.by_id)
        return part_of(dataset, document, self.choice, picks)

    def refuse_unfit(self) -> None:
        """Refuse names that fit in none of the sets so far, and a choice that nothing fits.

        Raises
        ------
        UsageError
            There is one; the message names what is written most alike.
        """
        if not self.choice:
            return
        from taskdata.adapt.choosing.leaving import refuse_unknown
        from taskdata.adapt.choosing.picking import refuse

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

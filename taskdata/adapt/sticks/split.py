"""A set over as few sticks as are needed, where it is more than a terminal takes at once.

A field stays with its tasks, guidance lines, zones, grids and logs; only where its tasks alone are too many, it stands
on several sticks with some of them on each. Fields come first, in the order of the set, then tasks without a field,
each onto the first stick with room for it and for all that it refers to. All else, such as workers and products to
choose from, stands on the other sticks too as far as there is room. Attached files are copied with what attaches them;
files that nothing refers to lie on the first stick.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from taskdata.adapt.adaptation import Adaptation
from taskdata.adapt.parts.belonging import Belonging
from taskdata.adapt.parts.cutting import cut
from taskdata.adapt.steps.root import state_writer
from taskdata.adapt.sticks.packing import Load, Packing
from taskdata.adapt.sticks.weights import COUNTED, excess, weight_of
from taskdata.dataclass import dataclass
from taskdata.isoxml.tree.copying import copy_document
from taskdata.isoxml.tree.document import Document
from taskdata.isoxml.writing.mended_lengths import mend_lengths
from taskdata.ledger import Loss, LossKind
from taskdata.model.receiver import Receiver
from taskdata.phrases import phrase

_NAMED = 8


@dataclass(frozen=True, eq=False)
class Stick:
    """One part of a set, which is a set of its own.

    Parameters
    ----------
    name : str
        Name of the folder for it, such as ``stick1``.
    document : Document
        The set.
    """

    name: str
    document: Document


def split(document: Document, receiver: Receiver) -> tuple[Document, list[Stick], list[Loss]]:
    """Part a set where it is more than a terminal takes at once.

    Parameters
    ----------
    document : Document
        The set; it stays as it is.
    receiver : Receiver
        What the terminal takes. A set is never split for a hint.

    Returns
    -------
    Document, list of Stick, list of Loss
        The whole set, which names this program as its last writer where it had to be split; its sticks, none where it
        fits as one; what goes where, and what stands on several sticks.

    Raises
    ------
    TargetError
        A field, task or other thing is more than the terminal takes, even alone.
    """
    receiver = receiver.confirmed
    if all(receiver.get(entry) is None for entry in COUNTED):
        return document, [], []
    beyond = excess(receiver, weight_of(document))
    if not beyond:
        return document, [], []
    document = copy_document(document)
    work = Adaptation(document, (document.version or (0, 0))[0])
    state_writer(work)
    document.touch()
    losses, belonging = work.losses, Belonging(document)
    loads = Packing(belonging, receiver).pack()
    if len(loads) == 1:
        return document, [], losses
    names = [f"stick{number:0{len(str(len(loads)))}}" for number in range(1, len(loads) + 1)]
    sticks: list[Stick] = []
    for name, load in zip(names, loads, strict=True):
        part = cut(belonging, load.members, first=not sticks)
        mend_lengths(part)
        sticks.append(Stick(name, part))
    return document, sticks, [*losses, *_ledger(belonging, names, loads, f"{receiver.name}: {'; '.join(beyond)}")]


def _ledger(belonging: Belonging, names: Sequence[str], loads: Sequence[Load], why: str) -> Iterator[Loss]:
    """Say which stick takes what, and what stands on several."""
    for thing in belonging.things:
        held = [name for name, load in zip(names, loads, strict=True) if thing in load.members]
        if len(held) > 1:
            told = phrase("all sticks") if len(held) == len(names) else _listed(held)
            yield Loss(
                LossKind.CHANGED,
                thing.nearest_id(),
                phrase("is on {told}", told=told),
                phrase("each stick is a complete set"),
            )
        elif thing.tag in {"PFD", "TSK"}:
            yield Loss(
                LossKind.CHANGED,
                thing.nearest_id(),
                phrase("goes to {first_held} of {count}", first_held=held[0], count=len(names)),
                why,
            )
    if belonging.document.link_list is not None:
        told = phrase("the link list is split: each stick links what is on it")
        yield Loss(LossKind.CHANGED, None, told, phrase("each stick is a complete set"))


def _listed(names: Sequence[str]) -> str:
    rest = len(names) - _NAMED
    return ", ".join(names[:_NAMED]) + (f" and {rest} more" if rest > 0 else "")

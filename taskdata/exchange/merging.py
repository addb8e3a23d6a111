"""Several sources of any format into one target."""

from __future__ import annotations

import os
from collections.abc import Sequence
from contextlib import suppress
from typing import Unpack

from taskdata.errors import TaskdataError, UsageError
from taskdata.exchange.choosing import chosen_parts
from taskdata.exchange.convert import write
from taskdata.exchange.load import load
from taskdata.exchange.refusing import refuse_typed, refuse_unfit
from taskdata.exchange.settling import settled
from taskdata.exchange.sides import of_one_version, sides_of
from taskdata.exchange.targets import target_of, usual_format
from taskdata.exchange.told import findings_of
from taskdata.formats.detect import detect
from taskdata.formats.foreign.options import Reading
from taskdata.formats.placing.ground import Ground
from taskdata.isoxml.to_model.dataset import to_dataset
from taskdata.isoxml.tree.document import Document
from taskdata.model.choice import Chosen, Only
from taskdata.model.whereabouts import bounds
from taskdata.paths import named_path
from taskdata.progress import each
from taskdata.results.merging import Merging
from taskdata.results.reading import Loaded
from taskdata.sets.merge import merge


def merge_sets(
    sources: str | os.PathLike[str] | Sequence[str | os.PathLike[str]],
    target: str | os.PathLike[str],
    *,
    to: str | None = None,
    overwrite: bool = False,
    dry_run: bool = False,
    only: Only | None = None,
    **reading: Unpack[Reading],
) -> Merging:
    """Merge several sources into one target; whole or not at all, and no source is changed.

    What several sources hold stands in the target once; the rest is kept, with other numbers and file names where
    those are taken. The result does not depend on the order of the sources. Merged with layers that no set stands
    behind, a task data set keeps all its identifiers, and what is new is numbered after them; what layers hold of no
    field goes to the field of another source that it lies in or, up to 1 km, is nearest to.

    Parameters
    ----------
    sources : path or sequence of path
        At least one; anything that ``read`` takes. Sets of an older version are brought to the newest among them.
    target : path
        Folder or file to make.
    to : str, optional
        Format of the target; default by its name, of a name without a suffix ISO-XML.
    **reading
        As for ``read``.
    overwrite : bool
        Allow that an existing target is replaced.
    dry_run : bool
        Write nothing; journal and ledger are the same.
    only : dict, optional
        The part of each source that is merged, with all that it needs; by the arguments of
        ``Dataset.only``; a name has to fit in one of them.

    Raises
    ------
    UsageError
        There is no source, a set has no version that can be brought to that of the others, or the format cannot be
        told.
    SourceError, TargetError
        A source could not be read; the target could not or may not be written, or lies on a source.

    Examples
    --------
    >>> import taskdata
    >>> sticks = ["samples/season/drill", "samples/season/sprayer"]
    >>> done = taskdata.merge(sticks, "season", dry_run=True)
    >>> done.written["fields"], done.renumbered["samples/season/drill"]
    (3, {'TSK1': 'TSK2', 'TLG00001': 'TLG00002'})
    """
    if isinstance(sources, str | os.PathLike):
        sources = (sources,)
    if not sources:
        raise UsageError("there is nothing to merge", remedy="Name the sets to merge")
    to = to or usual_format(target)
    for source in sources:
        target_of(target, to, source)
    names = [os.fspath(source) for source in sources]
    loaded = _loaded(sources, reading)
    for item in loaded:
        refuse_unfit(item.dataset)
    placed = settled([item.dataset for item in loaded])
    named = [dataset.with_changes(source=name) for dataset, name in zip(placed, names, strict=True)]
    parts = chosen_parts(named, only or {})
    made, making = sides_of([item for item in parts if item.chosen is None or not item.is_empty])
    sides, adapting = of_one_version(made)
    refuse_typed(making, ", ".join(names))
    result = merge(sides)
    _remember(result.document, [side.document for side in made])
    dataset = to_dataset(result.document).with_changes(source=", ".join(dict.fromkeys(names)))
    done = write(dataset, target, to=to, overwrite=overwrite, dry_run=dry_run)
    return Merging(
        sources=tuple(names),
        target=done.target,
        written=done.written,
        merged=result.recognised,
        renumbered={name: result.renumbered.get(name, {}) for name in names},
        journal=result.journal,
        losses=(*(loss for item in loaded for loss in item.losses), *making, *adapting, *result.losses, *done.losses),
        findings=findings_of(parts),
        named=done.named,
        lacking=dataset.unread,
        new_errors=done.new_errors,
        chosen=Chosen.together(item.chosen for item in parts),
    )


def _remember(merged: Document, sources: Sequence[Document]) -> None:
    """Note in a merged set what its sources were, where one of them was made of layers or has edited rows."""
    merged.authored = any(source.authored for source in sources)
    if merged.authored:
        merged.before = tuple(
            before for source in sources for before in (source.before if source.authored else (source,))
        )


def _loaded(sources: Sequence[str | os.PathLike[str]], reading: Reading) -> list[Loaded]:
    """Return what each source holds; sets and layers that are placed tell where others lie.

    Raises
    ------
    SourceError, UsageError
        As for ``load``.
    """
    found: dict[int, Loaded] = {}
    grounds: list[Ground] = []
    waiting = []
    for number in each(sorted(range(len(sources)), key=lambda number: _is_layers(sources[number])), "Reading", "sets"):
        try:
            found[number] = load(sources[number], beside=grounds, **reading)
        except UsageError:
            waiting.append(number)
            continue
        box = bounds(found[number].dataset)
        grounds += [] if box is None else [Ground.around(os.fspath(sources[number]), box)]
    for number in waiting:
        found[number] = load(sources[number], beside=grounds, **reading)
    return [found[number] for number in range(len(sources))]


def _is_layers(source: str | os.PathLike[str]) -> bool:
    """Return whether a source is layers of one format, which are read after the sets."""
    with suppress(TaskdataError, OSError):
        return detect(named_path(source)) is not None
    return False

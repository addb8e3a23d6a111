"""The model to any target, with a ledger of what it costs, and a proof on demand."""

from __future__ import annotations

import os
from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path
from typing import Unpack

from taskdata.adapt.clock import zone_of
from taskdata.adapt.receivers import version_for
from taskdata.adapt.sticks.split import Stick
from taskdata.collector import collector_at_rest
from taskdata.dataclass import dataclass
from taskdata.exchange.adapting import TargetOptions, adapt_document, split_over_sticks
from taskdata.exchange.authored import new_errors
from taskdata.exchange.behind import document_behind
from taskdata.exchange.choosing import chosen_part
from taskdata.exchange.counting import counted, named
from taskdata.exchange.hints import beyond_hints
from taskdata.exchange.load import load
from taskdata.exchange.refusing import refuse_typed, refuse_unfit
from taskdata.exchange.sticks import refuse_beside_sticks, write_sticks
from taskdata.exchange.targets import Target, target_of, usual_format
from taskdata.exchange.write_target import predict_losses, write_target
from taskdata.file_formats.table import ISOXML
from taskdata.findings import Finding
from taskdata.formats.foreign.options import Reading
from taskdata.isoxml.to_document.apply import DEFAULT_VERSION, apply, document_of_records
from taskdata.isoxml.to_model.dataset import to_dataset
from taskdata.isoxml.tree.copying import copy_to_change
from taskdata.isoxml.tree.document import Document
from taskdata.isoxml.writing.mended_lengths import mend_lengths
from taskdata.ledger import Loss
from taskdata.model.choice import Only
from taskdata.model.dataset import Dataset
from taskdata.model.receiver import Receiver, read_receiver
from taskdata.model.whereabouts import bounds
from taskdata.results.conversion import Conversion, WrittenStick


@dataclass(frozen=True, slots=True)
class _Content:
    """What goes into a target: the records, and the document where there is or must be one."""

    dataset: Dataset
    document: Document | None
    losses: tuple[Loss, ...]
    sticks: tuple[Stick, ...] = ()

    def new_errors(self, goal: Target) -> tuple[Finding, ...]:
        """Return what an audit finds in the target and not in the source."""
        return new_errors(self.document) if goal.format == ISOXML else ()

    def beyond_hints(self, wish: TargetOptions) -> tuple[Finding, ...]:
        """Return what of the target the terminal may not accept, by the hints of its profile."""
        documents = [stick.document for stick in self.sticks] or ([] if self.document is None else [self.document])
        return beyond_hints(documents, wish.receiver)

    def written(self, goal: Target) -> tuple[WrittenStick, ...]:
        """Return what stands on each stick."""
        found = []
        for stick in self.sticks:
            data, place = to_dataset(stick.document), Path(stick.name) if goal.packed else goal.named / stick.name
            ids = ([item.id for item in items] for items in (data.fields, data.tasks))
            found.append(WrittenStick(os.fspath(place), counted(data), *map(tuple, ids)))
        return tuple(found)


@dataclass(frozen=True, slots=True)
class _Checked:
    """What is told of a target before it is written."""

    new_errors: tuple[Finding, ...]
    beyond_hints: tuple[Finding, ...]


def convert(
    source: str | os.PathLike[str],
    target: str | os.PathLike[str],
    *,
    to: str | None = None,
    version: int | None = None,
    time_zone: str | None = None,
    receiver: Receiver | str | os.PathLike[str] | None = None,
    plan_templates: bool = False,
    raw: bool = False,
    simplestyle: bool = False,
    overwrite: bool = False,
    dry_run: bool = False,
    verify: bool = False,
    only: Only | None = None,
    **reading: Unpack[Reading],
) -> Conversion:
    """Read a source and write it as another format.

    Parameters
    ----------
    source, target : path
        See ``load`` and ``target_of``.
    to : str, optional
        Format of the target; default by its name, of a name without a suffix ISO-XML where a wish below is for it.
    version : int, optional
        Major version of an ISO-XML target, 3 or 4; default that of the source, else 4.
    time_zone : str, optional
        Time zone of the set, such as ``+02:00`` or ``Europe/Berlin``: time stamps in UTC are converted to it for
        version 3, local ones get its offset for version 4.
    plan_templates : bool
        Write templates of tasks as planned ones where the version of the target has no templates, instead of leaving
        them out.
    receiver : Receiver or path, optional
        What the terminal takes that an ISO-XML target is for, or a TOML file that says it: the target satisfies it. A
        set that is more than it takes at once is split: the target is then a folder, or a zip archive, that holds a
        folder ``stick1``, ``stick2`` ... for each stick, and ``sticks`` of the result names them.
    raw : bool
        Of logs write the layer ``log_records``, as they are stored, and not ``log_values``, as a person reads them.
        Without it a target that brings the whole set back gets both, another one ``log_values`` alone.
    simplestyle : bool
        Of GeoJSON, give each feature the properties of simplestyle 1.1 that say how it is drawn; rows of logs get none.
        Reading leaves them aside.
    **reading
        See ``load``.
    overwrite : bool
        Allow that an existing target is replaced, if all that is in it was written by this program or belongs to a set.
    dry_run : bool
        Write nothing; the ledger is the same.
    verify : bool
        Read the target back and compare, before it is put in place.
    only : dict, optional
        The part of the source that is converted, with all that it needs; by the arguments of ``Dataset.only``.

    Raises
    ------
    UsageError, SourceError, TargetError
        The call, the source or the target is at fault.

    Examples
    --------
    >>> import taskdata
    >>> done = taskdata.convert("samples/office", "older", to="isoxml", version=3, dry_run=True)
    >>> print(done.losses[0].kind, done.losses[0].what)
    changed binary points PNT00002 become points in XML
    """
    to = to or _wished_format(target, version, time_zone, receiver, plan_templates)
    goal = target_of(target, to, source, raw=raw, simplestyle=simplestyle)
    wish = _wish(version, time_zone, receiver, plan_templates, goal)
    loaded = load(source, **reading)
    refuse_unfit(loaded.dataset)
    dataset = chosen_part(loaded.dataset, only or {})
    with collector_at_rest():
        content = _content(dataset, document_behind(dataset), goal, wish)
    losses = (*loaded.losses, *content.losses)
    checked = _Checked(content.new_errors(goal), content.beyond_hints(wish))
    if dry_run:
        losses += tuple(predict_losses(content.dataset, content.document, goal))
    else:
        losses += tuple(_write(content, goal, overwrite=overwrite, verify=verify))
    done = _done(content, goal, dataset.with_changes(source=os.fspath(source)), losses, checked)
    return replace(done, datum=loaded.datum, bounds=bounds(dataset))


def write(
    dataset: Dataset,
    target: str | os.PathLike[str],
    *,
    to: str | None = None,
    version: int | None = None,
    time_zone: str | None = None,
    receiver: Receiver | str | os.PathLike[str] | None = None,
    plan_templates: bool = False,
    raw: bool = False,
    simplestyle: bool = False,
    overwrite: bool = False,
    dry_run: bool = False,
    verify: bool = False,
) -> Conversion:
    """Write records, changed or not since they were read; see ``convert``."""
    to = to or _wished_format(target, version, time_zone, receiver, plan_templates)
    goal = target_of(target, to, None, raw=raw, simplestyle=simplestyle)
    wish = _wish(version, time_zone, receiver, plan_templates, goal)
    refuse_unfit(dataset)
    behind, read = document_behind(dataset), dataset
    losses = list(dataset.losses)
    if behind is not None:
        document = copy_to_change(behind)
        losses += apply(document, to_dataset(document), dataset)
        refuse_typed(losses, dataset.source)
        behind, dataset = document, to_dataset(document)
    content = _content(dataset, behind, goal, wish)
    losses += content.losses
    checked = _Checked(content.new_errors(goal), content.beyond_hints(wish))
    if dry_run:
        losses += predict_losses(content.dataset, content.document, goal)
    else:
        losses += _write(content, goal, overwrite=overwrite, verify=verify)
    return _done(content, goal, read.with_changes(source=dataset.source), losses, checked)


def _done(content: _Content, goal: Target, read: Dataset, losses: Iterable[Loss], checked: _Checked) -> Conversion:
    """Return what a conversion of what was read did."""
    return Conversion(
        read.source,
        os.fspath(goal.named),
        counted(content.dataset),
        tuple(losses),
        findings=read.findings,
        sticks=content.written(goal),
        new_errors=checked.new_errors,
        named=named(content.dataset),
        chosen=read.chosen,
        beyond_hints=checked.beyond_hints,
    )


def _wished_format(target: str | os.PathLike[str], *wishes: object) -> str | None:
    """Return the format of a target whose name does not tell it, where the user wishes what only ISO-XML has."""
    return usual_format(target) if any(wishes) else None


def _wish(
    version: int | None,
    time_zone: str | None,
    receiver: Receiver | str | os.PathLike[str] | None,
    plan_templates: bool,
    goal: Target,
) -> TargetOptions:
    """Return what the user asked of the target, refused where it cannot fulfil that."""
    terminal = receiver if receiver is None or isinstance(receiver, Receiver) else read_receiver(receiver)
    wish = TargetOptions(version, None if time_zone is None else zone_of(time_zone), terminal, plan_templates)
    wish.refuse_for(goal.format)
    return wish


def _content(dataset: Dataset, document: Document | None, goal: Target, wish: TargetOptions) -> _Content:
    """Bring records and document into the shape that the target wants."""
    if goal.format != ISOXML:
        return _Content(dataset, document, ())
    if document is not None:
        changed, losses = adapt_document(document, wish)
        losses += mend_lengths(changed)
        changed, sticks = split_over_sticks(changed, wish, losses)
        records = dataset if changed is document else to_dataset(changed)
        return _Content(records, changed, tuple(losses), tuple(sticks))
    made, losses = document_of_records(dataset, wish.version or _version_for(wish) or DEFAULT_VERSION)
    refuse_typed(losses, dataset.source)
    changed, more = adapt_document(made, wish)
    losses += more
    changed, sticks = split_over_sticks(changed, wish, losses)
    return _Content(to_dataset(changed), changed, tuple(losses), tuple(sticks))


def _version_for(wish: TargetOptions) -> int | None:
    """Return the version to write anew for the terminal that a set is for, None where it does not matter."""
    versions = None if wish.receiver is None else wish.receiver.confirmed.get("receiver.versions")
    return version_for(DEFAULT_VERSION, versions)


def _write(content: _Content, goal: Target, *, overwrite: bool, verify: bool) -> list[Loss]:
    if content.sticks:
        write_sticks(content.sticks, goal, overwrite=overwrite, verify=verify)
        return predict_losses(content.dataset, content.document, goal)
    refuse_beside_sticks(goal)
    with goal.staged(overwrite=overwrite) as fresh:
        losses = write_target(content.dataset, content.document, goal, fresh)
        if verify:
            from taskdata.exchange.verify import verify_target

            verify_target(content.dataset, content.document, fresh, goal)
    return losses

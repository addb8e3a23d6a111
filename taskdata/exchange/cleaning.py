"""A cleaning from source to target: repaired on a copy, audited before and after, journalled beside the target."""

from __future__ import annotations

import os
from collections.abc import Callable, Collection, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Unpack

from taskdata.checks.run import run
from taskdata.checks.subject import Subject
from taskdata.exchange.authored import new_errors
from taskdata.exchange.load import load
from taskdata.exchange.refusing import refuse_typed, refuse_unfit
from taskdata.exchange.replacing.journal import foreign_journal
from taskdata.exchange.sides import side_of
from taskdata.exchange.targets import Target, target_of, usual_format
from taskdata.exchange.write_target import predict_losses, write_target
from taskdata.file_formats.table import ISOXML
from taskdata.findings import Finding
from taskdata.formats.foreign.options import Reading
from taskdata.isoxml.files.blob import Blob
from taskdata.isoxml.files.portable import refuse_name
from taskdata.isoxml.to_model.dataset import to_dataset
from taskdata.isoxml.tree.copying import copy_document
from taskdata.isoxml.tree.differences import differences_of_files
from taskdata.isoxml.tree.document import Document, XmlFile
from taskdata.isoxml.writing.as_written import as_written
from taskdata.isoxml.writing.mended_lengths import mend_lengths
from taskdata.isoxml.writing.write import named_files
from taskdata.ledger import Loss
from taskdata.model.whereabouts import bounds
from taskdata.repairs.reach import reach
from taskdata.repairs.run import clean
from taskdata.results.audit import summarize
from taskdata.results.cleaning import ASIDE, Change, Cleaning
from taskdata.staging import Foreign

Journal = Callable[[Cleaning], str]
_ASIDE = ".aside"


def clean_set(
    source: str | os.PathLike[str],
    target: str | os.PathLike[str],
    *,
    to: str | None = None,
    review: bool = False,
    only: Collection[str] = (),
    leave: Collection[str] = (),
    overwrite: bool = False,
    dry_run: bool = False,
    journal: Journal | None = None,
    **reading: Unpack[Reading],
) -> Cleaning:
    """Repair what can be repaired without guessing, and with ``review`` also what takes a choice.

    Parameters
    ----------
    source, target : path
        As for ``convert``; a target without a telling name becomes ISO-XML. Files that a repair takes out of the set
        are put into a new folder ``NAME.aside`` beside it.
    to, overwrite, dry_run, **reading
        As for ``convert``.
    review, only, leave
        See ``taskdata.repairs.run.clean``.
    journal : callable, optional
        Renders the journal; its text is written beside the target as ``NAME.journal.json``.

    Raises
    ------
    UsageError, SourceError, TargetError
    """
    goal = target_of(target, to or usual_format(target), source)
    loaded = load(source, **reading)
    refuse_unfit(loaded.dataset)
    side, making = side_of(loaded.dataset)
    refuse_typed(making, loaded.dataset.source)
    dirty, mended = _with_files(side.document)
    first = Subject(dirty, to_dataset(dirty))
    before = run(first)
    document, changes, failed = clean(dirty, review=review, only=only, leave=leave, subject=first)
    kept, more = _kept(dirty, document, goal)
    losses = (*loaded.losses, *making, *mended, *more)
    changed = changes or more or dirty.findings
    after = _audit(as_written(document, kept)) if changed else _audit_unchanged(document, dirty, before)
    done = Cleaning(
        os.fspath(source),
        os.fspath(goal.named),
        changes,
        tuple(after),
        summarize(before),
        summarize(after),
        failed=failed,
        bounds=bounds(loaded.dataset),
    )
    if not review or only or leave:
        done = replace(done, repairs=reach(document, after))
    if goal.format == ISOXML:
        done = replace(done, new_errors=new_errors(document))
    dataset = loaded.dataset if goal.format == ISOXML else to_dataset(document)  # task data comes of the document alone
    if dry_run:
        losses = (*losses, *predict_losses(dataset, document, goal))
        return replace(done, losses=losses, findings=loaded.dataset.findings)
    beside = _Beside(goal.place, _taken_out(dirty, changes), journal)
    with goal.staged(overwrite=overwrite, with_it=beside.names) as fresh:
        losses = (*losses, *write_target(dataset, document, goal, fresh))
        done = replace(done, losses=losses, findings=loaded.dataset.findings)
        for name, blob in kept.items():
            (fresh / name).write_bytes(blob.read())
        beside.write(fresh, done)
    return done


def _with_files(document: Document) -> tuple[Document, list[Loss]]:
    """Return a set with the bytes of its files, which one that comes out of layers lacks, and what they change."""
    if all(file.blob is not None for file in document.xml_files):
        return document, []
    copy = copy_document(document)
    losses = mend_lengths(copy)
    return as_written(copy), losses


class _Beside:
    """What stands beside the target: the journal, and a new folder for files that were taken out."""

    def __init__(self, place: Path, gone: Sequence[Blob], journal: Journal | None) -> None:
        self._page, self._gone, self._journal = f"{place.name}.journal.json", gone, journal
        self._aside, number = f"{place.name}{_ASIDE}", 2
        while os.path.lexists(place.with_name(self._aside)):
            self._aside, number = f"{place.name}{_ASIDE}-{number}", number + 1

    @property
    def names(self) -> dict[str, Foreign]:
        """Names of what is made, and what may be replaced there: an earlier journal."""
        page: dict[str, Foreign] = {} if self._journal is None else {self._page: foreign_journal}
        return page | ({self._aside: lambda place, _: (place.name,)} if self._gone else {})

    def write(self, fresh: Path, done: Cleaning) -> None:
        """Write it beside the path that the target is made at."""
        if self._gone:
            fresh.with_name(self._aside).mkdir()
        for blob in self._gone:
            content = blob.content()
            if content is not None:
                refuse_name(blob.name)
                (fresh.with_name(self._aside) / blob.name).write_bytes(content)
        if self._journal is not None:
            text = self._journal(done)
            fresh.with_name(self._page).write_text(text, encoding="utf-8", errors="backslashreplace")


def _kept(before: Document, after: Document, goal: Target) -> tuple[dict[str, Blob], list[Loss]]:
    """Return the bytes of files that no repair touched, by the name to write them under: not even line ends change.

    What is said of the length of the other files becomes true; that is the ledger.
    """
    if goal.format != ISOXML or goal.packed:
        return {}, mend_lengths(after)
    kept = _untouched(before, after)
    losses = mend_lengths(after, kept)
    return (_untouched(before, after) if losses else kept), losses


def _untouched(before: Document, after: Document) -> dict[str, Blob]:
    old = {file.name: file for file in before.xml_files if file.guessed is None}
    kept = {}
    for name, file in named_files(after):
        twin = old.get(file.name)
        if isinstance(file, XmlFile) and twin is not None and twin.blob is not None and _same(twin, file):
            kept[name] = twin.blob
    return kept


def _taken_out(before: Document, changes: Sequence[Change]) -> list[Blob]:
    """Return the files that repairs took out of the set."""
    return [before.others[change.file.upper()] for change in changes if change.after == ASIDE and change.file]


def _audit_unchanged(document: Document, before: Document, found: list[Finding]) -> list[Finding]:
    """Return what is found in a set that no repair changed: what was found before, unless a file has another size."""
    sizes, old = ([file.size for file in one.xml_files] for one in (document, before))
    return found if sizes == old else _audit(document)


def _same(before: XmlFile, after: XmlFile) -> bool:
    facts = [(file.mark, file.declared, file.encoding, file.guessed) for file in (before, after)]
    return facts[0] == facts[1] and next(differences_of_files(before, after), None) is None


def _audit(document: Document) -> list[Finding]:
    return run(Subject(document, to_dataset(document)))

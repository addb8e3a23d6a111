"""What an audit finds in a set that was made of layers, edited rows or records, and that its source did not have."""

from __future__ import annotations

from collections import Counter
from collections.abc import Hashable, Iterable, Iterator

from taskdata.checks.catalogue import audited
from taskdata.checks.run import run
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Severity
from taskdata.isoxml.to_model.dataset import to_dataset
from taskdata.isoxml.tree.document import Document
from taskdata.isoxml.writing.as_written import as_written


def new_errors(document: Document | None) -> tuple[Finding, ...]:
    """Return the errors of a set as it is written that were in none of the sets that it was before.

    A set that nothing was laid over is not audited: its errors are those of its source.

    Parameters
    ----------
    document : Document or None
        What is written, as it is written; None where the target is no task data.

    Returns
    -------
    tuple of Finding
        With their places in the target.
    """
    if document is None or not document.authored:
        return ()
    found = _errors(as_written(document))
    if not found or not document.before:
        return tuple(found)
    known = [error for before in document.before for error in _errors(_complete(before))]
    several = len(document.before) > 1
    return tuple(_unknown(found, known, several=several))


def _errors(document: Document) -> list[Finding]:
    rules = [rule.id for rule in audited() if rule.severity is Severity.ERROR]
    found = run(Subject(document, to_dataset(document)), rules)
    return [finding for finding in found if finding.severity is Severity.ERROR]


def _complete(document: Document) -> Document:
    """Return a set with the bytes of its files, which one that was carried in layers lacks."""
    return document if all(file.blob is not None for file in document.xml_files) else as_written(document)


def _unknown(found: Iterable[Finding], known: Iterable[Finding], *, several: bool) -> Iterator[Finding]:
    """Yield what is found and not known; of merged sets, whose identifiers changed, the number of each rule counts."""
    exact, rules = Counter(map(_key, known)), Counter(error.rule.id for error in known)
    rest = []
    for error in found:
        if exact[_key(error)] > 0:
            exact[_key(error)] -= 1
            rules[error.rule.id] -= 1
        else:
            rest.append(error)
    for error in rest:
        if several and rules[error.rule.id] > 0:
            rules[error.rule.id] -= 1
        else:
            yield error


def _key(error: Finding) -> Hashable:
    lines = {"line", "other_line", "first_line"}
    facts = sorted((name, str(value)) for name, value in error.facts.items() if name not in lines)
    return error.rule.id, error.place.element, tuple(facts)

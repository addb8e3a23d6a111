"""Cleaning brings no finding to a place that had none of its rule: sets with one fault, and the broken sample."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable

import pytest

from taskdata.checks.run import run
from taskdata.checks.subject import Subject
from taskdata.findings import Finding
from taskdata.isoxml.files.blob import Blob
from taskdata.isoxml.files.set_files import FileSet
from taskdata.isoxml.reading.read import document_of, read_document
from taskdata.isoxml.to_model.dataset import to_dataset
from taskdata.isoxml.tree.differences import differences
from taskdata.isoxml.tree.document import Document
from taskdata.repairs.run import clean
from taskdata.results.cleaning import Change
from tests import samples
from tests.checks.mutations.catalogue import faults, few
from tests.checks.mutations.engine import Fault, Files, sound
from tests.heavy import HEAVY, some

CHOSEN = faults() if HEAVY else some(few(60), 45)
IDENTIFIER = re.compile(r"[A-Z]{3}-?[0-9]+")
# A finding that a repair may bring to a place, by the rule that was repaired there, and why.
DEFENDED = {
    ("reference.dangling", "coding.technique-of-other-practice"): "a practice that was lost lists no techniques",
    ("reference.dangling", "product.part-without-quantity"): "a product that was lost does not say how it is counted",
    (
        "coding.reversed-colour-range",
        "coding.overlapping-colour-ranges",
    ): "a range that holds values can overlap others",
    ("timelog.time-runs-back", "timelog.outside-fields"): "a part of a log is judged by itself",
    ("timelog.position-out-of-range", "timelog.no-position"): "what is no place is marked as not available",
    ("timelog.position-at-zero", "timelog.no-position"): "what is no place is marked as not available",
    ("file.other-encoding", "name.cut"): "letters that were read wrongly are two each, and fill the name",
}


def document(fault: Fault) -> Document:
    files = Files(sound(fault.source))
    list(fault.change(files))
    blobs = tuple(Blob.of(name, content) for name, content in sorted(files.items()))
    return document_of(FileSet("set", blobs, "TASKDATA"))


def audit(subject: Document) -> list[Finding]:
    return run(Subject(subject, to_dataset(subject)))


def places(found: Iterable[Finding], renamed: dict[str, str]) -> Counter[tuple[str, str | None]]:
    """Count findings by rule and identifier, as it is called afterwards: of things made one, that of the first."""
    counts: Counter[tuple[str, str | None]] = Counter()
    for item in found:
        element = item.place.element
        while element in renamed:
            element = renamed[element]
        counts[item.rule.id, element] += 1
    return counts


def names(changes: Iterable[Change]) -> dict[str, str]:
    pairs = ((str(item.before), str(item.after)) for item in changes if not item.rule.startswith("reference."))
    return {old: new for old, new in pairs if old != new and IDENTIFIER.fullmatch(old) and IDENTIFIER.fullmatch(new)}


def news(before: Document) -> set[tuple[str, str | None]]:
    cleaned, changes, _ = clean(before, review=True)
    again, more, _ = clean(cleaned, review=True)
    assert more == ()
    assert list(differences(cleaned, again)) == []
    found = places(audit(cleaned), {}) - places(audit(before), names(changes))
    repaired = {change.rule for change in changes}
    return {(rule, place) for rule, place in found if not any((old, rule) in DEFENDED for old in repaired)}


@pytest.mark.parametrize("kind", sorted({fault.kind for fault in CHOSEN}))
def test_a_set_with_one_fault_has_no_new_finding_after_cleaning(kind: str) -> None:
    worse = {str(fault): found for fault in CHOSEN if fault.kind == kind and (found := news(document(fault)))}
    assert worse == {}


def test_the_broken_sample_has_no_new_finding_after_cleaning() -> None:
    assert news(read_document(samples.BROKEN)) == set()

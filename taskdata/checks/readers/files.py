"""What is wrong with the files that the set names, as reading tells every command, passed on."""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.subject import Subject
from taskdata.findings import Finding
from taskdata.isoxml.to_model import named_files

RULES = named_files.RULES


def check(subject: Subject) -> Iterator[Finding]:
    """Yield what is missing, unreadable, empty, shorter than stated, cut or without a header."""
    if subject.document is not None:
        yield from named_files.look_at_files(subject.document, subject.dataset.tasks)

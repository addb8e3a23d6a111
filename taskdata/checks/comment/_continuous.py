"""Continuous comments that took effect."""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.checks.coding._reading import integer, referred
from taskdata.checks.subject import Subject
from taskdata.checks.time._times import EFFECTIVE, task_of
from taskdata.isoxml.tree.element import Element

CONTINUOUS = 3
"""Scope of coded comments (D.5)."""


def effective_stamps(subject: Subject) -> Iterator[tuple[Element, Element, Element]]:
    """Yield task, comment (CAN) and stamp (ASP) of every continuous comment that took effect."""
    for comment in subject.tagged("CAN"):
        coded, task = referred(subject, comment, "CodedCommentIdRef"), task_of(comment)
        if coded is None or task is None or integer(coded, "CodedCommentScope") != CONTINUOUS:
            continue
        for stamp in comment.elements("ASP"):
            if integer(stamp, "Type") == EFFECTIVE:
                yield task, comment, stamp

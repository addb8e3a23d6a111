"""The names in a set that people read and give."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import partial

from taskdata.checks.subject import Subject
from taskdata.findings import Place
from taskdata.isoxml.facts import elements
from taskdata.isoxml.receivers import designators


def names(subject: Subject) -> Iterator[tuple[str, Callable[[], Place]]]:
    """Yield every name with a function that tells its place; of layers those of fields, guidance lines and points."""
    for tag in elements():
        for element in subject.tagged(tag):
            for name in designators(element):
                yield name, partial(subject.place, element)
    if subject.document is None:
        data = subject.dataset
        for records in (data.fields, data.guidance, data.points):
            yield from ((item.name, partial(_known, item.place)) for item in records if item.name)


def _known(place: Place) -> Place:
    return place

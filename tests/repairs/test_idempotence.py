"""Cleaning what was cleaned changes nothing more, whatever was wrong with it."""

from __future__ import annotations

from dataclasses import replace
from xml.sax.saxutils import quoteattr

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from taskdata.errors import SourceError
from taskdata.isoxml.tree.differences import differences
from taskdata.repairs.run import clean
from tests.fuzz.changes import ATTRIBUTE, VALUES
from tests.generate import FileSetContent, file_sets
from tests.heavy import examples

MAIN = "TASKDATA.XML"
TYPED = [value for value in VALUES if value.isprintable()]


@st.composite
def spoiled_sets(draw: st.DrawFn) -> FileSetContent:
    """A set that is valid but for up to three attributes of its main file, each with another value."""
    content = draw(file_sets(small=True))
    main = content.files[MAIN]
    for _ in range(draw(st.integers(0, 3))):
        found = list(ATTRIBUTE.finditer(main))[3:]
        if not found:
            break
        at = draw(st.sampled_from(range(len(found))))
        value = quoteattr(draw(st.sampled_from(TYPED)), {'"': "&quot;"})
        main = main[: found[at].start(2) - 1] + value.encode() + main[found[at].end(2) + 1 :]
    return replace(content, files={**content.files, MAIN: main})


@pytest.mark.parametrize("review", [False, True])
@settings(max_examples=examples(10), suppress_health_check=[HealthCheck.too_slow])
@given(content=spoiled_sets())
def test_cleaning_twice_is_cleaning_once(content: FileSetContent, review: bool) -> None:
    try:
        document = content.document()
    except SourceError:  # such as a version that there is none of
        return
    once = clean(document, review=review)
    twice = clean(once.document, review=review)
    assert [(change.rule, change.element) for change in twice.changes] == []
    assert list(differences(once.document, twice.document)) == []

"""The catalogue of German texts: whole, compiled, with the same facts in each text as in the English one."""

from __future__ import annotations

import string

from tests import catalogue


def test_the_files_are_up_to_date() -> None:
    fresh = catalogue.updated()
    assert catalogue.po_path().read_bytes() == catalogue.po_bytes(fresh), "run python -m tests.catalogue"
    assert catalogue.po_path().with_suffix(".mo").read_bytes() == catalogue.mo_bytes(catalogue.load())


def test_every_label_is_translated() -> None:
    known = catalogue.load()
    left = [
        text
        for text, places in catalogue.wanted().items()
        if any(place.endswith((".py", ".csv")) for place in places) and not _german(known, text)
    ]
    assert left == []


def test_translations_name_the_same_facts() -> None:
    messages = [item for item in catalogue.load() if item.id and item.string]
    assert len(messages) > 100
    assert [item.id for item in messages if _facts(item.id) != _facts(item.string)] == []


def _german(known, text: str) -> str:  # type: ignore[no-untyped-def]
    found = known.get(text)
    return str(found.string) if found else ""


def _facts(text: str) -> set[str | None]:
    return {name for _, name, _, _ in string.Formatter().parse(text)} - {None}

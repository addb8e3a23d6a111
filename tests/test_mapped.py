"""What is kept in mapped files is what was put in, whoever gives its memory back meanwhile."""

from __future__ import annotations

import errno
import os
import threading
from pathlib import Path

import numpy as np
import pytest

import taskdata
from taskdata import mapped
from taskdata.isoxml.reading.read import read_document
from taskdata.mapped import ArrayStore, large_array, put_back

KINDS = ["i8", "i4", "u1", "f8"]


def test_arrays_are_what_was_kept(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(mapped, "IN_MEMORY", 1000)
    monkeypatch.setattr(mapped, "_SEGMENT", 5000)
    store = ArrayStore()
    arrays = [np.arange(1, 1 + count * 2).astype(kind).reshape(-1, 2) for count in (3, 700, 0, 41) for kind in KINDS]
    found = [store.kept(array) for array in arrays]
    for _ in range(3):
        put_back()
        for array, other in zip(arrays, found, strict=True):
            assert other.dtype == array.dtype
            assert np.array_equal(other, array)
    assert found[0] is arrays[0]
    assert found[4] is not arrays[4]


def test_what_says_the_same_in_each_row_stays_as_it_is() -> None:
    once = np.broadcast_to(np.array(2, "i8"), 1 << 23)
    assert ArrayStore().kept(once) is once


def test_a_full_medium_costs_memory_and_no_data(monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_: int) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(mapped, "IN_MEMORY", 0)
    monkeypatch.setattr(os, "posix_fallocate", refuse)
    array = np.arange(1000.0)
    assert ArrayStore().kept(array) is array
    assert not large_array((10, 2), "f8").any()


def test_a_set_in_mapped_files_is_the_same(monkeypatch: pytest.MonkeyPatch) -> None:
    """Against the same set in memory, while a thread gives memory back."""
    source = Path(__file__).parents[1] / "samples" / "office"
    plain = taskdata.read(source)
    told = [(item.rule.id, item.place, item.message) for item in taskdata.check(plain).findings]
    monkeypatch.setattr(mapped, "IN_MEMORY", 0)
    kept = taskdata.read(source)
    assert any(thread.name == "taskdata-mapped" for thread in threading.enumerate())
    for field, other in zip(plain.fields, kept.fields, strict=True):
        for area, same in zip(field.boundaries, other.boundaries, strict=True):
            assert all(map(np.array_equal, area.exteriors, same.exteriors))
    assert read_document(source).counts() == plain.counts
    assert taskdata.compare(plain, kept).equal
    assert [(item.rule.id, item.place, item.message) for item in taskdata.check(kept).findings] == told
    assert told

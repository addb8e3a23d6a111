"""The examples in docstrings print what they show."""

from __future__ import annotations

import doctest
import types
from pathlib import Path

import pytest

import taskdata
from tests import samples

PUBLIC = [name for name in dir(taskdata) if not name.startswith("_")]
OPTIONS = doctest.ELLIPSIS | doctest.NORMALIZE_WHITESPACE


def examples(name: str) -> list[doctest.DocTest]:
    """Return the examples of a public name, those of its methods too."""
    thing = getattr(taskdata, name)
    return [test for test in doctest.DocTestFinder(recurse=True).find(thing, name) if test.examples]


@pytest.mark.parametrize("name", [name for name in PUBLIC if examples(name)])
def test_examples_print_what_is_shown(name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "samples").symlink_to(samples.SAMPLES)
    monkeypatch.chdir(tmp_path)
    for test in examples(name):
        told: list[str] = []
        doctest.DocTestRunner(optionflags=OPTIONS).run(test, out=told.append)
        assert not told, "".join(told)


def test_every_public_function_has_an_example() -> None:
    functions = [name for name in PUBLIC if isinstance(getattr(taskdata, name), types.FunctionType)]
    assert len(functions) > 10
    assert [name for name in functions if not examples(name)] == []
    methods = {test.name for name in ("Dataset", "Log", "Task") for test in examples(name)}
    assert {"Dataset.table", "Dataset.frame", "Dataset.from_frames", "Log.columns", "Log.values", "Task.log"} <= methods


def test_examples_of_methods_from_above_print_what_is_shown(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(samples.SAMPLES.parent)
    (test,) = doctest.DocTestFinder().find(taskdata.Dataset.field, "field")
    told: list[str] = []
    doctest.DocTestRunner(optionflags=OPTIONS).run(test, out=told.append)
    assert test.examples
    assert not told, "".join(told)

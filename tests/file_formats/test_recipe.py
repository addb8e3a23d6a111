"""The recipe for a format names every file: each is there, and nothing else in the package knows the example."""

from __future__ import annotations

import re
from pathlib import Path

from taskdata.file_formats.table import format_named

ROOT = Path(__file__).parents[2]
NAME = "flatgeobuf"


def recipe() -> str:
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    return text.partition("**A format.**")[2].partition("\n\n")[0]


def named() -> set[str]:
    paths = re.findall(r"`([\w./<>]*\.(?:py|md))`", recipe())
    return {path.replace("<name>", NAME) for path in paths}


def test_each_file_of_the_recipe_is_there() -> None:
    assert f"`{NAME}` is an example" in " ".join(recipe().split())
    assert len(named()) >= 7
    assert [path for path in sorted(named()) if not (ROOT / path).is_file()] == []


def test_nothing_else_in_the_package_names_the_example() -> None:
    words = re.compile(rf"{NAME}|{re.escape(format_named(NAME).suffix)}\b", re.IGNORECASE)
    files = [*(ROOT / "taskdata").rglob("*.py"), *(ROOT / "taskdata" / "data").rglob("*.*"), ROOT / "pyproject.toml"]
    found = {str(path.relative_to(ROOT)) for path in files if words.search(path.read_text(encoding="utf-8"))}
    assert found == {"taskdata/file_formats/table.py", f"taskdata/formats/drivers/{NAME}.py"}
    assert found < named()


def test_it_is_declared_in_one_line() -> None:
    lines = (ROOT / "taskdata/file_formats/table.py").read_text(encoding="utf-8").splitlines()
    assert [line.strip()[:20] for line in lines if NAME in line.lower()] == [f'Format("{NAME}",']

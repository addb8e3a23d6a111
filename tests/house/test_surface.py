"""The public surface is short and listed, and importing the program is light."""

from __future__ import annotations

import ast
import dataclasses
import pydoc
import re
import subprocess
import sys
from pathlib import Path

import taskdata

PUBLIC = [name for name in dir(taskdata) if not name.startswith("_")]
HEAVY = {"lxml", "numpy", "shapely", "pyproj", "pyogrio", "pyarrow", "xmlschema", "rich"}


def loaded(words: str) -> set[str]:
    """The top-level packages that a fresh interpreter has loaded after a statement."""
    code = f"{words}\nimport sys\nprint(*sorted({{name.partition('.')[0] for name in sys.modules}}))"
    return set(subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout.split())


def test_the_surface_is_what_is_listed() -> None:
    assert len(PUBLIC) <= 80
    assert all(getattr(taskdata, name).__doc__ for name in PUBLIC)
    assert set(PUBLIC) <= set(dir(taskdata))
    assert taskdata.__version__


def test_type_checkers_see_the_same_names() -> None:
    tree = ast.parse(Path(taskdata.__file__).read_text(encoding="utf-8"))
    (listed,) = (
        ast.literal_eval(node.value)
        for node in ast.walk(tree)
        if isinstance(node, ast.Assign) and ast.unparse(node.targets[0]) == "__all__"
    )
    assert listed == sorted(PUBLIC)


def test_help_of_the_package_fits_a_few_screens_and_names_everything() -> None:
    page = pydoc.plain(pydoc.render_doc(taskdata))
    assert len(page.splitlines()) <= 125
    assert [name for name in PUBLIC if not re.search(rf"\b{name}(s|es)?\b", taskdata.__doc__ or "")] == []


def test_importing_the_command_line_loads_nothing_heavy() -> None:
    assert not loaded("import taskdata.cli") & HEAVY


def test_help_loads_nothing_heavy() -> None:
    pages = [
        [],
        *([name] for name in ("check", "coverage", "convert", "inspect", "passes", "ratemap", "shift", "rules")),
    ]
    run = "import contextlib, io, taskdata.cli\n" + "\n".join(
        "with contextlib.redirect_stdout(io.StringIO()), contextlib.suppress(SystemExit):\n"
        f"    taskdata.cli.main({[*words, '--help']!r})"
        for words in pages
    )
    assert not loaded(run) & HEAVY


def test_no_folder_takes_the_name_of_a_public_function() -> None:
    """A folder of that name becomes an attribute of the package as soon as it is imported, and hides the function."""
    home = Path(taskdata.__file__).parent
    folders = {item.name for item in home.iterdir() if item.is_dir()} | {item.stem for item in home.glob("*.py")}
    assert folders & set(PUBLIC) == set()


def test_every_public_record_says_what_it_holds() -> None:
    """``key`` and ``place`` are told once, in ``taskdata.model``."""
    for name in PUBLIC:
        kind = getattr(taskdata, name)
        if dataclasses.is_dataclass(kind):
            page = "\n".join(base.__doc__ or "" for base in kind.__mro__ if dataclasses.is_dataclass(base))
            named = {item.name for item in dataclasses.fields(kind)} - {"key", "place"}
            assert {item for item in named if not re.search(rf"\b{item}\b", page)} == set(), name

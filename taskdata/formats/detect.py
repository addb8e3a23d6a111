"""Which format of layers a source is in, told by its content; by its name only where the content says nothing."""

from __future__ import annotations

from pathlib import Path

from taskdata.file_formats.contents import HEAD
from taskdata.file_formats.declaration import Format
from taskdata.file_formats.table import formats_of_layers, told_by_content
from taskdata.litter import entries


def detect(path: Path | str) -> str | None:
    """Return the name of a format of layers, or None for anything else.

    Parameters
    ----------
    path : path
        A file, or a folder of layers; folders inside it do not count. A damaged or empty file is told by its suffix,
        so that reading it can say what is wrong. Of a folder with layers of several formats, the format of most of
        its files.
    """
    source = Path(path)
    found = None
    if source.is_file():
        found = _file(source)
    elif source.is_dir():
        found = _folder(source)
    return None if found is None else found.name


def detect_content(path: Path) -> str | None:
    """Return the name of the format that the content of a file is of, None where it says nothing."""
    found = _content(path)
    return None if found is None else found.name


def layer_files(path: Path, form: Format) -> list[Path]:
    """Return the files of a source: the one that ``path`` names, or those of a folder that are named as the format is.

    Parameters
    ----------
    path : Path
        A file or a folder.
    """
    return [path] if not path.is_dir() else [item for item in entries(path) if item.is_file() and form.is_named(item)]


def _file(path: Path) -> Format | None:
    return _content(path) or next((form for form in _read() if form.is_told_by_name(path)), None)


def _content(path: Path) -> Format | None:
    with path.open("rb") as file:
        return told_by_content(file.read(HEAD), path)


def _folder(path: Path) -> Format | None:
    files = [item for item in entries(path) if item.is_file()]
    counts = {form.name: _count(form, files) for form in _read() if form.folder}
    best = max(counts, key=lambda name: counts[name], default=None)
    return next((form for form in _read() if form.name == best and counts[form.name]), None)


def _count(form: Format, files: list[Path]) -> int:
    """Return how many files of a folder say that it is one of a format."""
    named = [item for item in files if form.is_named(item)]
    sure = [item for item in named if form.is_told_by_name(item) or _file(item) is form]
    return len(sure) + sum(item.name in form.folder_files for item in files)


def _read() -> tuple[Format, ...]:
    return tuple(form for form in formats_of_layers() if form.reads)

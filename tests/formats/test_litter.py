"""What operating systems leave in folders of layers is passed over in silence, and not replaced or carried."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

import taskdata
from taskdata.errors import TargetError
from taskdata.file_formats.table import format_named
from taskdata.litter import entries, is_litter
from tests.formats.exchange import FORMATS
from tests.samples import OFFICE

SUFFIXES = {form.name: form.suffix for form in map(format_named, FORMATS) if form.folder}


def littered(folder: Path, suffix: str) -> Path:
    """The folder with what a Mac and a Windows computer leave in it."""
    for path in list(folder.iterdir()):
        (folder / f"._{path.name}").write_bytes(b"\x00\x05\x16\x07\x00\x02\x00\x00Mac OS X")
    for name in (".DS_Store", "Thumbs.db", "desktop.ini", f"._x{suffix}"):
        (folder / name).write_bytes(b"left")
    (folder / "__MACOSX").mkdir()
    return folder


@pytest.mark.parametrize("form", SUFFIXES)
def test_a_folder_of_layers_is_read_as_without_it(tmp_path: Path, form: str) -> None:
    taskdata.convert(OFFICE, tmp_path / "layers", to=form)
    before = taskdata.read(tmp_path / "layers")
    after = taskdata.read(littered(tmp_path / "layers", SUFFIXES[form]))
    assert after.findings == before.findings
    assert taskdata.compare(after, OFFICE).equal


@pytest.mark.parametrize("form", SUFFIXES)
def test_layers_of_other_programs_are_read_as_without_it(tmp_path: Path, form: str) -> None:
    taskdata.convert(OFFICE, tmp_path / "all", to=form)
    folder = tmp_path / "fields"
    folder.mkdir()
    for path in (tmp_path / "all").glob("fields.*"):
        shutil.copy(path, folder)
    before = taskdata.read(folder)
    after = taskdata.read(littered(folder, SUFFIXES[form]))
    assert len(after.fields) == 5
    assert after.findings == before.findings


@pytest.mark.parametrize("form", SUFFIXES)
def test_it_does_not_keep_a_target_from_being_replaced(tmp_path: Path, form: str) -> None:
    taskdata.convert(OFFICE, tmp_path / "layers", to=form)
    littered(tmp_path / "layers", SUFFIXES[form])
    taskdata.convert(OFFICE, tmp_path / "layers", to=form, overwrite=True)
    assert not [path.name for path in (tmp_path / "layers").iterdir() if is_litter(path.name)]
    (tmp_path / "layers" / "letter.pdf").write_bytes(b"mine")
    with pytest.raises(TargetError, match="holds other files"):
        taskdata.convert(OFFICE, tmp_path / "layers", to=form, overwrite=True)


def test_a_folder_with_nothing_else_is_no_source(tmp_path: Path) -> None:
    (tmp_path / "._fields.geojson").write_text('{"type":"FeatureCollection","features":[]}')
    assert entries(tmp_path) == []
    with pytest.raises(taskdata.SourceError, match=r"holds no TASKDATA\.XML"):
        taskdata.read(tmp_path)


@pytest.mark.parametrize("name", [".DS_Store", "._TASKDATA.XML", "THUMBS.DB", "Desktop.ini", "__MACOSX", ".Trash-1000"])
def test_names_of_litter(name: str) -> None:
    assert is_litter(name)


@pytest.mark.parametrize("name", ["TASKDATA.XML", "_TLG00001.BIN", ".taskdata", "thumbs", "ds_store", "MACOSX"])
def test_names_of_files(name: str) -> None:
    assert not is_litter(name)

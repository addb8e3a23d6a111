"""Many sources in one loop, whatever is wrong with some of them."""

from __future__ import annotations

import shutil
import zipfile
from pathlib import Path

import pytest

import taskdata
from taskdata.api import many
from tests import samples


@pytest.fixture
def archive(tmp_path: Path) -> Path:
    """A folder tree with two sets, one in an archive, one damaged, layers of three formats, and other things."""
    home = tmp_path / "archive"
    shutil.copytree(samples.STICKS[0], home / "2023" / "drill" / "TASKDATA")
    (home / "2023" / "damaged").mkdir()
    (home / "2023" / "damaged" / "TASKDATA.XML").write_bytes(b"<ISO11783_TaskData")
    shutil.copytree(samples.DISPLAY, home / "display")
    data = taskdata.read(samples.OLDER)
    taskdata.write(data, home / "gis" / "older.gpkg")
    taskdata.write(data, home / "gis" / "layers", to="geojson")
    with zipfile.ZipFile(home / "stick.zip", "w") as packed:
        for item in samples.STICKS[2].iterdir():
            packed.write(item, f"TASKDATA/{item.name}")
    with zipfile.ZipFile(home / "photos.zip", "w") as packed:
        packed.writestr("a.txt", "nothing")
    (home / "broken.zip").write_bytes(b"PK\x03\x04 no archive")
    (home / "notes.txt").write_text("nothing", encoding="utf-8")
    (home / "$RECYCLE.BIN").mkdir()
    shutil.copytree(samples.STICKS[1], home / "$RECYCLE.BIN" / "TASKDATA")
    (home / "link").symlink_to(home, target_is_directory=True)
    return home


def test_a_folder_tree_is_read_to_its_end(archive: Path) -> None:
    found = {str(Path(path).relative_to(archive)): item for path, item in taskdata.read_many(archive)}
    assert list(found) == [
        "2023/damaged",
        "2023/drill/TASKDATA",
        "broken.zip",
        "display",
        "gis/older.gpkg",
        "gis/layers",
        "stick.zip/TASKDATA",
    ]
    read = {path for path, item in found.items() if isinstance(item, taskdata.Dataset)}
    assert read == {"2023/drill/TASKDATA", "gis/layers", "gis/older.gpkg", "stick.zip/TASKDATA"}
    told = {path: str(item) for path, item in found.items() if path not in read}
    assert all(isinstance(item, taskdata.TaskdataError) for path, item in found.items() if path not in read)
    assert "is not well-formed XML" in told["2023/damaged"]
    assert "damaged zip archive" in told["broken.zip"]
    assert 'give `accept_guess` or crs="EPSG:32632"' in told["display"]
    stick = found["stick.zip/TASKDATA"]
    assert isinstance(stick, taskdata.Dataset)
    assert [field.id for field in stick.fields] == [field.id for field in taskdata.read(samples.STICKS[2]).fields]


def test_options_are_those_of_reading(archive: Path) -> None:
    found = dict(taskdata.read_many(archive / "display", crs="EPSG:32632"))
    (data,) = found.values()
    assert isinstance(data, taskdata.Dataset)
    assert len(data.fields) == 4


def test_paths_are_read_in_their_order_and_when_asked_for(tmp_path: Path) -> None:
    found = taskdata.read_many([samples.OFFICE, tmp_path / "nowhere", str(samples.MACHINE.parent)])
    first, data = next(found)
    assert (first, isinstance(data, taskdata.Dataset)) == (str(samples.OFFICE), True)
    (tmp_path / "nowhere").mkdir()
    missing, error = next(found)
    assert missing == str(tmp_path / "nowhere")
    assert isinstance(error, taskdata.SourceError)
    assert "holds no TASKDATA.XML" in str(error)
    assert [path for path, _ in found] == [str(samples.MACHINE.parent)]


def test_a_defect_costs_one_source_and_keeps_its_cause(monkeypatch: pytest.MonkeyPatch) -> None:
    def fails(source: str, **_: object) -> None:
        raise ValueError("of its own")

    monkeypatch.setattr(many, "read", fails)
    ((path, error),) = taskdata.read_many(samples.OFFICE)
    assert str(error) == f"{path}: could not be read (ValueError: of its own)"
    assert isinstance(error, taskdata.SourceError)
    assert isinstance(error.__cause__, ValueError)

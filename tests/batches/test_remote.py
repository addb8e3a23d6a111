"""Sources and results behind URLs: in the memory of this process, and on an S3-compatible server."""

from __future__ import annotations

import json
from pathlib import Path

import fsspec
import pytest
import s3fs

import taskdata
from taskdata.batches import many
from taskdata.batches.sources import sources_at
from tests.batches import servers
from tests.batches.conftest import told


def relative(rows: list[tuple[object, ...]]) -> list[tuple[object, ...]]:
    """Rows without where sources lie, and so without the names of results."""
    return sorted((str(row[0]).rpartition("archive/")[2], row[1], row[2], *row[6:]) for row in rows)


def test_what_lies_in_memory_is_found_and_read_as_on_disk(
    archive: Path, here: list[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(many, "_refuse_own_memory", lambda out: None)  # for here is where the work is done
    memory = fsspec.filesystem("memory")
    memory.put(str(archive), "/desk/archive", recursive=True)
    try:
        below = [Path(path).relative_to(archive).as_posix() for path in sources_at(str(archive))]
        assert sorted(sources_at("memory://desk/archive")) == sorted(f"memory://desk/archive/{path}" for path in below)
        on_disk = taskdata.batch("inspect", archive, tmp_path / "out")
        first = taskdata.batch("inspect", "memory://desk/archive", "memory://desk/out")
        assert relative(told(first)) == relative(told(on_disk))
        assert not any("/tmp" in str(row.error) or "/dev/shm" in str(row.error) for row in first.sources)  # noqa: S108
        again = taskdata.batch("inspect", "memory://desk/archive", "memory://desk/out")
        assert all(row.kept for row in again.sources)
        document = json.loads(memory.cat_file("/desk/out/summary.json"))
        assert document["totals"]["kept"] == len(below)
        text = memory.cat_file(f"/desk/out/{first.sources[0].result}").decode()
        assert json.loads(text)["source"] == first.sources[0].source
        memory.pipe_file("/desk/archive/2020/stick 0/TASKDATA/TASKDATA.XML", b"<cut")
        third = taskdata.batch("inspect", "memory://desk/archive", "memory://desk/out")
        assert [(row.source, row.exit) for row in third.sources if not row.kept] == [
            ("memory://desk/archive/2020/stick 0/TASKDATA", 3)
        ]
    finally:
        memory.rm("/desk", recursive=True)


def test_memory_of_one_process_and_unknown_systems_are_refused(archive: Path, tmp_path: Path) -> None:
    with pytest.raises(taskdata.UsageError, match="memory of one process"):
        taskdata.batch("check", archive, "memory://desk/out")
    with pytest.raises(taskdata.UsageError, match="no file system that is known"):
        taskdata.batch("check", archive, "nowhere://desk/out")
    (row,) = taskdata.batch("check", "memory://nothing", tmp_path / "out", workers=1).sources
    assert (row.exit, row.error) == (3, "memory://nothing: does not exist. Check the path")


def test_an_object_store_holds_sources_and_results(
    archive: Path, here: list[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with servers.object_store(tmp_path) as address:
        for name, value in {"ACCESS_KEY_ID": "a", "SECRET_ACCESS_KEY": "b", "DEFAULT_REGION": "us-east-1"}.items():
            monkeypatch.setenv(f"AWS_{name}", value)
        monkeypatch.setenv("AWS_ENDPOINT_URL", address)
        store = s3fs.S3FileSystem(use_listings_cache=False, skip_instance_cache=True)
        store.mkdir("bucket")
        store.put(f"{archive}/2020", "bucket/archive/2020", recursive=True)
        store.put(f"{archive}/zips", "bucket/archive/zips", recursive=True)
        sources = ["s3://bucket/archive/2020", "s3://bucket/archive/zips"]
        first = taskdata.batch("convert", sources, "s3://bucket/out", to="isoxml", version=3)
        assert [row.error for row in first.sources] == [None] * 8
        assert sorted(row.source for row in first.sources) == sorted(
            f"s3://bucket/archive/{Path(path).relative_to(archive).as_posix()}"
            for path in sources_at(str(archive))
            if "2021" not in path
        )
        row = first.sources[0]
        store.get(f"bucket/out/{row.result}", str(tmp_path / "got"), recursive=True)
        assert taskdata.read(tmp_path / "got").version == (3, 3)
        again = taskdata.batch("convert", sources, "s3://bucket/out", to="isoxml", version=3)
        assert all(row.kept for row in again.sources)
        record = str(row.result).replace("results", "finished")
        store.rm(f"bucket/out/{record}.json")  # as if the worker had died before it
        third = taskdata.batch("convert", sources, "s3://bucket/out", to="isoxml", version=3)
        assert [item.source for item in third.sources if not item.kept] == [row.source]
        assert told(third) == told(first)
        assert {Path(path).name for path in store.ls("bucket/out", detail=False)} == {
            "batch.json", "finished", "results", "summary.csv", "summary.json", "summary.parquet",
        }  # fmt: skip

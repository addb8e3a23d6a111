"""Names of results, digests of calls and sources: the same for the same, and for nothing else."""

from __future__ import annotations

import hashlib
import pickle
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pytest

import taskdata
from taskdata import limits
from taskdata.batches.digest import digest_of_source
from taskdata.batches.naming import result_name
from taskdata.batches.sources import sources_at, units_of
from taskdata.batches.unit import Unit, call_of
from taskdata.exchange import source_search
from taskdata.exchange.found import walking
from taskdata.formats.foreign.options import Reading


def test_names_are_stable_short_and_differ_also_without_regard_to_case() -> None:
    paths = ["a/b/TASKDATA", "a/B/TASKDATA", "a-b/TASKDATA", "a/b", "b", "ä/b", "s3://a/b", ".", "x" * 300, "a/b/c/d/e"]
    names = [result_name(path) for path in paths]
    assert len({name.lower() for name in names}) == len(paths)
    assert max(map(len, names)) <= 40
    assert names[0] == f"a-b-{hashlib.sha256(b'a/b/TASKDATA').hexdigest()[:16]}"
    assert result_name("./a//b/TASKDATA/") == names[0]


def test_no_name_leads_out_of_its_folder() -> None:
    for path in ("../../etc/passwd", "/", "..", "a/../..", "C:\\sticks\\a", "a\nb", "con"):
        assert result_name(path).replace("-", "").replace("_", "").isalnum(), path


def test_a_call_is_known_by_command_options_files_and_version(tmp_path: Path) -> None:
    profile = tmp_path / "profile.toml"
    profile.write_text("[a]\n")
    first = call_of("check", {"select": ("a", "b"), "profile": profile}, "/out", "1")
    same = call_of("check", {"profile": str(profile), "select": ["a", "b"], "ignore": ()}, "/elsewhere", "1")
    assert first.digest == same.digest
    assert first.run != same.run
    profile.write_text("[b]\n")
    others = [
        call_of("check", {"select": ("a", "b"), "profile": profile}, "/out", "1"),
        call_of("check", {"select": ("b", "a"), "profile": tmp_path / "profile.toml"}, "/out", "1"),
        call_of("inspect", {"select": ("a", "b"), "profile": profile}, "/out", "1"),
        replace(first, program="2"),
    ]
    assert len({call.digest for call in (first, *others)}) == 5


def test_implements_and_receivers_count_with_all_that_they_hold() -> None:
    width = [call_of("coverage", {"implement": taskdata.Implement(width_m=m)}, "/o", "1").digest for m in (3.0, 3.5)]
    assert width[0] != width[1]
    with pytest.raises(taskdata.UsageError, match="not plain data"):
        call_of("check", {"select": object()}, "/o", "1")


def test_every_option_of_reading_that_names_a_file_travels_as_its_content(tmp_path: Path) -> None:
    (tmp_path / "m.toml").write_text("[[item]]\nfile='*'\n")
    assert {name for name, kind in Reading.__annotations__.items() if "PathLike" in str(kind)} == {"mapping"}
    call = call_of("check", {"mapping": str(tmp_path / "m.toml")}, "/o", "1")
    (tmp_path / "m.toml").unlink()
    again = pickle.loads(pickle.dumps(Unit(call, "a", "/a", "a")))  # noqa: S301  # our own bytes
    assert again.call.options["mapping"].content.startswith(b"[[item]]")
    with pytest.raises(taskdata.SourceError, match=r"m\.toml: cannot be read"):
        call_of("check", {"mapping": str(tmp_path / "m.toml")}, "/o", "1")


def test_sources_are_found_at_any_depth_and_once(archive: Path) -> None:
    call = call_of("check", {}, "/out", "1")
    units = units_of(call, [archive, archive / "zips", archive / "2020" / "stick 0"])
    below = [str(Path(unit.place).relative_to(archive)) for unit in units]
    folders = [f"{2020 + seed % 2}/stick {seed}/TASKDATA" for seed in range(8)]
    packed = [
        *(f"zips/stick {seed}.zip/TASKDATA" for seed in (8, 9)),
        *(f"zips/two.zip/cab {n}/TASKDATA" for n in (10, 11)),
    ]
    assert sorted(below) == sorted([*folders, *packed])
    assert all(before.source < after.source for before, after in pairwise(units))


def test_a_folder_of_too_many_files_is_searched_folder_by_folder(
    archive: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    whole = sorted(sources_at(str(archive)))
    (archive / "zips" / "broken.zip").write_bytes(b"PK\x03\x04 no archive")
    monkeypatch.setenv(limits.variable("folder_files"), "11")
    with pytest.raises(walking.TooManyFilesError):
        walking.everything_in(source_search.DiskFolder(archive))
    found = sorted(sources_at(str(archive)))
    assert found == sorted([*whole, f"{archive}/zips/broken.zip"])


def test_digests_tell_content_and_names(archive: Path) -> None:
    first = archive / "2020" / "stick 0" / "TASKDATA"
    digests = {str(path): digest_of_source(path) for path in map(Path, sources_at(str(archive)))}
    assert len(set(digests.values())) == 12
    assert None not in digests.values()
    (first.parent / "beside.txt").write_text("of no account")
    assert digest_of_source(first) == digests[str(first)]
    (first / "more.txt").write_text("of the set")
    assert digest_of_source(first) not in digests.values()
    assert digest_of_source(archive / "nothing") is None
    zipped = archive / "zips" / "stick 8.zip"
    zipped.write_bytes(zipped.read_bytes()[:-40])
    assert digest_of_source(zipped / "TASKDATA") is None

"""Where sets are looked for: folders in folders, copies beside the set, archives, archives in archives."""

import io
import zipfile

import pytest

from taskdata import limits
from taskdata.errors import SourceError, UsageError
from taskdata.isoxml.files import archives, survey
from taskdata.isoxml.files.opening import exists, is_file_set, open_file_set, sets_in
from taskdata.isoxml.reading.read import read_document

MAIN = (
    '<?xml version="1.0" encoding="UTF-8"?>\n<ISO11783_TaskData VersionMajor="4" VersionMinor="0" '
    'DataTransferOrigin="1"><WKR A="WKR1" B="{}"/></ISO11783_TaskData>'
)
LITTER = (".DS_Store", "._TASKDATA.XML", "._TLG00001.BIN", "Thumbs.db", "desktop.ini", "DESKTOP.INI")


def main(name="one"):
    return MAIN.format(name).encode()


def tree(folder, members):
    for name, content in members.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(content)
    return folder


def zipped(members):
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in members.items():
            archive.writestr(name, content)
    return packed.getvalue()


def worker(place):
    return read_document(place).top("WKR")[0]["WorkerLastName"]


def told(place):
    return [(found.rule.id, found.facts["found"]) for found in read_document(place).findings]


ONE = {
    "a folder in a folder": {"2024/South/TASKDATA/TASKDATA.XML": main()},
    "a folder of any name": {"2024-05-03/TASKDATA.XML": main(), "2024-05-03/photo.jpg": b"x"},
    "a copy that is the only one": {"TASKDATA_old/TASKDATA.XML": main()},
    "an archive in the folder": {"export.zip": zipped({"TASKDATA/TASKDATA.XML": main()})},
    "an archive without a folder": {"in/export.ZIP": zipped({"TASKDATA.XML": main()})},
    "an archive in an archive": {"a.zip": zipped({"x/b.zip": zipped({"y/TASKDATA.XML": main()})})},
    "a set in the waste bin does not count": {
        "t/TASKDATA.XML": main(),
        "$RECYCLE.BIN/S-1/TASKDATA/TASKDATA.XML": main("bin"),
        ".Trash-1000/files/TASKDATA/TASKDATA.XML": main("bin"),
    },
}


@pytest.mark.parametrize("members", ONE.values(), ids=ONE)
@pytest.mark.parametrize("packed", [False, True], ids=["folder", "archive"])
def test_the_only_set_is_found_at_any_depth(tmp_path, members, packed):
    stick = tmp_path / "stick.zip"
    if packed:
        stick.write_bytes(zipped(members))
    else:
        stick = tree(tmp_path / "stick", members)
    assert worker(stick) == "one"
    ((rule, found),) = told(stick)
    assert rule == "file.set-in-subfolder"
    assert worker(found) == "one", "the path that is told is accepted as a source"
    assert told(found) == []
    assert exists(found)
    assert is_file_set(found)
    assert sets_in(stick) == (str(stick),)


SEVERAL = {
    "dated/2024/TASKDATA/TASKDATA.XML": main("a"),
    "dated/2025/TASKDATA.XML": main("b"),
    "season.zip": zipped({"TASKDATA_old/TASKDATA.XML": main("c"), "more.zip": zipped({"TASKDATA.XML": main("d")})}),
}


@pytest.mark.parametrize("packed", [False, True], ids=["folder", "archive"])
def test_among_several_none_is_chosen_and_each_is_named(tmp_path, packed):
    place = tmp_path / "all.zip"
    if packed:
        place.write_bytes(zipped(SEVERAL))
    else:
        place = tree(tmp_path / "all", SEVERAL)
    with pytest.raises(UsageError) as caught:
        read_document(place)
    inside = ["dated/2024/TASKDATA", "dated/2025", "season.zip/TASKDATA_old", "season.zip/more.zip"]
    paths = [str(place / item) for item in inside]
    assert str(caught.value) == (
        f"{place}: holds 4 sets (it is not clear which one is meant). Name one of them: {', '.join(paths)}"
    )
    assert [worker(path) for path in paths] == ["a", "b", "c", "d"]
    assert sets_in(place) == tuple(paths)


@pytest.mark.parametrize("name", ["TASKDATA_old", "TASKDATA - Copy", "2023-07-01"])
@pytest.mark.parametrize("packed", [False, True], ids=["folder", "archive"])
def test_the_folder_taskdata_at_the_root_is_the_set_and_others_are_noted(tmp_path, name, packed):
    members = {"TASKDATA/TASKDATA.XML": main("new"), f"{name}/TASKDATA.XML": main("old"), "letter.txt": b"x"}
    stick = tmp_path / "stick.zip"
    if packed:
        stick.write_bytes(zipped(members))
    else:
        stick = tree(tmp_path / "stick", members)
    assert worker(stick) == "new"
    assert told(stick) == [("file.another-set", str(stick / name))]
    assert told(stick / "TASKDATA") == []
    assert worker(stick / name) == "old"
    assert sets_in(stick) == (str(stick / "TASKDATA"), str(stick / name))


def test_a_set_in_the_folder_of_the_set_is_noted(tmp_path):
    folder = tree(tmp_path / "TASKDATA", {"TASKDATA.XML": main("new"), "backup/TASKDATA.XML": main("old")})
    assert worker(folder) == "new"
    assert told(folder) == [("file.another-set", str(folder / "backup"))]
    assert sets_in(folder) == (str(folder),)


def test_two_spellings_of_the_folder_are_two_sets(tmp_path):
    place = tmp_path / "two.zip"
    place.write_bytes(zipped({"TASKDATA/TASKDATA.XML": main(), "taskdata/TASKDATA.XML": main()}))
    with pytest.raises(UsageError, match="holds 2 sets"):
        read_document(place)
    assert worker(place / "TASKDATA") == "one"


def test_what_operating_systems_leave_is_passed_over(tmp_path):
    inside = {"TASKDATA/TASKDATA.XML": main(), **{f"TASKDATA/{name}": b"left" for name in LITTER}}
    mac = {f"__MACOSX/{name}": b"left" for name in ("TASKDATA/._TASKDATA.XML", "TASKDATA/TASKDATA.XML", "._TASKDATA")}
    folder = tree(tmp_path / "stick", {**inside, **mac, "System Volume Information/TASKDATA/TASKDATA.XML": main("x")})
    packed = tmp_path / "stick.zip"
    packed.write_bytes(zipped({**inside, **mac}))
    for place in (folder, folder / "TASKDATA", folder / "TASKDATA/TASKDATA.XML", packed, packed / "TASKDATA"):
        document = read_document(place)
        assert document.others == {}
        assert document.findings == []


def test_a_file_that_the_set_names_is_no_litter(tmp_path):
    body = main().replace(b"<WKR", b'<AFE A="Thumbs.db" B="2" C="" D="4"/><WKR')
    folder = tree(tmp_path / "TASKDATA", {"TASKDATA.XML": body, "Thumbs.db": b"kept", "desktop.ini": b"left"})
    assert list(read_document(folder).others) == ["THUMBS.DB"]


@pytest.mark.filterwarnings("ignore:Duplicate name")
def test_litter_that_stands_twice_in_an_archive_is_no_reason_to_refuse_it(tmp_path):
    place = tmp_path / "set.zip"
    with zipfile.ZipFile(place, "w") as archive:
        for name, content in [("TASKDATA.XML", main()), (".DS_Store", b"1"), (".DS_Store", b"2")]:
            archive.writestr(name, content)
    assert worker(place) == "one"


def test_what_cannot_be_looked_into_is_told(tmp_path):
    stick = tree(tmp_path / "stick", {"TASKDATA/TASKDATA.XML": main(), "broken.zip": b"PK\x03\x04 and no more"})
    assert told(stick) == [("file.not-looked-into", str(stick / "broken.zip"))]
    (stick / "TASKDATA").rename(stick / "copy")
    assert [rule for rule, _ in told(stick)] == ["file.set-in-subfolder", "file.not-looked-into"]
    (stick / "copy/TASKDATA.XML").unlink()
    with pytest.raises(SourceError, match=r"holds no readable TASKDATA.XML \(.*broken.zip: is a damaged zip"):
        read_document(stick)
    tree(stick, {"a/TASKDATA.XML": main(), "b/TASKDATA.XML": main()})
    assert sets_in(stick) == tuple(str(stick / name) for name in ("a", "b", "broken.zip"))


def test_a_folder_that_the_disk_refuses_is_told(tmp_path, monkeypatch):
    stick = tree(tmp_path / "stick", {"TASKDATA/TASKDATA.XML": main(), "shut/x": b""})
    listed = survey.DiskFolder.files

    def refused(folder):
        if folder.path.name == "shut":
            raise PermissionError(13, "Permission denied")
        return listed(folder)

    monkeypatch.setattr(survey.DiskFolder, "files", refused)
    (found,) = read_document(stick).findings
    assert (found.rule.id, found.facts["found"], found.facts["reason"]) == (
        "file.not-looked-into",
        str(stick / "shut"),
        "Permission denied",
    )


def test_links_to_folders_are_not_followed_in_search_of_sets(tmp_path):
    stick = tree(tmp_path / "stick", {"real/TASKDATA.XML": main()})
    (stick / "link").symlink_to(stick / "real")
    (stick / "round").symlink_to(stick)
    tree(tmp_path / "elsewhere", {"TASKDATA.XML": main("other")})
    (stick / "out").symlink_to(tmp_path / "elsewhere")
    assert told(stick) == [("file.set-in-subfolder", str(stick / "real"))]


PATHS = ["in/TASKDATA", "in/taskdata", "in", "in/TASKDATA/TASKDATA.XML", "IN/b.zip", "in/b.zip/t/TASKDATA.XML"]


@pytest.mark.parametrize("path", PATHS)
def test_a_path_into_an_archive_is_a_source(tmp_path, path):
    inner = zipped({"t/TASKDATA.XML": main("b")})
    place = tmp_path / "a.zip"
    place.write_bytes(zipped({"in/TASKDATA/TASKDATA.XML": main("a"), "IN/b.zip": inner, "in/b.zip": inner}))
    assert worker(place / path) == ("b" if "b.zip" in path else "a") or path == "in"
    assert exists(place / path)


@pytest.mark.parametrize("path", ["nothing", "../a.zip", "TASKDATA/no", "TASKDATA/TASKDATA.XML/more", "x/../TASKDATA"])
def test_a_path_to_nothing_is_told(tmp_path, path):
    place = tmp_path / "a.zip"
    place.write_bytes(zipped({"TASKDATA/TASKDATA.XML": main(), "x/y": b""}))
    assert not exists(place / path)
    with pytest.raises(SourceError, match="does not exist"):
        open_file_set(place / path)


def test_a_path_below_a_file_that_is_no_archive_is_told(tmp_path):
    (tmp_path / "a.txt").write_text("text")
    with pytest.raises(SourceError, match="does not exist"):
        open_file_set(tmp_path / "a.txt/TASKDATA")


def test_archives_in_archives_share_one_limit(tmp_path):
    zeros = zipped({"TASKDATA.XML": main(), "A.BIN": bytes(40 << 20)})
    alone = tmp_path / "alone.zip"
    alone.write_bytes(zeros)
    assert worker(alone) == "one", "below 64 MiB a set may be as even as it likes"
    both = tmp_path / "both.zip"
    both.write_bytes(zipped({"a.zip": zeros, "b.zip": zeros}))
    rules = dict(told(both))
    assert rules["file.set-in-subfolder"] == str(both / "a.zip")
    assert rules["file.not-looked-into"] == str(both / "b.zip")
    nested = tmp_path / "nested.zip"
    nested.write_bytes(zipped({"a.zip": zipped({"TASKDATA.XML": main(), "A.BIN": bytes(70 << 20)})}))
    with pytest.raises(SourceError, match="would unpack to"):
        read_document(nested)
    with pytest.raises(SourceError, match="would unpack to"):
        read_document(nested / "a.zip")


def test_an_archive_in_too_many_archives_is_not_looked_into(tmp_path):
    content = zipped({"TASKDATA.XML": main()})
    for _ in range(limits.most("archive_levels")):
        content = zipped({"a.zip": content})
    place = tmp_path / "deep.zip"
    place.write_bytes(content)
    assert worker(place) == "one"
    place.write_bytes(zipped({"a.zip": content}))
    with pytest.raises(SourceError, match="is nested in more than 4 archives"):
        read_document(place)


def test_an_inner_archive_that_is_too_large_for_memory_is_told(tmp_path, monkeypatch):
    monkeypatch.setenv("TASKDATA_LIMIT_ARCHIVE_INNER", "100")
    place = tmp_path / "a.zip"
    place.write_bytes(zipped({"b.zip": zipped({"TASKDATA.XML": main()})}))
    with pytest.raises(SourceError, match="Unpack the outer one and name it"):
        read_document(place)


def test_an_inner_archive_is_unpacked_once(tmp_path, monkeypatch):
    place = tmp_path / "a.zip"
    place.write_bytes(zipped({"b.zip": zipped({"TASKDATA.XML": main(), **{f"{at}.BIN": b"x" for at in range(9)}})}))
    reads = []
    listed = archives.Archive.file

    def counted(archive, name, info):
        blob = listed(archive, name, info)
        reads.extend([name] if name == "b.zip" else [])
        return blob

    monkeypatch.setattr(archives.Archive, "file", counted)
    document = read_document(place / "b.zip")
    assert [blob.read() for blob in document.others.values()] == [b"x"] * 9
    assert reads == ["b.zip"]


def test_more_than_can_be_looked_through_is_refused_unless_the_set_is_known(tmp_path, monkeypatch):
    monkeypatch.setenv("TASKDATA_LIMIT_FOLDER_FILES", "3")
    stick = tree(tmp_path / "stick", {f"{at}/x": b"" for at in range(9)} | {"z/TASKDATA.XML": main()})
    with pytest.raises(SourceError, match="too many files and folders to search"):
        read_document(stick)
    tree(stick, {"TASKDATA/TASKDATA.XML": main()})
    assert worker(stick) == "one"
    assert [rule for rule, _ in told(stick)] == ["file.not-looked-into"]


def test_files_of_a_set_in_an_archive_are_named_by_their_whole_path(tmp_path):
    place = tmp_path / "a.zip"
    place.write_bytes(zipped({"x/TASKDATA/TASKDATA.XML": b""}))
    with pytest.raises(SourceError) as caught:
        read_document(place)
    assert str(caught.value).startswith(f"{place}/x/TASKDATA/TASKDATA.XML: is empty")

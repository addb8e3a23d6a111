"""Where sets are found, and what an archive or a reference cannot do."""

import io
import random
import stat
import struct
import zipfile

import pytest
from hypothesis import given
from hypothesis import strategies as st

from taskdata.errors import SourceError
from taskdata.isoxml.files.blob import Blob
from taskdata.isoxml.files.opening import is_file_set, open_file_set
from taskdata.isoxml.files.set_files import FileSet, is_plain_name, plain_name
from taskdata.isoxml.reading.read import document_of, read_document
from taskdata.isoxml.to_model.dataset import to_dataset

HEAD = '<?xml version="1.0" encoding="UTF-8"?>\n'
ROOT = '<ISO11783_TaskData VersionMajor="4" VersionMinor="0" DataTransferOrigin="1">{}</ISO11783_TaskData>'
LOG = '<TSK A="TSK1" G="4"><TLG A="{}" C="1"/></TSK>'


def main(body=""):
    return (HEAD + ROOT.format(body)).encode()


def folder_with(folder, **files):
    folder.mkdir(parents=True, exist_ok=True)
    for name, content in files.items():
        (folder / name.replace("__", ".")).write_bytes(content)
    return folder


def zip_with(path, members):
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in members:
            archive.writestr(name, content)
    return path


def names(place):
    return sorted(blob.name for blob in open_file_set(place).files)


def refused(place):
    with pytest.raises(SourceError) as caught:
        read_document(place)
    assert "\n" not in str(caught.value)
    return str(caught.value)


def test_a_folder_a_stick_and_a_main_file_are_the_same_set(tmp_path):
    folder = folder_with(tmp_path / "stick" / "TASKDATA", TASKDATA__XML=main(), TLG00001__BIN=b"1")
    for place in (folder, folder.parent, folder / "TASKDATA.XML", str(folder)):
        assert is_file_set(place)
        assert names(place) == ["TASKDATA.XML", "TLG00001.BIN"]
        assert open_file_set(place).folder == "TASKDATA"


def test_lower_case_names_are_found(tmp_path):
    body = LOG.format("TLG00001")
    folder = folder_with(tmp_path / "taskdata", taskdata__xml=main(body), tlg00001__bin=b"", tlg00001__xml=b"<TIM/>")
    document = read_document(tmp_path)
    assert document.header("TLG00001").name == "tlg00001.xml"
    assert document.binary("TLG00001").name == "tlg00001.bin"
    assert is_file_set(folder)
    wanted = [found.facts["wanted"] for found in document.findings if found.rule.id == "file.name-in-other-case"]
    assert sorted(wanted) == ["TASKDATA.XML", "TLG00001.BIN", "TLG00001.XML"]


def test_an_exact_name_comes_before_one_in_another_case(tmp_path):
    folder = folder_with(tmp_path / "t", TASKDATA__XML=main('<PFD A="PFD1" C="x" D="1"/>'), taskdata__xml=b"other")
    document = read_document(folder)
    assert [item.id for item in document.top("PFD")] == ["PFD1"]
    assert [blob.name for blob in document.others.values()] == ["taskdata.xml"]


def test_a_main_file_of_another_name_stands_for_the_main_file(tmp_path):
    folder = folder_with(tmp_path / "t", TASKDATA__XML=b"<other/>", export__xml=main(), TLG00001__BIN=b"")
    assert names(folder / "export.xml") == ["TASKDATA.XML", "TLG00001.BIN"]
    assert read_document(folder / "export.xml").root.tag == "ISO11783_TaskData"


@pytest.mark.parametrize("prefix", ["", "TASKDATA/", "taskdata\\", "./TASKDATA/"])
def test_an_archive_is_read_from_its_top_or_its_folder_taskdata(tmp_path, prefix):
    inside = [
        (f"{prefix}TASKDATA.XML", main()),
        (f"{prefix}TLG00001.BIN", b"12"),
        (f"{prefix}deep/er/TASKDATA.XML", b"x"),
    ]
    place = zip_with(tmp_path / "set.zip", [*inside, ("readme.md", b"no part")])
    wanted = ["TASKDATA.XML", "TLG00001.BIN"] + (["readme.md"] if prefix == "" else [])
    assert names(place) == wanted
    assert open_file_set(place).find("tlg00001.bin").read() == b"12"


@pytest.mark.parametrize("suffix", [".zip", ".ZIP", ".dat", ""])
def test_an_archive_is_told_by_its_bytes(tmp_path, suffix):
    place = zip_with(tmp_path / f"set{suffix}", [("TASKDATA.XML", main())])
    assert is_file_set(place)
    assert read_document(place).version == (4, 0)


@pytest.mark.parametrize(
    "name", ["../TASKDATA/TLG00001", "sub/TLG00001", "..\\TLG00001", "/etc/TLG00001", "C:\\TLG00001", "sub//TLG00001"]
)
def test_a_reference_with_a_path_is_never_followed(tmp_path, name):
    folder = folder_with(tmp_path / "TASKDATA", TASKDATA__XML=main(LOG.format(name)))
    folder_with(folder / "sub", TLG00001__XML=b"<TIM/>", TLG00001__BIN=b"")
    folder_with(tmp_path, TLG00001__XML=b"<TIM/>")
    document = read_document(folder)
    assert [found.rule.id for found in to_dataset(document).findings] == ["file.path-in-reference"]
    assert len(document.xml_files) == 1
    assert document.others == {}


@pytest.mark.parametrize("name", ["..", "TASKDATA", "LINKLIST", "TLG00001.XML/..", "\u202e", "TLG%00001", "nul"])
def test_a_strange_reference_finds_nothing_or_a_file_of_the_set(name):
    files = FileSet("x", (Blob.of("TASKDATA.XML", main(LOG.format(name))), Blob.of("LINKLIST.XML", b"<L/>")))
    document = document_of(files)
    assert document.root.tag == "ISO11783_TaskData"
    assert {file.name for file in document.xml_files} <= {"TASKDATA.XML", "LINKLIST.XML"}


def test_what_is_not_there_is_told(tmp_path):
    (tmp_path / "empty.zip").write_bytes(b"")
    (tmp_path / "text.txt").write_text("no set")
    (tmp_path / "bare.zip").write_bytes(zip_with(tmp_path / "x", [("a.txt", b"")]).read_bytes())
    (tmp_path / "TASKDATA").mkdir()
    told = {name: refused(tmp_path / name) for name in ("nothing", "empty.zip", "text.txt", "bare.zip", "TASKDATA")}
    assert "does not exist" in told["nothing"]
    assert "empty" in told["empty.zip"]
    assert "well-formed" in told["text.txt"]
    assert "without a TASKDATA.XML" in told["bare.zip"]
    assert "no folder TASKDATA" in told["TASKDATA"]
    assert not is_file_set(tmp_path / "nothing")
    assert not is_file_set(tmp_path / "text.txt")
    assert "cannot be read" in refused(tmp_path / ("x" * 5000))


def test_a_file_that_vanishes_is_told(tmp_path):
    folder = folder_with(tmp_path / "t", TASKDATA__XML=main(), A__BIN=b"1")
    files = open_file_set(folder)
    (folder / "A.BIN").unlink()
    with pytest.raises(SourceError, match="cannot be read"):
        files.find("A.BIN").read()


def test_another_root_is_told(tmp_path):
    folder = folder_with(tmp_path / "t", TASKDATA__XML=b"<gpx/>")
    assert "its root is gpx" in refused(folder)
    (folder / "TASKDATA.XML").write_bytes(b"")
    assert "is empty" in refused(folder)


@pytest.mark.parametrize(
    "names_in_it",
    [
        ["../TASKDATA.XML"],
        ["../../etc/TASKDATA.XML"],
        ["a/../../TASKDATA.XML"],
        ["TASKDATA/.."],
        ["TASKDATA/TASKDATA.XML", "TASKDATA/.."],
        ["TASKDATA.XML", "C:evil.bin"],
    ],
)
def test_archives_with_names_that_lead_outside_are_refused(tmp_path, names_in_it):
    place = zip_with(tmp_path / "set.zip", [(name, main()) for name in names_in_it])
    refused(place)


def test_members_outside_the_folder_of_the_set_are_no_part_of_it(tmp_path):
    hostile = [
        "../evil.bin",
        "/etc/evil.bin",
        "TASKDATA/../evil.bin",
        "TASKDATA\\..\\..\\evil.bin",
        "TASKDATA/sub/x.bin",
    ]
    place = zip_with(tmp_path / "set.zip", [("TASKDATA/TASKDATA.XML", main()), *((name, b"evil") for name in hostile)])
    assert names(place) == ["TASKDATA.XML"]
    absolute = zip_with(tmp_path / "absolute.zip", [("/TASKDATA/TASKDATA.XML", main()), ("/TASKDATA/A.BIN", b"")])
    assert names(absolute) == ["A.BIN", "TASKDATA.XML"]


@pytest.mark.filterwarnings("ignore:Duplicate name")
def test_an_archive_with_a_file_twice_is_refused(tmp_path):
    place = zip_with(tmp_path / "set.zip", [("TASKDATA.XML", main()), ("A.BIN", b"1"), ("A.BIN", b"2")])
    assert "A.BIN more than once" in refused(place)
    mixed = zip_with(tmp_path / "mixed.zip", [("T/TASKDATA.XML", main()), ("T/A.BIN", b"1"), ("T\\A.BIN", b"2")])
    assert "A.BIN more than once" in refused(mixed)


def test_a_link_in_an_archive_is_not_followed(tmp_path):
    secret = tmp_path / "secret"
    secret.write_text("secret")
    link = zipfile.ZipInfo("TLG00001.BIN")
    link.create_system, link.external_attr = 3, (stat.S_IFLNK | 0o777) << 16
    place = tmp_path / "set.zip"
    with zipfile.ZipFile(place, "w") as archive:
        archive.writestr("TASKDATA.XML", main(LOG.format("TLG00001")))
        archive.writestr(link, str(secret))
    assert read_document(place).binary("TLG00001").read() == str(secret).encode()


def test_bombs_are_refused(tmp_path):
    zeros = zip_with(tmp_path / "ratio.zip", [("TASKDATA.XML", main()), ("A.BIN", bytes(70_000_000))])
    honest = zip_with(tmp_path / "honest.zip", [("TASKDATA.XML", main()), ("A.BIN", bytes(900_000))])
    assert "would unpack" in refused(zeros)
    assert read_document(honest).others["A.BIN"].size == 900_000
    many = tmp_path / "many.zip"
    with zipfile.ZipFile(many, "w") as archive:
        archive.writestr("TASKDATA.XML", main())
        for at in range(3):
            archive.writestr(f"{at}.BIN", b"x")
    lying = bytearray(many.read_bytes())
    start = lying.index(b"PK\x01\x02")
    lying[start + 24 : start + 28] = struct.pack("<I", 2**32 - 2)
    many.write_bytes(lying)
    assert "would unpack" in refused(many) or "damaged" in refused(many)


def test_a_member_longer_than_it_says_is_never_unpacked_further(tmp_path):
    place = zip_with(tmp_path / "set.zip", [("TASKDATA.XML", main()), ("A.BIN", bytes(500_000))])
    lying = bytearray(place.read_bytes())
    start = lying.index(b"PK\x01\x02", lying.index(b"PK\x01\x02") + 4)
    lying[start + 24 : start + 28] = struct.pack("<I", 10)
    place.write_bytes(lying)
    blob = open_file_set(place).find("A.BIN")
    with pytest.raises(SourceError, match="damaged"):
        blob.read()


def test_an_encrypted_member_is_told(tmp_path):
    place = zip_with(tmp_path / "set.zip", [("TASKDATA.XML", main())])
    locked = bytearray(place.read_bytes())
    locked[6] |= 1
    locked[locked.index(b"PK\x01\x02") + 8] |= 1
    place.write_bytes(locked)
    assert "password" in refused(place)


@given(
    st.integers(0, 2**32),
    st.sampled_from([zipfile.ZIP_DEFLATED, zipfile.ZIP_LZMA, zipfile.ZIP_BZIP2, zipfile.ZIP_STORED]),
)
def test_damaged_archives_are_read_or_refused(tmp_path_factory, seed, method):
    draw = random.Random(seed)  # noqa: S311  # test data, no secret
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", method) as archive:
        archive.writestr("TASKDATA/TASKDATA.XML", main(LOG.format("TLG00001")))
        archive.writestr("TASKDATA/TLG00001.XML", HEAD + "<TIM A='' D='4'/>")
        archive.writestr("TASKDATA/TLG00001.BIN", draw.randbytes(200))
    content = bytearray(packed.getvalue())
    for _ in range(draw.randint(1, 4)):
        content[draw.randrange(4, len(content))] = draw.choice([0, 255, draw.randrange(256)])
    place = tmp_path_factory.getbasetemp() / "damaged.zip"
    place.write_bytes(content[: draw.choice([None, draw.randrange(len(content))])])
    try:
        for blob in read_document(place).others.values():
            blob.read()
    except SourceError as error:
        told = str(error)
        assert "\n" not in told  # an error is allowed, not demanded


def test_plain_names():
    assert [plain_name(text) for text in ("a/b", "a\\b", "b", "/", "..")] == ["b", "b", "b", "", ".."]
    assert all(is_plain_name(text) for text in ("TASKDATA.XML", "a b.txt", "...", "ä", ".hidden"))
    assert not any(is_plain_name(text) for text in ("", ".", "..", "a/b", "a\\b", "C:x", "a\0b"))


def test_a_deflate_stream_that_ends_early_is_told(tmp_path):
    place = zip_with(tmp_path / "set.zip", [("TASKDATA.XML", main()), ("A.BIN", random.Random(1).randbytes(5000))])  # noqa: S311
    content = bytearray(place.read_bytes())
    at = content.index(b"A.BIN") + 5
    content[at : at + 40] = b"\xff" * 40
    place.write_bytes(content)
    with pytest.raises(SourceError, match="damaged"):
        open_file_set(place).find("A.BIN").read()


def test_a_main_file_in_a_crowded_folder_takes_only_what_belongs_to_it(tmp_path):
    body = LOG.format("TLG00001") + '<AFE A="note.txt" B="2" C="" D="1"/>'
    crowd = {"TLG00001__BIN": b"1", "grd00009__bin": b"2", "LINKLIST__XML": b"<x/>", "note__txt": b"3"}
    folder = folder_with(tmp_path / "Downloads", TASKDATA__XML=main(body), letter__pdf=b"4", PFD1__XML=b"5", **crowd)
    taken = set(read_document(folder / "TASKDATA.XML").others)
    assert taken == {"TLG00001.BIN", "GRD00009.BIN", "NOTE.TXT"}
    assert {"LETTER.PDF", "PFD1.XML"} <= set(read_document(folder).others)


def test_links_that_lead_out_of_the_folder_are_not_followed(tmp_path):
    folder = folder_with(tmp_path / "TASKDATA", TASKDATA__XML=main(LOG.format("TLG00001")))
    secret = folder_with(tmp_path / "home", secret__txt=b"secret") / "secret.txt"
    (folder / "TLG00001.BIN").symlink_to(secret)
    (folder / "COPY.TXT").symlink_to("TASKDATA.XML")
    for place in (folder, folder.parent, folder / "TASKDATA.XML"):
        document = read_document(place)
        assert set(document.others) == {"COPY.TXT"}
        assert [item.place.file for item in document.findings if item.rule.id == "file.link-outside"] == [
            "TLG00001.BIN"
        ]


def test_a_main_file_or_folder_that_is_a_link_out_of_the_stick_is_none(tmp_path):
    real = folder_with(tmp_path / "elsewhere", TASKDATA__XML=main())
    stick = folder_with(tmp_path / "stick")
    (stick / "TASKDATA").symlink_to(real)
    assert not is_file_set(stick)
    (stick / "TASKDATA").unlink()
    (stick / "TASKDATA.XML").symlink_to(real / "TASKDATA.XML")
    assert not is_file_set(stick)
    assert "holds no TASKDATA.XML" in refused(stick)
    assert names(stick / "TASKDATA.XML") == ["TASKDATA.XML"]


def test_an_archive_of_many_files_is_opened_once_and_its_names_are_looked_at_once(tmp_path, monkeypatch):
    opened, own = [], zipfile.ZipFile
    logs = [f"TLG{number:05d}" for number in range(1, 40)]
    body = '<TSK A="TSK1" G="4">' + "".join(f'<TLG A="{name}"/>' for name in logs) + "</TSK>"
    header = b'<TIM A="" D="4"><PTN A="" B=""/></TIM>'
    record = struct.pack("<IHiiB", 1, 16_000, 543_000_000, 70_000_000, 0)
    members = [("TASKDATA/TASKDATA.XML", main(body))]
    for name in logs:
        members += [(f"TASKDATA/{name}.XML", header), (f"TASKDATA/{name}.BIN", record)]
    zip_with(tmp_path / "x.zip", members)

    class Counted(zipfile.ZipFile):
        def __init__(self, *given, **options):
            opened.append(given)
            own.__init__(self, *given, **options)

    monkeypatch.setattr(zipfile, "ZipFile", Counted)
    data = to_dataset(read_document(tmp_path / "x.zip"))
    assert [log.length for log in data.tasks[0].logs] == [1] * len(logs)
    assert len(opened) <= 2  # once to look for the set, once to read it


def test_a_header_is_found_when_files_come_and_go(tmp_path):
    folder_with(tmp_path / "x", TLG00001=b"")
    (tmp_path / "x" / "tlg00001.xml").write_text('<TIM A=""/>')
    (tmp_path / "x" / "TASKDATA.XML").write_bytes(main('<TSK A="TSK1"><TLG A="TLG00001"/></TSK>'))
    document = read_document(tmp_path / "x")
    header = document.header("TLG00001")
    assert header is not None
    assert header.name == "tlg00001.xml"
    document.xml_files.remove(header)
    assert document.header("TLG00001") is None
    document.xml_files.append(header)
    assert document.header("tlg00001") is header

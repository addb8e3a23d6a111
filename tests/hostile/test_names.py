"""Names that lead elsewhere: in every attribute that names a file, in archives, in carried tables, and on the disk.

Nothing outside is opened or made, and no name of another system's devices or streams is written: the run says so in a
line, or keeps the name as the text that it is. Names that Windows reserves, and what it makes of others, are as "Naming
Files, Paths, and Namespaces" of Microsoft's documentation says.
"""

from __future__ import annotations

import shutil
import zipfile
from pathlib import Path
from xml.sax.saxutils import quoteattr

import pytest

import taskdata
from taskdata.cli import main
from taskdata.isoxml.files.portable import why_unfit
from taskdata.isoxml.tree.filenames import FILE_SUFFIXES
from tests import samples
from tests.hostile.carried import renamed
from tests.hostile.watching import WORD, forbidden, untouched

LEADING = (
    "{secret}/{name}",
    "../../secret/{name}",
    "..\\..\\secret\\{name}",
    "./../../secret/{name}",
    "TASKDATA/../../../secret/{name}",
    "file://{secret}/{name}",
    "C:\\secret\\{name}",
    "C:{name}",
    "\\\\host\\secret\\{name}",
    "//{secret}/{name}",
    "\\\\?\\{secret}\\{name}",
    "/vsicurl/http://127.0.0.1:9/{name}",
    "/vsizip/{secret}/{name}",
    "..%2F..%2Fsecret%2F{name}",
    "~/{name}",
    "$HOME/{name}",
    "link/{name}",
    "..",
    ".",
)
"""Names that lead into the folder ``secret`` beside the source, or would elsewhere."""
DEVICES = ("CON", "NUL.XML", "aux.txt", "COM1", "LPT9.BIN", "COM\u00b9", "CONIN$", "PRN .txt")
ODD = ("a:b", "name.", "name ", "what?.txt", "a*.txt", "<b>.txt", 'q".txt', "p|q", "line\nend", "\x1b[2J.txt")
LONG = ("x" * 256, "\u00e4" * 128 + ".TXT", "\u0390" * 60)
"""The last is 120 bytes long, and 360 in capitals."""
NAMED = {"XFR": "CTP99999", "TLG": "TLG99999", "GRD": "GRD99999", "PNT": "PNT99999", "AFE": "NOTE.TXT"}
"""A file in the folder for each kind of name."""

COMMANDS = (
    "inspect {source} --json",
    "check {source} --format json",
    "compare {source} {other} --json",
    "coverage {source} --json",
    "convert {source} {out}/set --to isoxml --verify",
    "convert {source} {out}/set.zip --verify",
    "convert {source} {out}/farm.gpkg --verify",
    "convert {source} {out}/layers --to geojson",
    "convert {source} {out}/layers --to kml",
    "convert {source} {out}/layers --to csv",
    "convert {source} {out}/set --to isoxml --version 3",
    "clean {source} {out}/set --review",
    "merge {source} {other} {out}/set --to isoxml",
    "shift {source} {out}/set/TASKDATA --everything --east 0.4 --north 0.1",
    "report {source} {out}/page.html",
    "report {source} {out}/map.svg",
    "batch convert {source} --out {out}/all --workers 1 -- --to geojson",
    "batch clean {source} --out {out}/all --workers 1 -- --review",
)


def run(words: str, capsys: pytest.CaptureFixture[str], **places: object) -> tuple[int, str]:
    """Run a command, and return how it ended and what it said; nothing that it says is from the folder."""
    with pytest.raises(SystemExit) as left:
        main([word.format(**places) for word in words.split()])
    shown = capsys.readouterr()
    assert "Traceback" not in shown.out + shown.err
    assert WORD not in shown.out + shown.err
    code = left.value.code
    assert isinstance(code, int)
    if code in {3, 4}:
        assert shown.err.startswith("taskdata: ")
        assert shown.err.count("\n") == 1
    return code, shown.out + shown.err


@pytest.fixture
def secret(tmp_path: Path) -> Path:
    return forbidden(tmp_path / "secret")


def _filled(name: str, secret: Path, kind: str) -> str:
    return name.format(secret=secret, name=NAMED[kind])


def _elements(kind: str, secret: Path) -> str:
    """Return an element for each name that leads elsewhere, and for each odd one that XML can hold."""
    names = [_filled(name, secret, kind) for name in LEADING] + [*DEVICES, *ODD[:-1], *LONG]
    body = {
        "XFR": "<XFR A={0} B='1'/>",
        "AFE": "<AFE A={0} B='1' C='' D='1'/>",
        "TLG": "<TLG A={0}/>",
        "GRD": "<GRD A='54.3' B='7.0' C='0.0001' D='0.0001' E='2' F='2' G={0} I='1'/>",
        "PNT": "<PNT A='2' J={0}/>",
    }[kind]
    return "".join(body.format(quoteattr(name, {"\n": "&#10;"})) for name in names)


@pytest.fixture
def stick(tmp_path: Path, secret: Path) -> Path:
    """A set whose every file name leads elsewhere, with links to there beside it."""
    folder = tmp_path / "stick" / "TASKDATA"
    shutil.copytree(samples.OFFICE, folder)
    page = (folder / "TASKDATA.XML").read_text(encoding="utf-8")
    first, rest = page.index("<", page.index("<ISO11783_TaskData") + 1), page.index("</TSK>")
    outer = _elements("XFR", secret) + _elements("AFE", secret)
    lines = "".join(
        f"<GGP A='GGP9{at}'><GPN A='GPN9{at}' C='3'><LSG A='5'>{points}</LSG></GPN></GGP>"
        for at, points in enumerate([_elements("PNT", secret)])
    )
    field = f"<PFD A='PFD99' C='far' D='1'>{lines}</PFD>"
    page = (
        page[:first]
        + outer
        + field
        + page[first:rest]
        + _elements("TLG", secret)
        + _elements("GRD", secret)
        + page[rest:]
    )
    (folder / "TASKDATA.XML").write_text(page, encoding="utf-8")
    links = (folder / "LINKLIST.XML").read_text(encoding="utf-8")
    end = links.index("</LGP>")
    more = "".join(f"<LNK A={quoteattr(_filled(name, secret, 'AFE'))} B='x'/>" for name in LEADING)
    (folder / "LINKLIST.XML").write_text(links[:end] + more + links[end:], encoding="utf-8")
    (folder / "link").symlink_to(secret)
    (folder / "NOTE.TXT").symlink_to(secret / "NOTE.TXT")
    (folder / "TLG99999.BIN").symlink_to("../../secret/TLG99999.BIN")
    return folder.parent


def test_every_kind_of_name_is_asked() -> None:
    assert set(NAMED) == set(FILE_SUFFIXES)


@pytest.mark.parametrize("words", COMMANDS)
def test_no_name_in_a_set_leads_elsewhere(words, stick, secret, tmp_path, capsys):
    out, other = tmp_path / "out", samples.OLDER
    with untouched(tmp_path, secret, out):
        code, _ = run(words, capsys, source=stick, other=other, out=out)
    assert code in {0, 1}


@pytest.mark.parametrize(
    "words",
    [
        "convert {source} {out}/set --to isoxml",
        "convert {source} {out}/farm.gpkg",
        "clean {source} {out}/set --to isoxml",
    ],
)
@pytest.mark.parametrize("name", [*DEVICES, *ODD, *LONG[2:]], ids=ascii)
def test_no_file_is_written_under_a_name_of_another_system(name, words, secret, tmp_path, capsys):
    """A device, a stream, or another name on the system that the stick is put into next."""
    folder = tmp_path / "stick" / "TASKDATA"
    shutil.copytree(samples.OLDER, folder)
    (folder / name).write_text("text", encoding="utf-8")
    with untouched(tmp_path, secret, tmp_path / "out"):
        code, told = run(words, capsys, source=folder, out=tmp_path / "out")
    assert (code, "cannot be written with a file named" in told) == (4, True)
    assert not list(tmp_path.glob("out/*"))
    assert run("check {source}", capsys, source=folder)[0] in {0, 1}


def _packed(place: Path, name: str, content: str, links: bool = False) -> Path:
    """Make an archive of a set and of a file, under a name that zipfile itself would not write."""
    with zipfile.ZipFile(place, "w") as archive:
        for item in sorted(samples.OLDER.iterdir()):
            archive.write(item, f"TASKDATA/{item.name}")
        info = zipfile.ZipInfo("x")
        info.filename = name
        info.external_attr = (0o120777 if links else 0o100644) << 16
        archive.NameToInfo.clear()  # where zipfile would notice a name that is there twice
        archive.writestr(info, content)
    return place


MEMBERS = (
    *LEADING,
    *(f"TASKDATA/{name}" for name in (*LEADING, *DEVICES, *ODD, *LONG, "TASKDATA.XML", "taskdata.xml", "a\0b.txt")),
)


@pytest.mark.parametrize("name", MEMBERS, ids=ascii)
def test_no_member_of_an_archive_leads_elsewhere(name, secret, tmp_path, capsys):
    """Nor a link, which every other one is: a file with a path as its content."""
    links = MEMBERS.index(name) % 2 == 1
    source = _packed(tmp_path / "stick.zip", _filled(name, secret, "AFE"), str(secret / "NOTE.TXT"), links)
    out = tmp_path / "out"
    with untouched(tmp_path, secret, out):
        codes = [run(words, capsys, source=source, out=out)[0] for words in ("inspect {source}", COMMANDS[4])]
    assert {*codes} <= {0, 1, 3, 4}
    written = [item for item in out.rglob("*") if item.is_file()]
    assert {item.parent for item in written} <= {out / "set" / "TASKDATA"}
    assert bool(written) == (codes[1] in {0, 1})
    assert [item.name for item in written if why_unfit(item.name)] == []


@pytest.fixture(scope="module")
def carried(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A set with layers that carry it, in every format that can."""
    home = tmp_path_factory.mktemp("carried")
    taskdata.convert(samples.OLDER, home / "farm.gpkg")
    for form in ("geojson", "parquet", "flatgeobuf", "shapefile"):
        taskdata.convert(samples.OLDER, home / form, to=form)
    return home


CARRIED = [
    *(
        ("farm.gpkg", file, name)
        for file in ("TLG00001.BIN", "TLG00001.XML")
        for name in (*LEADING, *DEVICES, *ODD[:-1])
    ),
    *(
        (form, "TLG00001.BIN", name)
        for form in ("geojson", "parquet", "flatgeobuf", "shapefile")
        for name in LEADING[:3]
    ),
    *((form, "TLG00001.BIN", "NUL.BIN") for form in ("geojson", "parquet", "flatgeobuf", "shapefile")),
]


@pytest.mark.parametrize("row", CARRIED, ids=ascii)
def test_no_name_in_carried_tables_leads_elsewhere(row, carried, secret, tmp_path, capsys):
    form, file, name = row[0], row[1], _filled(row[2], secret, "AFE")
    source = tmp_path / "stick" / form
    (shutil.copyfile if form.endswith(".gpkg") else shutil.copytree)(carried / form, _made(source))
    renamed(source, file, name)
    out = tmp_path / "out"
    with untouched(tmp_path, secret, out):
        code, told = run("convert {source} {out}/set --to isoxml", capsys, source=source, out=out)
    if why_unfit(name) is None:
        assert code in {0, 1}
        return
    assert code in {3, 4}
    assert "is no name of a file" in told or "cannot be written with a file named" in told
    assert not out.exists()


def _made(path: Path) -> Path:
    path.parent.mkdir()
    return path

"""``taskdata clean`` on the command line."""

from __future__ import annotations

import json
import shutil
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest

RULES = Path(__file__).parents[1] / "rules"


def test_a_dry_run_shows_the_journal_and_writes_nothing(run: Callable, samples: Path, tmp_path: Path) -> None:
    result = run("clean", samples / "broken", tmp_path / "s", "--review", "--dry-run")
    assert result.code == 1  # some of its files could not be read
    assert "REVIEW" in result.out
    assert "Could not be read" in result.out
    assert "drive the first pass by eye" in " ".join(result.out.split())
    assert list(tmp_path.iterdir()) == []


def test_json_is_the_journal(run: Callable, samples: Path, tmp_path: Path) -> None:
    result = run("clean", samples / "broken", tmp_path / "s", "--json")
    document = json.loads(result.out)
    assert document["changes"]
    assert all(change["standing"] == "safe" for change in document["changes"])
    assert json.loads((tmp_path / "s" / "TASKDATA.journal.json").read_text())["changes"] == document["changes"]
    checked = json.loads(run("check", samples / "broken", "--format", "json").out)
    assert {item["repair"] for item in checked["findings"]} == {"safe", "review", None}


def test_unknown_names_are_wrong_usage(run: Callable, samples: Path, tmp_path: Path) -> None:
    result = run("clean", samples / "broken", tmp_path / "s", "--only", "no.such")
    assert result.code == 2
    assert result.err.count("\n") == 1


@pytest.mark.parametrize(
    "rule",
    ["byte-order-mark", "folder-in-other-case", "name-in-other-case", "not-utf-8", "other-encoding", "misread-letters"],
)
def test_what_is_left_is_what_a_check_of_the_target_finds(run: Callable, tmp_path: Path, rule: str) -> None:
    source, target = RULES / f"file.{rule}" / "bad", tmp_path / "s"
    document = json.loads(run("clean", source, target, "--review", "--json").out)
    assert [change["rule"] for change in document["changes"]] == [f"file.{rule}"]
    checked = json.loads(run("check", target, "--format", "json").out)
    assert document["after"] == checked["summary"]
    assert document["left"] == checked["findings"] == []


@pytest.mark.parametrize(
    "edit",
    [
        ("TASKDATA.XML", ' H="270" ', ' H="9" '),
        ("LINKLIST.XML", '<LNK A="FRM1"', '<LNK A="FRM99"'),
        ("TASKDATA.XML", ' F="2152"', ' F="9"'),
    ],
    ids=["wrong length of a grid", "link to nothing", "wrong length of the link list"],
)
def test_what_repairs_changed_is_looked_at_as_it_is_written(
    run: Callable, samples: Path, tmp_path: Path, edit: tuple[str, str, str]
) -> None:
    """A file that a repair shortens has its length stated anew; what the schema said of the source is forgotten."""
    file, old, new = edit
    source = tmp_path / "source" / "TASKDATA"
    shutil.copytree(samples / "office" / "TASKDATA", source)
    text = (source / file).read_text(encoding="utf-8")
    assert old in text
    (source / file).write_text(text.replace(old, new, 1), encoding="utf-8")
    document = json.loads(run("clean", source, tmp_path / "once", "--review", "--json").out)
    checked = json.loads(run("check", tmp_path / "once", "--format", "json").out)
    assert document["left"] == checked["findings"]
    assert document["after"] == checked["summary"]
    assert checked["summary"]["error"] == checked["summary"]["warning"] == 0
    again = json.loads(run("clean", tmp_path / "once", tmp_path / "twice", "--review", "--json").out)
    assert again["changes"] == again["losses"] == []
    assert {path.name: path.read_bytes() for path in (tmp_path / "once" / "TASKDATA").iterdir()} == {
        path.name: path.read_bytes() for path in (tmp_path / "twice" / "TASKDATA").iterdir()
    }


def test_layers_are_cleaned_as_the_set_behind_them(run: Callable, tmp_path: Path) -> None:
    """The link list of a GeoPackage lies in no folder, and yet nothing names it."""
    source, layers = RULES / "linklist.not-attached" / "bad", tmp_path / "set.gpkg"
    assert run("convert", source, layers).code == 0
    straight, through = (
        json.loads(run("clean", item, tmp_path / f"{at}", "--json").out) for at, item in enumerate((source, layers))
    )
    assert straight["changes"] == through["changes"] != []
    assert run("compare", tmp_path / "0", tmp_path / "1").code == 0


def test_a_dry_run_says_what_a_run_says_and_the_journal_says_it_too(
    run: Callable, samples: Path, tmp_path: Path
) -> None:
    words = ("clean", samples / "broken", tmp_path / "s", "--only", "geometry", "--json")
    foretold, told = (json.loads(run(*words, *more).out) for more in (["--dry-run"], []))
    journal = json.loads((tmp_path / "s" / "TASKDATA.journal.json").read_text(encoding="utf-8"))
    assert any("file name" in loss["what"] for loss in told["losses"])
    assert foretold == told == journal


def test_a_journal_that_stands_there_is_not_replaced_and_nothing_is_left_of_the_attempt(
    run: Callable, samples: Path, tmp_path: Path
) -> None:
    journal = tmp_path / "s.zip.journal.json"
    journal.write_text("mine", encoding="utf-8")
    result = run("clean", samples / "broken", tmp_path / "s.zip", "--review")
    assert result.code == 4
    assert str(journal) in result.err
    assert list(tmp_path.iterdir()) == [journal]


@pytest.mark.parametrize("encoding", ["ISO-8859-1", "iso-8859-15", "windows-1252", "koi8-r"])
@pytest.mark.parametrize("packed", [False, True])
def test_utf8_under_another_declaration_keeps_its_bytes_until_somebody_looks(
    run: Callable, tmp_path: Path, encoding: str, packed: bool
) -> None:
    """Safe repairs change what they change; the letters of the names are settled by a review alone."""
    source = tmp_path / "source"
    shutil.copytree(RULES / "file.misread-letters" / "bad", source)
    main = source / "TASKDATA.XML"
    text = main.read_text(encoding="utf-8").replace("ISO-8859-1", encoding).replace('"PFD1"', '"PFD01"')
    main.write_text(text, encoding="utf-8")
    safe, review = (tmp_path / (name + ".zip" * packed) for name in ("safe", "review"))

    def written(target: Path) -> bytes:
        if not packed:
            return (target / "TASKDATA" / "TASKDATA.XML").read_bytes()
        with zipfile.ZipFile(target) as archive:
            return archive.read("TASKDATA/TASKDATA.XML")

    cleaned = json.loads(run("clean", source, safe, "--json").out)
    assert [change["rule"] for change in cleaned["changes"]] == ["identity.leading-zero"]
    left = {item["rule"] for item in cleaned["left"]}
    assert left - {"name.outside-latin-1"} == {"file.other-encoding", "file.misread-letters"}
    assert cleaned["losses"] == []
    assert written(safe) == main.read_bytes().replace(b"PFD01", b"PFD1")
    cleaned = json.loads(run("clean", safe, review, "--review", "--json").out)
    assert [(item["rule"], item["before"], item["after"]) for item in cleaned["changes"]] == [
        ("file.misread-letters", encoding, "UTF-8")
    ]
    assert cleaned["left"] == []
    assert written(review) == written(safe).replace(encoding.encode(), b"UTF-8")


def test_text_in_the_encoding_that_is_declared_is_written_as_utf8_at_once(run: Callable, tmp_path: Path) -> None:
    """A file with one letter that is no UTF-8 is what it declares, though another two look like UTF-8."""
    source = tmp_path / "source"
    shutil.copytree(RULES / "file.other-encoding" / "bad", source)
    main = source / "TASKDATA.XML"
    text = main.read_text(encoding="utf-8").replace("Kuhle", "Sü SÃ¼")
    main.write_text(text, encoding="latin-1")
    cleaned = json.loads(run("clean", source, tmp_path / "t", "--json").out)
    assert [change["rule"] for change in cleaned["changes"]] == ["file.other-encoding"]
    assert "Sü SÃ¼" in (tmp_path / "t" / "TASKDATA" / "TASKDATA.XML").read_text(encoding="utf-8")

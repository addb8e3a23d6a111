"""What a set names and cannot be read is told by every command, in text and in JSON, and costs nothing but itself.

A table: every kind of file, every way to lose it, every command, as a folder and as an archive. A short run looks at
every other place of it, as on a chessboard.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

import taskdata
from tests.damaged import FILES, HEADER, KINDS, MAIN, RECORDS, refuse, spoil, write_set
from tests.documents import READING
from tests.heavy import HEAVY

COMMANDS = ["inspect", "check", "isoxml", "zip", "gpkg", "clean", "merge", "compare", "coverage", "passes", "shift"]
NOT_ATTACHED = {"inspect", "check", "coverage", "passes"}
"""Commands that need not read attached files."""
WAYS = ["missing", "folder", "refused", "midway"]
EMPTY_OR_SHORT = {
    ("TLG00001.BIN", "empty"): (b"", "is empty"),
    ("TLG00001.BIN", "short"): (RECORDS[: 20 * 15], "has 300 of the 600 bytes that the set states"),
    ("PNT00001.BIN", "empty"): (b"", "is empty"),
    ("PNT00001.BIN", "short"): (FILES["PNT00001.BIN"][:32], "has 32 of the 48 bytes that the set states"),
    ("GRD00001.BIN", "empty"): (b"", "has 0 of the 6 bytes"),
    ("GRD00001.BIN", "short"): (b"\1\2\1", "has 3 of the 6 bytes"),
    ("NOTES001.TXT", "short"): (b"Nur ein", "has 7 of the 12 bytes"),
    ("CTP00001.XML", "empty"): (b"", "is empty"),
    ("CTP00001.XML", "short"): (FILES["CTP00001.XML"][:70], "is not well-formed XML"),
    ("TLG00001.XML", "empty"): (b"", "is empty"),
    ("TLG00001.XML", "short"): (HEADER[:60], "is not well-formed XML"),
}


CASES = [*((name, way) for name in KINDS for way in WAYS), *EMPTY_OR_SHORT]
PACKED = [(name, way) for name in KINDS if name != "NOTES001.TXT" for way in ("missing", "spoiled")]


def pairs(commands: list[str], cases: list[tuple[str, str]]) -> list[object]:
    """Every command with every case; in a short run with every other one, and the next command with the rest."""
    return [
        pytest.param(command, case, id="-".join((command, *case)))
        for row, command in enumerate(commands)
        for at, case in enumerate(cases)
        if HEAVY or (row + at) % 2 == 0
    ]


@pytest.fixture
def damaged(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Callable[[str, str], tuple[Path, str]]:
    """Makes a set that lost one file, and says why that cannot be read."""

    def make(name: str, way: str) -> tuple[Path, str]:
        return _damaged(tmp_path, name, way, monkeypatch)

    return make


def _damaged(tmp_path: Path, name: str, way: str, monkeypatch: pytest.MonkeyPatch) -> tuple[Path, str]:
    files, root = dict(FILES), tmp_path / "stick"
    if way in {"missing", "folder"}:
        del files[name]
        why = "is not in the set" if way == "missing" else "cannot be read (is a folder)"
        return write_set(root, files, folder=name if way == "folder" else None), why
    if way in {"refused", "midway"}:
        refuse(monkeypatch, name, midway=way == "midway")
        return write_set(root, files), "denied" if way == "refused" else "Input/output error"
    files[name], why = EMPTY_OR_SHORT[name, way]
    return write_set(root, files), why


def words(command: str, source: Path, other: Path, out: Path) -> list[object]:
    """Return the words of a command on a source."""
    return {
        "inspect": ["inspect", source],
        "check": ["check", source],
        "isoxml": ["convert", source, out / "set", "--to", "isoxml"],
        "zip": ["convert", source, out / "set.zip"],
        "gpkg": ["convert", source, out / "set.gpkg"],
        "clean": ["clean", source, out / "clean"],
        "merge": ["merge", source, source, out / "merged"],
        "compare": ["compare", source, other],
        "coverage": ["coverage", source],
        "passes": ["passes", source],
        "shift": ["shift", source, out / "moved", "--east", "1"],
    }[command]


def outcome(run: Callable, command: str, source: Path, other: Path, out: Path) -> tuple[str, dict]:
    """Run a command in text and in JSON; both tell the same by their exit codes."""
    text = run(*words(command, source, other, out / "text"))
    form = ["--format", "json"] if command == "check" else ["--json"]
    document = run(*words(command, source, other, out / "json"), *form)
    assert (text.code, text.err, document.code, document.err) == (1, "", 1, "")
    assert "Traceback" not in text.out
    return " ".join(text.out.split()), json.loads(document.out)


@pytest.mark.parametrize(("command", "case"), pairs(COMMANDS, CASES))
def test_every_command_tells_what_it_could_not_read(
    run: Callable, tmp_path: Path, damaged: Callable, command: str, case: tuple[str, str]
) -> None:
    name, way = case
    other = write_set(tmp_path / "other", FILES)
    source, why = damaged(name, way)
    if name == "NOTES001.TXT" and way in {"refused", "midway"} and command in NOT_ATTACHED:
        assert run(*words(command, source, other, tmp_path)).code == (1 if command == "check" else 0)
        return
    text, document = outcome(run, command, source, other, tmp_path)
    assert set(READING) <= set(document)
    told = document["unread"][0]
    assert told["file"] == name
    assert told["what"].startswith(KINDS[name].split(" of ")[0])
    assert why in told["why"]
    assert any(item["file"] is not None and item["severity"] == "error" for item in document["findings"])
    assert any(name in warning for warning in document["warnings"]) or command == "check"
    assert name in text
    assert "Nothing that was read is lost" not in text


@pytest.mark.parametrize("command", COMMANDS)
def test_a_sound_set_is_told_to_be_sound(run: Callable, tmp_path: Path, command: str) -> None:
    source, other = write_set(tmp_path / "stick", FILES), write_set(tmp_path / "other", FILES)
    result = run(*words(command, source, other, tmp_path / "out"))
    assert result.code == (1 if command == "check" else 0)  # it has no capabilities, which is an error of its own
    assert "Could not be read" not in result.out
    if command in {"isoxml", "zip", "gpkg"}:
        assert "Nothing that was read is lost." in result.out


@pytest.mark.parametrize(("command", "case"), pairs([item for item in COMMANDS if item != "compare"], PACKED))
def test_archives_too(run: Callable, tmp_path: Path, command: str, case: tuple[str, str]) -> None:
    name, way = case
    files = {key: content for key, content in FILES.items() if way != "missing" or key != name}
    source = write_set(tmp_path / "stick", files, packed=True)
    if way == "spoiled":
        spoil(source, name)
    text, document = outcome(run, command, source, source, tmp_path)
    assert document["unread"][0]["file"] == name
    assert ("is not in the set" if way == "missing" else "CRC") in document["unread"][0]["why"]
    assert name in text


@pytest.mark.parametrize("to", ["isoxml", "zip"])
@pytest.mark.parametrize("case", [(name, way) for name in KINDS for way in ("refused", "midway")], ids="-".join)
def test_what_cannot_be_read_costs_nothing_else(
    run: Callable, tmp_path: Path, damaged: Callable, to: str, case: tuple[str, str]
) -> None:
    name, way = case
    source, _ = damaged(name, way)
    assert run(*words(to, source, source, tmp_path)).code == 1
    back = taskdata.read(tmp_path / ("set.zip" if to == "zip" else "set/TASKDATA"))
    assert [item.file for item in back.unread] == [name]
    assert set(back.lossless.others) == set(FILES) - {name, "TASKDATA.XML", "TLG00001.XML", "CTP00001.XML"}


def test_a_record_that_is_cut_through_is_told_with_what_is_whole(run: Callable, tmp_path: Path) -> None:
    for length, records in ((307, 20), (599, 39)):
        main = MAIN.format(log=length).encode()
        files = {**FILES, "TASKDATA.XML": main, "TLG00001.BIN": RECORDS[:length]}
        source = write_set(tmp_path / str(length), files)
        document = json.loads(run("inspect", source, "--json").out)
        assert document["unread"] == [
            {"file": "TLG00001.BIN", "what": "log of TSK1", "why": f"is cut: {records} complete records could be read"}
        ]
        assert document["tasks"][0]["logs"][0]["records"] == records


def test_counts_are_of_what_was_read(run: Callable, tmp_path: Path) -> None:
    second = '<TLG A="TLG00002" C="1"/>\n  </TSK>'
    main = MAIN.format(log=len(RECORDS)).replace("</TSK>", second).encode()
    files = {**FILES, "TASKDATA.XML": main, "TLG00002.XML": HEADER}
    del files["GRD00001.BIN"]
    source = write_set(tmp_path / "stick", files)
    result = run("convert", source, tmp_path / "out", "--to", "isoxml")
    text = " ".join(result.out.split())
    assert "grids 0 of 1, logs 1 of 2 (40 records)" in text
    assert "Apart from those 2 files, nothing is lost." in text
    document = json.loads(run("convert", source, tmp_path / "again", "--to", "isoxml", "--json").out)
    assert {key: document["written"][key] for key in ("grids", "logs", "log_records")} == {
        "grids": 0,
        "logs": 1,
        "log_records": 40,
    }
    assert "Read: logs 1 of 2 (40 records), grids 0 of 1." in " ".join(run("inspect", source).out.split())


@pytest.mark.parametrize(("status", "severity"), [(1, "note"), (2, "error"), (4, "error"), (5, "note")])
def test_an_empty_log_of_a_planned_task_is_a_note(run: Callable, tmp_path: Path, status: int, severity: str) -> None:
    main = MAIN.format(log=0).replace('G="4" H="1"', f'G="{status}"').encode()
    source = write_set(tmp_path / "stick", {**FILES, "TASKDATA.XML": main, "TLG00001.BIN": b""})
    result = run("inspect", source, "--json")
    document = json.loads(result.out)
    assert [item["severity"] for item in document["findings"] if item["rule"] == "file.empty"] == [severity]
    assert (result.code, bool(document["unread"])) == ((1, True) if severity == "error" else (0, False))


def test_python_tells_it_too(tmp_path: Path) -> None:
    files = {name: content for name, content in FILES.items() if name != "TLG00001.BIN"}
    data = taskdata.read(write_set(tmp_path / "stick", files))
    (item,) = data.unread
    assert (item.file, item.what, item.why) == ("TLG00001.BIN", "log of TSK1", "is not in the set")
    assert "file.missing" in {finding.rule.id for finding in data.findings}
    done = taskdata.write(data, tmp_path / "out.gpkg")
    assert [finding.unread for finding in done.findings if finding.unread] == [item]


class TestCoverage:
    """What is not known is unknown, never missed."""

    def figures(self, run: Callable, source: Path, *more: str) -> tuple[int, dict, dict]:
        result = run("coverage", source, "--json", *more)
        document = json.loads(result.out)
        return result.code, document["tasks"][0], document

    def test_the_whole_log_tells_what_was_missed(self, run: Callable, tmp_path: Path) -> None:
        code, found, _ = self.figures(run, write_set(tmp_path / "stick", FILES))
        assert code == 0
        assert found["missed_area_m2"] == pytest.approx(found["field_area_m2"] - found["worked_area_m2"], rel=0.01)

    @pytest.mark.parametrize("lost", ["TLG00001.BIN", "TLG00001.XML"])
    def test_without_a_readable_log_nothing_is_known(self, run: Callable, tmp_path: Path, lost: str) -> None:
        files = {name: content for name, content in FILES.items() if name != lost}
        code, found, document = self.figures(run, write_set(tmp_path / "stick", files))
        assert code == 1
        names = ("worked", "double", "missed", "outside", "applied")
        assert [found[f"{name}_area_m2"] for name in names] == [None] * 5
        assert any("TLG00001" in text for text in document["warnings"])

    def test_a_cut_log_says_from_when_to_when(self, run: Callable, tmp_path: Path) -> None:
        source = write_set(tmp_path / "stick", {**FILES, "TLG00001.BIN": RECORDS[: 15 * 20]})
        code, found, document = self.figures(run, source)
        assert code == 1
        assert found["missed_area_m2"] is None
        assert found["worked_area_m2"] > 0.0
        told = " ".join(document["warnings"])
        assert "The figures cover 2024-04-18 07:00:00 to 2024-04-18 07:00:19" in told
        assert "Missed: not known." in run("coverage", source).out

    def test_a_planned_task_is_not_missed(self, run: Callable, tmp_path: Path) -> None:
        main = MAIN.format(log=0).replace('G="4" H="1"', 'G="1"')
        without = main.replace('<TLG A="TLG00001" B="0" C="1"/>', "").encode()
        for number, files in enumerate(
            ({**FILES, "TASKDATA.XML": without}, {**FILES, "TASKDATA.XML": main.encode(), "TLG00001.BIN": b""})
        ):
            source = write_set(tmp_path / str(number), files)
            code, found, _ = self.figures(run, source, "--task", "TSK1")
            assert (code, found["missed_area_m2"], found["worked_area_m2"]) == (0, None, None)
            assert "is not known" in run("coverage", source, "--task", "TSK1").out


class TestMerge:
    """A stick that was copied in part, and a whole one."""

    @pytest.mark.parametrize("first", ["whole", "half"])
    @pytest.mark.parametrize("way", ["missing", "empty", "short"])
    @pytest.mark.parametrize("name", list(KINDS))
    def test_the_whole_file_is_taken_whichever_comes_first(
        self, run: Callable, tmp_path: Path, first: str, way: str, name: str
    ) -> None:
        if (name, way) == ("NOTES001.TXT", "empty"):
            way = "missing"
        files = dict(FILES)
        files[name] = EMPTY_OR_SHORT.get((name, way), (b"", ""))[0]
        if way == "missing":
            del files[name]
        places = {"half": write_set(tmp_path / "half", files), "whole": write_set(tmp_path / "whole", FILES)}
        order = [places[first], *(place for key, place in places.items() if key != first)]
        result = run("merge", *order, tmp_path / "merged")
        assert (result.code, result.err) == (1, "")
        target = tmp_path / "merged" / "TASKDATA"
        main = (target / "TASKDATA.XML").read_text(encoding="utf-8")
        assert [main.count(f"<{tag} ") for tag in ("TLG", "GRD", "TSK")] == [1, 1, 1]
        assert taskdata.read(target).unread == ()
        for kept in ("TLG00001.BIN", "GRD00001.BIN", "PNT00001.BIN", "NOTES001.TXT"):
            assert (target / kept).read_bytes() == FILES[kept], kept
        assert "CTP" in main or (target / "CTP00001.XML").exists()

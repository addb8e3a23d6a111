"""A next version of the standard is a row: in a copy of the program whose table of versions has one more, all follows.

The version is invented. Its facts are those of version 4 here, since fact tables hold until they say otherwise; what a
real one changes are rows of those tables, rules and steps with their own ``since``.
"""

from __future__ import annotations

import csv
import difflib
import json
import os
import shutil
import struct
import subprocess
import sys
from pathlib import Path

import pytest

from tests import samples

ROOT = Path(__file__).parents[1]
ROW = "5,ThirdEdition,third edition,2031,0,5,write,invented\n"
PROFILE = "import json; from taskdata.model.receiver import receiver_schema; print(json.dumps(receiver_schema()))"
RULES = """
import json, sys
from pathlib import Path
import taskdata
from taskdata.checks.catalogue import catalogue

def found(folder, place):
    place.mkdir(parents=True)
    for path in folder.iterdir():
        content = path.read_bytes()
        for old, new in ((b'VersionMajor="4"', b'VersionMajor="5"'), (b'VersionMinor="3"', b'VersionMinor="0"')):
            content = content.replace(old, new)
        (place / path.name).write_bytes(content)
    return {item.rule.id for item in taskdata.check(place, max_per_rule=0).findings}

silent, until, seen = [], [], 0
for rule in catalogue():
    for folder in sorted(Path(sys.argv[1], rule.id).glob("bad*")):
        main = folder / "TASKDATA.XML"
        if not main.is_file() or b'VersionMajor="4"' not in main.read_bytes():
            continue
        before = {item.rule.id for item in taskdata.check(folder, max_per_rule=0).findings}
        after = found(folder, Path(sys.argv[2], rule.id, folder.name))
        seen += rule.since is not None
        silent += [f"{folder.name}: {name}" for name in before - after]
        until += [name for name in after if name in {item.id for item in catalogue() if item.until is not None}]
print(json.dumps([seen, silent, until]))
"""


@pytest.fixture(scope="module")
def program(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A copy of the program with one more row, and the schemas that follow from it."""
    place = tmp_path_factory.mktemp("next")
    shutil.copytree(ROOT / "taskdata", place / "taskdata", ignore=shutil.ignore_patterns("__pycache__"))
    shutil.copytree(ROOT / "schemas", place / "schemas")
    with (place / "taskdata" / "data" / "versions.csv").open("a", encoding="utf-8") as table:
        table.write(ROW)
    python(place, "-m", "taskdata.isoxml.schema.generate", "schemas")
    profile = python(place, "-c", PROFILE)
    (place / "schemas" / "receiver.schema.json").write_text(profile, encoding="utf-8")
    return place


def python(place: Path, *words: object, fails: bool = False) -> str:
    """Run Python in the copy; return what is printed, errors too."""
    environment = {"PYTHONPATH": str(place), "NO_COLOR": "1", "COLUMNS": "200"}
    environment["PYTHONDONTWRITEBYTECODE"] = ""  # so that the copy is compiled once, not in each interpreter
    done = subprocess.run(
        [sys.executable, *map(str, words)],
        cwd=place,
        env={**os.environ, **environment},
        check=False,
        capture_output=True,
        encoding="utf-8",
    )
    assert fails or done.returncode in {0, 1}, done.stderr
    return done.stdout + done.stderr


def test_the_schemas_of_the_next_version_are_written_from_the_tables(program: Path) -> None:
    written = {path.name for path in (program / "schemas").glob("*-5.0.xsd")}
    assert written == {f"{name}-5.0.xsd" for name in ("TASKDATA", "EXTERNAL", "TIMELOG", "LINKLIST")}
    schema = (program / "schemas" / "TASKDATA-5.0.xsd").read_text(encoding="utf-8")
    before = (ROOT / "schemas" / "TASKDATA-4.3.xsd").read_text(encoding="utf-8")
    fresh = [line for line in difflib.ndiff(before.splitlines(), schema.splitlines()) if line.startswith("+ ")]
    assert sum('<xs:enumeration value="5"/>' in line for line in fresh) == 2
    assert [line for line in fresh if "version 5.0" not in line and 'value="5"' not in line] == []
    assert (program / "schemas" / "TASKDATA-4.3.xsd").read_text(encoding="utf-8") == before.replace("\r\n", "\n")


def test_every_rule_that_holds_since_a_version_holds_for_the_next(program: Path, tmp_path: Path) -> None:
    (program / "audit.py").write_text(RULES, encoding="utf-8")
    seen, silent, until = json.loads(python(program, "audit.py", ROOT / "tests" / "rules", tmp_path))
    assert seen > 50
    assert silent == []
    assert until == []


def test_choices_and_error_texts_name_it(program: Path, tmp_path: Path) -> None:
    office = samples.OFFICE
    assert "[3|4|5]" in python(program, "-m", "taskdata", "convert", "--help")
    refused = "import taskdata, sys; taskdata.convert(sys.argv[1], sys.argv[2], to='isoxml', version=6)"
    assert "Choose 3, 4 or 5" in python(program, "-c", refused, office, tmp_path / "six", fails=True)
    profile = tmp_path / "receiver.toml"
    profile.write_text("[receiver]\nversions = [5]\n", encoding="utf-8")
    assert "version-not-taken" in python(program, "-m", "taskdata", "check", office, "--receiver", profile)
    profile.write_text("[receiver]\nversions = [6]\n", encoding="utf-8")
    told = python(program, "-m", "taskdata", "check", office, "--receiver", profile, fails=True)
    assert "should be at most 5" in told


def test_sets_go_to_it_and_back_and_older_versions_are_reached_by_the_same_steps(program: Path, tmp_path: Path) -> None:
    def convert(source: Path, name: str, version: int) -> list[dict[str, object]]:
        words = ["-m", "taskdata", "convert", source, tmp_path / name, "--to", "isoxml", "--version", version, "--json"]
        losses: list[dict[str, object]] = json.loads(python(program, *words))["losses"]
        return [loss for loss in losses if " becomes " not in str(loss["what"]) or loss["element"] is not None]

    assert convert(samples.OFFICE, "five", 5) == []
    checked = json.loads(python(program, "-m", "taskdata", "check", tmp_path / "five", "--format", "json"))
    assert checked["version"] == "5.0"
    assert checked["summary"]["error"] == 0
    assert convert(tmp_path / "five", "four", 4) == []
    assert convert(tmp_path / "five", "three", 3) == convert(tmp_path / "four", "three-again", 3) != []
    old, new = ((tmp_path / name / "TASKDATA" / "TASKDATA.XML").read_bytes() for name in ("three-again", "three"))
    assert old == new
    newer, newest = convert(samples.OLDER, "up-again", 4), convert(samples.OLDER, "up", 5)
    assert [(item["element"], item["what"]) for item in newest] == [(item["element"], item["what"]) for item in newer]


def test_fields_of_records_may_change_with_a_version(program: Path, tmp_path: Path) -> None:
    """One more byte for the number of satellites from the next version on: each log is read as its set says."""
    place = tmp_path / "program"
    shutil.copytree(program, place, ignore=shutil.ignore_patterns("__pycache__"))
    layouts = place / "taskdata" / "data" / "binary.csv"
    rows = list(csv.reader(layouts.read_text(encoding="utf-8").splitlines()))
    at = next(number for number, row in enumerate(rows) if row[:3] == ["TLG", "9", "NumberOfSatellites"])
    wider = dict(zip(rows[0], rows[at], strict=True)) | {"type": "u16", "na_value": "FFFF", "since": "5"}
    rows[at][rows[0].index("until")] = "4"
    rows.insert(at + 1, list(wider.values()))
    with layouts.open("w", encoding="utf-8", newline="") as stream:
        csv.writer(stream, lineterminator="\n").writerows(rows)
    task = '<TSK A="TSK1" G="4"><TIM A="2031-04-18T07:00:00" C="1" D="4"/><TLG A="TLG00001"/></TSK>'
    header = '<TIM A="" D="4"><PTN A="" B="" D="" G=""/></TIM>'
    fixed = struct.pack("<IHiiB", 25_200_000, 18_735, 543_000_000, 70_000_000, 4)
    records = {4: [fixed + bytes([9, 0])] * 20, 5: [fixed + bytes([9, 0, 0])] * 20}
    root = '<ISO11783_TaskData VersionMajor="{}" VersionMinor="0" DataTransferOrigin="1">{}</ISO11783_TaskData>'
    found = []
    for version, content in records.items():
        folder = tmp_path / f"of-{version}"
        folder.mkdir()
        (folder / "TASKDATA.XML").write_text(root.format(version, task), encoding="utf-8")
        (folder / "TLG00001.XML").write_text(header, encoding="utf-8")
        (folder / "TLG00001.BIN").write_bytes(b"".join(content))
        asked = "import sys, taskdata; print(len(taskdata.read(sys.argv[1]).tasks[0].logs[0].records.time))"
        found.append(python(place, "-c", asked, folder).split()[-1])
        told = python(place, "-m", "taskdata", "check", folder, "--select", "timelog.cut-record", "--format", "json")
        assert json.loads(told)["findings"] == []
    assert found == ["20", "20"]


def test_the_program_itself_does_not_know_it() -> None:
    assert "[3|4]" in python(ROOT, "-m", "taskdata", "convert", "--help")
    assert ROW not in (ROOT / "taskdata" / "data" / "versions.csv").read_text(encoding="utf-8")

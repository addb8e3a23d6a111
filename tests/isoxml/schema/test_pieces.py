"""A file that is read in pieces is judged as in one piece, and one whose bytes go away is told."""

from __future__ import annotations

from pathlib import Path
from typing import BinaryIO

import pytest

from taskdata.checks.readers import schema
from taskdata.checks.subject import Subject
from taskdata.errors import SourceError
from taskdata.isoxml.files.blob import Blob
from taskdata.isoxml.reading.read import read_document
from taskdata.isoxml.schema import xml_bytes
from taskdata.isoxml.schema.validate import validate
from taskdata.isoxml.to_model.dataset import to_dataset

SAMPLES = Path(__file__).parents[3] / "samples"
HEAD = '<?xml version="1.0"?>\n<ISO11783_TaskData VersionMajor="4" VersionMinor="3" DataTransferOrigin="1" {}>\n'
POINTS = '<PNT A="2" C="54.1" D="7.1"/>\n' * 40
FIELD = '<PFD A="PFD{0}" C="Kuhle" D="1"><PLN A="1"><LSG A="1">' + POINTS + "{1}</LSG></PLN></PFD>\n"
NAMES = 'ManagementSoftwareManufacturer="Hof" ManagementSoftwareVersion="1"'


def made(more: str, root: str = NAMES) -> bytes:
    fields = "".join(FIELD.format(number, more if number == 3 else "") for number in range(1, 6))
    return (HEAD.format(root) + fields + "</ISO11783_TaskData>").encode()


FILES = {
    "valid": made(""),
    "point": made('<PNT A="2" C="94.1" D="7.1"/>'),
    "proprietary": made("", f'{NAMES} P12_Own="1"'),
    "instance": made("", f'{NAMES} xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance" xsi:nil="true"'),
    "repeated": made("").replace(b"PFD4", b"PFD2"),
    "utf-16": made("<PNT/>").decode().encode("utf-16"),
    "cut": made("")[:-30],
}


@pytest.mark.parametrize("size", [1, 97])
@pytest.mark.parametrize("name", FILES)
def test_pieces_change_no_verdict(name: str, size: int, monkeypatch: pytest.MonkeyPatch) -> None:
    whole = validate(FILES[name], "task", (4, 3), "TASKDATA.XML")
    monkeypatch.setattr(xml_bytes, "_CHUNK", size)
    assert validate(Blob.of("TASKDATA.XML", FILES[name]), "task", (4, 3), "TASKDATA.XML") == whole
    assert (not whole) == (name in {"valid", "proprietary", "instance"})


def test_a_file_that_goes_away_is_told() -> None:
    document = read_document(SAMPLES / "office")

    def gone() -> BinaryIO:
        raise OSError(5, "Input/output error")

    document.main.blob = Blob("TASKDATA.XML", 10, gone)
    with pytest.raises(SourceError, match="Input/output error"):
        list(schema.check(Subject(document, to_dataset(document))))
    assert document.main.blob.fault == "Input/output error"

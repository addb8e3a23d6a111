"""What ``compare`` says of files beside the task data: logs, grids, points, attachments, links."""

from __future__ import annotations

import struct
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from taskdata import api
from taskdata.results.comparison import Difference
from tests import samples

Change = Callable[[bytearray], None]
POSITIONS = slice(6, 14)
"""Octets of latitude and longitude in a record with time first (ISO 11783-10, D.40 and 8.6.3)."""


def changed(tmp_path: Path, name: str, change: Change, sample: Path = samples.MACHINE) -> Path:
    folder = samples.copy(sample, tmp_path)
    content = bytearray((folder / name).read_bytes())
    change(content)
    (folder / name).write_bytes(bytes(content))
    return folder


def reworded(tmp_path: Path, name: str, before: str, after: str, sample: Path = samples.OFFICE) -> Path:
    folder = samples.copy(sample, tmp_path)
    text = (folder / name).read_text(encoding="utf-8")
    assert before in text
    (folder / name).write_text(text.replace(before, after, 1), encoding="utf-8")
    return folder


def only(before: Path, after: Path) -> Difference:
    (item,) = api.compare(before, after).differences
    assert item.what
    return item


def test_a_position_in_a_log(tmp_path: Path) -> None:
    def change(content: bytearray) -> None:
        north, east = struct.unpack("<ii", content[POSITIONS])
        content[POSITIONS] = struct.pack("<ii", north + 1000, east)

    item = only(samples.MACHINE, changed(tmp_path, "TLG00001.BIN", change))
    assert item.what == "position in record 1 at 2024-04-18T07:12:30 of log TLG00001.BIN of TSK1"
    before, after = (float(str(text).split()[0]) for text in (item.before, item.after))
    assert after - before == pytest.approx(1000e-7, abs=1e-9)  # stored in 1e-7 degrees


def test_a_value_in_a_log_is_named_with_its_quantity(tmp_path: Path) -> None:
    log = api.read(samples.MACHINE).tasks[0].logs[0].records
    assert log is not None
    first = struct.pack("<i", int(log.value[1]))

    def change(content: bytearray) -> None:
        at = content.index(first, content.index(struct.pack("<i", int(log.value[0])), 20) + 4)
        content[at : at + 4] = struct.pack("<i", 4711)

    item = only(samples.MACHINE, changed(tmp_path, "TLG00001.BIN", change))
    assert "(DDI " in item.what
    assert " in record 1 at 2024-04-18T07:12:30 of log TLG00001.BIN of TSK1" in item.what
    assert (item.before, item.after) == (int(log.value[1]), 4711)


def test_records_that_came_are_counted(tmp_path: Path) -> None:
    def change(content: bytearray) -> None:
        content[:] = content + content[-(len(content) - last_record(content)) :]

    item = only(samples.MACHINE, changed(tmp_path, "TLG00001.BIN", change))
    assert item.what == "records of log TLG00001.BIN of TSK1"
    assert (item.before, item.after) == (11798, 11799)


def last_record(content: bytearray) -> int:
    """Return where the last record begins: 30 octets with all that the header lists, a count, five octets a value."""
    at = here = 0
    while at < len(content):
        here, at = at, at + 31 + 5 * content[at + 30]
    assert at == len(content)
    return here


def test_many_records_are_told_in_one_sentence(tmp_path: Path) -> None:
    def change(content: bytearray) -> None:
        at = 0
        while at < len(content):
            content[at] ^= 1
            at += 31 + 5 * content[at + 30]

    item = only(samples.MACHINE, changed(tmp_path, "TLG00001.BIN", change))
    assert item.what.startswith("time in 11798 records, the first is record 1 at ")


def test_the_header_of_a_log(tmp_path: Path) -> None:
    after = reworded(tmp_path, "TLG00001.XML", 'DLV A="0002"', 'DLV A="0007"', samples.MACHINE)
    item = only(samples.MACHINE, after)
    assert item.what == "header of log TLG00001 of TSK1"
    assert str(item.before).startswith('DLV A="0002"')
    assert str(item.after).startswith('DLV A="0007"')


def test_a_log_in_a_file_of_another_name_is_the_same_log(tmp_path: Path) -> None:
    after = reworded(tmp_path, "TASKDATA.XML", '<TLG A="TLG00001"', '<TLG A="TLG00077"', samples.MACHINE)
    for suffix in ("XML", "BIN"):
        (after / f"TLG00001.{suffix}").rename(after / f"TLG00077.{suffix}")
    item = only(samples.MACHINE, after)
    assert (item.kind, item.before, item.after) == ("changed", "TLG00001", "TLG00077")


def test_a_missing_log_is_told_once(tmp_path: Path) -> None:
    after = samples.copy(samples.MACHINE, tmp_path)
    (after / "TLG00001.BIN").unlink()
    item = only(samples.MACHINE, after)
    assert (item.kind, item.before, item.after) == ("changed", 380668, None)


def test_cells_of_a_grid(tmp_path: Path) -> None:
    codes = np.frombuffer((samples.OFFICE / "GRD00001.BIN").read_bytes(), np.uint8)

    def change(content: bytearray) -> None:
        content[18 + 4] = 77  # 18 cells a row: row 2 from the south, column 5 from the west (8.6.2)

    item = only(samples.OFFICE, changed(tmp_path, "GRD00001.BIN", change, samples.OFFICE))
    assert "a cell (column 5 from the west, row 2 from the south)" in item.what
    assert (item.before, item.after) == (int(codes[22]), 77)

    def more(content: bytearray) -> None:
        content[0] = content[1] = 77

    item = only(samples.OFFICE, changed(tmp_path / "more", "GRD00001.BIN", more, samples.OFFICE))
    assert "2 of 270 cells" in item.what


def test_what_follows_the_last_cell_or_record(tmp_path: Path) -> None:
    after = changed(tmp_path / "grid", "GRD00001.BIN", lambda content: content.extend(b"12"), samples.OFFICE)
    assert (only(samples.OFFICE, after).before, only(samples.OFFICE, after).after) == (270, 272)
    after = changed(tmp_path / "log", "TLG00001.BIN", lambda content: content.extend(b"12"))
    assert (only(samples.MACHINE, after).before, only(samples.MACHINE, after).after) == (380668, 380670)


def test_a_value_that_only_one_header_lists(tmp_path: Path) -> None:
    last = '<DLV A="018D" B="" C="DET101" />'
    shorter = reworded(tmp_path, "TLG00001.XML", last, "", samples.MACHINE)
    for pair in ((samples.MACHINE, shorter), (shorter, samples.MACHINE)):
        told = [item.what for item in api.compare(*pair).differences]
        assert told == ["header of log TLG00001 of TSK1"]


def test_bytes_of_an_attached_file(tmp_path: Path) -> None:
    def change(content: bytearray) -> None:
        content[3] ^= 1

    item = only(samples.OFFICE, changed(tmp_path, "NOTES001.TXT", change, samples.OFFICE))
    assert item.what == "content of attached file NOTES001.TXT of 81 bytes"


def test_points_in_a_binary_file_moved(tmp_path: Path) -> None:
    def change(content: bytearray) -> None:
        content[5] ^= 16

    item = only(samples.OFFICE, changed(tmp_path, "PNT00001.BIN", change, samples.OFFICE))
    assert item.kind == "moved"
    assert item.thing == "outer ring of Polygon PLN11 of PFD5"


def test_a_file_that_nothing_names(tmp_path: Path) -> None:
    after = samples.copy(samples.OFFICE, tmp_path)
    (after / "REPORT.PDF").write_bytes(b"12345")
    come, gone = only(samples.OFFICE, after), only(after, samples.OFFICE)
    assert (come.kind, come.after, gone.kind, gone.before) == ("added", 5, "removed", 5)


def test_links(tmp_path: Path) -> None:
    other = reworded(tmp_path, "LINKLIST.XML", "schlag/17", "schlag/18")
    item = only(samples.OFFICE, other)
    assert (item.a, item.before, item.after) == ("PFD1", "schlag/17", "schlag/18")
    more = reworded(
        tmp_path / "more", "LINKLIST.XML", '<LNK A="PFD1" B="sch', '<LNK A="PFD2" B="q/2" /><LNK A="PFD1" B="sch'
    )
    assert (only(samples.OFFICE, more).kind, only(samples.OFFICE, more).b) == ("added", "PFD2")
    renumbered = reworded(tmp_path / "group", "LINKLIST.XML", '<LGP A="LGP2"', '<LGP A="LGP99"')
    assert api.compare(samples.OFFICE, renumbered).equal


def test_a_link_that_came_in_addition_keeps_a_thing_known(tmp_path: Path) -> None:
    renamed = reworded(tmp_path, "LINKLIST.XML", '<LNK A="PDT1" B="9cb5', '<LNK A="PDT9" B="9cb5')
    text = (renamed / "LINKLIST.XML").read_text(encoding="utf-8")
    marked = '<LNK A="PDT9" B="produkt/1" /><LNK A="PFD1" B="schlag/17"'
    (renamed / "LINKLIST.XML").write_text(text.replace('<LNK A="PFD1" B="schlag/17"', marked), encoding="utf-8")
    for path in renamed.glob("*.XML"):
        text = path.read_text(encoding="utf-8")
        path.write_text(text.replace('"PDT1"', '"PDT9"').replace("Saatgut &quot;Lindhollen", "Neuer Name"), "utf-8")
    told = {(item.what.split(" of ")[0], item.a) for item in api.compare(samples.OFFICE, renamed).differences}
    assert ("ProductId", "PDT1") in told
    assert ("ProductDesignator", "PDT1") in told
    assert not {"Product PDT1", "Product PDT9"} & {what for what, _ in told}

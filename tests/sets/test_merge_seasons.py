"""Merging what a season brings: one stick read again and again, several machines, several years."""

from __future__ import annotations

import struct
from collections import Counter
from pathlib import Path

import pytest
from geographiclib.geodesic import Geodesic

from taskdata import api
from taskdata.findings import Severity
from taskdata.isoxml.to_model.dataset import to_dataset
from taskdata.isoxml.tree.document import Document
from taskdata.isoxml.writing.write import write_folder
from tests.sets.handmade import HEADER, MACHINE, OFFICE, device, handmade, log, merged

LABEL, OTHER_LABEL = "01020304050607", "01020304050608"


def counts(document: Document) -> dict[str, int]:
    return {tag: number for tag, number in document.counts().items() if tag != "PNT"}


def reading(folder: Path, *, stop: str | None, amount: int, records: int, status: int = 2, task: str = "TSK1") -> Path:
    """One stick, read while its work was going on: the later, the more."""
    end = "" if stop is None else f'B="2024-04-18T{stop}" C="{3600 * (int(stop[:2]) - 8)}" '
    total = "" if stop is None else f'<DLV A="0074" B="{amount}" C="DET-1"/>'
    body = f"""<PDT A="PDT1" B="Kalk"/><PFD A="PFD1" C="Kuhle" D="0"/><WKR A="WKR1" B="Quendelhain"/>{device(LABEL)}
        <TSK A="{task}" B="Kalken" E="PFD1" G="{status}">
        <TIM A="2024-04-18T08:00:00" {end}D="4">{total}</TIM>
        <WAN A="WKR1"><ASP A="2024-04-18T08:00:00" {end}D="4"/></WAN>
        <DAN A="A00A800046F00111" C="DVC-1"><ASP A="2024-04-18T08:00:00" {end}D="4"/></DAN>
        <PAN A="PDT1" B="004B" C="{amount}" D="1"><ASP A="2024-04-18T08:00:00" {end}D="4"/></PAN>
        <TLG A="TLG00001"/></TSK>"""
    files = {"TLG00001.XML": HEADER.encode(), "TLG00001.BIN": log(records)}
    return handmade(folder, body, files=files)


@pytest.mark.parametrize("task", ["TSK1", "TSK-1"])
def test_a_stick_that_is_read_three_times_is_its_last_reading(tmp_path: Path, task: str) -> None:
    first = reading(tmp_path / "1", stop=None, amount=100, records=3, task=task)
    second = reading(tmp_path / "2", stop="09:00:00", amount=200, records=5, task=task)
    last = reading(tmp_path / "3", stop="10:00:00", amount=300, records=9, status=4, task=task)
    result = merged(second, last, first)
    whole = merged(last).document
    assert counts(result.document) == counts(whole)
    (work,) = result.document.top("TSK")
    (alone,) = whole.top("TSK")
    assert [item.attributes for item in work.walk()] == [item.attributes for item in alone.walk()]
    assert result.document.others["TLG00001.BIN"].read() == log(9)
    told = {(item.what, item.kept) for item in result.journal}
    assert (f"TaskStatus of Task {task}", "4") in told
    assert (f"QuantityValue of ProductAllocation of {task}", "300") in told
    assert (f"Stop of Time of {task}", "2024-04-18T10:00:00") in told


def test_a_record_of_time_that_only_went_on_is_no_dispute(tmp_path: Path) -> None:
    first = reading(tmp_path / "1", stop=None, amount=100, records=3)
    last = reading(tmp_path / "2", stop="10:00:00", amount=100, records=3)
    assert [item.what for item in merged(first, last).journal if item.kind == "conflict"] == []


def test_two_machines_that_begin_at_one_moment_are_two_records(tmp_path: Path) -> None:
    time = '<TIM A="2024-04-18T08:00:00" B="2024-04-18T09:00:00" C="3600" D="4"><DLV A="0074" B="7" C="DET-1"/></TIM>'
    body = '{}<PFD A="PFD1" C="Kuhle" D="0"/><TSK A="TSK1" B="Kalken" E="PFD1" G="4">' + time + "</TSK>"
    one = handmade(tmp_path / "1", body.format(device(LABEL)))
    two = handmade(tmp_path / "2", body.format(device(LABEL).replace("F00111", "F00112")))
    result = merged(one, two).document
    assert counts(result)["TIM"] == 2
    assert len({item["DeviceElementIdRef"] for item in result.by_tag["DLV"]}) == 2


@pytest.mark.parametrize(("year", "tasks"), [(2024, 1), (2025, 2)])
def test_a_task_of_next_year_is_another_task(tmp_path: Path, year: int, tasks: int) -> None:
    body = '<PFD A="PFD1" C="Kuhle" D="0"/><TSK A="TSK1" B="Kalken" E="PFD1" G="4"><TIM A="{}T08:00:00" D="4"/></TSK>'
    one = handmade(tmp_path / "1", body.format("2024-04-18"))
    two = handmade(tmp_path / "2", body.format(f"{year}-04-20"))
    result = merged(one, two)
    assert len(result.document.top("TSK")) == tasks
    assert len(result.document.by_tag["TIM"]) == 2


def test_a_task_that_got_its_field_in_the_cab_is_the_one_that_was_sent(tmp_path: Path) -> None:
    sent = handmade(tmp_path / "1", '<TSK A="TSK1" B="Kalken" G="1"/>', root=OFFICE)
    back = handmade(tmp_path / "2", '<PFD A="PFD1" C="Kuhle" D="0"/><TSK A="TSK1" B="Kalken" E="PFD1" G="4"/>')
    (task,) = merged(sent, back).document.top("TSK")
    assert (task.get("PartfieldIdRef"), task.get("TaskStatus")) == ("PFD1", "4")


def test_a_device_whose_structure_changed_is_another_device(tmp_path: Path) -> None:
    """Its label tells, even where a UUID says that the machine is the same; the UUID stays with one of them."""
    links = '<ISO11783LinkList VersionMajor="4" VersionMinor="3" DataTransferOrigin="2"><LGP A="LGP1" B="1">{}</LGP>'
    link = '<LNK A="DVC-1" B="21c7abdd-d9ca-4c72-8985-cee788ff646b"/>'
    files = {"LINKLIST.XML": f"{links.format(link)}</ISO11783LinkList>".encode()}
    attached = '<AFE A="LINKLIST.XML" B="1" C="" D="1"/>'
    one = handmade(tmp_path / "1", attached + device(LABEL, elements=2), files=files)
    two = handmade(tmp_path / "2", attached + device(OTHER_LABEL, elements=3), files=files)
    result = merged(one, two)
    found = {item["DeviceStructureLabel"]: len(list(item.elements("DET"))) for item in result.document.top("DVC")}
    assert found == {LABEL: 2, OTHER_LABEL: 3}
    assert result.document.link_list is not None
    assert [item.tag for item in result.document.link_list.root.walk()].count("LNK") == 1
    assert [loss.what for loss in result.losses if loss.what.startswith("link ")]


def test_fields_without_outline_are_merged(tmp_path: Path) -> None:
    one = handmade(tmp_path / "1", '<PFD A="PFD1" C="Kuhle" D="0"/>')
    two = handmade(tmp_path / "2", '<PFD A="PFD1" C="Hang" D="0"/>')
    assert len(merged(one, two).document.top("PFD")) == 2


def test_fields_of_two_owners_with_one_number_and_name_are_two(tmp_path: Path) -> None:
    body = '<CTR A="CTR1" B="{}"/><PFD A="PFD1" C="Kuhle" D="0" E="CTR1"/>'
    result = merged(*(handmade(tmp_path / name, body.format(name)) for name in ("Ahrens", "Brandt"))).document
    owners = {item.id: item["CustomerLastName"] for item in result.top("CTR")}
    assert sorted(owners[item["CustomerIdRef"]] for item in result.top("PFD")) == ["Ahrens", "Brandt"]


def test_a_bare_field_of_two_machines_is_one_only_for_a_person_to_see(tmp_path: Path) -> None:
    body = '<PFD A="PFD-1" C="Feld 1" D="0"/><TSK A="TSK-1" B="Arbeit" E="PFD-1"><TIM A="2024-0{}-18T08:00:00"/></TSK>'
    one, two = (handmade(tmp_path / f"{month}", body.format(month)) for month in (4, 5))
    result = merged(one, two)
    assert len(result.document.top("TSK")) == 2
    assert [(item.kind, item.element) for item in result.journal] == [("recognised", "PFD-1")]
    assert merged(one, one).journal == ()


@pytest.mark.parametrize(("street", "customers"), [("Bachweg 2", 2), ("Hofweg 1", 1)])
def test_people_of_one_name_who_live_apart_are_two(tmp_path: Path, street: str, customers: int) -> None:
    one = handmade(tmp_path / "1", '<CTR A="CTR1" B="Ahrens" D="Hofweg 1" G="Oberlindhollen"/>')
    two = handmade(tmp_path / "2", f'<CTR A="CTR1" B="Ahrens" D="{street}" G="Unterlindhollen"/>')
    assert len(merged(one, two).document.top("CTR")) == customers


def test_a_file_that_is_named_like_a_log_of_another_set_leaves_the_log_alone(tmp_path: Path) -> None:
    work = reading(tmp_path / "1", stop="09:00:00", amount=1, records=4)
    other = handmade(tmp_path / "2", '<WKR A="WKR1" B="O"/>', files={"TLG00001.BIN": b"x", "TLG00001.XML": b"<TIM/>"})
    result = merged(work, other)
    assert result.document.others["TLG00001.BIN"].read() == log(4)
    write_folder(result.document, tmp_path / "out")
    written = sorted(path.read_bytes() for path in (tmp_path / "out").iterdir() if path.name != "TASKDATA.XML")
    assert len(written) == 4
    assert {b"x", b"<TIM/>", log(4)} <= set(written)
    assert Counter(str(item.kind) for item in result.journal) == {"renamed": 2}


def test_check_reads_what_was_merged_before_it_is_written(tmp_path: Path) -> None:
    one = reading(tmp_path / "1", stop="09:00:00", amount=1, records=4)
    two = handmade(tmp_path / "2", device(LABEL))
    result = merged(one, two)
    write_folder(result.document, tmp_path / "out")
    found = [
        Counter(item.rule.id for item in api.check(data).findings if item.severity is not Severity.NOTE)
        for data in (to_dataset(result.document), tmp_path / "out")
    ]
    assert found[0] == found[1]


def test_an_external_file_that_is_named_twice_stands_in_the_result_once(tmp_path: Path) -> None:
    files = {"CTR00001.XML": b'<XFC><CTR A="CTR1" B="Ahrens"/></XFC>'}
    one = handmade(tmp_path / "1", '<XFR A="CTR00001" B="1"/><XFR A="CTR00001" B="1"/>', files=files)
    two = handmade(tmp_path / "2", '<WKR A="WKR1" B="Quendelhain"/>')
    assert counts(merged(one, two).document) == {"CTR": 1, "WKR": 1}


def test_a_file_that_two_sources_hold_is_told_under_its_new_name_for_both(tmp_path: Path) -> None:
    body = '<AFE A="PHOTO01.JPG" B="1" C="9521234000006" D="128"/>{}'
    folders = [
        handmade(tmp_path / f"{at}", body.format(more), files={"PHOTO01.JPG": content})
        for at, (more, content) in enumerate(
            [('<WKR A="WKR1" B="A"/><WKR A="WKR2" B="B"/>', b"x"), ("", b"y"), ("", b"y")]
        )
    ]
    renumbered = merged(*folders).renumbered
    assert [renumbered[str(folder)] for folder in folders] == [{}, *([{"PHOTO01.JPG": "PHOTO02.JPG"}] * 2)]


def test_a_log_that_one_set_refers_to_and_another_only_holds_stands_in_the_result_once(tmp_path: Path) -> None:
    work = reading(tmp_path / "1", stop="09:00:00", amount=1, records=4)
    files = {"TLG00001.BIN": log(4)}
    fuller = handmade(tmp_path / "2", "".join(f'<WKR A="WKR{at}" B="W{at}"/>' for at in range(1, 40)), files=files)
    result = merged(fuller, work)
    assert [name for name in result.document.others if name.startswith("TLG")] == ["TLG00001.BIN"]
    assert result.journal == ()


def test_a_stick_that_is_merged_again_brings_nothing_new(tmp_path: Path) -> None:
    """Its tasks have other numbers in the season by now; their logs, or when their work began, tell them."""
    time = '<TIM A="2024-05-{}T08:00:00" D="4"/>'
    body = '{}<PFD A="PFD1" C="Kuhle" D="0"/><TSK A="TSK-1" B="Kalken" E="PFD1" G="4">{}{}</TSK>'
    bare = '<TSK A="TSK-2" B="Walzen" E="PFD1" G="4">{}</TSK>'
    sticks = []
    for day, machine in (("11", "F00111"), ("12", "F00112")):
        described = device(LABEL).replace("F00111", machine)
        files = {"TLG00001.XML": HEADER.encode(), "TLG00001.BIN": log(4 if day == "11" else 7)[int(day) :]}
        text = body.format(described, time.format(day), '<TLG A="TLG00001"/>') + bare.format(time.format(day))
        sticks.append(handmade(tmp_path / day, text, files=files))
    season = merged(*sticks).document
    assert counts(season)["TSK"] == 4
    write_folder(season, tmp_path / "season")
    for stick in sticks:
        again = merged(tmp_path / "season", stick)
        assert counts(again.document) == counts(season)
        assert again.document.others.keys() == season.others.keys()


def test_two_outlines_of_one_field_are_told_with_their_areas(tmp_path: Path) -> None:
    """Areas by GeographicLib, which is independent of the program."""
    ring = (
        '<PNT A="2" C="{0}" D="7"/><PNT A="2" C="{0}" D="7.01"/><PNT A="2" C="{1}" D="7.01"/><PNT A="2" C="{1}" D="7"/>'
    )
    folders = []
    for name, north in (("1", 54.305), ("2", 54.3045)):
        points = ring.format(54.3, north) + '<PNT A="2" C="54.3" D="7"/>'
        body = f'<PFD A="PFD1" C="Kuhle" D="0"><PLN A="1"><LSG A="1">{points}</LSG></PLN></PFD>'
        folders.append(handmade(tmp_path / name, body, root=OFFICE if name == "1" else MACHINE))
    (outline,) = [item for item in merged(*folders).journal if item.kind == "conflict"]
    expected = [_karney(54.3, north) for north in (54.305, 54.3045)]
    assert outline.kept == f"as in {folders[0]} ({expected[0]:.2f} ha)"
    assert outline.dropped == (f"as in {folders[1]} ({expected[1]:.2f} ha)",)


def _karney(south: float, north: float) -> float:
    polygon = Geodesic.WGS84.Polygon()
    for latitude, longitude in ((south, 7.0), (south, 7.01), (north, 7.01), (north, 7.0)):
        polygon.AddPoint(latitude, longitude)
    return abs(polygon.Compute()[2]) / 10_000.0


def test_empty_logs_of_one_name_are_told_apart(tmp_path: Path) -> None:
    body = '{}<TSK A="TSK{}" B="Walzen {}" G="4"><TLG A="TLG00001"/></TSK>'
    more = '<WKR A="WKR1" B="Quendelhain"/>'
    folders = [
        handmade(tmp_path / f"{at}", body.format(more * (at == 0), *task), files={"TLG00001.BIN": b""})
        for at, task in enumerate([(1, "Hang"), (2, "Kuhle"), (2, "Kuhle")])
    ]
    renumbered = merged(*folders).renumbered
    assert [renumbered[str(folder)].get("TLG00001") for folder in folders] == [None, "TLG00002", "TLG00002"]


def lines(*drawn: tuple[str, str, float], group: str = "GGP1", name: str = "") -> str:
    """A field with a group of guidance lines from south to north: number, name, degrees east."""
    patterns = (
        f'<GPN A="{number}" B="{told}" C="1"><LSG A="5">'
        f'<PNT A="6" C="54.29" D="{east}"/><PNT A="7" C="54.3" D="{east}"/></LSG></GPN>'
        for number, told, east in drawn
    )
    return f'<PFD A="PFD1" C="Kuhle" D="0"><GGP A="{group}"{name}>{"".join(patterns)}</GGP></PFD>'


def test_a_group_without_a_name_is_known_by_a_line_in_it(tmp_path: Path) -> None:
    """Else the line that both sources have would stand in the field twice."""
    sent = handmade(tmp_path / "1", lines(("GPN1", "West", 7.001)))
    back = handmade(tmp_path / "2", lines(("GPN1", "West ", 7.001), ("GPN2", "Ost", 7.004), group="GGP7"))
    result = merged(sent, back)
    assert counts(result.document) == counts(merged(back).document)
    assert any("a shared line" in item.why for item in result.journal)


@pytest.mark.parametrize(
    "other",
    [lines(("GPN1", "West", 7.004)), lines(("GPN1", "Ost", 7.001)), lines(("GPN1", "West", 7.001), name=' B="Neu"')],
    ids=["elsewhere", "another line", "a name"],
)
def test_groups_that_have_no_line_in_common_are_two(tmp_path: Path, other: str) -> None:
    result = merged(handmade(tmp_path / "1", lines(("GPN1", "West", 7.001))), handmade(tmp_path / "2", other))
    assert (result.document.counts()["GGP"], result.document.counts()["GPN"]) == (2, 2)


@pytest.mark.parametrize(
    "ring",
    [
        '<PNT A="2" C="54.29" D="7.0"/><PNT A="2" C="54.3" D="7.0"/><PNT A="2" C="54.3" D="7.01"/>',
        '<PNT A="2" C="54.29" D="7.0"/><!-- gate --><PNT A="2" C="54.3" D="7.0"><!-- elm --></PNT>'
        '<PNT A="2" C="54.3" D="7.01"/>',
    ],
    ids=["plain", "comments"],
)
def test_an_older_set_that_is_merged_again_brings_no_task_again(tmp_path: Path, ring: str) -> None:
    """A task without a name is told by its content; the ring that was closed for version 4 is read in one run."""
    body = f"""<PFD A="PFD1" C="Kuhle" D="0"/><TSK A="TSK-1" E="PFD1" G="1"><TZN A="1">
        <PLN A="2"><LSG A="1">{ring}</LSG></PLN><PDV A="0001" B="5"/></TZN></TSK>"""
    old = handmade(tmp_path / "3", body, root='VersionMajor="3" VersionMinor="3" DataTransferOrigin="2"')
    new = handmade(tmp_path / "4", '<PFD A="PFD1" C="Kuhle" D="0"/><WKR A="WKR1" B="Quendelhain"/>')
    once, twice = tmp_path / "once", tmp_path / "twice"
    api.merge([new, old], once, to="isoxml")
    api.merge([once, old], twice, to="isoxml")
    assert api.compare(once, twice).equal


def test_an_attached_file_that_got_another_number_is_known_when_its_stick_is_merged_again(tmp_path: Path) -> None:
    attached = '<AFE A="NOTES001.TXT" B="1" C="9521234000006" D="128"/><AFE A="A.B" B="1" C="9521234000006" D="128"/>'
    one, two = (
        handmade(
            tmp_path / name, attached, root=OFFICE, files={"NOTES001.TXT": name.encode(), "A.B": name.encode() * 2}
        )
        for name in ("sent", "found")
    )
    once, twice = tmp_path / "once", tmp_path / "twice"
    api.merge([one, two], once, to="isoxml")
    assert len([path for path in (once / "TASKDATA").iterdir() if path.suffix in {".TXT", ".B"}]) == 4
    for again in (one, two):
        result = api.merge([once, again], twice, to="isoxml", overwrite=True)
        assert api.compare(once, twice).equal
        assert result.journal == ()


@pytest.mark.parametrize(("moved", "lines"), [(0, 1), (1, 2)], ids=["one place", "moved"])
def test_a_line_whose_points_lie_in_a_file_is_known_by_these(tmp_path: Path, moved: int, lines: int) -> None:
    field = '<PFD A="PFD1" C="Kuhle" D="0"><LSG A="9" B="Sammler" {} G="LSG1"><PNT J="PNT00001"/></LSG></PFD>'
    points = struct.pack("<Bii", 9, 542_000_000, 70_000_000) + struct.pack("<Bii", 9, 542_010_000, 70_000_000 + moved)
    one = handmade(tmp_path / "1", field.format('C="100"'), files={"PNT00001.BIN": points})
    still = struct.pack("<Bii", 9, 542_000_000, 70_000_000) + struct.pack("<Bii", 9, 542_010_000, 70_000_000)
    two = handmade(tmp_path / "2", field.format('C="120"'), files={"PNT00001.BIN": still})
    assert merged(one, two).document.counts()["LSG"] == lines

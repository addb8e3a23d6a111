"""A part of a set: whole in itself, with nothing of other people, and merged back it gives the set.

What a written part refers to is computed here with lxml alone: every attribute value in any file that is written like
an identifier has to be the identifier of an element of the part, unless it led nowhere in the source already.
"""

from __future__ import annotations

import re
import shutil
from collections import Counter
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from lxml import etree

import taskdata
from taskdata.errors import UsageError
from taskdata.findings import Severity
from taskdata.model.choice import LEAVABLE, Only
from taskdata.model.swaths import Swath
from tests import samples
from tests.exchange import two_customers
from tests.generate import FileSetContent, file_sets
from tests.heavy import examples, some

IDENTIFIER = re.compile(r"[A-Z]{3}-?[1-9][0-9]*")
SETS = (*samples.SOUND, *samples.STICKS)


def trees(folder: Path) -> dict[str, etree._Element]:
    """Return the root of every XML file of a set, by its name in capitals."""
    inner = folder / "TASKDATA" if (folder / "TASKDATA").is_dir() else folder
    return {path.name.upper(): etree.parse(path).getroot() for path in inner.iterdir() if path.suffix.lower() == ".xml"}


def identifiers(roots: dict[str, etree._Element]) -> set[str]:
    elements = (item for root in roots.values() for item in root.iter(etree.Element))
    return {text for item in elements if (text := item.get("A") or "").startswith(item.tag)}


def dangling(folder: Path) -> set[str]:
    """Return what is written like an identifier of a kind of element of the set, and identifies nothing in it."""
    roots = trees(folder)
    known = identifiers(roots)
    kinds = {re.sub("[^A-Z]", "", text) for text in known}
    values = (
        text
        for name, root in roots.items()
        for item in root.iter(etree.Element)
        for key, text in item.attrib.items()
        if not (item.tag in {"TLG", "GRD", "XFR", "AFE"} and key == "A") and not key.startswith("P")
    )
    return {text for text in values if IDENTIFIER.fullmatch(text) and re.sub("[^A-Z]", "", text) in kinds} - known


def errors(source: object) -> Counter[str]:
    found = taskdata.check(source).findings  # type: ignore[arg-type]
    return Counter(item.rule.id for item in found if item.severity is Severity.ERROR)


def bytes_of(place: Path) -> bytes:
    files = [place] if place.is_file() else [path for path in place.rglob("*") if path.is_file()]
    return b"\n".join(path.name.encode() + b"\n" + path.read_bytes() for path in files)


def choices(data: taskdata.Dataset) -> list[Only]:
    """Return one choice for each field, task and customer of a set."""
    kinds = {"fields": data.fields, "tasks": data.tasks, "customers": data.customers, "farms": data.farms}
    return [{kind: item.id} for kind, items in kinds.items() for item in items]


@pytest.mark.parametrize("path", SETS, ids=lambda path: path.parent.name)
def test_every_part_of_a_sample_is_whole(path: Path, tmp_path: Path) -> None:
    data = taskdata.read(path)
    before, known = dangling(path), errors(data)
    for at, choice in enumerate(some(choices(data), 4)):
        target = tmp_path / str(at)
        done = taskdata.write(data.only(**choice), target, to="isoxml")
        assert not dangling(target) - before, choice
        assert not errors(target) - known, choice
        assert not done.new_errors
        (name,) = choice.values()
        assert name in identifiers(trees(target))


@pytest.mark.parametrize("path", SETS, ids=lambda path: path.parent.name)
def test_a_part_merged_back_gives_the_whole(path: Path, tmp_path: Path) -> None:
    data = taskdata.read(path)
    for at, choice in enumerate(some(choices(data), 3)):
        part = tmp_path / f"part{at}"
        taskdata.write(data.only(**choice), part, to="isoxml")
        taskdata.merge([part, path], tmp_path / f"whole{at}", to="isoxml")
        assert taskdata.compare(path, tmp_path / f"whole{at}").equal, choice


def of_root(what: str) -> bool:
    """Tell whether a difference is in what names the writer of a set, which a merged set says itself."""
    return what.endswith((" of the set", " of the link list")) or "LINKLIST.XML" in what or "Capabilities" in what


@pytest.mark.parametrize("path", SETS, ids=lambda path: path.parent.name)
def test_two_parts_together_are_the_part_of_both(path: Path, tmp_path: Path) -> None:
    data = taskdata.read(path)
    ids = [item.id for item in data.fields]
    first, second = ids[::2], ids[1::2]
    for name, fields in {"a": first, "b": second, "both": ids}.items():
        taskdata.write(data.only(fields=fields), tmp_path / name, to="isoxml")
    taskdata.merge([tmp_path / "a", tmp_path / "b"], tmp_path / "m", to="isoxml")
    found = taskdata.compare(tmp_path / "both", tmp_path / "m").differences
    assert [item for item in found if not of_root(item.what)] == []


@settings(max_examples=examples(6), suppress_health_check=list(HealthCheck), deadline=None)
@given(content=file_sets(small=True), seed=st.integers(0, 1 << 20))
def test_parts_of_any_set_are_whole_and_merge_back(
    tmp_path_factory: pytest.TempPathFactory, content: FileSetContent, seed: int
) -> None:
    folder = tmp_path_factory.mktemp("any")
    source = content.write(folder / "TASKDATA")
    data = taskdata.read(source)
    possible = choices(data)
    if not possible:
        return
    choice = possible[seed % len(possible)]
    part = data.only(**choice)
    taskdata.write(part, folder / "part", to="isoxml")
    assert not dangling(folder / "part") - dangling(source)
    assert not errors(folder / "part") - errors(source)
    assert part.chosen is not None
    if any(note.startswith("Proprietary content") for note in part.chosen.notes):
        return  # an element without an identifier that lost an attribute is not recognised as the same
    taskdata.merge([folder / "part", source], folder / "whole", to="isoxml")
    assert taskdata.compare(source, folder / "whole").equal


@settings(max_examples=examples(3), suppress_health_check=list(HealthCheck), deadline=None)
@given(content=file_sets(small=True))
def test_two_parts_of_any_set_together_are_the_part_of_both(
    tmp_path_factory: pytest.TempPathFactory, content: FileSetContent
) -> None:
    folder = tmp_path_factory.mktemp("any")
    data = taskdata.read(content.write(folder / "TASKDATA"))
    ids = [item.id for item in data.fields]
    if len(ids) < 2:
        return
    parts = {"a": ids[:1], "b": ids[1:], "both": ids}
    for name, fields in parts.items():
        part = data.only(fields=fields)
        assert part.chosen is not None
        if any(note.startswith("Proprietary content") for note in part.chosen.notes):
            return  # see above
        taskdata.write(part, folder / name, to="isoxml")
    taskdata.merge([folder / "a", folder / "b"], folder / "m", to="isoxml")
    found = taskdata.compare(folder / "both", folder / "m").differences
    assert [item for item in found if not of_root(item.what)] == []


TARGETS = {"isoxml": "one", "zip": "one.zip", "gpkg": "one.gpkg", "geojson": "layers", "shapefile": "shapes"}


@pytest.mark.parametrize("to", TARGETS)
@pytest.mark.parametrize("choice", [{"fields": "Mühlenkoppel"}, {"customers": "CTR1"}, {"farms": "Hof Birkenbusch"}])
def test_nothing_of_another_customer_is_in_the_bytes(to: str, choice: Only, tmp_path: Path) -> None:
    source = two_customers.write(tmp_path / "Quastenberg" / "TASKDATA")
    target = tmp_path / TARGETS[to]
    done = taskdata.convert(source, target, to=None if to == "zip" else to, only=choice)
    if to == "zip":
        import zipfile

        with zipfile.ZipFile(target) as archive:
            archive.extractall(tmp_path / "unpacked")
        target = tmp_path / "unpacked"
    found = bytes_of(target)
    for text in two_customers.OTHERS:
        for encoding in ("utf-8", "latin-1", "utf-16-le"):
            assert text.encode(encoding) not in found, text
    for identifier in ("CTR2", "FRM2", "PFD2", "TSK2", "WKR2", "PDT2", "DVC2", "DET2", "CPC2", "TLG00002"):
        assert not re.search(rf"\b{identifier}\b".encode(), found), identifier
    for text in two_customers.MINE[:3]:
        assert text.encode() in found or to == "shapefile"
    assert done.chosen is not None
    assert done.chosen.left["customers"] == 1
    assert done.chosen.left["tasks"] == 1


def test_what_the_chosen_things_need_goes_along(tmp_path: Path) -> None:
    """Counted by hand in the set of two customers."""
    source = two_customers.write(tmp_path / "s" / "TASKDATA")
    data = taskdata.read(source).only(fields="PFD1")
    taskdata.write(data, tmp_path / "one", to="isoxml")
    roots = trees(tmp_path / "one")
    tops = {item.get("A") for item in roots["TASKDATA.XML"]}
    assert tops == {
        *("LINKLIST.XML", "MUEHLE.TXT", "CPC1", "OTQ1", "VPN1", "PGP1", "PDT1", "WKR1", "CTR1", "FRM1", "PFD1"),
        *("TSK1", "TSK3", "DVC1"),
    }
    names = {path.name for path in (tmp_path / "one" / "TASKDATA").iterdir()}
    assert names == {"TASKDATA.XML", "LINKLIST.XML", "MUEHLE.TXT", "TLG00001.XML", "TLG00001.BIN"}
    field = next(roots["TASKDATA.XML"].iter("PFD"))
    assert field.get("P777_Note") == "gut"
    assert field.get("P777_Nachbar") is None
    assert [item.tag for item in next(roots["TASKDATA.XML"].iter("TSK")) if item.tag.startswith("X")] == ["X777_Box"]
    assert data.chosen is not None
    notes = " ".join(data.chosen.notes)
    assert "P777_Nachbar of PFD1" in notes
    assert "X777_Memo in TSK1" in notes
    assert "cannot be told" in notes
    assert "not named stay behind: PFD3 (Kleine Mühlenkoppel)" in notes
    assert data.chosen.left["files"] == 5
    assert data.chosen.left["remarks"] == 1


def test_what_has_no_known_owner_is_told() -> None:
    """In samples/machine the template alone states neither customer, farm nor field."""
    part = taskdata.read(samples.MACHINE).only(customers="CTR1")
    assert part.chosen is not None
    (told,) = (note for note in part.chosen.notes if "without a known customer" in note)
    assert told.endswith("stay behind: TSK5 (Vorlage: Drillsaat).")


def test_names_of_one_kind_widen_and_kinds_narrow(tmp_path: Path) -> None:
    data = taskdata.read(two_customers.write(tmp_path / "TASKDATA"))

    def ids(**choice: object) -> tuple[list[str], list[str]]:
        part = data.only(**choice)  # type: ignore[arg-type]
        return [item.id for item in part.fields], [item.id for item in part.tasks]

    assert ids(fields=["PFD1", "Seekoppel"]) == (["PFD1", "PFD2"], ["TSK1", "TSK2", "TSK3"])
    assert ids(fields="PFD1", tasks="TSK3") == (["PFD1"], ["TSK3"])
    assert ids(fields="PFD3") == (["PFD1", "PFD3"], [])
    assert ids(customers="Quastenberg") == (["PFD2"], ["TSK2"])
    assert ids(customers="CTR1", since="2024-02-01") == (["PFD1", "PFD3"], ["TSK1"])
    assert ids(since="2024-03-02") == (["PFD1", "PFD2", "PFD3"], ["TSK2"])
    assert ids(until="2024-03-01") == (["PFD1", "PFD2", "PFD3"], ["TSK1"])
    assert ids(since="2024-03-01", until="2024-04-02") == (["PFD1", "PFD2", "PFD3"], ["TSK1", "TSK2"])
    assert ids(tasks="TSK2") == (["PFD2"], ["TSK2"])


REFUSED = {
    "no such field": ({"fields": "Muhlenkoppel"}, "there is no such field.*Mühlenkoppel"),
    "no such customer": ({"customers": "Quastenburg"}, "there is no such customer.*Quastenberg"),
    "of another customer": ({"fields": "PFD2", "customers": "CTR1"}, "PFD2.*is not a field of what else was chosen"),
    "no date": ({"since": "gestern"}, "is not a date"),
    "dates exchanged": ({"since": "2024-05-01", "until": "2024-04-01"}, "before the first"),
    "no such kind": ({"leave": "log"}, "no such kind.*logs"),
    "no such identifier": ({"leave_out": "PFD9"}, "nothing has this identifier.*PFD"),
    "part of a machine": ({"leave_out": "DET2"}, "part of DVC2"),
    "nothing in these days": ({"tasks": "TSK1", "since": "2024-04-01"}, "nothing is chosen"),
}


@pytest.mark.parametrize(("choice", "words"), REFUSED.values(), ids=REFUSED)
def test_what_cannot_be_chosen_is_refused_in_one_line(choice: dict[str, str], words: str, tmp_path: Path) -> None:
    data = taskdata.read(two_customers.write(tmp_path / "TASKDATA"))
    with pytest.raises(UsageError, match=words) as caught:
        data.only(**choice)
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize(("kind", "path"), some([(kind, path) for kind in LEAVABLE for path in samples.SOUND], 29))
def test_a_kind_that_is_left_out_leaves_nothing_dangling(path: Path, kind: str, tmp_path: Path) -> None:
    data = taskdata.read(path)
    part = data.only(leave=kind)
    taskdata.write(part, tmp_path / "t", to="isoxml")
    assert not dangling(tmp_path / "t") - dangling(path)
    assert not errors(tmp_path / "t") - errors(path)
    gone = {"areas": "areas", "guidance": "guidance", "logs": "logs", "products": "products", "tasks": "tasks"}.get(
        kind
    )
    if gone == "logs":
        assert not any(task.logs for task in part.tasks)
    elif gone is not None:
        assert not getattr(part, gone)


def test_a_field_that_is_left_out_takes_its_tasks_with_it(tmp_path: Path) -> None:
    data = taskdata.read(samples.MACHINE)
    part = data.only(leave_out="PFD3")
    assert {item.id for item in data.fields} - {item.id for item in part.fields} == {"PFD3"}
    assert {item.id for item in data.tasks} - {item.id for item in part.tasks} == {"TSK3"}
    taskdata.write(part, tmp_path / "t", to="isoxml")
    assert not dangling(tmp_path / "t")
    assert not (tmp_path / "t" / "TASKDATA" / "TLG00002.BIN").exists()


@pytest.mark.parametrize(
    ("kind", "gone"),
    [
        ("logs", {"TLG00099.BIN", "TLG00099.XML"}),
        ("tasks", {"TLG00099.BIN", "TLG00099.XML", "GRD00099.BIN"}),
        ("grids", {"GRD00099.BIN"}),
        ("points", {"PNT00099.BIN"}),
        ("attachments", {"LETTER.PDF"}),
        ("workers", set()),
        ("since 2024-04-18", {"TLG00099.BIN", "TLG00099.XML", "GRD00099.BIN"}),
    ],
)
def test_files_of_a_kind_that_is_left_out_go_even_where_nothing_names_them(
    tmp_path: Path, kind: str, gone: set[str]
) -> None:
    shutil.copytree(samples.MACHINE, tmp_path / "s" / "TASKDATA")
    unnamed = {"TLG00099.BIN", "TLG00099.XML", "GRD00099.BIN", "PNT00099.BIN", "LETTER.PDF"}
    for name in unnamed:
        (tmp_path / "s" / "TASKDATA" / name).write_bytes(b"<TIM/>" if name.endswith("XML") else b"where I was")
    only = Only(since=kind[6:]) if kind.startswith("since") else Only(leave=kind)
    taskdata.convert(tmp_path / "s", tmp_path / "t", to="isoxml", only=only)
    assert {path.name for path in (tmp_path / "t" / "TASKDATA").iterdir()} & unnamed == unnamed - gone


def test_whatever_is_left_out_takes_along_what_is_hollow_without_it(tmp_path: Path) -> None:
    """A group without its last guidance line, and a comment without its code, are against the standard."""
    text = (samples.MACHINE / "TASKDATA.XML").read_text("utf-8")
    one_of_each = dict(re.findall(r'<((?!DET)[A-Z]{3}) A="((?!PLN|LSG|TLG)[A-Z]{3}-?\d+)"', text)).values()
    lines = re.findall(r'<GPN A="(\w+)"', text)
    known = set(errors(samples.MACHINE))
    for number, one in enumerate({*one_of_each, *lines, "CCT1", "CCT2", "CCT3"}):
        target = tmp_path / str(number)
        taskdata.convert(samples.MACHINE, target, to="isoxml", only=Only(leave_out=one))
        assert set(errors(target)) <= known, one
        assert f'="{one}"' not in (target / "TASKDATA" / "TASKDATA.XML").read_text("utf-8")


def test_a_comment_that_said_nothing_before_stays_what_it_was(tmp_path: Path) -> None:
    shutil.copytree(samples.MACHINE, tmp_path / "s" / "TASKDATA")
    main = tmp_path / "s" / "TASKDATA" / "TASKDATA.XML"
    main.write_text(main.read_text("utf-8").replace('<CAN A="CCT2" B="CCL3">', "<CAN>"), "utf-8")
    taskdata.convert(tmp_path / "s", tmp_path / "t", to="isoxml", only=Only(leave_out="CCT3"))
    text = (tmp_path / "t" / "TASKDATA" / "TASKDATA.XML").read_text("utf-8")
    assert text.count("<CAN>") == 1
    assert "CCT3" not in text


def test_layers_of_other_programs_are_chosen_from_too(tmp_path: Path) -> None:
    data = taskdata.read(samples.DISPLAY, crs="EPSG:32632")
    part = data.only(fields="Schmale Äcker")
    assert [item.name for item in part.fields] == ["Schmale Äcker"]
    taskdata.write(part, tmp_path / "f.gpkg")
    assert b"Kuhle" not in bytes_of(tmp_path / "f.gpkg")
    assert not data.only(leave="guidance").guidance


def test_a_part_goes_on_to_another_version_a_terminal_and_sticks(tmp_path: Path) -> None:
    only = Only(fields=["PFD1", "PFD3"])
    older = taskdata.convert(samples.MACHINE, tmp_path / "v3", to="isoxml", version=3, only=only)
    assert older.written["fields"] == 2
    assert not errors(tmp_path / "v3")
    receiver = taskdata.Receiver({"limits.fields": 1})
    sticks = taskdata.convert(samples.MACHINE, tmp_path / "s", to="isoxml", receiver=receiver, only=only).sticks
    assert {name for stick in sticks for name in stick.fields} == {"PFD1", "PFD3"}
    through = taskdata.read(samples.MACHINE).only(fields="PFD3")
    taskdata.write(through, tmp_path / "f.gpkg", verify=True)
    taskdata.write(through, tmp_path / "i", to="isoxml")
    assert taskdata.compare(tmp_path / "f.gpkg", tmp_path / "i").equal


def test_a_part_can_be_changed_and_chosen_from_again(tmp_path: Path) -> None:
    data = taskdata.read(samples.MACHINE).only(fields=["PFD1", "PFD3"])
    frame = data.table("fields")
    assert frame.num_rows == 2
    again = data.only(tasks="TSK3")
    assert again.chosen is not None
    assert again.chosen.left["tasks"] == 5
    assert [item.id for item in again.tasks] == ["TSK3"]


def test_of_several_sources_one_has_to_have_the_name(tmp_path: Path) -> None:
    sticks = [path.parent for path in samples.STICKS]
    done = taskdata.merge(sticks, tmp_path / "m", to="isoxml", only=Only(fields="Ostzipfel"))
    assert done.written["fields"] == 1
    assert done.chosen is not None
    assert done.chosen.left["fields"] > 0
    with pytest.raises(UsageError, match=r"there is no such field.*Ostzipfel"):
        taskdata.merge(sticks, tmp_path / "n", to="isoxml", only=Only(fields="Westzipfel"))
    assert not (tmp_path / "n").exists()


def test_layers_and_edits_give_the_same_part_as_their_set(tmp_path: Path) -> None:
    taskdata.convert(samples.MACHINE, tmp_path / "m.gpkg")
    data = taskdata.read(samples.MACHINE)
    taskdata.write(data.only(fields="PFD1"), tmp_path / "one", to="isoxml")
    part = taskdata.read(tmp_path / "m.gpkg").only(fields="PFD1")
    taskdata.write(part, tmp_path / "two", to="isoxml")
    assert taskdata.compare(tmp_path / "one", tmp_path / "two").equal
    changed = data.with_changes(fields=(replace(data.fields[0], name="Neue Breite"), *data.fields[1:]))
    done = taskdata.write(changed.only(fields="Neue Breite"), tmp_path / "three", to="isoxml")
    assert (done.losses, done.new_errors) == ((), ())
    (found,) = taskdata.compare(tmp_path / "one", tmp_path / "three").differences
    assert (found.before, found.after) == ("Große Breite", "Neue Breite")


def test_an_audit_finds_in_a_part_what_it_finds_once_it_is_written(tmp_path: Path) -> None:
    part = taskdata.read(samples.MACHINE).only(fields="PFD1")
    taskdata.write(part, tmp_path / "t", to="isoxml")
    here, there = (taskdata.check(item).findings for item in (part, tmp_path / "t"))
    assert [item.message for item in here] == [item.message for item in there]


def test_a_link_names_an_attached_file_too(tmp_path: Path) -> None:
    source = two_customers.write(tmp_path / "TASKDATA")
    links = source / "LINKLIST.XML"
    text = links.read_text(encoding="utf-8")
    links.write_text(text.replace("</LGP>", '<LNK A="PFD3" B="SEEKARTE.PDF"/></LGP>', 1), encoding="utf-8")
    assert "SEEKARTE.PDF" not in files_of(taskdata.read(source).only(fields="PFD1"), tmp_path / "a")
    part = taskdata.read(source).only(fields="PFD3")
    assert "SEEKARTE.PDF" in files_of(part, tmp_path / "b")
    assert part.chosen is not None
    assert any("look into them: SEEKARTE.PDF, MUEHLE.TXT" in note for note in part.chosen.notes)


def files_of(part: taskdata.Dataset, target: Path) -> set[str]:
    taskdata.write(part, target, to="isoxml")
    return {path.name for path in (target / "TASKDATA").iterdir()}


def test_a_link_list_that_nothing_attaches_goes_along_with_what_it_links(tmp_path: Path) -> None:
    source = two_customers.write(tmp_path / "TASKDATA")
    main = source / "TASKDATA.XML"
    text = main.read_text(encoding="utf-8")
    main.write_text(text.replace('<AFE A="LINKLIST.XML" B="2" C="" D="1"/>', ""), encoding="utf-8")
    assert "LINKLIST.XML" in files_of(taskdata.read(source).only(fields="PFD1"), tmp_path / "a")
    assert "LINKLIST.XML" not in files_of(taskdata.read(source).only(fields="PFD1", leave="links"), tmp_path / "b")


def test_the_first_time_of_a_log_counts_where_a_task_states_none() -> None:
    """The log of samples/receiver begins on 2025-06-11."""
    data = taskdata.read(samples.SAMPLES / "receiver" / "mowing.csv")
    assert len(data.only(since=date(2025, 6, 11), until="2025-06-11").tasks) == 1
    assert not data.only(since="2025-06-12").tasks
    swath = Swath(np.array([[7.0, 54.3], [7.01, 54.3]]), 3.0, start=np.datetime64("2025-06-10T23:59:59", "ms"))
    passes = data.with_changes(tasks=(replace(data.tasks[0], logs=(), swaths=(swath,)),))
    assert len(passes.only(until="2025-06-10").tasks) == 1
    assert not passes.only(since="2025-06-11").tasks
    assert not passes.only(leave="logs").tasks[0].swaths


def test_a_misspelled_argument_is_refused() -> None:
    data = taskdata.read(samples.MACHINE)
    with pytest.raises(TypeError, match="field"):
        data.only(field="PFD1")  # type: ignore[call-arg]
    with pytest.raises(UsageError, match="identifier or name"):
        data.only(fields=" ")


@pytest.mark.parametrize("damage", ["missing", "cut"])
def test_an_external_file_that_cannot_be_read_is_told_where_something_may_be_missing(
    damage: str, tmp_path: Path
) -> None:
    source = two_customers.write(tmp_path / "TASKDATA")
    external = source / "PFD00001.XML"
    if damage == "missing":
        external.unlink()
    else:
        external.write_bytes(external.read_bytes()[:-20])
    data = taskdata.read(source)
    assert data.only(fields="PFD1").unread == ()
    part = data.only(tasks="TSK2")
    assert [item.file for item in part.unread] == ["PFD00001.XML"]
    taskdata.write(part, tmp_path / "t", to="isoxml")
    assert "PFD00001.XML" not in {path.name for path in (tmp_path / "t" / "TASKDATA").iterdir()}


@pytest.mark.parametrize("wish", [{"version": 3}, {"receiver": taskdata.Receiver({"limits.tasks": 1})}])
def test_nothing_of_others_comes_back_on_the_way_to_a_terminal(wish: dict[str, Any], tmp_path: Path) -> None:
    source = two_customers.write(tmp_path / "s" / "TASKDATA")
    taskdata.convert(source, tmp_path / "t", to="isoxml", only=Only(customers="Birkenbusch"), **wish)
    found = bytes_of(tmp_path / "t")
    assert [text for text in two_customers.OTHERS if text.encode() in found] == []
    assert "Mühlenkoppel".encode() in found


def test_nothing_of_others_comes_back_by_a_merge(tmp_path: Path) -> None:
    source = two_customers.write(tmp_path / "s" / "TASKDATA")
    only = Only(customers="Birkenbusch")
    taskdata.merge([source, samples.STICKS[0]], tmp_path / "t", to="isoxml", only=only)
    found = bytes_of(tmp_path / "t")
    assert [text for text in (*two_customers.OTHERS, "Ostzipfel", "Ahrenbrook") if text.encode() in found] == []
    assert "Mühlenkoppel".encode() in found

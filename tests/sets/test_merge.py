"""What merging keeps, recognises, renumbers and decides; properties on generated sets, cases by hand."""

from __future__ import annotations

import re
from collections import Counter
from itertools import permutations
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

import taskdata
from taskdata import api
from taskdata.errors import TargetError, UsageError
from taskdata.isoxml.reading.read import read_document
from taskdata.isoxml.to_model.dataset import to_dataset
from taskdata.isoxml.tree.differences import differences
from taskdata.isoxml.tree.document import Document
from taskdata.isoxml.writing.write import write_folder, xml_text
from taskdata.model.choice import Only
from taskdata.reports.merge_json import merge_document
from taskdata.sets.compare import compare
from taskdata.sets.merge import Merged, merge
from taskdata.sets.side import Side
from tests import samples
from tests.documents import READING
from tests.generate import FileSetContent, build, file_sets
from tests.heavy import examples
from tests.sets.walks import everything, folded, references, unsaid

QUICK = settings(max_examples=examples(6), deadline=None, suppress_health_check=[HealthCheck.too_slow])
OF_THE_UNION = {
    "identity.made-on-machine",  # a machine's numbers in a set that now is one of the office
    "field.overlapping",  # fields of two sources that lie one on the other, yet not enough to be one
    "field.same-name",  # and such as have one name and lie apart
    "stamp.mixed-zones",  # stamps of one source with, of the other without zone
    "task.several-running",  # a running task of each source
    "field.farm-of-other-customer",  # a farm to which only the other source gives a customer
    "task.owner-disagrees",  # a field with two owners, which is journalled
    "timelog.outside-fields",  # work of one source, the fields of the other
    "geometry.lost-sign",  # which looks at all places together
}
"""Findings that a sound merge may bring, for they are about things of two sources."""


def side(content: FileSetContent | Path) -> Side:
    document = content.document() if isinstance(content, FileSetContent) else read_document(content)
    return Side(document, to_dataset(document).with_changes(source=str(content)))


STRANGER = [
    (r' ([BC])="([^"]{0,28}[a-zß.])"', r' \1="\2 zwo"'),  # names
    (r'"54\.', '"55.'),  # one degree to the north
    ('D="A00A800046F00111"', 'D="A00A800046F00112"'),  # another machine
]
"""Makes of the older sample a set with the same numbers that has nothing in common with it."""


def edited(tmp_path: Path, changes: list[tuple[str, str]], sample: Path = samples.OFFICE, name: str = "edited") -> Path:
    """Copy a sample and change its XML files by regular expressions, each of which must find something."""
    folder = samples.copy(sample, tmp_path / name)
    found = Counter(dict.fromkeys((pattern for pattern, _ in changes), 0))
    for path in folder.glob("*.XML"):
        text = path.read_text(encoding="utf-8")
        for pattern, by in changes:
            text, times = re.subn(pattern, by, text)
            found[pattern] += times
        path.write_text(text, encoding="utf-8")
    assert all(found.values()), found
    return folder


def pairs_of_sets() -> st.SearchStrategy[tuple[FileSetContent, FileSetContent]]:
    """Two sets of one version."""
    return st.sampled_from([2, 3, 4]).flatmap(
        lambda version: st.tuples(file_sets(version=version, small=True), file_sets(version=version, small=True))
    )


def texts(document: Document) -> dict[str, str]:
    """Everything that is written of a document: XML files as text, others as bytes in hexadecimal digits."""
    written = {file.name: "".join(xml_text(file)) for file in document.xml_files}
    return written | {name: blob.read().hex() for name, blob in document.others.items()}


def assert_unchanged(content: FileSetContent | Path, times: int) -> None:
    result = merge([side(content) for _ in range(times)])
    assert list(differences(folded(side(content).document), result.document)) == []
    assert result.journal == result.losses == ()
    assert compare(side(content), Side(result.document, to_dataset(result.document))).equal


@pytest.mark.parametrize("sample", [*samples.SOUND, samples.BROKEN], ids=lambda path: path.parent.name)
@pytest.mark.parametrize("times", [1, 2, 3])
def test_a_sample_merged_with_itself_stays_as_it_is(sample: Path, times: int) -> None:
    assert_unchanged(sample, times)


@QUICK
@given(content=file_sets(small=True))
def test_any_set_merged_with_itself_stays_as_it_is(content: FileSetContent) -> None:
    assert_unchanged(content, 2)


@QUICK
@given(contents=pairs_of_sets())
def test_the_order_of_two_sources_does_not_matter(contents: tuple[FileSetContent, FileSetContent]) -> None:
    one, two = contents
    assert texts(merge([side(one), side(two)]).document) == texts(merge([side(two), side(one)]).document)


def test_the_order_of_three_sources_does_not_matter(tmp_path: Path) -> None:
    third = edited(tmp_path, [(r'B="Hof Ahrenbrook"', 'B="Hof Neubrook"')])
    orders = permutations([samples.OFFICE, samples.MACHINE, third])
    results = [texts(merge([side(path) for path in order]).document) for order in orders]
    assert all(result == results[0] for result in results)


@QUICK
@given(contents=pairs_of_sets())
def test_nothing_is_lost_and_references_hold(contents: tuple[FileSetContent, FileSetContent]) -> None:
    sources = [side(content) for content in contents]
    result = merge(sources)
    assert_references_hold(result.document, sources)
    assert_nothing_is_lost(result, sources)


def assert_references_hold(document: Document, sources: list[Side]) -> None:
    dangling = sum(len(broken(source.document)) for source in sources)
    assert len(broken(document)) <= dangling
    ids = Counter(item.id for item in document.walk() if item.id is not None)
    repeated = [
        Counter(item.id for item in source.document.walk() if item.id is not None).most_common(1)[0][1]
        for source in sources
    ]
    assert max(ids.values()) <= max(repeated)


def broken(document: Document) -> list[str]:
    """References to nothing, or to a thing of another kind; also those in headers of logs."""
    roots = [file.root for file in document.xml_files if file.role != "linklist"]
    found = []
    for item in (item for root in roots for item in root.walk()):
        for _, text, wanted in references(item):
            target = document.by_id.get(text)
            if target is None or target.tag != wanted:
                found.append(text)
    return found


def assert_nothing_is_lost(result: Merged, sources: list[Side]) -> None:
    """Each element of a source is said in the result too, or the journal names the thing that says otherwise."""
    disputed = {item.element for item in result.journal if item.kind == "conflict"}
    for source in sources:
        new = result.renumbered[source.dataset.source]
        lost = [f"{item.tag} {item.attributes}" for item in unsaid(source.document, result.document, new, disputed)]
        assert lost[:3] == []
        assert disputed or len(source.document.others) <= len(result.document.others)


def test_sets_with_the_same_numbers_and_nothing_in_common_are_added_up(tmp_path: Path) -> None:
    sources = [side(samples.OLDER), side(edited(tmp_path, STRANGER, sample=samples.OLDER))]
    result = merge(sources)
    assert result.recognised == ()
    assert result.journal == ()
    assert everything(result.document) == everything(sources[0].document) + everything(sources[1].document)
    assert_references_hold(result.document, sources)
    assert {name for changes in result.renumbered.values() for name in changes} >= {"CTR41"}
    names = [file.name for file in result.document.xml_files]
    assert len(names) == len(set(names))


@settings(max_examples=6, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(seeds=st.tuples(st.integers(0, 2**32 - 1), st.integers(0, 2**32 - 1)), version=st.sampled_from([2, 3, 4]))
def test_check_finds_nothing_new(
    seeds: tuple[int, int], version: int, tmp_path_factory: pytest.TempPathFactory
) -> None:
    folder = tmp_path_factory.mktemp("merged")
    sources = [side(build(seed, version, most=1)) for seed in seeds]
    before: Counter[str] = Counter()
    for number, source in enumerate(sources):
        before |= found(source.document, folder / f"{number}")
        office = source.document.root.attributes
        office["DataTransferOrigin"] = "1"
        before |= found(source.document, folder / f"office-{number}")
    after = found(merge([side(build(seed, version, most=1)) for seed in seeds]).document, folder / "merged")
    assert set(after) - set(before) <= OF_THE_UNION


def found(document: Document, folder: Path) -> Counter[str]:
    write_folder(document, folder)
    return Counter(item.rule.id for item in api.check(folder, max_per_rule=0).findings)


def merged(*folders: Path) -> Merged:
    return merge([side(folder) for folder in folders])


def test_office_and_machine_are_the_machine_and_what_only_the_office_has() -> None:
    result = merged(samples.OFFICE, samples.MACHINE)
    machine, office = side(samples.MACHINE), side(samples.OFFICE)
    told = compare(machine, Side(result.document, to_dataset(result.document))).differences
    content = {(item.kind, item.what) for item in told if not item.what.endswith(" of the set")}
    kinds = {kind for kind, _ in content}
    assert len(content) == 3
    assert kinds == {"removed", "added", "changed"}
    words = " ".join(what for _, what in content)
    assert all(word in words for word in ("TaskControllerCapabilities", "AttachedFile", "FileLength"))
    assert result.document.others["NOTES001.TXT"].read() == office.document.others["NOTES001.TXT"].read()
    assert result.document.origin == "FMIS"
    assert not result.document.top("TCC")
    assert [loss.kind for loss in result.losses if "capabilities" in loss.what] == ["dropped"]
    assert not {"TaskControllerManufacturer", "TaskControllerVersion"} & set(result.document.root.attributes)


def test_a_renamed_thing_with_another_number_is_known_by_its_uuid(tmp_path: Path) -> None:
    other = edited(tmp_path, [('A="FRM1" B="Hof Ahrenbrook"', 'A="FRM77" B="Hof Neu"'), ('"FRM1"', '"FRM77"')])
    result = merged(samples.OFFICE, other)
    assert len(result.document.top("FRM")) == 2
    (farm,) = [item for item in result.recognised if set(item.sources.values()) == {"FRM1", "FRM77"}]
    assert farm.how == "link"
    assert {(item.kind, item.what.split(" of ")[0]) for item in result.journal} == {("conflict", "FarmDesignator")}


def test_things_with_different_uuids_are_two_things_whatever_their_names(tmp_path: Path) -> None:
    other = edited(tmp_path, [(r'(LNK A="FRM1" B=")[0-9a-f]{8}', r"\g<1>00000000")])
    result = merged(samples.OFFICE, other)
    names = Counter(item.get("FarmDesignator") for item in result.document.top("FRM"))
    assert names["Hof Ahrenbrook"] == 2


def test_a_field_is_known_by_its_ground(tmp_path: Path) -> None:
    changes = [('"PFD4711"', '"PFD99"'), ('"GROSSE BREITE"', '"AM BACH"')]
    result = merged(samples.OLDER, edited(tmp_path, changes, sample=samples.OLDER))
    assert len(result.document.top("PFD")) == len(read_document(samples.OLDER).top("PFD"))
    (recognised,) = [item for item in result.journal if item.kind == "recognised"]
    assert "common ground" in recognised.why
    (name,) = [item for item in result.journal if item.kind == "conflict"]
    assert {name.kept, *name.dropped} == {"AM BACH", "GROSSE BREITE"}


@pytest.mark.parametrize(("metres", "lines"), [(0.05, 1), (1.0, 2)])
def test_a_line_of_one_name_is_one_line_only_in_one_place(tmp_path: Path, metres: float, lines: int) -> None:
    """Of a line without link, with another number, only name and place tell; the one moved on purpose is kept."""
    text = (samples.OFFICE / "TASKDATA.XML").read_text(encoding="utf-8")
    block = re.search(r'<GPN A="GPN2" B="A\+ quer".*?</GPN>', text, re.DOTALL)
    assert block is not None
    degrees = metres / 111_300.0  # metres of a degree of latitude at 54 degrees north: from memory, to 0.1 %
    moved = re.sub(r'C="(5\d\.\d+)"', lambda found: f'C="{float(found[1]) + degrees:.9f}"', block[0])
    folder = samples.copy(samples.OFFICE, tmp_path)
    moved = moved.replace('"GPN2"', '"GPN9"')
    (folder / "TASKDATA.XML").write_text(text.replace(block[0], moved), encoding="utf-8")
    result = merged(samples.OFFICE, folder)
    assert sum(item.get("GuidancePatternDesignator") == "A+ quer" for item in result.document.by_tag["GPN"]) == lines
    assert Counter(str(item.kind) for item in result.journal) == (
        {"recognised": 1, "conflict": 1} if lines == 1 else {}
    )


def test_a_task_from_two_sticks_has_the_records_of_both_and_the_later_status(tmp_path: Path) -> None:
    one = edited(tmp_path, [(r'(<TSK A="TSK1"[^>]*G=")4"', r'\g<1>2"')], samples.MACHINE, "one")
    two = edited(
        tmp_path,
        [(r'(<TIM A=")20\d\d', r"\g<1>2031"), (r'(<TIM[^>]* B=")20\d\d', r"\g<1>2031")],
        samples.MACHINE,
        "two",
    )
    before = next(item for item in read_document(samples.MACHINE).top("TSK") if item.id == "TSK1")
    path = two / "TLG00001.BIN"
    path.write_bytes(path.read_bytes()[::-1])
    result = merged(one, two)
    (after,) = [item for item in result.document.top("TSK") if item.id == "TSK1"]
    assert after.get("TaskStatus") == "4"
    logs = [item["Filename"] for item in after.elements("TLG")]
    assert len(logs) == len(set(logs)) == len(list(before.elements("TLG"))) + 1
    contents = {blob.read() for name in logs if (blob := result.document.binary(name)) is not None}
    assert {path.read_bytes(), (one / path.name).read_bytes()} <= contents
    assert all(result.document.header(name) is not None for name in logs)
    assert len(list(after.elements("TIM"))) == 2 * len(list(before.elements("TIM")))


def test_a_log_that_went_on_is_one_log(tmp_path: Path) -> None:
    early = samples.copy(samples.MACHINE, tmp_path)
    path = early / "TLG00001.BIN"
    whole = path.read_bytes()
    path.write_bytes(whole[: len(whole) // 2])
    result = merged(early, samples.MACHINE)
    assert result.document.others["TLG00001.BIN"].read() == whole
    assert Counter(item["Filename"] for item in result.document.by_tag["TLG"])["TLG00001"] == 1
    assert [item.what for item in result.journal if "recorded data" in item.what]


def test_a_renumbered_log_keeps_its_header_true(tmp_path: Path) -> None:
    """The header of a log names elements of devices: they follow when a device gets other numbers."""
    other = edited(tmp_path, STRANGER, sample=samples.OLDER)
    result = merged(samples.OLDER, other)
    document = result.document
    tasks = {log["Filename"]: task for task in document.top("TSK") for log in task.elements("TLG")}
    for name, task in tasks.items():
        header = document.header(name)
        assert header is not None
        targets = [document.by_id[item["DeviceElementIdRef"]] for item in header.root.elements("DLV")]
        devices = {item.parent.id for item in targets if item.parent is not None}
        assert devices <= {item["DeviceIdRef"] for item in task.elements("DAN")} or not list(task.elements("DAN"))
    assert len(tasks) == 2 * len(read_document(samples.OLDER).by_tag["TLG"])


def test_zones_come_whole_from_the_task_that_was_worked_last(tmp_path: Path) -> None:
    other = edited(tmp_path, [(r'(<TZN A="1"[^>]*>\s*<PDV A="[0-9A-F]+" B=")\d+', r"\g<1>12345")])
    result = merged(samples.OFFICE, other)
    zones = [item for item in result.journal if "treatment zones" in item.what]
    assert zones
    assert {item.kept for item in zones} < {f"as in {samples.OFFICE}", f"as in {other}", None}
    codes = [[zone.get("TreatmentZoneCode") for zone in task.elements("TZN")] for task in result.document.top("TSK")]
    assert all(len(row) == len(set(row)) for row in codes)


def test_a_file_that_nobody_refers_to_is_kept_beside_one_of_its_name(tmp_path: Path) -> None:
    folders = [samples.copy(samples.OLDER, tmp_path / name) for name in ("one", "two")]
    for folder in folders:
        (folder / "REMARK.DAT").write_bytes(folder.parent.name.encode())
    result = merged(*folders)
    kept = {name: blob.read() for name, blob in result.document.others.items() if name.endswith(".DAT")}
    assert sorted(kept.values()) == [b"one", b"two"]
    assert "REMARK.DAT" in kept
    assert [item.kind for item in result.journal] == ["renamed"]


@pytest.mark.parametrize("lacks", [0, 7])
def test_the_stated_length_of_the_link_list_is_that_of_what_is_written(tmp_path: Path, lacks: int) -> None:
    """Each part states the length of its own list; what the first one lacked is still missing afterwards."""
    parts = [tmp_path / name for name in ("PFD1", "PFD2", "PFD3")]
    for part in parts:
        taskdata.convert(samples.OFFICE, part, to="isoxml", only=Only(fields=part.name))
        main, size = part / "TASKDATA" / "TASKDATA.XML", (part / "TASKDATA" / "LINKLIST.XML").stat().st_size
        main.write_text(main.read_text("utf-8").replace(f'F="{size}"', f'F="{size + lacks}"'), "utf-8")
    for at, some in enumerate(permutations(parts)):
        target = tmp_path / f"whole{at}" / "TASKDATA"
        taskdata.merge(some, target, to="isoxml")
        stated = re.search(r'A="LINKLIST.XML".* F="(\d+)"', (target / "TASKDATA.XML").read_text("utf-8"))
        assert stated is not None
        assert int(stated[1]) == (target / "LINKLIST.XML").stat().st_size + lacks


def test_versions_are_not_mixed() -> None:
    with pytest.raises(UsageError, match="different versions") as caught:
        merged(samples.OFFICE, samples.OLDER)
    assert "VersionMajor" in str(caught.value)
    with pytest.raises(UsageError, match="nothing to merge"):
        merge([])


def test_a_target_on_a_source_is_refused(tmp_path: Path) -> None:
    folder = samples.copy(samples.OFFICE, tmp_path)
    with pytest.raises(TargetError, match="never changed"):
        api.merge([samples.MACHINE, folder], folder, overwrite=True)
    assert list(differences(read_document(folder), read_document(samples.OFFICE))) == []


def test_layers_join_a_set_and_the_target_reads_back(tmp_path: Path) -> None:
    result = api.merge([samples.OFFICE, samples.DISPLAY], tmp_path / "all", to="isoxml", crs="EPSG:4326")
    back = api.read(tmp_path / "all")
    assert back.version is not None
    assert back.version[0] == 4
    alone = [len(api.read(path, crs="EPSG:4326").fields) for path in (samples.OFFICE, samples.DISPLAY)]
    same = sum(item.element.startswith("PFD") for item in result.merged)
    assert len(back.fields) == sum(alone) - same


def test_json_says_what_was_done() -> None:
    result = api.merge([samples.OFFICE, samples.MACHINE], "nowhere.zip", dry_run=True)
    document = merge_document(result)
    names = ["sources", "target", "written", "merged", "renumbered", "journal", "losses", "new_errors"]
    assert list(document) == [*names, *READING]
    assert set(document["renumbered"]) == {str(samples.OFFICE), str(samples.MACHINE)}
    assert all(set(item) == {"kind", "element", "what", "why", "kept", "dropped"} for item in document["journal"])
    assert all(set(item["ids"]) == set(document["sources"]) for item in document["merged"])
    assert not Path("nowhere.zip").exists()

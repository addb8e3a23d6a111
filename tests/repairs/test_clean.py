"""A repair silences its rule, does nothing the second time, and touches nothing else."""

from __future__ import annotations

import json
import zipfile
from collections import Counter
from datetime import timedelta
from pathlib import Path

import numpy as np
import pytest
import shapely
from geographiclib.geodesic import Geodesic
from hypothesis import HealthCheck, given, settings

from taskdata import api
from taskdata.adapt.transliterate import fit_texts
from taskdata.checks.run import run
from taskdata.checks.subject import Subject
from taskdata.exchange.behind import document_behind
from taskdata.exchange.cleaning import clean_set
from taskdata.exchange.load import load
from taskdata.isoxml.files.blob import Blob
from taskdata.isoxml.files.set_files import FileSet
from taskdata.isoxml.reading.read import document_of, read_document
from taskdata.isoxml.to_model.dataset import to_dataset
from taskdata.isoxml.tree.differences import differences
from taskdata.isoxml.tree.document import Document, XmlFile
from taskdata.isoxml.tree.element import Element
from taskdata.isoxml.writing.write import named_files, xml_bytes
from taskdata.repairs.name.invisible_character import seen
from taskdata.repairs.name.outside_latin_1 import plainly
from taskdata.repairs.registry import repairs, standings
from taskdata.repairs.run import clean
from taskdata.reports.clean_json import journal_text
from taskdata.results.cleaning import Standing
from tests import samples
from tests.generate import FileSetContent, file_sets
from tests.heavy import examples

RULES = Path(__file__).parents[1] / "rules"
BAD = [
    pytest.param(rule, folder, id=f"{rule}-{folder.name}")
    for rule in standings()
    for folder in sorted((RULES / rule).glob("bad*"))
    if folder.is_dir()
]
OTHERS = [
    pytest.param(next(folder.glob("bad*")), id=folder.name)
    for folder in sorted(RULES.iterdir())
    if folder.name not in standings() and any(item.is_dir() for item in folder.glob("bad*"))
]
GOOD = [
    pytest.param(folder, id=f"{rule}-{folder.name}")
    for rule in standings()
    for folder in sorted((RULES / rule).glob("good*"))
    if folder.is_dir()
]
# Faults of a repairable rule that cannot be repaired without guessing, and why.
LEFT = {
    "geometry.at-zero": "a line of two points, one of which is missing, is no line without it",
    "identity.repeated": "the two say different things",
    "identity.repeated-id": "the two say different things, or names of files are repeated",
    "schema.invalid-value": "only names that are too long and values that are empty have a repair",
    "schema.missing-attribute": "only types that the rest of the set decides have a repair",
    "schema.misplaced-element": "only what can belong to one thing has a repair",
    "linklist.wrong-uuid": "only other forms of a random UUID have a repair",
    "linklist.second-uuid": "which of two different ones others know cannot be told",
    "attachment.wrong-link-list": "which type a file of another name has cannot be told",
    "name.outer-blanks": "a name of nothing but blanks is no name without them",
    "name.invisible-character": "controls beyond 127 are what is left of letters",
    "name.look-alike": "products and fields that look alike may be two",
    "name.outside-latin-1": "letters of other alphabets are right where people write them",
    "reference.dangling": "nothing can stand in for a device or a group of guidance lines",
}


# Sets with a fault of a repairable rule that stays, since a repair would remove the evidence of a graver one.
EVIDENCE = {
    "file.wrong-length/bad-shorter": "a file that is shorter than stated has lost its end",
    "field.wrong-area/bad": "an area that is so far off is evidence about the outline",
    "field.wrong-area/bad-polygon": "an area that is so far off is evidence about the outline",
    "reference.dangling/bad-missing-file": "what is named may lie in the external file that is missing",
    "reference.dangling/bad-other-file": "a file that cannot be named holds what is named",
}


def audit(document: Document) -> Counter[str]:
    return Counter(item.rule.id for item in run(Subject(document, to_dataset(document))))


def written(document: Document) -> Document:
    """The set as it reads once it is written; a schema judges the bytes of a file."""
    files = named_files(document)
    blobs = (Blob.of(name, xml_bytes(item) if isinstance(item, XmlFile) else item.read()) for name, item in files)
    return document_of(FileSet(document.source, tuple(blobs), "TASKDATA"))


@pytest.mark.parametrize(("rule", "folder"), BAD)
def test_a_repair_silences_its_rule_and_makes_nothing_worse(rule: str, folder: Path) -> None:
    document = read_document(folder)
    before = audit(document)
    cleaned, changes, _ = clean(document, review=True)
    after = audit(written(cleaned) if rule.startswith("schema.") else cleaned)
    if f"{rule}/{folder.name}" in EVIDENCE:
        assert rule not in {change.rule for change in changes}
        assert after[rule] == before[rule]
    elif rule not in LEFT:
        assert rule in {change.rule for change in changes}
    if rule in {change.rule for change in changes} and rule not in LEFT:
        reader = {item.rule.id for item in document.findings}
        assert after[rule] == 0 or rule in reader
    assert sum(after.values()) <= sum(before.values())
    again, more, _ = clean(cleaned, review=True)
    assert more == ()
    assert list(differences(cleaned, again)) == []


@pytest.mark.parametrize("folder", OTHERS)
def test_a_set_with_another_fault_is_never_worse_and_changed_only_where_something_is_found(folder: Path) -> None:
    document = read_document(folder)
    before = audit(document)
    cleaned, changes, _ = clean(document, review=True)
    assert {change.rule for change in changes} <= set(before)
    assert sum(audit(cleaned).values()) <= sum(before.values())


@pytest.mark.parametrize("folder", GOOD)
def test_what_has_no_fault_of_a_repairable_rule_is_not_touched(folder: Path) -> None:
    document = read_document(folder)
    found = set(audit(document))
    assert {change.rule for change in clean(document, review=True)[1]} <= found


def test_what_is_left_is_a_rule_that_can_be_repaired() -> None:
    assert set(LEFT) <= set(standings())
    assert set(EVIDENCE) <= {f"{param.values[0]}/{param.values[1].name}" for param in BAD}


@pytest.mark.parametrize("sample", samples.SOUND[:2], ids=lambda path: path.parent.name)
def test_cleaning_a_clean_set_changes_not_one_byte(sample: Path, tmp_path: Path) -> None:
    noted = set(audit(read_document(sample))) & set(standings())
    assert noted <= {"zone.no-default", "name.outside-latin-1"}
    result = clean_set(sample, tmp_path / "s", review=True, leave=["zone.no-default"])
    assert result.changes == ()
    for path in sample.iterdir():
        assert (tmp_path / "s" / "TASKDATA" / path.name).read_bytes() == path.read_bytes()


@settings(max_examples=examples(10), suppress_health_check=[HealthCheck.too_slow])
@given(content=file_sets(small=True))
def test_a_valid_set_needs_no_safe_repair_of_its_content(content: FileSetContent) -> None:
    document = content.document()
    cleaned, changes, _ = clean(document)
    content_changes = [change for change in changes if not change.rule.startswith("file.")]
    allowed = {"geometry.repeated-point", "identity.leading-zero", "name.outer-blanks", "attachment.may-be-dropped"}
    assert {change.rule for change in content_changes} <= allowed
    if not changes:
        document.expand_loose_points()
        assert list(differences(document, cleaned)) == []


def test_nothing_outside_the_journal_changes(tmp_path: Path) -> None:
    result = clean_set(samples.BROKEN, tmp_path / "s", review=True, journal=journal_text)
    touched = {change.element for change in result.changes} | {"WKR7", "WKR8", "VPN1"}
    compared = api.compare(samples.BROKEN, tmp_path / "s")
    strange = [item for item in compared.differences if item.a not in touched and item.b not in touched]
    assert strange == []
    journal = json.loads((tmp_path / "s" / "TASKDATA.journal.json").read_text(encoding="utf-8"))
    assert len(journal["changes"]) == len(result.changes)
    told = {"source", "target", "changes", "left", "before", "after", "failed", "losses", "new_errors"}
    assert set(journal) == told | {"findings", "warnings", "unread"}


def test_safe_alone_makes_no_choice_and_only_and_except_are_obeyed() -> None:
    document = read_document(samples.BROKEN)
    assert {str(change.standing) for change in clean(document)[1]} == {"safe"}
    assert {change.rule for change in clean(document, only=["file"])[1]} <= {
        rule for rule in standings() if rule[:5] == "file."
    }
    assert not [change for change in clean(document, leave=["identity"])[1] if change.rule.startswith("identity.")]


def test_a_dry_run_writes_nothing(tmp_path: Path) -> None:
    result = clean_set(samples.BROKEN, tmp_path / "s", review=True, dry_run=True, journal=journal_text)
    assert result.changes
    assert list(tmp_path.iterdir()) == []


def test_a_zone_made_for_what_a_map_leaves_out_applies_nothing() -> None:
    for name in ("bad", "bad-one"):
        cleaned, changes, _ = clean(read_document(RULES / "zone.no-default" / name), review=True, only=["zone"])
        assert changes
        for task in to_dataset(cleaned).tasks:
            zones = {zone.code: zone for zone in task.zones}
            assert task.out_of_field_zone is not None
            outside = zones[task.out_of_field_zone]
            assert outside.setpoints
            assert all(setpoint.value == 0 for setpoint in outside.setpoints)


def test_a_map_of_codes_gets_a_zone_of_a_code_that_no_cell_has() -> None:
    """Cells of a code without a zone stay what they were: a gap that the audit tells (ISO 11783-10, 8.6.2)."""
    document = read_document(RULES / "zone.no-default" / "bad")
    task = document.by_id["TSK1"]
    for polygon in [item for zone in task.elements("TZN") for item in zone.elements("PLN")]:
        polygon.parent.children.remove(polygon)
    facts = {"A": "54.3", "B": "7.0", "C": "0.0005", "D": "0.0005", "E": "2", "F": "3", "G": "GRD00001", "I": "1"}
    task.append(Element("GRD", facts, file=task.file))
    cells = bytes([0, 1, 1, 0, 2, 3])
    for present in (False, True):
        if present:
            document.others["GRD00001.BIN"] = Blob.of("GRD00001.BIN", cells)
        document.touch()
        cleaned, changes, _ = clean(document, review=True, only=["zone.no-default"])
        assert bool(changes) == present
    assert cleaned.others["GRD00001.BIN"].read() == cells
    mended = to_dataset(cleaned).tasks[0]
    assert (mended.default_zone, mended.position_lost_zone, mended.out_of_field_zone) == (4, 4, 4)
    assert [setpoint.value for zone in mended.zones if zone.code == 4 for setpoint in zone.setpoints] == [0]


def test_a_zone_that_leaves_one_of_two_rates_open_does_not_apply_nothing() -> None:
    document = read_document(RULES / "zone.no-default" / "bad")
    task = document.by_id["TSK1"]
    idle = Element("TZN", {"A": "9"}, file=task.file)
    idle.append(Element("PDV", {"A": "0001", "B": "0", "C": "PDT1"}, file=task.file))
    task.children.insert(0, idle)
    document.touch()
    mended = to_dataset(clean(document, review=True, only=["zone.no-default"])[0]).tasks[0]
    outside = next(zone for zone in mended.zones if zone.code == mended.out_of_field_zone)
    assert outside.code != 9
    assert sorted((setpoint.ddi, setpoint.value) for setpoint in outside.setpoints) == [(1, 0), (6, 0)]


def test_a_log_that_runs_backwards_is_cut_and_no_octet_of_it_is_lost() -> None:
    document = read_document(RULES / "timelog.time-runs-back" / "bad")
    cleaned, changes, _ = clean(document, review=True, only=["timelog.time-runs-back"])
    assert [change.rule for change in changes] == ["timelog.time-runs-back"]
    names = [str(element.get("Filename")) for element in cleaned.by_tag["TLG"]]
    assert len(names) == 2
    parts = [cleaned.others[f"{name}.BIN"].read() for name in names]
    assert all(parts)
    assert b"".join(parts) == document.others["TLG00001.BIN"].read()


@pytest.mark.parametrize("name", ["bad", "bad-receiver"])
def test_a_lost_round_of_weeks_is_1024_weeks(name: str) -> None:
    document = read_document(RULES / "timelog.week-rollover" / name)
    cleaned, *_ = clean(document, review=True, only=["timelog.week-rollover"])
    before, after = (to_dataset(item).tasks[0].logs[0].records for item in (document, cleaned))
    assert before is not None
    assert after is not None
    assert set((after.time - before.time).tolist()) == {timedelta(weeks=1024)}


def test_a_stub_stands_in_for_what_a_reference_has_to_name() -> None:
    document = read_document(RULES / "reference.dangling" / "bad")
    task = Element("TSK", {"A": "TSK1", "G": "1"}, file=document.main.name)
    task.append(Element("WAN", {"A": "WKR7"}, file=document.main.name))
    document.root.append(task)
    document.touch()
    cleaned, changes, _ = clean(document, review=True)
    assert ("WKR7" in cleaned.by_id, audit(cleaned)["reference.dangling"]) == (True, 0)
    assert [change.after for change in changes if change.rule == "reference.dangling"] == ["WKR7", None]


def test_a_lost_reference_is_led_to_what_a_part_named_beside_it_belongs_to() -> None:
    document = read_document(samples.OFFICE)
    comment = next(item for item in document.by_tag["CAN"] if item.get("CodedCommentListValueIdRef"))
    field = next(item for item in document.by_tag["PFD"] if item.get("CropVarietyIdRef"))
    wanted = comment.get("CodedCommentIdRef"), field.get("CropTypeIdRef")
    comment.set("CodedCommentIdRef", "CCT4242")
    field.set("CropTypeIdRef", "CTP4242")
    cleaned, changes, _ = clean(document, review=True, only=["reference"])
    assert {(change.before, change.after) for change in changes} == {("CCT4242", wanted[0]), ("CTP4242", wanted[1])}
    assert audit(cleaned)["reference.dangling"] == 0


def test_a_guidance_shift_of_a_lost_pattern_goes_as_a_whole() -> None:
    document = read_document(samples.OFFICE)
    for shift in document.by_tag["GST"]:
        shift.set("GuidanceGroupIdRef", None)
        shift.set("GuidancePatternIdRef", "GPN4242")
    cleaned, changes, _ = clean(document, review=True, only=["reference"])
    assert {(change.before, change.after) for change in changes} == {("GPN4242", None)}
    assert not cleaned.by_tag.get("GST")


def test_a_rate_keeps_its_product_where_the_file_of_the_products_is_lost() -> None:
    document = read_document(samples.OFFICE)
    for product in document.by_tag["PDT"]:
        product.parent.children.remove(product)
    document.touch()
    named = [item.get("ProductIdRef") for item in document.by_tag["PDV"]]
    cleaned, *_ = clean(document, review=True, only=["reference"])
    assert [item.get("ProductIdRef") for item in cleaned.by_tag["PDV"]] == named
    assert {name for name in named if name} <= set(cleaned.by_id)


def test_tasks_and_lines_of_a_merged_field_go_to_the_one_that_stays() -> None:
    document = read_document(RULES / "field.same-ground" / "bad")
    gone = document.by_id["PFD2"]
    line = Element("LSG", {"A": "5", "F": "LSG1"}, file=gone.file)
    for north, east in (("54.3001", "7.0002"), ("54.3008", "7.0012")):
        line.append(Element("PNT", {"A": "9", "C": north, "D": east}, file=gone.file))
    gone.append(line)
    document.root.append(Element("TSK", {"A": "TSK1", "E": "PFD2", "G": "1"}, file=gone.file))
    document.touch()
    data = to_dataset(clean(document, review=True)[0])
    assert [(field.id, field.name, len(field.boundaries)) for field in data.fields] == [("PFD1", "Kuhle", 1)]
    assert len(data.fields[0].lines) + len(data.fields[0].guidance) == 1
    assert data.tasks[0].field == "PFD1"


def test_the_journal_tells_the_name_and_the_area_of_a_merged_field_that_give_way() -> None:
    document = read_document(RULES / "field.same-ground" / "bad")
    document.by_id["PFD1"].attributes |= {"C": "Kuhle", "D": "9200"}
    document.by_id["PFD2"].attributes |= {"C": "Große Breite", "D": "10000"}
    _, changes, _ = clean(document, review=True, only=("field.same-ground",))
    told = {(change.element, change.before, change.after) for change in changes}
    assert told >= {("PFD2", "Große Breite", "Kuhle"), ("PFD2", "10000", "9200")}


def test_what_names_a_doubled_thing_names_the_one_that_stays() -> None:
    cleaned, changes, _ = clean(read_document(RULES / "identity.doubled" / "bad"), review=True)
    field = cleaned.by_id["PFD1"]
    assert (field.get("CustomerIdRef"), field.get("FarmIdRef")) == ("CTR1", "FRM1")
    assert [(change.before, change.after) for change in changes] == [("CTR4", "CTR1"), ("FRM2", "FRM1")]
    assert {"CTR4", "FRM2"}.isdisjoint(cleaned.by_id)


def test_things_with_world_wide_identities_of_their_own_stay_two() -> None:
    document = read_document(samples.OFFICE)
    first = document.by_id["CTR1"]
    twin = Element("CTR", {**first.attributes, "A": "CTR77"}, file=document.main.name)
    document.root.append(twin)
    links = document.link_list
    assert links is not None
    group = next(item for item in links.root.elements("LGP") if item.get("LinkGroupType") == "1")
    link = Element("LNK", {"A": "CTR77", "B": "{11111111-2222-4333-8444-555555555555}"}, file=links.name)
    for wanted in (2, 1):
        document.touch()
        cleaned, *_ = clean(document, review=True, only=["identity"])
        assert len({"CTR1", "CTR77"} & set(cleaned.by_id)) == (1 if wanted == 2 else 2)
        group.append(link)


def test_of_two_links_that_say_the_same_one_goes_and_of_two_that_differ_none() -> None:
    for name, wanted in (("bad-equal", 1), ("bad", 2)):
        cleaned, changes, _ = clean(read_document(RULES / "linklist.second-uuid" / name), only=["linklist"])
        links = cleaned.link_list
        assert links is not None
        assert sum(item.tag == "LNK" for item in links.root.walk()) == wanted
        assert len(changes) == 2 - wanted


def test_the_name_of_the_link_list_tells_its_type_and_other_names_tell_none() -> None:
    for name, wanted in (("bad-type", "1"), ("bad", "1")):
        cleaned, changes, _ = clean(read_document(RULES / "attachment.wrong-link-list" / name), only=["attachment"])
        assert cleaned.by_tag["AFE"][0].get("FileType") == wanted
        assert {change.before for change in changes if change.rule == "attachment.wrong-link-list"} == (
            {"200"} if name == "bad-type" else set()
        )


def test_a_guidance_line_that_stands_twice_stays_once_and_tasks_go_with_it() -> None:
    document = read_document(RULES / "geometry.doubled" / "bad")
    task = Element("TSK", {"A": "TSK1", "E": "PFD1", "G": "1"}, file=document.main.name)
    allocation = Element("GAN", {"A": "GGP1"}, file=document.main.name)
    allocation.append(Element("GST", {"A": "GGP1", "B": "GPN2", "C": "100"}, file=document.main.name))
    task.append(allocation)
    document.root.append(task)
    document.touch()
    cleaned, *_ = clean(document, review=True, only=["geometry.doubled"])
    assert [item.get("GuidancePatternDesignator") for item in cleaned.by_tag["GPN"]] == ["Nord"]
    assert cleaned.by_tag["GST"][0].get("GuidancePatternIdRef") == "GPN1"


@pytest.mark.parametrize(
    ("name", "plain"),
    [
        ("K\u0430lk", "Kalk"),
        ("\u041f\u043e\u043b\u0435", "\u041f\u043e\u043b\u0435"),
        ("\u0141\u0105ka", "\u0141\u0105ka"),
        ("Hof\u2013Wiese", "Hof-Wiese"),
    ],
)
def test_a_name_is_written_plainly_and_other_alphabets_stay(name: str, plain: str) -> None:
    assert plainly(name) == plain


@pytest.mark.parametrize(
    ("name", "drawn"),
    [
        ("Ku\u200bhle", "Kuhle"),
        ("\u202eKuhle\u202c", "Kuhle"),
        ("Gro\u00dfe\tBreite", "Gro\u00dfe Breite"),
        ("Kali\u00a040\x07", "Kali 40"),
        ("Kuhle \u200b", "Kuhle"),
        ("Gro\u00c3\u009fe", "Gro\u00c3\u009fe"),
        ("\u0645\u06cc\u200c\u062e\u0648\u0627\u0647\u0645", "\u0645\u06cc\u200c\u062e\u0648\u0627\u0647\u0645"),
        ("\u05d0\u05d1\u200f 7", "\u05d0\u05d1\u200f 7"),
        ("\u7530\u3000\u4e2d", "\u7530\u3000\u4e2d"),
    ],
)
def test_what_is_not_seen_goes_and_what_other_scripts_need_stays(name: str, drawn: str) -> None:
    assert seen(name) == drawn


def test_blanks_go_unless_two_things_would_become_one() -> None:
    document = read_document(RULES / "name.outer-blanks" / "good")
    for number, name in enumerate(("Hang", " Hang", "Tal ", " Tal", "  Berg\t"), start=11):
        document.root.append(Element("PFD", {"A": f"PFD{number}", "C": name, "D": "0"}, file=document.main.name))
    document.touch()
    cleaned, changes, _ = clean(document)
    names = [cleaned.by_id[f"PFD{number}"].get("PartfieldDesignator") for number in range(11, 16)]
    assert names == ["Hang", " Hang", "Tal", " Tal", "Berg"]
    assert [(change.rule, change.before, change.after) for change in changes] == [
        ("name.outer-blanks", "Tal ", "Tal"),
        ("name.outer-blanks", "  Berg\t", "Berg"),
    ]


def test_what_nothing_refers_to_is_kept_aside_and_never_overwritten(tmp_path: Path) -> None:
    source = RULES / "file.unused" / "bad"
    for folder in ("s.aside", "s.aside-2"):
        target = tmp_path / "s.zip"
        result = clean_set(source, target, to="isoxml", review=True, overwrite=True)
        names = sorted(str(change.file) for change in result.changes if change.rule == "file.unused")
        beside = tmp_path / folder.replace("s.", "s.zip.")
        assert names
        assert sorted(path.name for path in beside.iterdir()) == names
        assert all((beside / name).read_bytes() == (source / name).read_bytes() for name in names)
        with zipfile.ZipFile(target) as archive:
            assert not {Path(name).name for name in archive.namelist()} & set(names)
    assert read_document(source).others.keys() >= {name.upper() for name in names}


def test_a_mended_ring_encloses_the_ground_of_its_loops() -> None:
    cleaned, changes, _ = clean(read_document(RULES / "geometry.self-crossing" / "bad-touching"), review=True)
    mended = [change for change in changes if change.rule == "geometry.self-crossing"]
    assert mended
    for field in to_dataset(cleaned).fields:
        for area in field.boundaries:
            for ring in area.exteriors:
                assert shapely.Polygon(ring).is_valid
                polygon = Geodesic.WGS84.Polygon()
                for lon, lat in ring:
                    polygon.AddPoint(lat, lon)
                assert abs(polygon.Compute()[2]) >= 1.0


def test_shortened_names_stay_apart_from_each_other_and_from_those_that_fit() -> None:
    texts = ["A" * 32 + tail for tail in "xyz"]
    names = fit_texts(texts, "any", 32, given={"A" * 32})
    assert len({*names.values(), "A" * 32}) == 4
    assert all(len(name) <= 32 for name in names.values())


def test_a_long_name_ends_with_a_word_and_does_not_look_cut() -> None:
    document = read_document(samples.BROKEN)
    cleaned, *_ = clean(document, review=True, only=["schema"])
    assert cleaned.by_id["FRM1"].get("FarmDesignator") == "Hof Ahrenbrook im Lindholler"
    assert audit(cleaned)["name.cut"] == audit(document)["name.cut"]


def test_each_repair_says_why_it_is_safe_or_needs_a_look() -> None:
    words = {Standing.SAFE: "Why it is safe: ", Standing.REVIEW: "Why it needs a look: "}
    assert [item.name for item in repairs() if words[item.standing] not in item.about] == []


def test_layers_can_be_cleaned_too(tmp_path: Path) -> None:
    result = clean_set(samples.DISPLAY, tmp_path / "s", crs="EPSG:32632")
    back = load(tmp_path / "s").dataset
    assert document_behind(back) is not None
    assert len(back.fields) == 4
    assert result.after["error"] == 0
    assert np.isfinite(back.fields[0].boundaries[0].exteriors[0]).all()


def test_a_setpoint_that_no_device_takes_is_not_repeated_in_a_zone_for_all_else() -> None:
    document = read_document(RULES / "zone.no-default" / "bad")
    other = read_document(RULES / "setpoint.not-settable" / "bad")
    document.root.children.insert(0, other.by_id["DVC1"])
    for setpoint in document.by_id["TSK1"].walk():
        if setpoint.tag == "PDV":
            setpoint.set("DeviceElementIdRef", "DET2")
    document.touch()
    assert clean(document, review=True, only=["zone.no-default"])[1] == ()

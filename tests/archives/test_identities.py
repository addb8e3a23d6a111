"""The same thing in many sets has one identity, as merging recognises it, whatever it is called and numbered there."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest

import taskdata
from tests import samples
from tests.archives.conftest import groups, rows
from tests.benchmarks import growth_sets

LAYERS = ("fields", "guidance", "tasks", "machines", "logs")


def renumbered(source: Path, target: Path) -> Path:
    """A copy of a set in which every identifier and every name of a log is another one, and every field is renamed."""
    copy = samples.copy(source, target)
    for path in [item for item in copy.iterdir() if item.suffix.upper() == ".XML"]:
        text = path.read_text(encoding="utf-8")
        text = re.sub(r'"([A-Z]{3})(-?)(\d{1,4})"', lambda found: f'"{found[1]}{found[2]}{int(found[3]) + 400}"', text)
        text = text.replace("TLG0000", "TLG0040")
        path.write_text(re.sub(r'(<PFD A="[^"]+"[^>]*? C=")', r"\1Neuer Name ", text), encoding="utf-8")
    for path in list(copy.glob("TLG0000*")):
        path.rename(path.with_name(path.name.replace("TLG0000", "TLG0040")))
    return copy


def test_a_renumbered_renamed_and_moved_copy_holds_the_same_things(tmp_path: Path) -> None:
    archive = tmp_path / "archive"
    samples.copy(samples.MACHINE, archive / "spring")
    renumbered(samples.MACHINE, tmp_path / "packed")
    shutil.make_archive(str(archive / "autumn"), "zip", tmp_path / "packed")
    result = taskdata.catalogue(archive, tmp_path / "out")
    assert [row.exit for row in result.sources] == [0, 0]
    before, after = (taskdata.read(row.source) for row in result.sources[::-1])
    assert {field.id for field in before.fields}.isdisjoint(field.id for field in after.fields)
    assert not any(field.name in {item.name for item in before.fields} for field in after.fields if field.name)
    for layer, count in {"fields": 5, "machines": 3, "logs": 2, "tasks": 2}.items():
        both = [things for things in groups(tmp_path / "out", layer) if len({digest for digest, _ in things}) == 2]
        assert len(both) >= count, layer
    lines = [things for things in groups(tmp_path / "out", "guidance") if len(things) == 2]
    assert len(lines) == len(before.guidance)


def test_an_equal_copy_is_one_set_at_two_places(tmp_path: Path, here: list[str]) -> None:
    for name in ("one", "two"):
        samples.copy(samples.OFFICE, tmp_path / "archive" / name)
    taskdata.catalogue(tmp_path / "archive", tmp_path / "out")
    assert len(here) == 1
    assert len(rows(tmp_path / "out", "fields", "id")) == len(taskdata.read(samples.OFFICE).fields)
    found = rows(tmp_path / "out", "sets", '"set", source', "ORDER BY source")
    assert [Path(source).parts[-2] for _, source in found] == ["one", "two"]
    assert len({digest for digest, _ in found}) == 1


@pytest.mark.parametrize("others", [(samples.MACHINE,), (samples.OFFICE, *samples.STICKS)], ids=["machine", "season"])
def test_identities_are_what_merging_takes_for_one_thing(others: tuple[Path, ...], tmp_path: Path) -> None:
    """Merging counts what stays apart: as many fields, machines and tasks as the catalogue has identities."""
    sources = [path for path in (samples.OFFICE, samples.MACHINE, *samples.STICKS) if path in {*others, samples.OFFICE}]
    for number, source in enumerate(sources):
        samples.copy(source, tmp_path / "archive" / str(number))
    taskdata.catalogue(tmp_path / "archive", tmp_path / "out")
    taskdata.merge(sources, tmp_path / "merged")
    merged = taskdata.read(tmp_path / "merged")
    for layer in ("fields", "machines", "tasks", "guidance"):
        assert len(groups(tmp_path / "out", layer)) == len(getattr(merged, layer)), layer
    logs = sum(len(task.logs) for task in merged.tasks)
    assert len(groups(tmp_path / "out", "logs")) == logs


def test_identities_do_not_depend_on_the_calls_in_which_sets_came(tmp_path: Path) -> None:
    sources = (samples.MACHINE, samples.OFFICE, *samples.STICKS, samples.OLDER)
    for number, source in enumerate(sources):
        samples.copy(source, tmp_path / "all" / str(number))
    taskdata.catalogue(tmp_path / "all", tmp_path / "at once")
    for number in reversed(range(len(sources))):
        samples.copy(tmp_path / "all" / str(number), tmp_path / "grows")
        taskdata.catalogue(tmp_path / "grows", tmp_path / "one by one")
    for layer in LAYERS:
        assert groups(tmp_path / "one by one", layer) == groups(tmp_path / "at once", layer), layer


def test_identities_stay_when_sets_come(tmp_path: Path) -> None:
    samples.copy(samples.STICKS[0], tmp_path / "archive" / "0")
    taskdata.catalogue(tmp_path / "archive", tmp_path / "out")
    before = {layer: set(rows(tmp_path / "out", layer, 'identity, "set", id')) for layer in LAYERS}
    for number, source in enumerate((samples.MACHINE, samples.STICKS[1]), 1):
        samples.copy(source, tmp_path / "archive" / str(number))
    taskdata.catalogue(tmp_path / "archive", tmp_path / "out")
    for layer, known in before.items():
        assert known
        assert known <= set(rows(tmp_path / "out", layer, 'identity, "set", id'))


def test_equal_identifiers_on_other_ground_are_other_fields(tmp_path: Path) -> None:
    growth_sets.different_sets(tmp_path / "archive", 6)
    taskdata.catalogue(tmp_path / "archive", tmp_path / "out")
    assert len(groups(tmp_path / "out", "fields")) == 60


def test_fields_outlined_anew_each_season_stay_the_same(tmp_path: Path) -> None:
    growth_sets.seasons(tmp_path / "archive", 6)
    taskdata.catalogue(tmp_path / "archive", tmp_path / "out")
    assert sorted(map(len, groups(tmp_path / "out", "fields"))) == [6] * 10


def test_a_link_joins_what_nothing_else_does_and_a_uuid_keeps_apart(tmp_path: Path) -> None:
    def stick(name: str, field: str, link: str, north: float) -> None:
        ring = growth_sets._field(1, north, 7.0, 20).replace("Schlag 0.1", field)
        growth_sets.write(tmp_path / "archive" / name, f'<AFE A="LINKLIST.XML" B="2" C="" D="1"/>{ring}')
        told = f'<LGP A="LGP1" B="1"><LNK A="PFD1" B="{link}"/></LGP>'
        growth_sets._write_root(tmp_path / "archive" / name / "LINKLIST.XML", "ISO11783LinkList", told)

    one, two = "7f5d3a60-5d63-4a35-9f5e-0a3b2f6f1c01", "7f5d3a60-5d63-4a35-9f5e-0a3b2f6f1c02"
    stick("a", "Kuhle", one, 54.3)
    stick("b", "Anders", one, 54.5)
    stick("c", "Kuhle", two, 54.3)
    taskdata.catalogue(tmp_path / "archive", tmp_path / "out")
    found = dict(rows(tmp_path / "out", "fields", "parse_filename(parse_path(source)[-1]), identity"))
    assert found["a"] == found["b"] != found["c"]


def test_a_log_that_grew_is_one_log(tmp_path: Path) -> None:
    samples.copy(samples.MACHINE, tmp_path / "archive" / "evening")
    morning = samples.copy(samples.MACHINE, tmp_path / "archive" / "morning") / "TLG00001.BIN"
    morning.write_bytes(morning.read_bytes()[: morning.stat().st_size // 2])
    taskdata.catalogue(tmp_path / "archive", tmp_path / "out")
    found = rows(tmp_path / "out", "logs", "identity, records", "WHERE id = 'TLG00001'")
    assert len(found) == 2
    assert len({identity for identity, _ in found}) == 1
    assert len({records for _, records in found}) == 2


def test_findings_of_one_thing_have_one_identity(tmp_path: Path) -> None:
    samples.copy(samples.BROKEN, tmp_path / "archive" / "one")
    copy = samples.copy(samples.BROKEN, tmp_path / "archive" / "two")
    (copy / "NOTES.TXT").write_text("two", encoding="utf-8")
    taskdata.catalogue(tmp_path / "archive", tmp_path / "out")
    found = rows(tmp_path / "out", "findings", "identity, rule, thing_identity, count(*)", "GROUP BY ALL")
    twice = {rule for _, rule, thing, count in found if count == 2 and thing}
    assert len(twice) > 10
    assert all(count <= 2 for *_, count in found)
    report = taskdata.check(samples.BROKEN)
    counted = rows(tmp_path / "out", "findings", "sum(count)", "WHERE source LIKE '%/one/%'")
    assert counted == [(sum(report.summary.values()),)]

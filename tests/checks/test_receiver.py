"""Profiles of receiving terminals: reading, concluding from a set, and what an audit says of them."""

from __future__ import annotations

import json
import tomllib
from pathlib import Path

import pytest

from taskdata import api
from taskdata.checks.registry import rules
from taskdata.errors import TargetError, UsageError
from taskdata.findings import Severity
from taskdata.model.receiver import ENTRIES, Receiver, read_receiver, receiver_schema, receiver_text
from taskdata.resources import schema_bytes
from tests import samples


def test_the_schema_is_made_from_the_entries() -> None:
    assert json.loads(schema_bytes("receiver.schema.json")) == receiver_schema()


def test_a_profile_comes_back_as_it_was_written(tmp_path: Path) -> None:
    values = {"receiver.name": 'Kabine "1"\\\n\t\x7f ä', "receiver.versions": [3, 4], "limits.fields": 0}
    receiver = Receiver({**values, "takes.link_list": False, "inferred.entries": ["limits.fields"]})
    path = tmp_path / "receiver.toml"
    path.write_text(receiver_text(receiver), encoding="utf-8", newline="\n")
    assert read_receiver(path) == receiver
    path.write_bytes(b"\xef\xbb\xbf" + path.read_bytes())
    assert read_receiver(path) == receiver


NO_PROFILES = {
    "no TOML": "[limits",
    "no section": "limits = 1",
    "below nothing": "[limits]\nfields = -1",
    "unknown entry": "[limits]\nfield = 1",
    "number for a truth": "[takes]\nlink_list = 1",
    "unknown section": "[other]",
    "no version": "[receiver]\nversions = []",
    "inferred nothing": "[inferred]\nentries = ['limits.nothing']",
    "deep": "a = " + "[" * 5000,
    "no UTF-8": "\udcff",
}


@pytest.mark.parametrize("text", NO_PROFILES.values(), ids=NO_PROFILES)
def test_what_is_no_profile_is_refused_in_one_line(text: str, tmp_path: Path) -> None:
    path = tmp_path / "receiver.toml"
    path.write_bytes(text.encode("utf-8", "surrogateescape"))
    with pytest.raises(UsageError, match=r"receiver\.toml") as caught:
        read_receiver(path)
    assert "\n" not in str(caught.value)


FAULTS = {
    "[limits]\nfeilds = 3": "it has limits.feilds, but limits may only have main_file_bytes, fields,",
    "[bogus]": "it has bogus, but a profile may only have receiver, limits,",
    "[limits]\nfields = 'a'": 'limits.fields is "a" and should be a whole number',
    "[limits]\nfields = -1": "limits.fields is -1 and should be at least 0",
    "[receiver]\nversions = [5]": "receiver.versions is 5 and should be at most 4",
    "[receiver]\nversions = []": "receiver.versions is [] and should be more than nothing",
    "[names]\ncharacters = 'utf8'": 'names.characters is "utf8" and should be one of ascii, latin-1, any',
}


@pytest.mark.parametrize(("text", "words"), FAULTS.items())
def test_what_is_wrong_in_a_profile_is_said_plainly(text: str, words: str, tmp_path: Path) -> None:
    (tmp_path / "receiver.toml").write_text(text, encoding="utf-8")
    with pytest.raises(UsageError) as caught:
        read_receiver(tmp_path / "receiver.toml")
    assert words in str(caught.value)


def test_a_whole_number_may_have_a_point(tmp_path: Path) -> None:
    (tmp_path / "receiver.toml").write_text("[limits]\nfields = 60.0\n[receiver]\nversions = [3.0]", encoding="utf-8")
    values = read_receiver(tmp_path / "receiver.toml").values
    assert repr(values) == "{'limits.fields': 60, 'receiver.versions': [3]}"


def test_a_missing_profile_is_wrong_usage(tmp_path: Path) -> None:
    with pytest.raises(UsageError, match="is not a receiver profile"):
        api.check(samples.OLDER, receiver=tmp_path / "none.toml")


@pytest.mark.parametrize("path", [samples.MACHINE, samples.OLDER], ids=lambda path: path.parent.name)
def test_a_terminal_takes_what_it_wrote(path: Path, tmp_path: Path) -> None:
    receiver = api.make_receiver(path, tmp_path / "receiver.toml")
    assert read_receiver(tmp_path / "receiver.toml") == receiver
    assert not api.check(path, receiver=receiver, select=["receiver"]).findings


def test_what_is_concluded_is_what_stands_in_the_set(tmp_path: Path) -> None:
    """Counted by hand in samples/machine: fields, tasks, patterns; capabilities state version 4."""
    receiver = api.make_receiver(samples.MACHINE, tmp_path / "receiver.toml")
    document = tomllib.loads((tmp_path / "receiver.toml").read_text(encoding="utf-8"))
    assert document["receiver"]["versions"] == [4]
    assert (document["limits"]["fields"], document["limits"]["tasks"]) == (6, 6)
    assert document["limits"]["guidance_lines"] == 6
    assert (document["limits"]["grid_columns"], document["limits"]["grid_rows"]) == (22, 16)
    assert "takes.external_files" not in receiver.values
    assert not receiver.is_hint("receiver.versions")
    assert receiver.is_hint("limits.fields")


def test_a_set_of_the_office_says_nothing_of_a_terminal(tmp_path: Path) -> None:
    with pytest.raises(UsageError, match="says nothing about a terminal"):
        api.make_receiver(samples.OFFICE, tmp_path / "receiver.toml")
    assert not list(tmp_path.iterdir())


def test_an_existing_profile_is_not_replaced(tmp_path: Path) -> None:
    path = tmp_path / "receiver.toml"
    path.write_text("mine", encoding="utf-8")
    with pytest.raises(TargetError, match="exists already"):
        api.make_receiver(samples.MACHINE, path)
    assert path.read_text(encoding="utf-8") == "mine"


def test_rules_on_a_receiver_are_silent_without_one() -> None:
    found = api.check(samples.BROKEN)
    assert not [item for item in found.findings if item.rule.id.startswith("receiver.")]
    assert not [rule for rule in found.applied if rule.id.startswith("receiver.")]


def test_every_entry_of_a_profile_has_a_rule_that_asks_for_it() -> None:
    """Each entry refused or set to nothing finds something in samples/office or samples/older."""
    nothing = {"receiver.versions": [0], "names.characters": "ascii"}
    texts = {item.path: nothing.get(item.path, 0 if item.section in {"limits", "names"} else False) for item in ENTRIES}
    for path, value in texts.items():
        if path in {"receiver.name", "inferred.entries"}:
            continue
        stated, inferred = Receiver({path: value}), Receiver({path: value, "inferred.entries": [path]})
        for receiver, severity in ((stated, Severity.ERROR), (inferred, Severity.NOTE)):
            reports = [api.check(source, receiver=receiver, select=["receiver"]) for source in samples.SOUND]
            found = [item for report in reports for item in report.findings]
            assert {item.severity for item in found} == {severity}, path
    assert len([module for module in rules() if ".checks.receiver." in module.name]) == len(texts) - 2 - 2


def test_layers_of_other_programs_are_checked_against_a_receiver_too() -> None:
    receiver = Receiver({"limits.fields": 2, "names.longest": 3})
    report = api.check(samples.DISPLAY, receiver=receiver, crs="EPSG:32632", select=["receiver"])
    assert {item.rule.id for item in report.findings} == {"receiver.too-many-fields", "receiver.name-too-long"}

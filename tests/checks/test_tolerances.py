"""Profiles: what they may say, what they change, and that their published schema says the same."""

from __future__ import annotations

import json
from pathlib import Path

import jsonschema
import pytest

from taskdata import api
from taskdata.checks.catalogue import catalogue
from taskdata.checks.profile import Profile
from taskdata.checks.tolerances import SCHEMA, load_profile, profile_schema
from taskdata.cli import main
from taskdata.errors import UsageError
from taskdata.findings import Tolerance
from taskdata.resources import schema_bytes

RULES = Path(__file__).parents[1] / "rules"
TOLERANCES = [item for rule in catalogue() for item in rule.tolerances]
SPIKE = "[geometry.spike]\nangle = 1.0\n"


def written(folder: Path, text: str) -> Path:
    path = folder / "profile.toml"
    path.write_text(text, encoding="utf-8")
    return path


def test_the_published_schema_is_made_of_the_rules() -> None:
    assert json.loads(schema_bytes(SCHEMA)) == profile_schema(catalogue())


def test_each_tolerance_is_named_after_its_rule_and_says_what_it_is() -> None:
    assert len(TOLERANCES) > 40
    assert len({item.name for item in TOLERANCES}) == len(TOLERANCES)
    for rule in catalogue():
        for item in rule.tolerances:
            assert item.name.rpartition(".")[0] == rule.id
            assert item.meaning
            assert item.default >= 0


def test_without_a_profile_the_defaults_hold() -> None:
    tolerance = Tolerance("some.rule.angle", 5.0, "degrees", "Some angle")
    assert Profile()[tolerance] == 5.0
    assert Profile({"some.rule.angle": 3})[tolerance] == 3.0


def test_a_profile_of_all_defaults_obeys_the_schema_and_is_read(tmp_path: Path) -> None:
    sections: dict[str, list[str]] = {}
    for item in TOLERANCES:
        rule, _, name = item.name.rpartition(".")
        sections.setdefault(rule, []).append(f"{name} = {item.default}")
    text = "".join(f"[{rule}]\n" + "\n".join(lines) + "\n" for rule, lines in sections.items())
    profile = load_profile(written(tmp_path, text), catalogue())
    assert all(profile[item] == item.default for item in TOLERANCES)
    document: dict[str, dict[str, dict[str, object]]] = {}
    for item in TOLERANCES:
        family, rule, name = item.name.split(".")
        document.setdefault(family, {}).setdefault(rule, {})[name] = item.default
    jsonschema.validate(document, profile_schema(catalogue()))


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("[geometry.spike]\nangel = 1.0\n", "there is no tolerance geometry.spike.angel"),
        ("angle = 1.0\n", "there is no tolerance angle"),
        ('[geometry.spike]\nangle = "1"\n', "geometry.spike.angle cannot be '1'"),
        ("[geometry.spike]\nangle = true\n", "geometry.spike.angle cannot be True"),
        ("[geometry.spike]\nangle = -1\n", "geometry.spike.angle cannot be -1"),
        ("[geometry.spike]\nangle = inf\n", "geometry.spike.angle cannot be inf"),
        ("[geometry.spike]\nangle = nan\n", "geometry.spike.angle cannot be nan"),
        ("[geometry.spike]\nangle = [1.0]\n", "geometry.spike.angle cannot be \\[1.0\\]"),
        ("[geometry.many-points]\npoints = 1.5\n", "geometry.many-points.points cannot be 1.5"),
        ("[geometry.spike\n", "is not a profile of tolerances"),
    ],
)
def test_what_no_profile_can_say_is_refused_in_one_line(tmp_path: Path, text: str, words: str) -> None:
    with pytest.raises(UsageError, match=words) as caught:
        load_profile(written(tmp_path, text), catalogue())
    assert len(str(caught.value).splitlines()) == 1
    assert "profile.toml" in str(caught.value)


def test_a_profile_that_is_not_there_is_wrong_usage(tmp_path: Path) -> None:
    with pytest.raises(UsageError, match="is not a profile of tolerances"):
        load_profile(tmp_path / "none.toml", catalogue())


def test_a_profile_changes_what_is_found(tmp_path: Path) -> None:
    source, profile = RULES / "geometry.spike" / "bad", written(tmp_path, SPIKE)
    assert [item.rule.id for item in api.check(source).findings] == ["geometry.spike"]
    assert api.check(source, profile=profile).findings == ()


def exit_code(*words: str) -> int | str | None:
    with pytest.raises(SystemExit) as ended:
        main(list(words))
    return ended.value.code


def test_the_command_takes_a_profile(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    check = ("check", str(RULES / "geometry.spike" / "bad"), "--fail-on", "warning")
    assert exit_code(*check) == 1
    assert exit_code(*check, "--profile", str(written(tmp_path, SPIKE))) == 0
    assert exit_code(*check, "--profile", str(tmp_path / "none.toml")) == 2
    assert "is not a profile of tolerances" in capsys.readouterr().err


def test_the_page_of_a_rule_shows_its_tolerances(capsys: pytest.CaptureFixture[str]) -> None:
    assert exit_code("rules", "geometry.spike") == 0
    words = " ".join(capsys.readouterr().out.split())
    assert "geometry.spike.angle = 5.0 degrees: Angle from which a corner is not a spike" in words

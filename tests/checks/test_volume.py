"""Rules whose samples would be large, or could not lie on every disk; their sets are made on the spot."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from taskdata import api

HEAD = (
    '<?xml version="1.0" encoding="UTF-8"?>\n<ISO11783_TaskData VersionMajor="4" VersionMinor="3" '
    'ManagementSoftwareManufacturer="Hof Ahrenbrook" ManagementSoftwareVersion="1" DataTransferOrigin="1">\n'
)
END = "</ISO11783_TaskData>\n"
KINDS = ("CTR", "WKR", "CCG", "CCT", "CTP", "CPC", "OTQ", "PGP", "PDT", "FRM")


@pytest.fixture
def found(tmp_path: Path) -> Callable[[str], list[tuple[str, str, int | None]]]:
    def check(body: str) -> list[tuple[str, str, int | None]]:
        (tmp_path / "TASKDATA.XML").write_text(HEAD + body + END, encoding="utf-8")
        return [(item.rule.id, item.severity, item.place.line) for item in api.check(tmp_path).findings]

    return check


def many(tag: str, count: int) -> str:
    more = ' C="1"' if tag == "CCT" else ""
    return "".join(f'<{tag} A="{tag}{number}" B="x{number}"{more}/>\n' for number in range(1, count + 1))


def test_two_thousand_of_a_type_are_taken_and_the_next_is_told(found: Callable) -> None:
    assert found(many("CTR", 2000)) == []
    assert found(many("WKR", 7) + many("CTR", 2002)) == [("volume.too-many-of-type", "warning", 2 + 7 + 2001)]


def test_points_and_tasks_do_not_count(found: Callable) -> None:
    tasks = "".join(f'<TSK A="TSK{number}" G="1"/>\n' for number in range(1, 2002))
    points = "".join(f'<PNT A="2" C="54.3" D="{7 + number / 1e5:.5f}"/>\n' for number in range(2001))
    assert found(tasks + '<PFD A="PFD1" C="Kuhle" D="1">' + points + "</PFD>\n") == []


def test_twenty_thousand_in_all_are_taken_and_one_more_is_told(found: Callable) -> None:
    body = "".join(many(tag, 2000) for tag in KINDS)
    assert found(body) == []
    assert found(body + '<PFD A="PFD1" C="Kuhle" D="1"/>\n') == [("volume.too-many", "warning", None)]


def test_limits_count_characters_not_octets(found: Callable) -> None:
    field = '<PFD A="PFD1" C="{}" D="1"/>\n'
    for name, faults in (("ä" * 32, []), ("🌾" * 32, []), ("ä" * 33, ["schema.invalid-value"])):
        rules = [rule for rule, _, _ in found(field.format(name))]
        assert [rule for rule in rules if not rule.startswith("name.")] == faults


@pytest.mark.parametrize(("other", "severity"), [("taskdata.xml", "warning"), ("linklist.xml", "error")])
def test_two_files_that_differ_only_in_capitals(tmp_path: Path, other: str, severity: str) -> None:
    """A disk that does not tell capitals cannot hold both, and such a set cannot arise there."""
    uuid = "919108f7-52d1-4320-9bac-f847db4148a8"
    attached = '<AFE A="LINKLIST.XML" B="2" C="" D="1"/>\n<PFD A="PFD1" C="Kuhle" D="1"/>\n'
    linked = (HEAD + f'<LGP A="LGP1" B="1"><LNK A="PFD1" B="{uuid}"/></LGP>' + END).replace("_TaskData", "LinkList")
    (tmp_path / "TASKDATA.XML").write_text(HEAD + attached + END, encoding="utf-8")
    (tmp_path / "LINKLIST.XML").write_text(linked, encoding="utf-8")
    assert api.check(tmp_path).findings == ()
    (tmp_path / other).write_bytes((tmp_path / other.upper()).read_bytes())
    (item,) = api.check(tmp_path).findings
    assert (item.rule.id, item.severity, item.place.file) == ("file.same-name-in-other-case", severity, other)

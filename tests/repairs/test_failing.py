"""A repair that fails is told like a rule that fails; the others are made, and nothing half done stays."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from taskdata.cli import main
from taskdata.errors import SourceError
from taskdata.isoxml.reading.read import read_document
from taskdata.isoxml.tree.differences import differences
from taskdata.repairs import run
from taskdata.repairs.registry import Repair, repairs
from taskdata.repairs.repair_work import RepairWork, remove
from taskdata.results.cleaning import Standing
from tests import samples

RULES = Path(__file__).parents[1] / "rules"


def wreck(work: RepairWork) -> None:
    """Change names, take things out, add to the journal, and then fail."""
    for element in list(work.document.root.elements("PFD")):
        element.set("PartfieldDesignator", "half done")
        work.note("name.cut", element, "whole", "half done", "it was begun")
        for child in list(element.elements()):
            remove(child)
    work.document.others.clear()
    raise ZeroDivisionError("division by zero")


def late(work: RepairWork) -> None:
    """Fail in the second round only, after the others have changed things."""
    late.rounds += 1  # type: ignore[attr-defined]
    if late.rounds % 2 == 0:  # type: ignore[attr-defined]
        wreck(work)


late.rounds = 0  # type: ignore[attr-defined]


def broken(name: str = "test.wrecked", function: object = wreck) -> Repair:
    return Repair(name, ("file.unused",), Standing.SAFE, (), function, "")  # type: ignore[arg-type]


def put_in(monkeypatch: pytest.MonkeyPatch, at: int, *items: Repair) -> None:
    found = list(repairs())
    found[at:at] = items
    monkeypatch.setattr(run, "repairs", lambda: tuple(found))


@pytest.mark.parametrize("at", [0, 20, len(repairs())])
def test_the_others_are_made_as_if_it_were_not_there(at: int, monkeypatch: pytest.MonkeyPatch) -> None:
    document = read_document(samples.BROKEN)
    expected = run.clean(document, review=True)
    assert expected.failed == ()
    put_in(monkeypatch, at, broken(), broken("test.late", late))
    found = run.clean(document, review=True)
    runs_again = at < len(repairs())  # what stands behind the last that changes something has no second round
    named = ["test.late", "test.wrecked"] if runs_again else ["test.wrecked"]
    assert sorted(str(item.facts["name"]) for item in found.failed) == named
    assert {item.facts["cause"] for item in found.failed} == {"ZeroDivisionError: division by zero"}
    assert {item.rule.id for item in found.failed} == {"internal.repair-failed"}
    assert list(differences(expected.document, found.document)) == []
    assert found.document.others.keys() == expected.document.others.keys()
    assert found.changes == expected.changes
    assert list(differences(document, read_document(samples.BROKEN))) == []


def test_a_failure_of_the_source_ends_the_cleaning(monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(work: RepairWork) -> None:
        raise SourceError("could not be read", where=work.document.source)

    put_in(monkeypatch, 0, broken("test.refused", refuse))
    with pytest.raises(SourceError):
        run.clean(read_document(samples.BROKEN))


def test_journal_exit_code_and_text_say_so_and_the_target_is_that_of_the_others(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def exit_code(target: str) -> object:
        with pytest.raises(SystemExit) as ended:
            main(["clean", str(RULES / "geometry.open-ring" / "bad"), str(tmp_path / target)])
        return ended.value.code

    assert exit_code("whole") == 0
    assert "could not be made" not in capsys.readouterr().out
    put_in(monkeypatch, 3, broken())
    assert exit_code("rest") == 1
    told = " ".join(capsys.readouterr().out.split())
    assert "ERROR The repair test.wrecked could not be made: ZeroDivisionError: division by zero. Nothing of it" in told
    assert "report it together with the data set. All other repairs were made." in told
    for path in (tmp_path / "whole" / "TASKDATA").iterdir():
        assert (tmp_path / "rest" / "TASKDATA" / path.name).read_bytes() == path.read_bytes()
    journals = [json.loads((tmp_path / name / "TASKDATA.journal.json").read_text()) for name in ("whole", "rest")]
    assert journals[0]["failed"] == []
    assert [(item["rule"], item["severity"]) for item in journals[1]["failed"]] == [("internal.repair-failed", "error")]
    assert journals[0]["changes"] == journals[1]["changes"] != []

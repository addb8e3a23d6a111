"""The ledger of a conversion, as JSON and as text."""

from __future__ import annotations

from dataclasses import dataclass, replace

from taskdata.findings import Finding, Place, Rule, Severity
from taskdata.ledger import Loss, LossKind
from taskdata.model.choice import Chosen
from taskdata.reports.convert_json import convert_document
from taskdata.reports.convert_text import convert_text
from taskdata.reports.styled import plain
from taskdata.results.reading import Datum
from tests.documents import EMPTY


@dataclass(frozen=True)
class Done:
    source: str = "stick"
    target: str = "farm.gpkg"
    written: tuple[tuple[str, int], ...] = (("fields", 2), ("guidance_lines", 1), ("tasks", 0))
    losses: tuple[Loss, ...] = ()
    datum: tuple[Datum, ...] = ()
    findings: tuple[Finding, ...] = ()
    sticks: tuple[object, ...] = ()
    new_errors: tuple[Finding, ...] = ()
    named: tuple[tuple[str, int], ...] = ()
    chosen: Chosen | None = None
    beyond_hints: tuple[Finding, ...] = ()


def done(**changes: object) -> Done:
    made = Done(**changes)
    for name in ("written", "named"):
        object.__setattr__(made, name, dict(getattr(made, name)))
    return made


SHIFT = Datum(("fields",), "DHDN", "EPSG:4326", "DHDN to WGS 84 (2)", 3.0)
DROPPED = Loss(LossKind.DROPPED, "TSK1", "the task", "shapefiles hold shapes alone")
CHANGED = Loss(LossKind.CHANGED, None, "the encoding", "task data is UTF-8")


def test_the_document_is_that_of_the_contract() -> None:
    assert convert_document(done(losses=(DROPPED, CHANGED), datum=(SHIFT,))) == {
        "source": "stick",
        "target": "farm.gpkg",
        "written": {"fields": 2, "guidance_lines": 1, "tasks": 0},
        "losses": [
            {"kind": "dropped", "element": "TSK1", "what": "the task", "why": "shapefiles hold shapes alone"},
            {"kind": "changed", "element": None, "what": "the encoding", "why": "task data is UTF-8"},
        ],
        "new_errors": [],
        "datum": [
            {
                "layers": ["fields"],
                "from": "DHDN",
                "to": "EPSG:4326",
                "operation": "DHDN to WGS 84 (2)",
                "accuracy_m": 3.0,
                "note": None,
            }
        ],
        **EMPTY,
    }
    assert convert_document(done())["datum"] == []


def test_losses_of_one_kind_stand_together() -> None:
    other = Loss(LossKind.DROPPED, "TSK2", DROPPED.what, DROPPED.why)
    text = plain(convert_text(done(losses=(CHANGED, DROPPED, other), datum=(replace(SHIFT, accuracy_m=None),))))
    assert "Written: farm.gpkg" in text
    assert "Content: fields 2, guidance lines 1.\n" in text
    assert "Coordinates: from DHDN to EPSG:4326 (WGS 84) by DHDN to WGS 84 (2), accuracy" in text
    assert (
        "Not carried over unchanged (3 lines):\n"
        "  DROPPED  the task: shapefiles hold shapes alone.\n"
        "    TSK1, TSK2\n"
        "  CHANGED  the encoding: task data is UTF-8.\n"
    ) in text
    assert "drive the first pass by eye" in " ".join(text.split())


def test_a_dry_run_says_so() -> None:
    text = plain(convert_text(done(), dry_run=True))
    assert "Nothing was written (dry run)" in text
    assert "Written:" not in text
    assert "Nothing that was read is lost." in text


def test_what_reading_found_is_told_and_limited() -> None:
    noted = Rule("import.noted", Severity.NOTE, "Noted", "Nothing need be done")
    guessed = Rule("import.guessed", Severity.WARNING, "The system of {layer} was guessed", "Name it with --crs")
    findings = (*(noted.at(Place()) for _ in range(11)), guessed.at(Place(), layer="fields.shp"))
    text = plain(convert_text(done(findings=findings)))
    assert (
        "Found while reading the source (12 findings):\n"
        "  WARNING  The system of fields.shp was guessed. Name it with --crs.\n"
        "  NOTE  Noted. Nothing need be done.\n"
    ) in text
    assert text.count("Noted.") == 9
    assert "  2 more: taskdata check lists each with its place." in text


def test_of_very_many_losses_for_one_reason_the_rest_is_counted() -> None:
    many = tuple(Loss(LossKind.CHANGED, None, f"file name f{n}", "names are in capitals") for n in range(1000))
    text = plain(convert_text(done(losses=(*many, DROPPED))))
    assert "(1001 lines)" in text
    assert text.count("CHANGED  file name") == 20
    assert "CHANGED  980 more for the same reason: names are in capitals." in text
    assert "DROPPED  the task" in text


@dataclass(frozen=True)
class Part:
    target: str
    written: dict[str, int]
    fields: tuple[str, ...]
    tasks: tuple[str, ...] = ()


def test_each_of_several_sticks_is_named() -> None:
    parts = (Part("out/stick1", {"fields": 1, "tasks": 0}, ("PFD1",)), Part("out/stick2", {"fields": 1}, ("PFD2",)))
    text = plain(convert_text(done(sticks=parts)))
    assert "2 sticks" in text
    assert "  out/stick1: fields 1.\n" in text
    document = convert_document(done(sticks=parts))
    assert document["sticks"][1] == {"target": "out/stick2", "written": {"fields": 1}, "fields": ["PFD2"], "tasks": []}
    assert "sticks" not in convert_document(done())

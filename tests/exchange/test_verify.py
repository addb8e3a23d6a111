"""``convert --verify``: what a damaged target is refused with, and that nothing is put in place then."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from taskdata.errors import TargetError
from taskdata.exchange import convert as exchange
from taskdata.exchange import verify
from taskdata.exchange.convert import convert, write
from taskdata.exchange.load import load
from taskdata.isoxml.tree.document import Document
from taskdata.model.dataset import Dataset
from tests import samples

Damage = Callable[[Path], None]


def damaging(monkeypatch: pytest.MonkeyPatch, damage: Damage) -> None:
    """Let every target be damaged after it was written."""
    put = exchange.write_target

    def wrong(dataset: Dataset, document: Document | None, goal: Any, fresh: Path) -> Any:
        losses = put(dataset, document, goal, fresh)
        damage(fresh)
        return losses

    monkeypatch.setattr(exchange, "write_target", wrong)


def replaced(name: str, before: str, after: str) -> Damage:
    def damage(folder: Path) -> None:
        path = folder / name
        text = path.read_text(encoding="utf-8")
        assert before in text
        path.write_text(text.replace(before, after, 1), encoding="utf-8")

    return damage


def refused(target: Path, **how: Any) -> str:
    with pytest.raises(TargetError) as told:
        convert(samples.OFFICE, target, verify=True, **how)
    assert not target.exists()
    line = str(told.value)
    assert "\n" not in line
    assert "read back differently and was not put in place" in line
    assert told.value.exit_code == 4
    return line


@pytest.mark.parametrize(
    ("damage", "words"),
    [
        (
            replaced("TASKDATA.XML", 'B="Hof Ahrenbrook"', 'B="X"'),
            "FarmDesignator of Farm FRM1 is X instead of Hof Ahr",
        ),
        (replaced("TASKDATA.XML", '<WKR A="WKR2"', '<WKR A="WKR9"'), "WorkerId of Worker WKR2 is WKR9 instead of WKR2"),
        (
            replaced("TASKDATA.XML", 'PNT A="2" C="54.300000000"', 'PNT A="2" C="54.300010000"'),
            "Polygon PLN1 of PFD1 lies",
        ),
        (replaced("LINKLIST.XML", "schlag/17", "schlag/18"), "schlag/18 instead of schlag/17"),
    ],
)
def test_a_target_that_differs_is_refused_in_plain_words(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, damage: Damage, words: str
) -> None:
    damaging(monkeypatch, damage)
    assert words in refused(tmp_path / "stick", to="isoxml")


def test_a_binary_file_that_differs(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    def damage(folder: Path) -> None:
        content = bytearray((folder / "GRD00001.BIN").read_bytes())
        content[0] ^= 1
        (folder / "GRD00001.BIN").write_bytes(content)

    damaging(monkeypatch, damage)
    line = refused(tmp_path / "stick", to="isoxml")
    assert "value of a cell (column 1 from the west, row 1 from the south) in grid GRD00001.BIN of TSK2" in line


def test_many_differences_are_counted(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    damaging(monkeypatch, lambda folder: (folder / "PDT00001.XML").write_bytes(b"<?xml version='1.0'?><XFC/>"))
    line = refused(tmp_path / "stick", to="isoxml")
    assert "Product PDT3 is missing" in line
    assert "more" in line


def test_what_compare_lets_pass_is_refused_all_the_same(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """The proof is to the letter: a number spelled otherwise is no difference for ``compare``, but none for a copy."""
    damaging(monkeypatch, replaced("TASKDATA.XML", 'C="54.300000000"', 'C="54.3000"'))
    assert "TASKDATA.XML" in refused(tmp_path / "stick", to="isoxml")


def test_two_sets_are_compared_at_length_only_where_something_differs(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    def never(*_: Any) -> None:
        raise AssertionError("the sets were compared twice")

    monkeypatch.setattr(verify, "compare_sets", never)
    convert(samples.OFFICE, tmp_path / "stick", to="isoxml", verify=True)


def test_records_without_a_document_are_compared_as_layers(tmp_path: Path) -> None:
    plain = load(samples.DISPLAY, crs="EPSG:32632").dataset
    assert plain.lossless is None
    write(plain, tmp_path / "whole.gpkg", verify=True)
    back = load(tmp_path / "whole.gpkg").dataset
    assert {(line.propagation, line.extension) for line in back.guidance} == {(None, None)}  # not "none", which is 4
    assert {group.name for field in back.fields for group in field.groups} == {"Lines_AB"}

"""Runs of some of the points of other runs: the same texts, lines and places, in stores that they share."""

from __future__ import annotations

import numpy as np

from taskdata.isoxml.files.set_files import Blob, FileSet
from taskdata.isoxml.reading.read import document_of
from taskdata.isoxml.tree.element import Element, PointRun
from taskdata.isoxml.writing.write import element_text

FIELD = '<PFD A="PFD{0}" C="Kuhle" D="0"><PLN A="1"><LSG A="1">{1}</LSG></PLN></PFD>'


def runs() -> list[PointRun]:
    fields = []
    for number in range(1, 4):
        rows = [(f"54.{number}{at}", "+7" if at == number else f"7.0{at}") for at in range(6)]
        fields.append(FIELD.format(number, "\n".join(f'<PNT A="2" C="{lat}" D="{lon}"/>' for lat, lon in rows)))
    text = f'<ISO11783_TaskData VersionMajor="4" VersionMinor="3">{"".join(fields)}</ISO11783_TaskData>'
    document = document_of(FileSet("set", (Blob.of("TASKDATA.XML", text.encode()),), "TASKDATA"))
    return [child for item in document.by_tag["LSG"] for child in item.children if isinstance(child, PointRun)]


def test_points_that_are_chosen_of_many_runs_at_once_are_those_chosen_of_each() -> None:
    found = runs()
    found[0].positions()
    numbers = [np.array([0, 2, 5]), np.array([], np.intp), np.array([3])]
    together = PointRun.each_only(list(zip(found, numbers, strict=True)))
    for run, own, chosen in zip(found, numbers, together, strict=True):
        assert [list(run.rows())[at] for at in own] == list(chosen.rows())
        assert [run.line(at) for at in own] == [chosen.line(at) for at in range(len(chosen))]
        assert np.array_equal(run.positions()[own], chosen.positions(), equal_nan=True)
    assert len({run.store for run in together}) == 1


def test_what_is_the_same_in_every_point_takes_the_room_of_one_among_those_chosen() -> None:
    run = runs()[1]
    chosen = run.only(np.array([True, False, True, True, False, True]))
    assert run.column("A").constant() == chosen.column("A").constant() == "2"
    assert chosen.texts("A") == ["2"] * 4
    assert chosen.column("C").constant() is None


def test_a_thinned_string_is_written_as_its_points_stood() -> None:
    run = runs()[2]
    lines = [f'<PNT A="{a}" C="{c}" D="{d}"/>' for a, c, d in (tuple(row.values()) for row in run.rows())]
    string = Element("LSG", {"A": "1"})
    string.append(run.only(np.arange(6) % 2 == 0))
    assert [line.strip() for line in element_text(string).splitlines()[1:-1]] == lines[::2]

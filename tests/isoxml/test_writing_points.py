"""Runs of points as they are written against a join of their texts, and their positions."""

from itertools import pairwise
from xml.sax.saxutils import escape

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from taskdata.isoxml.tree.decimals import DecimalColumn
from taskdata.isoxml.tree.element import Element, PointRun
from taskdata.isoxml.tree.letters import letters_of
from taskdata.isoxml.writing import points
from taskdata.isoxml.writing.points import PointWriter
from taskdata.isoxml.writing.write import element_text
from tests.heavy import examples

BREAKS = {"\t": "&#9;", "\n": "&#10;", "\r": "&#13;", '"': "&quot;"}
PLACES = st.from_regex(r"-?(0|[1-9][0-9]{0,3})\.[0-9]{9}", fullmatch=True)
WHOLE = st.from_regex(r"-?[1-9][0-9]{0,17}|0", fullmatch=True)
ANY = st.from_regex(r"-?(0|[1-9][0-9]{0,9})(\.[0-9]{1,17})?", fullmatch=True)
SAME = st.just("2")
ODD = st.sampled_from(["", "+5", "-0.0", "5,25", "1e5", '<&">', "a\tb\nc\rd", "\u00fc", "9" * 30, "%s", "%"])


@st.composite
def columns(draw):
    """Draw the columns of a run."""
    count = draw(st.integers(1, 30))
    kinds = draw(st.lists(st.sampled_from([PLACES, WHOLE, ANY, SAME, ANY | ODD]), min_size=1, max_size=4))
    return {
        name: draw(st.lists(kind, min_size=count, max_size=count)) for name, kind in zip("ACDE", kinds, strict=False)
    }


def joined(found, before, end):
    """Return the points written one by one."""
    rows = zip(*found.values(), strict=True)
    return "".join(
        f"{before}<PNT{''.join(f' {name}={quoted(text)}' for name, text in zip(found, row, strict=True))}{end}"
        for row in rows
    )


def quoted(text):
    return f'"{escape(text, BREAKS)}"'


def run_of(found):
    """Return a run as a reader makes it: what is the same in every row is held once."""
    run = PointRun.of(found)
    run.store.columns = tuple(DecimalColumn.joined([column]) for column in run.store.columns)
    return run


@settings(max_examples=examples(200))
@given(columns(), st.sampled_from(["", "\n    "]), st.sampled_from(["/>", " />"]), st.lists(st.integers(0, 30)))
@example({"C": ["9.5", "10.25", "-0.125"], "E": ["99999", "100000", "0"]}, "", "/>", [1])
@example({"A": ["2"], "C": ["0.0000000000000001"]}, "", "/>", [])
@example({"A": ["+5"] * 3}, "", "/>", [])
@example({"C": ["1", "+2", "3", "4", "5"]}, "", "/>", [1, 2, 3, 4])
def test_points_are_written_as_their_texts(found, before, end, cuts):
    whole = run_of(found)
    stops = sorted({0, len(whole), *(at for at in cuts if at < len(whole))})
    writer = PointWriter(end)
    runs = [PointRun(whole.store, one, two) for one, two in pairwise(stops)]
    wanted = joined(found, before, end)
    assert "".join(writer.text(run, before) for run in runs) == wanted
    assert "".join(writer.text(run, before) for run in reversed(runs)) == "".join(
        joined({name: texts[run.start : run.stop] for name, texts in found.items()}, before, end)
        for run in reversed(runs)
    )
    assert writer.text(whole, before) == wanted


@given(st.lists(ANY | PLACES, min_size=1, max_size=50))
def test_letters_are_there_for_every_number_with_up_to_16_places(texts):
    longest = max(len(text.partition(".")[2]) for text in texts)
    assert (letters_of(DecimalColumn.from_texts(texts), 0, len(texts)) is None) == (longest > 16 or has_odd(texts))


def has_odd(texts):
    return bool(DecimalColumn.from_texts(texts).odd)


def test_many_kinds_of_runs_in_turn_are_written_as_their_texts(monkeypatch):
    monkeypatch.setattr(points, "_KEPT", 2)
    root, wanted = Element("A"), []
    stores = [run_of({"C": [f"{at}.{kind}" for at in range(40)], "D": ["1"] * 40}) for kind in range(4)]
    for at in range(40):
        for run in stores:
            line = Element("B")
            line.children.append(PointRun(run.store, at, at + 1))
            root.append(line)
            wanted.append(f'\n  <B>\n    <PNT C="{run.texts("C")[at]}" D="1"/>\n  </B>')
    assert element_text(root) == f"<A>{''.join(wanted)}\n</A>"


def test_a_run_without_points_is_nothing():
    root = Element("A")
    root.children.append(PointRun.of({"C": [], "D": []}))
    assert element_text(root) == "<A>\n</A>"


def test_positions_are_turned_into_numbers_once_and_not_to_be_written_to():
    run = PointRun.of({"A": ["2", "2", "2"], "C": ["54.25", "x", "-1.5"], "D": ["9.5", "10", "180.000000001"]})
    first, whole = PointRun(run.store, 0, 2).positions(), run.positions()
    assert np.shares_memory(first, whole)
    assert np.array_equal(whole, np.column_stack([run.floats("D"), run.floats("C")]), equal_nan=True)
    with pytest.raises(ValueError, match="read-only"):
        whole[0, 0] = 1.0

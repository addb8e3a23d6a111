"""What layers of other programs are, and which of their columns holds what."""

from __future__ import annotations

import random
from typing import Any

import numpy as np
import pyarrow as pa
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from taskdata.errors import UsageError
from taskdata.formats.base import RawTable
from taskdata.formats.foreign.options import TakeOptions
from taskdata.formats.foreign.roles import names
from taskdata.formats.foreign.roles.columns import columns_of
from taskdata.formats.foreign.roles.judgement import Judgement, Shape
from taskdata.formats.foreign.roles.judging import judge, judge_shapes
from taskdata.formats.foreign.roles.weighing import Evidence, decide
from taskdata.formats.foreign.words import bare, meanings
from taskdata.resources import table
from taskdata.results.survey import ColumnRole, ItemKind
from tests.formats.layers_of_kinds import MAKERS, Known
from tests.heavy import some

FIELD = shapely.box(9.0, 52.0, 9.005, 52.003)
LINE = shapely.LineString([(9.0, 52.001), (9.005, 52.001)])


def layer(name: str, shapes: list[Any], **columns: list[Any]) -> RawTable:
    """Return a layer of another program with a column for each list."""
    geometry = pa.array([None if shape is None else shapely.to_wkb(shape) for shape in shapes], pa.binary())
    return RawTable(name, f"{name}.shp", pa.table({**columns, "geometry": geometry}))


def test_a_layer_of_several_shapes_is_judged_shape_by_shape() -> None:
    both = shapely.GeometryCollection([FIELD, LINE])
    raw = layer("all", [LINE, LINE, both, shapely.Point(9.0, 52.0), None])
    found = judge_shapes({"all": raw}, TakeOptions())["all"]
    assert {shape: part.kind for shape, part in found.items()} == {
        Shape.LINE: ItemKind.GUIDANCE,
        Shape.POLYGON: ItemKind.FIELD,
        Shape.POINT: ItemKind.POINT,
    }
    assert judge({"all": raw}, TakeOptions())["all"].kind is ItemKind.GUIDANCE


def test_a_layer_without_shapes_is_something_else() -> None:
    empty = RawTable("list", "list.csv", pa.table({"name": ["Breite"]}))
    assert judge({"list": empty, "none": layer("none", [None])}, TakeOptions())["list"].kind is ItemKind.OTHER


COLUMNS: list[tuple[dict[str, list[Any]], dict[str, tuple[str, ...]]]] = [
    (
        {
            "CLIENT": ["Söderhöft"] * 3,
            "FARM_NAME": ["Hof", "Hof", "Vorwerk"],
            "FIELD": ["a", "b", "c"],
            "CROP_CODE": [115, 115, 131],
            "Crop": ["Weizen", "Weizen", "Gerste"],
            "AREA_HA": [1.0, 2.0, 3.0],
        },
        {"customer": ("CLIENT",), "farm": ("FARM_NAME",), "crop": ("Crop",), "name": ("FIELD",)},
    ),
    (
        {
            "Schlagname": ["a", "b", "c"],
            "Frucht": ["Raps", "Raps", "Hafer"],
            "Sorte": ["x", "y", None],
            "Betriebsna": ["Hof", "Hof", "Hof"],
            "Bemerkung": ["steinig", None, None],
            "Fruchtdatum": ["1", "2", "3"],
        },
        {
            "name": ("Schlagname",),
            "crop": ("Frucht",),
            "variety": ("Sorte",),
            "farm": ("Betriebsna",),
            "comment": ("Bemerkung",),
        },
    ),
    (
        {"track_spacing_cm": [600.0, 600.0], "hdg": [12.0, 359.5], "label": ["A", "B"], "VitesseKmh": ["8,5", "9,0"]},
        {"width": ("track_spacing_cm",), "heading": ("hdg",), "name": ("label",), "speed": ("VitesseKmh",)},
    ),
    ({"ARBEITSBRE": [12.0, 12.0], "Kurs [deg]": [1.0, 2.0]}, {"width": ("ARBEITSBRE",), "heading": ("Kurs [deg]",)}),
    ({"speed_m_s": [2.5, 39.0], "km_h": ["a", "b"]}, {"speed": ("speed_m_s",)}),
    ({"breedte": [-3.0, -4.0], "koers": [400.0, 800.0]}, {}),
    ({"Section 1": [0, 1], "Section 2": [1, 1], "status": ["Iowa", "Ohio"]}, {"state": ("Section 1", "Section 2")}),
    (
        {"Название поля": ["Лог", "Яр"], "Культура": ["рожь", "мак"]},
        {"name": ("Название поля",), "crop": ("Культура",)},
    ),
    ({"naam perceel": ["a", "b"], "gewas": ["aardappel", "uien"]}, {"name": ("naam perceel",), "crop": ("gewas",)}),
    ({"Skifte": ["a", "b"], "Gröda": ["havre", "korn"]}, {"name": ("Skifte",), "crop": ("Gröda",)}),
    ({"nom_parcel": ["a", "b"], "culture": ["blé", "orge"]}, {"name": ("nom_parcel",), "crop": ("culture",)}),
]


@pytest.mark.parametrize(("columns", "wanted"), COLUMNS, ids=" ".join)
def test_what_columns_hold(columns: dict[str, list[Any]], wanted: dict[str, tuple[str, ...]]) -> None:
    found = columns_of(pa.table(columns), {}, of_fields=True)
    names = {role.value: named_by for role, named_by in found.items()}
    assert {role: named_by for role, named_by in names.items() if role in wanted or role != "name"} == wanted


@pytest.mark.parametrize(
    ("columns", "wanted"),
    [
        (
            {"NAME": ["Breite", "Breite", None], "NAME_2": ["Nord", "Süd", "Moor"]},
            ["Breite Nord", "Breite Süd", "Moor"],
        ),
        ({"NAME": ["Breite", "Moor", "Au"], "NAME_2": ["x", "y", "z"]}, ["Breite", "Moor", "Au"]),
        ({"NAME": [101.0, 102.0, 7.0]}, ["101", "102", "7"]),
        ({"NAME": ["  Große   Breite ", "", "007"]}, ["Große Breite", None, "007"]),
        ({"field_no": [4, 5, 6], "area": [1.5, 2.5, 3.5]}, ["4", "5", "6"]),
    ],
)
def test_names_in_one_column_or_two(columns: dict[str, list[Any]], wanted: list[str | None]) -> None:
    rows = pa.table(columns)
    assert names.joined(rows, names.name_columns(rows, of_fields=True)) == wanted


def test_every_word_says_one_thing_in_all_languages() -> None:
    beside = {"field", "identifier", "measure", "first_name", "category", "qualifier"}
    rows = table("column_words")
    assert {row["role"] for row in rows} == {*ColumnRole, *beside}
    said: dict[str, set[str]] = {}
    for row in rows:
        said.setdefault(bare(row["word"]), set()).add(row["role"])
    assert [word for word, roles in said.items() if len(roles) > 1] == []
    assert {len({row["language"] for row in rows if row["role"] == role}) >= 8 for role in ColumnRole} == {True}


@given(st.sampled_from([row["word"] for row in table("column_words") if len(bare(row["word"])) > 3]), st.data())
def test_a_word_is_known_in_any_spelling(word: str, data: st.DataObject) -> None:
    role = next(row["role"] for row in table("column_words") if bare(row["word"]) == bare(word))
    spelt = data.draw(st.sampled_from([word, word.upper(), word.capitalize(), bare(word)]))
    before, after = data.draw(st.sampled_from([("", ""), ("x_", ""), ("", " 12"), ("7-", "_q")]))
    assert role in meanings(f"{before}{spelt}{after}")


SEEDS = [f"{what} {seed}" for seed in range(100, 160) for what in MAKERS]


def drawn(seed: str) -> tuple[Known, Judgement]:
    known = MAKERS[seed.split(maxsplit=1)[0]](random.Random(seed))  # noqa: S311
    return known, judge(known.tables, TakeOptions())[known.name]


def test_confidence_is_how_often_it_is_right() -> None:
    """Of layers judged with some confidence at least about that share is right; most are, and are so judged."""
    found = [(known.kind == told.kind, told.confidence) for known, told in map(drawn, some(SEEDS, 132))]
    right = np.array([each for each, _ in found], dtype=float)
    sure = np.array([confidence for _, confidence in found])
    assert right.mean() >= 0.9
    assert sure.mean() == pytest.approx(right.mean(), abs=0.12)
    for low, high in ((0.0, 0.6), (0.6, 0.8), (0.8, 0.9), (0.9, 1.01)):
        within = (sure >= low) & (sure < high)
        few = 1.5 / np.sqrt(max(within.sum(), 1))
        assert not within.any() or right[within].mean() >= sure[within].mean() - few * 0.5
    assert ((right - sure) ** 2).mean() < 0.08


def test_every_judgement_says_why() -> None:
    for seed in some(SEEDS, 22):
        _, told = drawn(seed)
        assert told.why
        assert 0.0 < told.confidence <= 1.0


@pytest.mark.parametrize(
    ("name", "shape", "kind"),
    [
        ("headland", FIELD, "area"),
        ("obstacles", FIELD, "area"),
        ("areas", FIELD, "area"),
        ("treatment_zones", FIELD, "ratemap"),
        ("guidance_lines", LINE, "guidance"),
        ("passes", LINE, "guidance"),
        ("swaths", LINE, "swath"),
        ("fields", FIELD, "field"),
        ("points", shapely.Point(9.0, 52.0), "point"),
    ],
)
def test_our_own_layer_names_are_what_they_say(name: str, shape: Any, kind: str) -> None:
    told = judge({name: layer(name, [shape])}, TakeOptions())[name]
    assert told.kind == kind
    assert told.confidence >= 0.8


def test_what_a_person_says_counts() -> None:
    raw = layer("ab_lines", [LINE], NAME=["Zaun"])
    assert judge({"a": raw}, TakeOptions.of({"roles": {"ab_lines.shp": "line"}}))["a"].kind is ItemKind.LINE
    with pytest.raises(UsageError, match="holds lines, which cannot be read as log"):
        judge({"a": raw}, TakeOptions.of({"roles": {"*": "log"}}))


def test_ties_are_told() -> None:
    before = {ItemKind.GUIDANCE: 1.0, ItemKind.LINE: 0.8}
    told = decide(before, [Evidence("they are bent", {ItemKind.GUIDANCE: 0.1})])
    assert (told.kind, told.why) == (ItemKind.GUIDANCE, "they are bent; line is about as likely")
    assert told.confidence == pytest.approx(0.57)

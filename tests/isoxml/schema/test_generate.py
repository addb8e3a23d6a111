"""The packed schemas are what the generator writes, and two schema libraries accept them."""

from pathlib import Path

import pytest
import xmlschema
from lxml import etree

from taskdata.isoxml.schema.generate import main, schemas
from taskdata.isoxml.schema.layout import VERSIONS, schema_version
from taskdata.resources import schema_bytes, schema_folder

ALL = schemas()


def test_packed_schemas_are_those_the_generator_writes(tmp_path: Path) -> None:
    assert main([str(tmp_path)]) == 0
    written = {path.name: path.read_bytes() for path in tmp_path.iterdir()}
    packed = {item.name: item.read_bytes() for item in schema_folder().iterdir() if item.name.endswith(".xsd")}
    assert written == packed


def test_there_is_a_schema_for_every_kind_and_version() -> None:
    kinds = ("TASKDATA", "EXTERNAL", "TIMELOG")
    expected = {f"{kind}-{major}.{minor}.xsd" for kind in kinds for major, minor in VERSIONS}
    expected |= {f"LINKLIST-4.{minor}.xsd" for minor in range(4)}
    assert set(ALL) == expected


@pytest.mark.parametrize("name", sorted(ALL))
def test_the_parser_accepts_each_schema(name: str) -> None:
    assert etree.XMLSchema(etree.fromstring(schema_bytes(name))) is not None


@pytest.mark.parametrize("name", [name for name in sorted(ALL) if name[-7:-4] in {"2.0", "3.3", "4.3"}])
def test_the_other_library_accepts_each_schema(name: str) -> None:
    schema = xmlschema.XMLSchema10(schema_bytes(name).decode("utf-8"))
    assert len(schema.elements) == 1
    assert not schema.all_errors


def test_the_generator_asks_for_one_folder(capsys: pytest.CaptureFixture[str]) -> None:
    assert main([]) == 2
    assert "FOLDER" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("asked", "chosen"),
    [((4, 2), (4, 2)), ((4, 9), (4, 3)), ((3, 7), (3, 3)), ((0, 5), (2, 0)), ((1, 0), (2, 0)), ((5, 0), (4, 3))],
)
def test_an_unknown_version_is_checked_with_the_nearest_known(asked: tuple[int, int], chosen: tuple[int, int]) -> None:
    assert schema_version("task", asked) == chosen


def test_an_unreadable_version_is_checked_with_the_newest() -> None:
    assert schema_version("task", None) == (4, 3)
    assert schema_version("linklist", (3, 0)) == (4, 3)

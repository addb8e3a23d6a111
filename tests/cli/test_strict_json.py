"""Every document is JSON as RFC 8259 has it, whatever numbers a set holds: no NaN, no infinity, and no crash."""

from __future__ import annotations

import json
import re
import struct
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

ROOT = Path(__file__).parents[2] / "taskdata"
HEAD = (
    '<?xml version="1.0" encoding="UTF-8"?>\n<ISO11783_TaskData VersionMajor="4" VersionMinor="3" '
    'ManagementSoftwareManufacturer="Hof Ahrenbrook" ManagementSoftwareVersion="1" DataTransferOrigin="1">'
)
PLACES = [(54.300, 7.000), (54.300, 7.003), (54.302, 7.003), (54.302, 7.000), (54.300, 7.000)]
STORED = '<PNT A="2" C="" D="" J="PNT00001"/>'
HUGE = "9" * 400


def typed(north: float, east: float) -> bytes:
    return struct.pack("<Bqq", 2, round(north * 1e16), round(east * 1e16))


def high(north: float, east: float) -> bytes:
    return struct.pack("<qqi", round(north * 1e16), round(east * 1e16), 12_000)


def floating(north: float, east: float) -> bytes:
    return struct.pack("<dd", north, east)


def absent(north: float, east: float) -> bytes:
    return struct.pack("<qq", 2**63 - 1, -1)


def ring(points: str) -> str:
    return f'<PFD A="PFD1" C="Kuhle" D="43000"><PLN A="1"><LSG A="1">{points}</LSG></PLN></PFD>'


def line(points: str) -> str:
    pattern = f'<GPN A="GPN1" C="3" E="1" F="1"><LSG A="5">{points}</LSG></GPN>'
    return f'<PFD A="PFD1" C="Kuhle" D="43000"><GGP A="GGP1">{pattern}</GGP></PFD>'


def places(points: str) -> str:
    return f'<PFD A="PFD1" C="Kuhle" D="43000">{points}</PFD>'


def in_text(north: str) -> str:
    return "".join(f'<PNT A="2" C="{north if at == 2 else lat}" D="{lon}"/>' for at, (lat, lon) in enumerate(PLACES))


def sets() -> Iterator[Any]:
    for shape in (ring, line, places):
        for record in (typed, high, floating, absent):
            yield pytest.param(shape(STORED), record, id=f"{shape.__name__}-{record.__name__}")
        for text in ("NaN", "INF", HUGE):
            yield pytest.param(shape(in_text(text)), None, id=f"{shape.__name__}-{text[:3]}")


def commands(folder: Path, target: Path) -> Iterator[tuple[object, ...]]:
    yield "inspect", "--json", "--values", folder
    yield "check", "--format", "json", folder
    yield "check", "--format", "sarif", folder
    yield "check", "--write-baseline", target / "known.json", folder
    yield "compare", "--json", folder, folder
    yield "clean", "--json", "--review", folder, target / "clean"
    yield "coverage", "--json", folder
    yield "shift", "--json", "--east", "1", folder, target / "shifted"
    yield "convert", "--json", folder, target / "layers.geojson"
    yield "convert", "--json", folder, target / "layers", "--to", "shapefile"


def refuse(word: str) -> float:
    raise AssertionError(f"{word} is no JSON")


@pytest.mark.parametrize(("body", "record"), list(sets()))
def test_no_set_gets_a_number_that_is_none_into_json(
    body: str, record: Callable[[float, float], bytes] | None, run: Callable[..., Any], tmp_path: Path
) -> None:
    source, target = tmp_path / "TASKDATA", tmp_path / "out"
    source.mkdir()
    target.mkdir()
    (source / "TASKDATA.XML").write_text(f"{HEAD}{body}</ISO11783_TaskData>", encoding="utf-8")
    if record is not None:
        (source / "PNT00001.BIN").write_bytes(b"".join(record(*place) for place in PLACES))
    for words in commands(source, target):
        result = run(*words)
        assert result.code in {0, 1, 2}, (words, result.err)  # 2: there is nothing to move
        if result.out.startswith("{"):
            json.loads(result.out, parse_constant=refuse)
            assert "internal.rule-failed" not in result.out
    written = [path for path in target.rglob("*json") if path.is_file()]
    assert written
    for path in written:
        json.loads(path.read_text(encoding="utf-8"), parse_constant=refuse)


def test_there_is_one_way_to_json_text() -> None:
    """``json.dumps`` writes NaN unless it is told not to, and then stops; texts of TOML and of a profile have none."""
    allowed = {"strict_json.py", "model/receiver.py", "formats/foreign/mapping.py"}
    found = {
        str(path.relative_to(ROOT))
        for path in ROOT.rglob("*.py")
        if re.search(r"(?<!strict_)\bjson\.dumps?\(|import dumps?\b", path.read_text(encoding="utf-8"))
    }
    assert found == allowed

"""Changes of contents: raw bytes as the engine changes them, or one step that keeps the structure readable."""

from __future__ import annotations

import io
import json
import random
import re
import zipfile
from collections.abc import Callable
from functools import reduce
from operator import xor
from typing import Any

Raw = Callable[[bytes], bytes]
"""The engine's own change of bytes."""
Change = Callable[[bytes, random.Random, Raw], bytes]

NUMBERS = """
0 -0 -1 1 2 4 255 65536 2147483648 -2147483649 99999999999999999999 1e400 -1e400 1e-400 NaN Infinity 0x10 1_000 1,5
\u0661 90 180 -180 181 1e9 54.3 9.5 FFFF 0043 DDDD FF000000006564
"""
WORDS = """
TSK1 PFD1 DVC1 PFD-1 TLG00001 GRD00001 PNT00001 CTP00001 ../TLG00001 C:TLG 2024-04-18T07:00:00 2024-02-30T25:61:61
0001-01-01T00:00:00 9999-12-31T23:59:60Z \u202eabc \u00e9\u0301 \x7f \U0001f69c =1+1 <b> &amp; %s{} null true
"""
VALUES = ("", " ", "9" * 400, "x" * 300, *NUMBERS.split(), *WORDS.split())
JUNK: tuple[Any, ...] = (
    None, True, False, 0, -1, 1.5, 1e308, 10**30, float("nan"), float("inf"), "", "x", "54.3", [], {}, [[]], [{}], [1],
    [10.0, 54.0], [10.0, None], [[10.0, 54.0]], [[[10.0, 54.0], [10.1, 54.0], [10.1, 54.1], [10.0, 54.0]]],
    "Point", "Polygon", "MultiPolygon", "GeometryCollection", {"type": "Point", "coordinates": [10.0, 54.0]},
)  # fmt: skip
ATTRIBUTE = re.compile(rb'\s([\w:.-]+)="([^"<]*)"')
TAG = re.compile(rb"<(/?)([A-Za-z]\w*)([^<>]*?)(/?)>")


def plain(content: bytes, rng: random.Random, raw: Raw) -> bytes:
    """Change bytes as the engine does."""
    return raw(content)


def xml(content: bytes, rng: random.Random, raw: Raw) -> bytes:
    """Change an attribute or an element as often as bytes."""
    step = rng.randrange(8)
    attributes, tags = list(ATTRIBUTE.finditer(content)), list(TAG.finditer(content))
    if step < 3 or not tags:
        return raw(content)
    if step < 6 and attributes:
        return _attribute(content, rng.choice(attributes), attributes, rng)
    return _element(content, rng.choice(tags), tags, rng)


def _attribute(content: bytes, one: re.Match[bytes], others: list[re.Match[bytes]], rng: random.Random) -> bytes:
    name, value = one.group(1), one.group(2)
    match rng.randrange(5):
        case 0:
            return content[: one.start()] + content[one.end() :]
        case 1:
            name = rng.choice(others).group(1)
        case 2:
            value = rng.choice(others).group(2)
        case _:
            value = rng.choice(VALUES).encode().replace(b"<", b"&lt;").replace(b'"', b"&quot;")
    return content[: one.start()] + b" " + name + b'="' + value + b'"' + content[one.end() :]


def _element(content: bytes, one: re.Match[bytes], tags: list[re.Match[bytes]], rng: random.Random) -> bytes:
    whole = _whole(content, one)
    other = rng.choice(tags)
    match rng.randrange(5):
        case 0:
            return content[: one.start()] + content[one.start() + len(whole) :]
        case 1:
            return content[: one.start()] + whole * rng.choice([2, 3, 20]) + content[one.start() + len(whole) :]
        case 2:
            return content[: other.end()] + whole + content[other.end() :]
        case 3:
            renamed = whole.replace(b"<" + one.group(2), b"<" + other.group(2), 1)
            closing = b"</" + one.group(2) + b">"
            if renamed.endswith(closing):
                renamed = renamed[: -len(closing)] + b"</" + other.group(2) + b">"
            return content[: one.start()] + renamed + content[one.start() + len(whole) :]
        case _:
            texts = (*(value.encode() for value in VALUES[:12]), b"<!-- x -->", b"<![CDATA[x]]>", b"<?x y?>", b"&#10;")
            return content[: one.end()] + rng.choice(texts) + content[one.end() :]


def _whole(content: bytes, tag: re.Match[bytes]) -> bytes:
    """Return an element from its tag on to its end, the tag alone where there is none."""
    closing = b"</" + tag.group(2) + b">"
    end = -1 if tag.group(4) or tag.group(1) else content.find(closing, tag.end())
    return content[tag.start() : tag.end() if end < 0 else end + len(closing)]


def jsons(content: bytes, rng: random.Random, raw: Raw) -> bytes:
    """Change a member of a JSON text as often as bytes."""
    try:
        value = json.loads(content)
    except (ValueError, RecursionError):
        return raw(content)
    if rng.randrange(3) == 0:
        return raw(content)
    return json.dumps(changed_value(value, rng), ensure_ascii=rng.random() < 0.5).encode("utf-8", "surrogatepass")


def changed_value(value: Any, rng: random.Random) -> Any:
    """Replace, remove, double or rename one member, at any depth."""
    if not isinstance(value, dict | list) or not value or rng.random() < 0.1:
        if isinstance(value, str) and rng.random() < 0.5:
            return rng.choice(VALUES)
        return rng.choice(JUNK)
    keys = list(value) if isinstance(value, dict) else list(range(len(value)))
    key = rng.choice(keys)
    copy = dict(value) if isinstance(value, dict) else list(value)
    if rng.random() < 0.75:
        copy[key] = changed_value(copy[key], rng)
        return copy
    match rng.randrange(3):
        case 0:
            del copy[key]
        case 1 if isinstance(copy, dict):
            copy[rng.choice([*map(str, copy), *VALUES])] = copy.pop(key)
        case 1:
            copy.insert(key, copy[key])
        case _:
            copy[key] = copy[rng.choice(keys)]
    return copy


def lines(content: bytes, rng: random.Random, raw: Raw) -> bytes:
    """Change a line or a cell as often as bytes."""
    if rng.randrange(3) == 0:
        return raw(content)
    rows = content.split(b"\n")
    at = rng.randrange(len(rows))
    match rng.randrange(6):
        case 0:
            del rows[at]
        case 1:
            rows[at:at] = [rows[at]] * rng.choice([1, 2, 30])
        case 2:
            other = rng.randrange(len(rows))
            rows[at], rows[other] = rows[other], rows[at]
        case 3:
            rows[at] = raw(rows[at])
        case _:
            cells = re.split(rb"([;,\t= ])", rows[at])
            cells[rng.randrange(len(cells))] = rng.choice(VALUES).encode()
            rows[at] = b"".join(cells)
    return b"\n".join(rows)


def nmea(content: bytes, rng: random.Random, raw: Raw) -> bytes:
    """Change lines, and mostly set the checksums right."""
    changed = lines(content, rng, raw)
    if rng.random() < 0.15:
        return changed
    return b"\n".join(_summed(row) for row in changed.split(b"\n"))


def _summed(row: bytes) -> bytes:
    body, mark, _ = row.rpartition(b"*")
    if not mark or not body.startswith((b"$", b"!")):
        return row
    return body + f"*{reduce(xor, body[1:], 0):02X}".encode()


def members(content: bytes, rng: random.Random, raw: Raw) -> bytes:
    """Change a file in an archive by its suffix, take one out, or give it another's content."""
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as archive:
            files = {info.filename: archive.read(info) for info in archive.infolist()}
    except Exception:  # what is no archive is changed as bytes
        return raw(content)
    if not files:
        return raw(content)
    name = rng.choice(sorted(files))
    match rng.randrange(12):
        case 0 if len(files) > 1:
            del files[name]
        case 1:
            files[name] = files[rng.choice(sorted(files))]
        case 2:
            files[name] = b""
        case _:
            suffix = name.rpartition(".")[2].lower()
            files[name] = BY_SUFFIX.get(suffix, plain)(files[name], rng, raw)
    return _archive(list(files.items()), zipfile.ZIP_DEFLATED)


NAMES = (
    "../TASKDATA.XML",
    "/TASKDATA.XML",
    "C:\\TASKDATA.XML",
    "TASKDATA/../../x.xml",
    "TASKDATA/TASKDATA.XML",
    "taskdata.xml",
    "TASKDATA/TLG00001.bin",
    "TASKDATA/GRD00001.BIN ",
    "con",
    "NUL.XML",
    "\u0000.xml",
    "\u202e.xml",
    "x/",
    "inner.zip",
    "doc.kml",
    "DOC.KML",
    "a\\b.xml",
    ".",
    "..",
    "a" * 255,
    "a" * 300 + "/b",
)


def archives(content: bytes, rng: random.Random, raw: Raw) -> bytes:
    """Change an archive: its bytes, its files, or their names."""
    if rng.randrange(3) == 0:
        return raw(content)
    changed = members(content, rng, raw)
    if rng.randrange(3):
        return changed
    try:
        with zipfile.ZipFile(io.BytesIO(changed)) as archive:
            files = [(info.filename, archive.read(info)) for info in archive.infolist()]
    except Exception:
        return raw(content)
    at = rng.randrange(len(files)) if files else 0
    name = rng.choice((*NAMES, *(name for name, _ in files)))
    if files and rng.random() < 0.5:
        files[at] = (name, files[at][1])
    else:
        files.insert(at, (name, changed if rng.random() < 0.2 else files[at][1] if files else b""))
    return _archive(files, rng.choice([zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED, zipfile.ZIP_LZMA, zipfile.ZIP_BZIP2]))


def _archive(files: list[tuple[str, bytes]], method: int) -> bytes:
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", method) as archive:
        archive.filelist.clear()
        for name, content in files:
            info = zipfile.ZipInfo("x", (2024, 4, 18, 7, 0, 0))
            info.filename = name
            info.compress_type = method
            archive.NameToInfo.pop(info.filename, None)
            archive.writestr(info, content)
    return stream.getvalue()


BY_SUFFIX: dict[str, Change] = {
    "xml": xml,
    "kml": xml,
    "gpx": xml,
    "json": jsons,
    "geojson": jsons,
    "prj": lines,
    "cpg": lines,
}

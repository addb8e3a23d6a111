"""Names that are code to whoever opens an output: pages, pictures, maps, tables, and logs of findings.

An output of a set with such names has no elements, attributes, links and formulas that that of the set with plain ones
has not. The judges are lxml's parsers of HTML and XML, the csv module and a search for links as SARIF 2.1.0 (3.11.6)
writes them; what a spreadsheet computes is as in the page "CSV Injection" of OWASP (from memory).
"""

from __future__ import annotations

import csv
import io
import json
import re
import shutil
import zipfile
from collections.abc import Callable, Iterator
from pathlib import Path
from xml.sax.saxutils import quoteattr

import pytest
from lxml import etree, html

from taskdata.cli import main
from tests import samples

PAYLOADS = (
    "<script>alert(4711)</script>",
    "</script><img src=x onerror=alert(4711)>",
    "\"><a href='javascript:alert(4711)'>b</a>",
    "' onmouseover='alert(4711)",
    "]]><b onclick=alert(4711)>c</b><![CDATA[",
    "--><iframe src=//evil.example/4711></iframe><!--",
    "&lt;script&gt;alert(4711)&lt;/script&gt;",
    "&#60;img src=x onerror=alert(4711)&#62;",
    "[seen](https://evil.example/4711) {0} ![](https://evil.example/4711)",
    "${alert(4711)} `alert(4711)` {{alert(4711)}} <%= 4711 %> <?php 4711 ?>",
    "\u2028alert(4711)//",
)
HARMLESS = tuple(re.sub("[^\\w\u2028 .]", "o", name) for name in PAYLOADS)
"""Names as long as those, of letters alone."""
FORMULAS = (
    '=HYPERLINK("https://evil.example/4711")',
    "+4711+cmd|' /C calc'!A0",
    "-4711+1",
    "@SUM(4711)",
    "\t=4711",
    "\r=4711",
    "\n=4711",
    "\uff1d4711",
    "'=4711",
    '4711","=1+1',
    "4711\n=1+1",
)
NAMES = r'(<(?:PFD|TSK|GGP|GPN|CTR|FRM|PDT|DVC|WKR|CTP|CVT|PNT|TZN)\b[^>]*?\s(?:B|C|D)=)"[^"<>]*[a-z][^"<>]*"'


def named(folder: Path, source: Path, names: tuple[str, ...]) -> Path:
    """Copy a set, with such names in turn in place of its own."""
    shutil.copytree(source, folder / "TASKDATA")
    page = folder / "TASKDATA" / "TASKDATA.XML"
    found = iter(range(10_000))

    def renamed(match: re.Match[str]) -> str:
        name = names[next(found) % len(names)]
        return match[1] + quoteattr(name, {"\t": "&#9;", "\n": "&#10;", "\r": "&#13;"})

    text, count = re.subn(NAMES, renamed, page.read_text(encoding="utf-8"))
    assert count >= min(9, len(names))
    page.write_text(text, encoding="utf-8")
    return folder


def of_page(content: bytes) -> Iterator[object]:
    """Elements of a page with their attributes, and where its links lead."""
    for item in html.document_fromstring(content).iter():
        yield item.tag if isinstance(item.tag, str) else "comment", *sorted(item.attrib)
        links = (value for name, value in item.attrib.items() if name in {"href", "src", "action"})
        yield from (re.match(r"[^:/#]*:(//[^/]*)?|#|", value)[0] for value in links)


def of_xml(content: bytes) -> Iterator[object]:
    """Elements of a document with their attributes, and those of texts in it that are HTML to their reader."""
    for item in etree.fromstring(content).iter():
        yield item.tag if isinstance(item.tag, str) else "comment", *sorted(item.attrib)
        if isinstance(item.tag, str) and etree.QName(item).localname == "description" and (item.text or "").strip():
            yield from of_page(f"<div>{item.text}</div>".encode())


def of_sarif(content: bytes) -> Iterator[object]:
    """Links and places for arguments in the texts that a viewer shows."""
    for run in json.loads(content)["runs"]:
        for result in run["results"]:
            text = result["message"]["text"]
            yield "link", *re.findall(r"(?<!\\)\[[^\]]*(?<!\\)\]\(", text)
            yield "argument", *re.findall(r"(?<!\{)\{(?:\{\{)*\d", text)


def of_kmz(content: bytes) -> Iterator[object]:
    with zipfile.ZipFile(io.BytesIO(content)) as archive:
        for name in sorted(archive.namelist()):
            yield name
            yield from of_xml(archive.read(name))


Structure = Callable[[bytes], Iterator[object]]
OUTPUTS: tuple[tuple[str, str, Structure], ...] = (
    ("report {source} {out}", "page.html", of_page),
    ("report {source} {out} --language de", "page.html", of_page),
    ("report {source} {out}", "map.svg", of_xml),
    ("convert {source} {out} --to kml", "layers/*.kml", of_xml),
    ("convert {source} {out} --to kmz", "layers/*.kmz", of_kmz),
    ("convert {source} {out} --to gpx", "layers/*.gpx", of_xml),
    ("check {source} --format junit", "", of_xml),
    ("check {source} --format sarif", "", of_sarif),
)


def run(words: str, capsys: pytest.CaptureFixture[str], **places: object) -> str:
    with pytest.raises(SystemExit) as left:
        main([word.format(**places) for word in words.split()])
    shown = capsys.readouterr()
    assert left.value.code in {0, 1}, shown.err
    return shown.out


@pytest.mark.parametrize(
    ("words", "output", "structure"), OUTPUTS, ids=lambda item: item if isinstance(item, str) else ""
)
def test_names_are_nothing_but_text(words, output, structure, tmp_path, capsys):
    found = {}
    for kind, names in {"plain": HARMLESS, "hostile": PAYLOADS}.items():
        source = named(tmp_path / kind / "stick", samples.OFFICE, names)
        out = tmp_path / kind / (output.partition("/")[0] or "none")
        told = run(words, capsys, source=source, out=out)
        contents = [path.read_bytes() for path in sorted((tmp_path / kind).glob(output))] if output else [told.encode()]
        assert contents
        assert any(b"4711" in content for content in contents) or output.endswith("kmz")
        found[kind] = {item for content in contents for item in structure(content)}
    assert found["hostile"] - found["plain"] == set()
    assert found["plain"]


def test_no_cell_is_a_formula(tmp_path, capsys):
    """Neither of layers, nor of a summary of sources in folders with such names."""
    home = tmp_path / "archive"
    for number, name in enumerate(FORMULAS):
        named(home / name.replace("/", ""), samples.OLDER, FORMULAS[number:] + FORMULAS[:number])
    named(tmp_path / "office", samples.OFFICE, FORMULAS)
    run("batch inspect {source} --out {out} --workers 1", capsys, source=home, out=tmp_path / "all")
    run("convert {source} {out} --to csv", capsys, source=tmp_path / "office", out=tmp_path / "layers")
    files = [tmp_path / "all" / "summary.csv", *sorted((tmp_path / "layers").glob("*.csv"))]
    cells = [
        cell for file in files for row in csv.reader(io.StringIO(file.read_text("utf-8"), newline="")) for cell in row
    ]
    assert sum("4711" in cell for cell in cells) > len(FORMULAS)
    assert [
        cell for cell in cells if cell[:1] in tuple("=+-@\t\r\n\uff1d\uff0b\uff0d\uff20") and not _number(cell)
    ] == []


def _number(cell: str) -> bool:
    return re.fullmatch(r"-?\d+(\.\d+)?(e-?\d+)?", cell) is not None

"""Nothing of a source reaches a terminal raw: no control character, no escape sequence, no bidirectional override."""

from __future__ import annotations

import csv
import io
import json
import re
import shutil
import unicodedata
from collections.abc import Iterator
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest

import taskdata
from taskdata.visible import visible, visible_json, visible_lines, visible_xml

HOSTILE = "O\x1b]0;title\x07ak\x9b2J\x7f\u202efield\u2066\u2028end"
"""An escape sequence that names a window, an erasure begun by C1, DEL, an override, an isolate, a line separator."""
IN_XML = HOSTILE.replace("\x1b", "").replace("\x07", "")
"""The same without what XML 1.0 cannot hold."""
SHOWN = "ak\x9b2J\x7f\u202efield"
"""What every output shows of it, whole or in an escape."""
ALLOWED = {"\n", "\t", "\u200c", "\u200d"}


def raw(text: str) -> set[str]:
    """Return the characters of a text that no terminal should get, told by Unicode's own categories.

    Cc are C0, DEL and C1; Zl and Zp separate lines; Cf holds all bidirectional controls, and the joiners of some
    scripts, which steer nothing.
    """
    return {item for item in text if unicodedata.category(item) in {"Cc", "Cf", "Zl", "Zp", "Cs"}} - ALLOWED


@pytest.fixture
def stick(tmp_path: Path, samples: Path) -> Path:
    """The broken sample with hostile names everywhere."""
    folder = tmp_path / "stick" / "TASKDATA"
    shutil.copytree(samples / "broken" / "TASKDATA", folder)
    main = folder / "TASKDATA.XML"
    text = main.read_text(encoding="utf-8")
    changed, count = re.subn(
        r'(<(?:PFD|TSK|GGP|GPN|CTR|FRM|PDT|DVC)[^>]*? [BC]=")([A-Z][a-z]+)', rf"\1{IN_XML}\2", text
    )
    assert count >= 5
    main.write_text(changed, encoding="utf-8")
    return folder


COMMANDS = [
    ("inspect",),
    ("check", "--max-per-rule", "0"),
    ("check", "--format", "sarif"),
    ("check", "--format", "json"),
    ("check", "--format", "junit"),
    ("inspect", "--json"),
    ("coverage",),
    ("convert", "{tmp}/out.gpkg"),
    ("convert", "{tmp}/out.gpkg", "--json"),
    ("clean", "{tmp}/clean", "--review"),
    ("clean", "{tmp}/clean", "--json"),
    ("merge", "{stick}", "{tmp}/merged"),
    ("compare", "{tmp}/../other/TASKDATA"),
]
NAMELESS = {"convert", "clean", "merge"}
"""Of this set these print identifiers and counts alone."""


@pytest.mark.parametrize("words", COMMANDS, ids=" ".join)
def test_names_are_shown_escaped(run, stick: Path, tmp_path: Path, samples: Path, words: tuple[str, ...]) -> None:  # type: ignore[no-untyped-def]
    other = tmp_path.parent / "other"
    if not other.exists():
        shutil.copytree(samples / "broken", other)
    command, *rest = [word.format(tmp=tmp_path, stick=stick) for word in words]
    done = run(command, stick, *rest)
    assert done.code in {0, 1}
    assert raw(done.out + done.err) == set()
    if "junit" in words:
        texts = [text for item in ET.fromstring(done.out).iter() for text in (*item.itertext(), *item.attrib.values())]  # noqa: S314 - our own output
    elif {"--json", "json", "sarif"} & set(words):
        texts = list(_strings(json.loads(done.out)))
    else:
        texts = [done.out.replace(visible(SHOWN), SHOWN)]
    assert any(SHOWN in text for text in texts) or command in NAMELESS


def _strings(value: object) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        for item in value.values():
            yield from _strings(item)
    elif isinstance(value, list):
        for item in value:
            yield from _strings(item)


@pytest.mark.parametrize(
    "words",
    [
        ("inspect", "no\n\x1b[2Jsuch\u202e"),
        ("check", "no\n\x1b[2Jsuch\u202e"),
        ("inspect", "samples", "--units=\n\x1b[2J"),
        ("inspect", "samples", "--no-such\n\x1b[2Joption"),
        ("\x1b[2J\nfalse",),
        ("rules", "no.\x1b[2J\nrule"),
        ("convert", "samples/office", "out\n\x1b[2J.txt"),
        ("convert", "samples/office", "out", "--to", "\x1b[2J\n"),
        ("inspect", "samples/office", "--field", "\x1b[2J\n"),
    ],
)
def test_words_of_the_command_line_are_shown_escaped(run, words: tuple[str, ...]) -> None:  # type: ignore[no-untyped-def]
    done = run(*words)
    assert done.code in {2, 3}
    assert raw(done.out + done.err) == set()
    assert "\\x1b[2J" in done.err
    assert not any(line.startswith(("such", "false", "rule")) for line in done.err.splitlines())


def test_what_is_escaped_means_the_same() -> None:
    every = "".join(map(chr, [*range(0x100), *range(0x2000, 0x2070), 0xFEFF, 0x1F600]))
    assert json.loads(visible_json(json.dumps(every, ensure_ascii=False))) == every
    fit = "".join(item for item in every if item in "\t\n" or item >= " ").replace("&", "").replace("<", "")
    assert ET.fromstring(visible_xml(f"<a>{fit}</a>")).text == fit  # noqa: S314 - a text of this test
    assert "\n" not in visible(every)
    assert visible_lines("a\tb\nc\x1b").split("\n") == ["a\tb", "c\\x1b"]
    assert raw(visible(every)) <= {
        "\xad",
        "\u200b",
        "\u2060",
        *map(chr, range(0x2061, 0x2066)),
        *map(chr, range(0x206A, 0x2070)),
        "\ufeff",
    }
    assert (
        visible("Größe, 畑, \u0645\u06cc\u200c\u062e\u0648\u0627\u0647\u0645")
        == "Größe, 畑, \u0645\u06cc\u200c\u062e\u0648\u0627\u0647\u0645"
    )


def test_no_cell_of_a_delimited_text_is_a_formula(run, samples: Path, tmp_path: Path) -> None:  # type: ignore[no-untyped-def]
    """A spreadsheet computes a cell that begins so (common practice); the apostrophe is gone after reading."""
    stick = tmp_path / "stick"
    shutil.copytree(samples / "office", stick)
    main = stick / "TASKDATA" / "TASKDATA.XML"
    names = iter(["=1+1", "+49", "-5", "@SUM(A1)", "'=x", "plain", "''-3", "'quoted'"] * 9)
    text = re.sub(r'(<PFD [^>]*?C=)"[^"]*"', lambda found: f'{found[1]}"{next(names)}"', main.read_text("utf-8"))
    main.write_text(text, encoding="utf-8")
    meant = [field.name for field in taskdata.read(stick).fields]
    assert set(meant) >= {"=1+1", "+49"}
    assert run("convert", stick, tmp_path / "out", "--to", "csv").code in {0, 1}
    cells = [
        cell
        for file in sorted((tmp_path / "out").glob("*.csv"))
        for row in csv.reader(io.StringIO(file.read_text(encoding="utf-8")))
        for cell in row
    ]
    assert "'=1+1" in cells
    assert not [cell for cell in cells if cell[:1] in set("=+-@\t\r") and not _is_number(cell)]
    table = taskdata.read(tmp_path / "out" / "fields.csv").table("fields")
    assert table["name"].to_pylist() == meant


def _is_number(text: str) -> bool:
    try:
        float(text)
    except ValueError:
        return False
    return True

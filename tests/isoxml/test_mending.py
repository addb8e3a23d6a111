"""Bytes that no parser accepts and that mean one thing, against what Python's own XML writer escapes."""

from __future__ import annotations

from pathlib import Path
from xml.sax.saxutils import escape, quoteattr

import pytest
from hypothesis import given
from hypothesis import strategies as st

from taskdata import api
from taskdata.errors import SourceError
from taskdata.isoxml.files.set_files import Blob, FileSet
from taskdata.isoxml.reading.mending import mended
from taskdata.isoxml.reading.read import document_of, read_document
from taskdata.isoxml.tree.differences import differences
from tests import samples

NAMES = st.text(st.sampled_from("aZ& ;#x1ü<"), max_size=30).filter(lambda text: "&" in text)


@given(NAMES)
def test_a_bare_ampersand_is_what_a_writer_escapes(name: str) -> None:
    """A name without ``;`` can hold no reference (XML 1.0, 4.1), so each ``&`` in it is bare."""
    plain = name.replace(";", "")
    careless = quoteattr(plain).replace("&amp;", "&")
    content, findings = mended(f"<CTR B={careless}/>".encode(), "TASKDATA.XML")
    assert content.decode() == f"<CTR B={quoteattr(plain)}/>"
    assert findings[0].facts["count"] == plain.count("&")
    assert escape(plain).count("&amp;") == plain.count("&")


@pytest.mark.parametrize(
    "kept", ["<!-- a & b -->", "<![CDATA[a & b]]>", "<?pi a & b?>", "&amp;", "&#38;", "&#x26;", "&uuml;"]
)
def test_what_is_no_bare_ampersand_stays(kept: str) -> None:
    content = f"<a>{kept}</a>".encode()
    assert mended(content, "TASKDATA.XML") == (content, [])


def test_the_place_of_the_first_is_named() -> None:
    content = b'<a>\n<CTR A="CTR1" B="Brandt & Sohn"/>\n<CTR A="CTR2" B="M&M"/>\n</a>'
    (found,) = mended(content, "TASKDATA.XML")[1]
    facts = (found.place.line, found.facts["tag"], found.facts["text"], found.facts["count"])
    assert facts == (2, "CTR", "Brandt & Sohn", 2)


@pytest.mark.parametrize("sample", samples.SOUND, ids=lambda path: path.parent.name)
def test_zeros_behind_the_end_cost_nothing(sample: Path) -> None:
    sound = read_document(sample)
    blobs = [Blob.of(path.name, path.read_bytes() + bytes(700) * (path.suffix == ".XML")) for path in sample.iterdir()]
    document = document_of(FileSet("set", tuple(blobs), "TASKDATA"))
    assert list(differences(sound, document)) == []
    told = [item.place.file for item in document.findings if item.rule.id == "file.zeros-behind-end"]
    assert sorted(told) == sorted(file.name for file in sound.xml_files)


def test_a_file_that_ends_too_early_stays_unreadable(tmp_path: Path) -> None:
    (tmp_path / "TASKDATA.XML").write_bytes(b"<ISO11783_TaskData><CTR A='CTR1' B='A & B'/>" + bytes(50))
    with pytest.raises(SourceError, match="not well-formed"):
        read_document(tmp_path)


def test_cleaning_writes_what_any_parser_accepts(tmp_path: Path) -> None:
    source = Path(__file__).parents[1] / "rules" / "file.bare-ampersand" / "bad-both"
    api.clean(source, tmp_path / "s")
    content = (tmp_path / "s" / "TASKDATA" / "TASKDATA.XML").read_bytes()
    assert b"Brandt &amp; Sohn" in content
    assert b"\0" not in content
    assert api.check(tmp_path / "s").findings == ()

"""No repair removes what is the only evidence that something is missing or wrong."""

from __future__ import annotations

from pathlib import Path

import pytest

from taskdata.isoxml.document import Document
from taskdata.isoxml.element import Element
from taskdata.isoxml.filenames import file_names, is_link_list
from taskdata.isoxml.lengths import LENGTHS, mend_lengths, stated_length
from taskdata.isoxml.read import read_document
from taskdata.isoxml.source import Blob
from taskdata.isoxml.write import xml_bytes
from taskdata.repairs.run import clean
from tests import samples

RULES = Path(__file__).parents[1] / "rules"


def stating(document: Document) -> list[Element]:
    """Elements that may state the length of a file that they name."""
    return [item for tag in LENGTHS for item in document.by_tag.get(tag, ()) if file_names(item)]


@pytest.mark.parametrize("sample", [*samples.SOUND, samples.BROKEN], ids=lambda path: path.parent.name)
def test_no_stated_length_is_brought_down_to_a_shorter_file(sample: Path) -> None:
    document = read_document(sample)
    for name, blob in list(document.others.items()):
        document.others[name] = Blob.of(blob.name, blob.read()[:-3])
    for element in stating(document):
        name = file_names(element)[-1].upper()
        if name in document.others and stated_length(element) is None:
            element.set(LENGTHS[element.tag], str(document.others[name].size + 3))
    cleaned, _ = clean(document, review=True)
    for element in stating(cleaned):
        name = file_names(element)[-1].upper()
        stated = stated_length(element)
        if name in cleaned.others and stated is not None:
            assert cleaned.others[name].size < stated, name


def test_a_log_that_is_cut_in_two_keeps_what_is_missing_at_its_end() -> None:
    document = read_document(RULES / "timelog.time-runs-back" / "bad")
    (log,) = document.by_tag["TLG"]
    size = document.others["TLG00001.BIN"].size
    log.set("Filelength", str(size + 500))
    cleaned, changes = clean(document, review=True)
    assert "timelog.time-runs-back" in {change.rule for change in changes}
    sizes = [cleaned.others[f"{item.get('Filename')}.BIN"].size for item in cleaned.by_tag["TLG"]]
    stated = [stated_length(item) for item in cleaned.by_tag["TLG"]]
    assert sum(sizes) == size
    assert stated == [*sizes[:-1], sizes[-1] + 500]


def test_a_link_list_that_is_written_anew_stays_as_much_too_short_as_it_was() -> None:
    document = read_document(samples.OFFICE)
    item = next(item for item in document.by_tag["AFE"] if is_link_list(item))
    links = document.link_list
    assert links is not None
    assert links.size is not None
    item.set("FileLength", str(links.size + 100))
    group = next(links.root.elements("LGP"))
    group.append(Element("LNK", {"A": "PFD4242", "B": "{12345678-0000-4000-8000-123456789abc}"}, file=links.name))
    mend_lengths(document)
    assert stated_length(item) == len(xml_bytes(links)) + 100

"""Two schema libraries judge the samples and spoiled copies of them alike: lxml (libxml2) and xmlschema.

Copies are spoiled one thing at a time: an attribute or element taken out, renamed, doubled, moved or filled with what
another attribute holds, and text put in. The draws are the same in every run.
"""

from __future__ import annotations

import copy
import random
from collections import Counter

import pytest
import xmlschema
from lxml import etree

from taskdata.resources import schema_bytes
from tests import samples
from tests.heavy import HEAVY

FILES = {
    "drill": (samples.STICKS[0] / "TASKDATA.XML", "TASKDATA-4.3.xsd"),
    "sprayer": (samples.STICKS[1] / "TASKDATA.XML", "TASKDATA-4.3.xsd"),
    "links": (samples.OFFICE / "LINKLIST.XML", "LINKLIST-4.3.xsd"),
    "external": (samples.OFFICE / "PFD00001.XML", "EXTERNAL-4.3.xsd"),
    "log": (samples.MACHINE / "TLG00001.XML", "TIMELOG-4.3.xsd"),
    "older": (samples.OLDER / "TASKDATA.XML", "TASKDATA-3.3.xsd"),
}
COPIES = 400 if HEAVY else 30


def spoiled(root: etree._Element, draw: random.Random) -> etree._Element:
    """Return a copy in which one thing is wrong, or may be."""
    whole = copy.deepcopy(root)
    items = [item for item in whole.iter() if isinstance(item.tag, str)]
    item, other = draw.choice(items[1:] or items), draw.choice(items)
    names = sorted(item.attrib)
    name = draw.choice(names) if names else "A"
    match draw.randrange(8):
        case 0:
            item.attrib.pop(name, None)
        case 1:
            item.set(name, draw.choice(["", "-1", "x", "1e999", " ", *map(str, other.attrib.values())]))
        case 2:
            item.set(draw.choice("ABZ"), "1")
        case 3:
            item.tag = draw.choice([other.tag, "XYZ"])
        case 4 if item.getparent() is not None:
            item.addnext(copy.deepcopy(item))
        case 5 if item.getparent() is not None:
            item.getparent().remove(item)
        case 6 if item.getparent() is not None and item not in other.iterancestors() and item is not other:
            other.append(item)
        case _:
            item.text = "text"
    return whole


@pytest.mark.parametrize("name", FILES)
def test_both_judge_a_sample_and_its_spoiled_copies_alike(name: str) -> None:
    path, schema = FILES[name]
    content = schema_bytes(schema)
    first, second = etree.XMLSchema(etree.fromstring(content)), xmlschema.XMLSchema10(content.decode())
    root = etree.fromstring(path.read_bytes())
    draw = random.Random(name)  # noqa: S311  # draws, no secret
    assert first.validate(root)
    assert second.is_valid(root)
    verdicts: Counter[bool] = Counter()
    for number in range(COPIES):
        whole = spoiled(root, draw)
        one, two = first.validate(whole), second.is_valid(whole)
        assert one == two, f"{number}: {first.error_log.last_error}, {next(second.iter_errors(whole), None)}"
        verdicts[one] += 1
    assert verdicts[False] > COPIES / 3

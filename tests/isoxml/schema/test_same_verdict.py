"""Two schema libraries and the validation of this package judge the same documents alike, and as the facts say.

Documents are made from the fact tables: for every attribute of every element values at, inside and outside its
limits. What is valid follows from XML Schema Part 2 (W3C, second edition) and the limits themselves. Stamps are the
examples of its section 3.2.7 and neighbours of them.
"""

from collections.abc import Iterator
from decimal import Decimal
from functools import cache
from itertools import count

import pytest
import xmlschema
from lxml import etree

from taskdata.isoxml.facts import AttributeFact, binary_fields, elements
from taskdata.isoxml.schema.validate import validate
from taskdata.resources import schema_bytes
from tests.heavy import HEAVY

KINDS = {
    "task": ("TASKDATA", "ISO11783_TaskData"),
    "external": ("EXTERNAL", "XFC"),
    "header": ("TIMELOG", "TIM"),
    "linklist": ("LINKLIST", "ISO11783LinkList"),
}
CASES = [
    (kind, version)
    for kind in KINDS
    for version in ((2, 0), (3, 3), (4, 3))
    if version[0] == 4 or not (kind == "linklist" or (kind == "external" and not HEAVY))
]
STAMPS = {
    "2002-10-10T12:00:00-05:00": True,
    "2002-10-10T17:00:00Z": True,
    "2002-10-10T00:00:00+05:00": True,
    "2002-10-09T19:00:00Z": True,
    "2000-01-15T00:00:00": True,
    "2000-01-20T12:00:00-13:00": True,
    " 2000-01-15T00:00:00 ": True,
    "2000-02-29T23:59:59.123456789": True,
    "2000-01-15T24:00:00": True,
    "2000-01-15T12:00:00+14:00": True,
    "2000-01-15T12:00:00+14:01": False,
    "2000-01-15T24:00:01": False,
    "1900-02-29T00:00:00": False,
    "2000-13-01T00:00:00": False,
    "2000-01-15T00:00:60": False,
    "2000-01-15T00:00:00.": False,
    "2000-01-15T00:00:00z": False,
    "2000-01-15 00:00:00": False,
    "2000-01-15": False,
    "0000-01-15T00:00:00": False,
    "2000-01-15T00:00:00.1234567890": False,
    "12000-01-15T00:00:00": False,
}


@cache
def lxml_schema(kind: str, version: tuple[int, int]) -> etree.XMLSchema:
    return etree.XMLSchema(etree.fromstring(schema_bytes(f"{KINDS[kind][0]}-{version[0]}.{version[1]}.xsd")))


@cache
def other_schema(kind: str, version: tuple[int, int]) -> xmlschema.XMLSchema10:
    return xmlschema.XMLSchema10(schema_bytes(f"{KINDS[kind][0]}-{version[0]}.{version[1]}.xsd").decode())


def in_version(tag: str, major: int) -> list[AttributeFact]:
    return [fact for fact in elements()[tag].attributes.values() if fact.since <= major]


def sample(fact: AttributeFact, major: int, numbers: Iterator[int]) -> str:
    """Return a plain valid value."""
    if fact.name == "VersionMajor":
        return str(major)
    names = {"AFE.A": "A.B", "TLG.A": "TLG00001", "XFR.A": "TSK00001", "GRD.G": "GRD00001", "PNT.J": "PNT00001"}
    own = f"{fact.element}.{fact.letter}"
    if own in names:
        return names[own]
    tag = {"*": "PFD", None: fact.element}.get(fact.refers_to, fact.refers_to)
    by_type = {
        "xs:NMTOKEN": lambda: str(min(value.low for value in fact.values if value.since <= major)),
        "xs:dateTime": lambda: "2026-05-04T07:30:00",
        "xs:ID": lambda: f"{tag}{next(numbers)}",
        "xs:IDREF": lambda: f"{tag}1",
        "xs:hexBinary": lambda: "00" * (fact.min_length or 0),
        "xs:string": lambda: "x",
        "xs:anyURI": lambda: "urn:x",
    }
    if own == "LNK.A":
        return "PFD1"
    return by_type.get(fact.type, lambda: fact.minimum or "0")()


def minimal(tag: str, major: int, numbers: Iterator[int]) -> etree._Element:
    """Return an element with what it cannot do without."""
    element = etree.Element(tag)
    for fact in in_version(tag, major):
        if fact.required:
            element.set(fact.letter, sample(fact, major, numbers))
    for child in elements()[tag].children:
        if child.least and elements()[child.tag].since <= major:
            element.append(minimal(child.tag, major, numbers))
    return element


def paths(root: str, major: int) -> dict[str, list[str]]:
    """Return for each tag the tags from the root down to it."""
    found, waiting = {root: [root]}, [root]
    while waiting:
        tag = waiting.pop(0)
        for child in elements()[tag].children:
            if elements()[child.tag].since <= major and child.tag not in found:
                found[child.tag] = [*found[tag], child.tag]
                waiting.append(child.tag)
    return found


def document(path: list[str], major: int) -> tuple[etree._Element, etree._Element]:
    """Return the root and the last element of a valid document that runs along a path."""
    numbers = count(1)
    root = at = minimal(path[0], major, numbers)
    for tag in path[1:]:
        child = at.find(tag)
        if child is None:
            child = minimal(tag, major, numbers)
            at.append(child)
        at = child
    return root, at


def number_values(fact: AttributeFact, major: int) -> dict[str, bool]:
    low, high = Decimal(fact.minimum or 0), Decimal(fact.maximum or 0)
    if fact.element == "DPD" and fact.letter == "C" and major < 4:
        high = Decimal(3)
    step = Decimal("0.0000000001") if fact.type == "xs:decimal" else Decimal(1)
    values = {
        f"{low:f}": True,
        f"{high:f}": True,
        f" {high:f}\n": True,
        f"{low - step:f}": False,
        f"{high + step:f}": False,
    }
    values |= dict.fromkeys(["1e0", "NaN", "INF", "1,0", "0x1", "1 1", "1_0", "\u0661", "x", "--1", "+", " "], False)
    values |= {"+1": low <= 1 <= high, "001": low <= 1 <= high}
    if fact.type != "xs:decimal":
        return values | {"1.0": False, "9" * 40: False}
    values |= {"1.": high >= 1, "0.5": low <= Decimal("0.5"), ".5": low <= Decimal("0.5"), ".": False}
    if fact.fraction_digits is not None:
        values |= {"1." + "1" * fact.fraction_digits: True, "1." + "1" * (fact.fraction_digits + 1): False}
    return values


def name_values(fact: AttributeFact) -> dict[str, bool]:
    tag = fact.refers_to or fact.element
    if fact.name == "Filename" or tag in {"AFE", "*"}:
        return {"": False, "a b": False, "-": False, "TOOLONGNAME00001": False}
    digits = 14 - len(tag)
    good = [f"{tag}7", f"{tag}-7", f" {tag}7 ", tag + "7" * digits]
    bad = [
        tag,
        tag.lower() + "7",
        f"{tag}--7",
        f"{tag}7 {tag}8",
        f"X{tag}7",
        "7",
        "",
        tag + "7" * (digits + 1),
        f"{tag}7a",
    ]
    return dict.fromkeys(good, True) | dict.fromkeys(bad, False)


def text_values(fact: AttributeFact) -> dict[str, bool]:
    if fact.pattern:
        return {"": False, "x": False, "PNT0000": False, "PNT000001": False, "pnt00001": False, "PNT99999": True}
    values = {"": True, "\u00df<&\"'": True}
    if fact.max_length is not None:
        most = fact.max_length
        values |= {"x" * most: True, "x" * (most + 1): False, "\U0001f33e" * most: True, "\u00e4" * (most + 1): False}
    return values


def code_values(fact: AttributeFact, major: int) -> dict[str, bool]:
    if fact.name == "VersionMajor":
        return {str(major): True, f" {major} ": True, "9": False, str(major + 1): False, "": False}
    known = {code: item.since <= major for item in fact.values for code in range(item.low, item.high + 1)}
    values = {str(code): good for code, good in known.items()}
    one = next(str(code) for code, good in known.items() if good)
    return values | {f" {one} ": True, f"0{one}": False, f"+{one}": False, "99": False, f"{one} {one}": False}


def octet_values(fact: AttributeFact) -> dict[str, bool]:
    low, high = fact.min_length or 0, fact.max_length or 0
    good = ["a0" * low, "FF" * high, " " + "0f" * low + " "]
    bad = ["00" * (low - 1), "00" * (high + 1), "0" * (2 * low + 1), "G0" * low, "0x" + "00" * (low - 1), "00 " * low]
    return dict.fromkeys(good, True) | dict.fromkeys(bad, False)


def cases(fact: AttributeFact, kind: str, major: int) -> dict[str, bool]:
    """Return values of an attribute and whether each is valid."""
    match fact.type:
        case "xs:NMTOKEN":
            values = code_values(fact, major)
        case "xs:ID" | "xs:IDREF":
            values = name_values(fact)
        case "xs:string" | "xs:anyURI":
            values = text_values(fact)
        case "xs:hexBinary":
            values = octet_values(fact)
        case "xs:dateTime":
            values = STAMPS | {"": False, "x": False}
        case _:
            values = number_values(fact, major)
    empty = {field.source for field in binary_fields("TLG" if kind == "header" else "PNT") if field.source}
    if f"{fact.element}.{fact.letter}" in empty and (kind == "header" or major >= 4):
        return values | {"": True, " ": True}
    return values if fact.type in {"xs:string", "xs:anyURI"} else values | {"": False}


def verdicts(root: etree._Element, kind: str, version: tuple[int, int], *, slow_too: bool = True) -> tuple[bool, ...]:
    """Return what the parser, this package and (unless the like was asked before) the slow library say.

    The types of external files are those of main files, so the slow library is asked about one of them; a short
    run asks it about the newest version, and is about external files of that version.
    """
    data = etree.tostring(root, encoding="utf-8")
    said = (
        lxml_schema(kind, version).validate(etree.fromstring(data)),
        not validate(data, kind, version, "T.XML"),  # type: ignore[arg-type]
    )
    slow_too = slow_too and kind != "external" and (HEAVY or version[0] == 4)
    return (*said, other_schema(kind, version).is_valid(data.decode())) if slow_too else said


@pytest.mark.parametrize(("kind", "version"), CASES)
def test_values_of_every_attribute(kind: str, version: tuple[int, int]) -> None:
    wrong = []
    asked: set[tuple[object, ...]] = set()
    for tag, path in paths(KINDS[kind][1], version[0]).items():
        root, element = document(path, version[0])
        for fact in in_version(tag, version[0]):
            before = element.get(fact.letter)
            for value, valid in cases(fact, kind, version[0]).items():
                element.set(fact.letter, value)
                limits = (fact.type, fact.minimum, fact.maximum, fact.max_length, fact.pattern, fact.fraction_digits)
                said = verdicts(root, kind, version, slow_too=(*limits, value, valid) not in asked)
                asked.add((*limits, value, valid))
                if not set(said) <= {valid}:
                    wrong.append((tag, fact.letter, value, valid, said))
            if before is None:
                del element.attrib[fact.letter]
            else:
                element.set(fact.letter, before)
    assert not wrong


@pytest.mark.parametrize(("kind", "version"), CASES)
def test_names_and_presence_in_every_element(kind: str, version: tuple[int, int]) -> None:
    major = version[0]
    wrong = []
    for tag, path in paths(KINDS[kind][1], major).items():
        root, element = document(path, major)
        checks = [("as it is", True, verdicts(root, kind, version))]
        for fact in elements()[tag].attributes.values():
            root, element = document(path, major)
            if fact.since > major:
                element.set(fact.letter, sample(fact, 4, count(50)))
                checks.append((f"later {fact.letter}", False, verdicts(root, kind, version)))
            elif fact.required:
                del element.attrib[fact.letter]
                checks.append((f"without {fact.letter}", False, verdicts(root, kind, version)))
        for name in ("a", "Z", "p1_x"):
            root, element = document(path, major)
            element.set(name, "1")
            checks.append((f"attribute {name}", False, verdicts(root, kind, version)))
        for name in ("pfd", "FOO", "XFC", *(child.tag for child in elements()[tag].children)):
            root, element = document(path, major)
            known = name in elements() and elements()[name].since <= major
            element.append(minimal(name, major, count(70)) if known else etree.Element(name))
            child = next((item for item in elements()[tag].children if item.tag == name), None)
            fits = child is not None and known and (child.most is None or len(element.findall(name)) <= child.most)
            checks.append((f"child {name}", fits, verdicts(root, kind, version)))
        for child in elements()[tag].children:
            root, element = document(path, major)
            if child.least:
                for item in element.findall(child.tag):
                    element.remove(item)
                checks.append((f"no {child.tag}", False, verdicts(root, kind, version)))
        wrong += [(tag, what, valid, said) for what, valid, said in checks if not set(said) <= {valid}]
    assert not wrong


def test_an_odd_blank_is_no_blank() -> None:
    """A no-break space is no white space of XML: the parser decides, whatever another library takes it for."""
    root, element = document(["ISO11783_TaskData", "PFD"], 4)
    element.set("D", "\u00a05")
    data = etree.tostring(root, encoding="utf-8")
    assert not lxml_schema("task", (4, 3)).validate(etree.fromstring(data))
    assert [item.rule.id for item in validate(data, "task", (4, 3), "T.XML")] == ["schema.invalid-value"]

"""Validation finds every fault, words it, and is not harmed by what a file holds."""

import subprocess
import sys
from collections.abc import Callable

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from lxml import etree

from taskdata.findings import Finding
from taskdata.isoxml.schema.explain import MOST_FAULTS
from taskdata.isoxml.schema.validate import validate
from taskdata.isoxml.schema.xml_bytes import MOST_NAMES
from taskdata.resources import schema_bytes
from tests.heavy import examples

ROOT = (
    '<ISO11783_TaskData VersionMajor="{0}" VersionMinor="{1}" ManagementSoftwareManufacturer="Ahrenbrook" '
    'ManagementSoftwareVersion="1" DataTransferOrigin="1"{2}>{3}</ISO11783_TaskData>'
)
FIELD = '<PFD A="PFD1" C="Lower Meadow" D="12000">{}</PFD>'
XSI = ' xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance"'


def task(content: str, version: tuple[int, int] = (4, 3), more: str = "", before: str = "") -> bytes:
    return (before + ROOT.format(*version, more, content)).encode()


def check(content: str, version: tuple[int, int] = (4, 3), more: str = "") -> list[Finding]:
    return validate(task(content, version, more), "task", version, "TASKDATA.XML")


def ids(found: list[Finding]) -> list[str]:
    return [item.rule.id for item in found]


def said(finding: Finding) -> str:
    """The message without its full stop."""
    return finding.rule.message.removesuffix(".").format(**finding.facts)


def test_a_fault_is_worded_with_names_limits_and_place() -> None:
    (found,) = check("\n" + FIELD.format('<LSG A="1"/>').replace("LSG A", "PNT A").replace("/>", ' C="91" D="9"/>'))
    assert said(found) == (
        "PNT.C PointNorth is '91': it is out of range; expected a decimal number from -90.0 to 90.0 deg, without "
        "exponent, or empty if a binary file holds the value"
    )
    assert (found.place.file, found.place.line, found.place.element) == ("TASKDATA.XML", 2, "PFD1")
    assert found.place.path == "/ISO11783_TaskData/PFD[1]/PNT[1]"


def test_the_path_leads_to_the_element() -> None:
    content = FIELD.format("") + FIELD.format('<PNT A="1" C="1" D="1"/><P1_x/><PNT A="1" C="x" D="1"/>').replace(
        "PFD1", "PFD2"
    )
    (found,) = check(content)
    (element,) = etree.fromstring(task(content)).xpath(str(found.place.path))
    assert element.get("C") == "x"


def test_every_fault_is_found_behind_an_unexpected_child() -> None:
    found = check('<foo/><TSK A="TSK1" G="9"/>' + FIELD.format("<PLN/>") + "<PFD/>")
    assert ids(found) == [
        "schema.unknown-name",
        "schema.invalid-value",
        "schema.missing-element",
        "schema.missing-attribute",
        *["schema.missing-attribute"] * 3,
    ]


@pytest.mark.parametrize(
    ("content", "rule", "words"),
    [
        (FIELD.format('<GGP A="GGP1"/>'), "schema.unknown-name", "GGP GuidanceGroup exists only from version 4 on"),
        (
            FIELD.format('<PNT A="10" C="1" D="1"/>'),
            "schema.invalid-value",
            "(PartfieldReferencePoint) exists only from version 4",
        ),
        (
            FIELD.format('<PNT A="1" C="1" D="1" G="PNT1"/>'),
            "schema.unknown-name",
            "PNT.G PointId exists only from version 4 on",
        ),
        ("<pdt/>", "schema.unknown-name", "the standard writes 'PDT'"),
        ('<WKR A="WKR1" b="x" B="Lind"/>', "schema.unknown-name", "the standard writes 'B'"),
        ('<PNT A="1" C="1" D="1"/>', "schema.misplaced-element", "it belongs in LSG or PFD"),
        ('<WKR A="WKR1" B="Lind">Lind</WKR>', "schema.text-content", "WKR Worker holds the text 'Lind'"),
        (FIELD.format("") + "tail", "schema.text-content", "'tail'"),
        (FIELD.format('<PLN A="1"/>'), "schema.missing-element", "PLN Polygon holds no LSG LineString"),
    ],
)
def test_each_rule_says_what_is_wrong(content: str, rule: str, words: str) -> None:
    (found,) = check(content, (3, 3))
    assert found.rule.id == rule
    assert words in said(found)


def test_a_bit_of_a_later_version_is_told_from_a_wrong_number() -> None:
    device = (
        '<DVC A="DVC1" D="A00E84000DE0C4FF" F="00000000000000" G="FF000000000000">'
        '<DET A="DET1" B="1" C="1" E="0" F="0"/>'
        '<DPD A="2" B="0001" C="{}" D="0"/></DVC>'
    )
    (late,) = check(device.format(4), (3, 3))
    assert "the bit 4 (ControlSource) exists only from version 4 on" in said(late)
    (wrong,) = check(device.format(8), (3, 3))
    assert "exists from" not in said(wrong)
    assert check(device.format(4)) == []


def test_proprietary_names_and_other_namespaces_are_passed_over() -> None:
    content = (
        FIELD.format('<P12_note P12_a="1"><TSK A="nonsense">text</TSK></P12_note>').replace("D=", 'P007_rate="?" D=')
        + '<o:thing xmlns:o="urn:other" x="1">text<PFD/></o:thing><P3_x/><P3_x A="PFD1"/><P4_x><PFD A="PFD1"/></P4_x>'
    )
    assert check(content) == []
    assert ids(check(content + "<Px_y/>")) == ["schema.unknown-name"]
    assert ids(check(FIELD.format("").replace("D=", 'p12_a="1" D='))) == ["schema.unknown-name"]


def test_more_proprietary_names_than_are_declared_are_passed_over_too() -> None:
    many = "".join(f"<P{number}_e/>{FIELD.format('')}" for number in range(MOST_NAMES + 20))
    for number in range(MOST_NAMES + 20):
        many = many.replace('A="PFD1" C', f'P{number}_a="1" A="PFD{number + 1}" c', 1)
    many = many.replace(" c=", " C=")
    assert check(many) == []


def test_a_namespace_of_the_root_is_for_another_rule() -> None:
    assert check(FIELD.format(""), more=' xmlns="urn:some"') == []
    assert ids(check(FIELD.format("<x/>"), more=' xmlns="urn:some"')) == ["schema.unknown-name"]
    prefixed = (
        task(FIELD.format(""))
        .replace(b"<", b"<t:")
        .replace(b"<t:/", b"</t:")
        .replace(b"TaskData V", b'TaskData xmlns:t="u" V')
    )
    assert validate(prefixed, "task", (4, 3), "TASKDATA.XML") == []


@pytest.mark.parametrize(
    "hint",
    [
        'xsi:noNamespaceSchemaLocation="/nowhere/x.xsd"',
        'xsi:schemaLocation="urn:x /nowhere/x.xsd"',
        'xsi:type="none"',
        'xsi:nil="true"',
    ],
)
def test_hints_to_a_validator_are_passed_over(hint: str) -> None:
    assert check(FIELD.format(""), more=f"{XSI} {hint}") == []


@pytest.mark.parametrize("version", [(5, 0), None, (-1, 0)])
def test_an_unknown_major_version_is_left_to_another_rule(version: tuple[int, int] | None) -> None:
    data = task(FIELD.format(""), (5, 0))
    assert validate(data, "task", version, "TASKDATA.XML") == []
    assert validate(data.replace(b'VersionMajor="5"', b""), "task", version, "TASKDATA.XML") == []


@pytest.mark.parametrize("version", [(0, 0), (1, 0), (2, 9)])
def test_drafts_go_with_the_first_edition(version: tuple[int, int]) -> None:
    assert check(FIELD.format(""), version) == []


@pytest.mark.parametrize(
    ("content", "severity"),
    [
        (FIELD.format("") + "\n" + FIELD.format(""), "error"),
        (FIELD.format("") + "\n" + FIELD.format("").replace('"PFD1"', '" PFD1 "'), "error"),
        ('<XFR A="TSK00001" B="1"/>\n<TSK A="TSK00001" G="1"/>', "warning"),
    ],
)
def test_a_repeated_identifier_is_found_with_both_lines(content: str, severity: str) -> None:
    (found,) = check(content)
    assert (found.rule.id, found.severity, found.place.line) == ("identity.repeated-id", severity, 2)
    assert found.facts["first_line"] == 1


def test_links_to_one_object_may_repeat_and_groups_may_not() -> None:
    head = '<ISO11783LinkList VersionMajor="4" VersionMinor="3" ManagementSoftwareManufacturer="A" '
    head += 'ManagementSoftwareVersion="1" DataTransferOrigin="1">'
    group = '<LGP A="LGP1" B="2"><LNK A="PFD1" B="a"/><LNK A="PFD1" B="b"/></LGP>'
    end = "</ISO11783LinkList>"
    assert validate(f"{head}{group}{end}".encode(), "linklist", (4, 3), "LINKLIST.XML") == []
    assert ids(validate(f"{head}{group * 2}{end}".encode(), "linklist", (4, 3), "LINKLIST.XML")) == [
        "identity.repeated-id"
    ]


def test_references_may_lead_out_of_the_file() -> None:
    assert check('<TSK A="TSK1" E="PFD77" G="1"/>') == []


def test_a_wrong_root_is_named() -> None:
    (found,) = validate(b"<XFC/>", "task", (4, 3), "TASKDATA.XML")
    assert "the root of this kind of file is ISO11783_TaskData" in said(found)
    assert ids(validate(b"<html><PFD/></html>", "external", (4, 3), "PFD00001.XML")) == ["schema.unknown-name"]


BROKEN: dict[str, Callable[[bytes], bytes]] = {
    "nothing": lambda _: b"",
    "no XML": lambda _: b"PK\x03\x04",
    "cut in a tag": lambda data: data[:150],
    "cut after a tag": lambda data: data[: -len("</ISO11783_TaskData>")],
    "cut in the last tag": lambda data: data[:-1],
    "more after the root": lambda data: data + b"x",
    "second root": lambda data: data + b"<PFD/>",
    "attribute twice": lambda data: data.replace(b"<PFD", b'<PFD A="PFD1"'),
    "not UTF-8": lambda data: data.replace(b"Meadow", b"Meado\xff"),
    "unknown entity": lambda data: data.replace(b"Meadow", b"&none;"),
    "undeclared prefix": lambda data: data.replace(b"<PFD", b'<PFD a:b="1"'),
}


@pytest.mark.parametrize("how", sorted(BROKEN))
def test_what_is_not_well_formed_is_not_valid(how: str) -> None:
    found = validate(BROKEN[how](task(FIELD.format(""))), "task", (4, 3), "TASKDATA.XML")
    assert ids(found) == ["schema.not-valid"]
    assert found[0].facts["reason"]


@pytest.mark.parametrize(
    ("declared", "content"),
    [
        ('<!ENTITY x "text">', "&x;"),
        ('<!ENTITY x " ">', "&x;"),
        ('<!ENTITY x "<PFD/>">', "&x;"),
        ('<!ENTITY x SYSTEM "file:///etc/passwd">', "&x;"),
        ('<!ENTITY a "aaaaaaaaaa"><!ENTITY x "&a;&a;&a;&a;&a;&a;&a;&a;">', f"&x;{FIELD.format('&x;')}"),
    ],
)
def test_entities_stay_unresolved(declared: str, content: str) -> None:
    data = task(content, before=f"<!DOCTYPE t [{declared}]>")
    found = validate(data, "task", (4, 3), "TASKDATA.XML")
    assert set(ids(found)) == {"schema.text-content"}
    assert all(item.facts["text"] == "&x;" for item in found)


def test_a_bomb_of_entities_is_refused() -> None:
    levels = "".join(f'<!ENTITY e{n + 1} "{f"&e{n};" * 10}">' for n in range(9))
    data = task(FIELD.format("").replace("Lower Meadow", "&e9;"), before=f'<!DOCTYPE t [<!ENTITY e0 "ha">{levels}]>')
    found = validate(data, "task", (4, 3), "TASKDATA.XML")
    assert ids(found) == ["schema.not-valid"]


def test_a_dtd_without_use_is_passed_over() -> None:
    data = task(FIELD.format(""), before='<!DOCTYPE t SYSTEM "file:///nowhere/t.dtd">')
    assert validate(data, "task", (4, 3), "TASKDATA.XML") == []


def test_utf_16_is_read_as_well() -> None:
    text = '<?xml version="1.0" encoding="UTF-16"?>' + task(FIELD.format("<P1_\u00e4/>")).decode()
    assert validate(text.encode("utf-16"), "task", (4, 3), "TASKDATA.XML") == []


def test_a_flood_of_faults_is_cut_off_and_said_so() -> None:
    found = check(FIELD.format('<PNT A="1" C="x" D="1"/>' * (MOST_FAULTS + 5)))
    assert len(found) == MOST_FAULTS + 1
    assert "the rest are not listed" in said(found[-1])


MEASURE = """
import resource, sys
from taskdata.isoxml.schema.validate import validate
start, end = sys.argv[1].encode().split(b"|")
data = start + b'<PNT A="2" C="53.123456789" D="9.123456789"/>' * 100000 + end
before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
found = validate(data, "task", (4, 3), "TASKDATA.XML")
assert [item.rule.id for item in found] == sys.argv[2:], found
print((resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before) // 1024)
"""


@pytest.mark.parametrize(("extra", "rules"), [("", []), ("<x/>", ["schema.unknown-name"])])
def test_memory_does_not_grow_with_the_file(extra: str, rules: list[str]) -> None:
    """One line string of 100,000 points: as a tree about 22 times its size, 100 MB."""
    content = ROOT.format(4, 3, "", FIELD.format('<PLN A="1"><LSG A="1">|</LSG></PLN>' + extra))
    run = subprocess.run([sys.executable, "-c", MEASURE, content, *rules], capture_output=True, text=True, check=True)
    assert int(run.stdout) < 50


BASE = task(
    FIELD.format(
        '<PLN A="1" E="PLN1"><LSG A="1"><PNT A="2" C="1" D="1"/><PNT A="2" C="1.5" D="1"/></LSG></PLN>'
        '<GGP A="GGP1"><GPN A="GPN1" C="1"><LSG A="5">'
        '<PNT A="6" C="1" D="1"/><PNT A="7" C="2" D="1"/></LSG></GPN></GGP>'
    )
    + '<TSK A="TSK1" B="Drilling" E="PFD1" G="2"><TZN A="1"><PDV A="0001" B="5"><PDV A="0002" B="6"/></PDV></TZN>'
    '<TIM A="2026-05-04T07:30:00" D="4"><PTN A="1" B="1" D="1"/><DLV A="0001" B="1" C="DET1"/></TIM><TLG A="TLG00001"/>'
    '<GRD A="1" B="1" C="0.1" D="0.1" E="2" F="2" G="GRD00001" I="1"/><P1_x a="1"/></TSK>'
)
ORACLE = etree.XMLSchema(etree.fromstring(schema_bytes("TASKDATA-4.3.xsd")))


def mutate(root: etree._Element, choice: tuple[int, int, int]) -> None:
    """Change one thing in a tree."""
    what, first, second = choice
    every = list(root.iter("*"))
    one, other = every[first % len(every)], every[second % len(every)]
    names = sorted(one.attrib)
    parent = one.getparent()
    if what == 0 and names:
        del one.attrib[names[second % len(names)]]
    elif what == 1 and names:
        one.set(names[second % len(names)], ["", "1", "PFD1", "x", "-1", " 2 ", "2026-05-04T07:30:00Z"][first % 7])
    elif what == 2 and parent is not None:
        parent.remove(one)
    elif what == 3:
        other.append(etree.fromstring(etree.tostring(one)))
    elif what == 4:
        one.text = [" ", "x", "\n\t"][second % 3]
    elif what == 5:
        one.set(["Q", "A", "F", "P9_y", "{urn:o}A"][second % 5], "1")
    elif what == 6 and parent is not None:
        parent.insert(second % (len(parent) + 1), one)


@settings(max_examples=examples(60), deadline=None)
@given(st.lists(st.tuples(st.integers(0, 6), st.integers(0, 60), st.integers(0, 60)), min_size=1, max_size=3))
def test_the_verdict_is_that_of_the_parser_on_the_whole_tree(choices: list[tuple[int, int, int]]) -> None:
    """The parser judges the whole tree, with the proprietary names taken out by hand, against the packed schema."""
    root = etree.fromstring(BASE)
    for choice in choices:
        mutate(root, choice)
    data = etree.tostring(root)
    stripped = etree.fromstring(data)
    for element in list(stripped.iter("*")):
        if element.tag.startswith("P1_") and element.getparent() is not None:
            element.getparent().remove(element)
        for name in [name for name in element.attrib if name.startswith("P9_")]:
            del element.attrib[name]
    assert (validate(data, "task", (4, 3), "TASKDATA.XML") == []) == ORACLE.validate(stripped)

"""Leaving out runs of plain points changes neither the verdict of lxml nor the line of a fault."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from lxml import etree

from taskdata.isoxml.schema.points import thinned
from taskdata.isoxml.schema.validate import validate
from taskdata.resources import schema_bytes

HEAD = (
    b'<ISO11783_TaskData VersionMajor="%d" VersionMinor="0" ManagementSoftwareManufacturer="H" '
    b'ManagementSoftwareVersion="1" DataTransferOrigin="1">\n<PFD A="PFD1" C="K" D="1">\n<LSG A="3">'
)
TAIL = b"</LSG></PFD></ISO11783_TaskData>"
KINDS = ["1", "2", "5", "6", "11", "12", "0", "", "x", "02"]
NORTHS = [
    "54.3",
    "-89.999999999",
    "90",
    "90.1",
    "-0",
    "007.5",
    "5.",
    ".5",
    "1e1",
    "+1",
    "54.1234567890123456",
    "",
    "100",
]
EASTS = ["7.0", "-179.999999999", "180", "180.5", "199.9", "99", "0179.5", "7,0", "7.123456789012345", ""]
POINT = st.builds(
    '<PNT A="{}" C="{}" D="{}"{}{}'.format,
    st.sampled_from(KINDS) | st.just("2"),
    st.sampled_from(NORTHS) | st.just("54.3"),
    st.sampled_from(EASTS) | st.just("7.0"),
    st.sampled_from(["", "", "", ' E="5"', ' A="2"', ' X="1"', ' G="PNT1"']),
    st.sampled_from(["/>", "/>", " />", ">", "></PNT>"]),
)
BETWEEN = st.sampled_from(["", "\n", "\n  ", " ", "\r\n", "<!-- c -->", "x", "\x0b"])


def verdict(content, version):
    try:
        root = etree.fromstring(content)
    except etree.XMLSyntaxError as error:
        return "broken", error.lineno
    schema = etree.XMLSchema(etree.fromstring(schema_bytes(f"TASKDATA-{version}.0.xsd")))
    valid = schema.validate(root)
    return valid, [entry.line for entry in schema.error_log][:1]


@given(st.lists(st.tuples(BETWEEN, POINT), max_size=8), st.sampled_from([2, 3, 4]))
def test_the_verdict_is_the_same(points, version):
    content = HEAD % version + "".join(a + b for a, b in points).encode() + TAIL
    assert verdict(thinned(content, version), version) == verdict(content, version)


def test_plain_points_go_and_lines_stay():
    points = b'\n<PNT A="2" C="54.3" D="7.0"/>' * 1000
    content = HEAD % 4 + points + b'\n<PNT A="99" C="54.3" D="7.0"/>' + TAIL
    short = thinned(content, 4)
    assert len(short) < len(content) / 10
    assert short.count(b"\n") == content.count(b"\n")
    (fault,) = validate(content, "task", (4, 0), "TASKDATA.XML")
    assert (fault.rule.id, fault.place.line) == ("schema.invalid-value", 1004)


@pytest.mark.parametrize("version", [2, 3])
def test_types_of_later_versions_are_not_plain(version):
    content = HEAD % version + b'<PNT A="6" C="54.3" D="7.0"/>' * 3 + TAIL
    assert thinned(content, version) == content
    assert thinned(content, 4) != content

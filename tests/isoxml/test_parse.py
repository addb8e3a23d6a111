"""The parser against lxml as an independent reader, and against hostile bytes."""

import io
import random

import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from lxml import etree

from taskdata.errors import SourceError
from taskdata.isoxml.reading.builder import MAX_DEPTH
from taskdata.isoxml.reading.parse import parse_xml
from taskdata.isoxml.tree.element import Element, OtherNode, PointRun
from tests.generate import build, file_sets

XSI = "{http://www.w3.org/2001/XMLSchema-instance}"
HEAD = b'<?xml version="1.0" encoding="UTF-8"?>\n'


def parse(content):
    return parse_xml(io.BytesIO(content), "TASKDATA.XML")


def ours(element):
    """Return an element as lists: name, attributes in order, line, content."""
    content = []
    for child in element.children:
        if isinstance(child, Element):
            content.append(ours(child))
        elif isinstance(child, PointRun):
            content += [["PNT", list(row.items()), child.line(at), []] for at, row in enumerate(child.rows())]
        else:
            content.append([child.kind, child.text])
    named = [item for item in element.attributes.items() if not item[0].startswith("xmlns")]
    return [element.tag, named, element.line, content]


def theirs(element):
    """Return an lxml element the same way; white space between elements left out."""
    content = text_of(element.text)
    for child in element:
        content += [other(child) if not isinstance(child.tag, str) else theirs(child), *text_of(child.tail)]
    named = [(name.replace(XSI, "xsi:"), text) for name, text in element.attrib.items()]
    return [element.tag, named, element.sourceline, content]


def text_of(text):
    return [["text", text]] if text and text.strip(" \t\r\n") else []


def other(node):
    if node.tag is etree.Comment:
        return ["comment", node.text or ""]
    return ["instruction", f"{node.target} {node.text}" if node.text else node.target]


def without_lines(item):
    """Leave lines out: of a start tag over several lines lxml tells the last one, the parser the first."""
    if len(item) != 4:
        return item
    return [*item[:2], [without_lines(child) for child in item[3]]]


def assert_same(content):
    parsed, root = parse(content), etree.fromstring(content)
    assert ours(parsed.root) == theirs(root)
    before = [other(node) for node in root.itersiblings(preceding=True)][::-1]
    assert [[stray.kind, stray.text] for stray in parsed.before] == before
    assert [[stray.kind, stray.text] for stray in parsed.after] == [other(node) for node in root.itersiblings()]


@given(file_sets())
def test_the_tree_and_its_lines_are_those_that_lxml_reads(made):
    for name, content in made.files.items():
        if name.endswith(".XML"):
            assert_same(content)


@pytest.mark.parametrize(
    "body",
    [
        '<A><PNT A="1" C="5"/><PNT A="1" C="6"/></A>',
        '<A><PNT A="1" C="5"> \n </PNT><PNT A="1" C="6">x</PNT><PNT A="1" C="7"/></A>',
        '<A><PNT A="1" C="5"><PNT A="1" C="6"/></PNT><PNT A="1" C="7"><!--c--></PNT></A>',
        '<A><PNT A="1" C="5"/><B/><PNT A="1" C="6"/><PNT C="6" A="1"/><PNT A="1"/></A>',
        '<PNT A="1" C="5"/>',
        '<A><PNT/><PNT P2047_x="1"/><PNT B="name"/></A>',
        '<A>text<PNT A="1"/>more<B/> \n <![CDATA[<x>&amp;]]>&#32;end</A>',
        "<A>\u00a0</A>",
        "<A>\u3000\u2003</A>",
        f"<A>{'long text ' * 20000}</A>",
        f"<A>x{' ' * 200000}y</A>",
        '<n:A xmlns:n="urn:x:y"><n:B/></n:A>'.replace("n:", ""),
        '<A B=" &#9;&#10;&#13; a&#x1F69C; "\n>\n</A>'.replace("\n>", ">"),
    ],
)
def test_odd_content_is_what_lxml_reads(body):
    assert_same(HEAD + body.encode())


def test_lines_are_right_in_long_files():
    rows = "\n".join(f'<PNT A="1" C="{at}.5" D="{at}"/>' for at in range(100_000))
    root = parse(f"<A>\n{rows}\n<B/></A>".encode()).root
    run, last = root.children
    assert (run.line(0), run.line(99_999), last.line) == (2, 100_001, 100_002)
    assert run.texts("C")[12_345] == "12345.5"


def test_many_short_runs_keep_their_own_points():
    rings = "".join(f'<LSG><PNT C="{at}" D="1"/><PNT C="{at}.5" D="2"/></LSG>' for at in range(50_000))
    root = parse(f"<A>{rings}</A>".encode()).root
    assert [line.children[0].texts("C") for line in root.elements()] == [[f"{n}", f"{n}.5"] for n in range(50_000)]


BOMB = "<!DOCTYPE a [<!ENTITY a 'aaaa'>" + "".join(f"<!ENTITY {b} '{f'&{a};' * 10}'>" for a, b in ("ab", "bc", "cd"))
HOSTILE = {
    "document type": "<!DOCTYPE A><A/>",
    "entity bomb": BOMB + "]><A>&d;</A>",
    "external entity": "<!DOCTYPE A [<!ENTITY x SYSTEM 'file:///etc/hostname'>]><A B='1'>&x;</A>",
    "external subset": "<!DOCTYPE A SYSTEM 'http://192.0.2.1/a.dtd'><A/>",
    "parameter entity": "<!DOCTYPE A [<!ENTITY % x SYSTEM 'file:///etc/hostname'> %x;]><A/>",
    "undefined entity": "<A>&nothing;</A>",
    "undefined entity in a value": "<A B='&nothing;'/>",
    "depth": "<A>" * 100_000,
    "no element": "<!-- nothing -->",
    "attributes": f"<A {' '.join(f'a{n}=' + chr(34) * 2 for n in range(1001))}/>",
    "one long value": f"<A B='{'x' * (18 << 20)}'/>",
    "one long comment": f"<A><!--{'x' * (18 << 20)}--></A>",
    "two roots": "<A/><B/>",
    "text behind": "<A/>text",
    "same attribute twice": "<A B='1' B='2'/>",
    "control character": "<A B='\x01'/>",
    "reference to nothing": "<A B='&#0;'/>",
    "half a character": "<A B='&#xD800;'/>",
    "unclosed": "<A><B></A>",
    "nothing": "",
}


@pytest.mark.parametrize("body", HOSTILE.values(), ids=HOSTILE)
def test_hostile_files_are_refused_in_one_line(body):
    with pytest.raises(SourceError) as caught:
        parse(body.encode("utf-8", "surrogatepass"))
    assert "TASKDATA.XML: " in str(caught.value)
    assert "\n" not in str(caught.value)


def test_depth_up_to_the_limit_is_read():
    assert parse(b"<A>" * MAX_DEPTH + b"</A>" * MAX_DEPTH).root.tag == "A"
    with pytest.raises(SourceError, match="deeper"):
        parse(b"<A>" * (MAX_DEPTH + 1) + b"</A>" * (MAX_DEPTH + 1))


@pytest.mark.parametrize("encoding", ["UTF-8", "UTF-16", "ISO-8859-1", "windows-1252", "US-ASCII"])
def test_declared_encodings_are_read_as_lxml_reads_them(encoding):
    name = "Süd" if encoding != "US-ASCII" else "Sued"
    content = f'<?xml version="1.0" encoding="{encoding}"?><A B="{name}"/>'.encode(encoding)
    parsed = parse(content)
    assert parsed.root.attributes == dict(etree.fromstring(content).attrib) == {"B": name}
    assert (parsed.encoding, parsed.declared) == (encoding, True)


@pytest.mark.parametrize("encoding", ["utf-8", "utf-16-le", "utf-16-be"])
def test_byte_order_marks_are_read(encoding):
    parsed = parse("\ufeff<A B='ü'/>".encode(encoding))
    assert parsed.root.attributes == {"B": "ü"}
    assert (parsed.encoding, parsed.declared) == (None, False)


@pytest.mark.parametrize("encoding", ["klingon", "hex", "utf-7", "punycode", "idna", "utf-16", "UTF-32", "x" * 200])
def test_wrong_encodings_are_refused(encoding):
    with pytest.raises(SourceError):
        parse(f'<?xml version="1.0" encoding="{encoding}"?><A B="ü"/>'.encode())


def test_a_file_cut_anywhere_is_refused():
    content = build(3, 4, most=1).files["TASKDATA.XML"].rstrip()
    parse(content)
    for length in range(0, len(content), 50):
        with pytest.raises(SourceError):
            parse(content[:length])


def only_refused(content):
    try:
        return parse(content)
    except SourceError:
        return None


@given(st.binary(max_size=400) | st.text(alphabet="<>/&;'\"=!-?[]A x\ud800\u0000", max_size=80))
@example(b"\xff\xfe<\x00")
@example(b"\xef\xbb\xbf")
def test_any_bytes_are_read_or_refused(content):
    only_refused(content if isinstance(content, bytes) else content.encode("utf-8", "surrogatepass"))


@given(file_sets(small=True), st.integers(0, 2**32), st.integers(1, 4))
def test_damaged_files_are_read_or_refused(made, seed, damages):
    draw = random.Random(seed)  # noqa: S311  # test data, no secret
    content = bytearray(made.files["TASKDATA.XML"])
    for _ in range(damages):
        at, length = draw.randrange(len(content)), draw.choice([0, 1, 1, 7, 200])
        piece = draw.choice([b"", draw.randbytes(2), b"<", b">", b'"', b"&", b"\0", b"</", b"<!DOCTYPE x>", b"]]>"])
        content[at : at + length] = piece
    parsed = only_refused(bytes(content))
    if parsed is not None:
        assert without_lines(ours(parsed.root)) == without_lines(theirs(etree.fromstring(bytes(content))))


def test_strays_outside_the_root_are_kept_in_order():
    parsed = parse(HEAD + b"<!--a--><?b c?><A/><!--d--><?e?>")
    assert [stray.text for stray in parsed.before] == ["a", "b c"]
    assert [stray.text for stray in parsed.after] == ["d", "e"]
    assert all(isinstance(stray, OtherNode) for stray in parsed.before)


def test_elements_that_refer_to_one_thing_share_one_text():
    fields = b"".join(b'<PFD A="PFD%d" C="x" D="1" E="CTR1"/>' % number for number in (1, 2))
    one, other = parse(HEAD + b"<ISO11783_TaskData>" + fields + b"</ISO11783_TaskData>").root.children
    assert one.attributes["E"] == "CTR1"
    assert one.attributes["E"] is other.attributes["E"]
    other.set("CustomerIdRef", "CTR2")
    assert one["CustomerIdRef"] == "CTR1"

"""Runs of points that are read beside the parser against the same file read by the parser alone."""

import io
import re
from xml.parsers import expat

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from taskdata.errors import SourceError
from taskdata.isoxml.reading import feeding
from taskdata.isoxml.reading.builder import TreeBuilder
from taskdata.isoxml.reading.feeding import Feeder
from taskdata.isoxml.reading.parse import parse_xml
from taskdata.isoxml.tree.element import Element, OtherNode, PointRun
from tests.heavy import examples

PLAIN = st.from_regex(r"-?(0|[1-9][0-9]{0,2})(\.[0-9]{1,15})?", fullmatch=True)
NUMBERS = [
    "+5",
    "5.",
    ".5",
    "-0",
    "-0.0",
    "00.5",
    "005",
    "1e5",
    "1E-5",
    "5,25",
    "--1",
    "1-1",
    "1.2.3",
    "nan",
    "5 ",
    " 5",
]
NUMBERS += ["9" * 18, "9" * 19, "1" * 22, "1" * 23, "1" * 24, "1" * 400, "0." + "1" * 17, "-" + "9" * 18]
TEXTS = ["", " ", "x", ">", "~", "/>", "2&#32;", "&amp;", "&x;", "<", "\u00fc", "\u0661", "\x7f", "\u2028", "'"]
TEXTS += ["\t5", "5\n", "5\r\n6", "</LSG>", "]]>", "<!--"]
ODD = st.sampled_from(NUMBERS + TEXTS)
FORMS = [
    '<PNT A="{0}" C="{1}" D="{2}"/>',
    '<PNT A="{0}" C="{1}" D="{2}" />',
    "<PNT A='{0}' C='{1}' D='{2}'/>",
    "<PNT A='{0}' C=\"{1}\" D='{2}'/>",
    '<PNT D="{2}" A="{0}" C="{1}"/>',
    '<PNT A="{0}" C="{1}" D="{2}" E="{0}"/>',
    '<PNT C="{1}"\n  D="{2}"\r\tA="{0}"/>',
    '<PNT A="{0}" C="{1}"/>',
    '<PNT A = "{0}" C= "{1}" D ="{2}"/>',
    '<PNT A="{0}" C="{1}" D="{2}"></PNT>',
    '<PNT A="{0}" C="{1}" D="{2}"> </PNT>',
    '<PNT A="{0}" B="{1}" C="{1}" D="{2}"/>',
    '<PNT A="{0}" C="{1}" D="{2}" P2047_Quality="{0}"/>',
    '<PNT A="{0}" C="{1}" A="{2}"/>',
    '<PNT A="{0}" C="{1}"D="{2}"/>',
    '<PNT A="{0}" C="{1}" D="{2}"/ >',
    "<PNT A={0} C={1} D={2}/>",
    '<PNTX A="{0}" C="{1}" D="{2}"/>',
    "<PNT/>",
]
BLANKS = ["", "\n", "\r\n", "\r", "\n\r", " ", "\n\t\t", "\u00a0", "x", "\0"]
BETWEEN = [
    "",
    "\n",
    '</LSG><LSG A="1">',
    "</LSG>\r\n<LSG>\r",
    "<!--",
    "-->",
    "<!-- note -->",
    "<![CDATA[",
    "]]>",
    "<?a ",
    "?>",
]
BETWEEN += [
    "<?b?>",
    "text",
    "&amp;",
    "&nothing;",
    "<B C='",
    "'/>",
    "<!DOCTYPE A>",
    '<PNT A="1" C="2',
    "</A>",
    "<LSG>",
    "]",
]
HEADS = ["", '<?xml version="1.0"?>', '<?xml version="1.0" encoding="UTF-8"?>\r\n', "\ufeff", "<!-- first -->\n"]
HEADS += [f'<?xml version="1.0" encoding="{name}"?>\n' for name in ("us-ascii", "ISO-8859-1", "windows-1252", "UTF-16")]


@st.composite
def runs(draw):
    """Draw points that are mostly written alike, with a few that are not."""
    form = draw(st.sampled_from(FORMS[:8] * 3 + FORMS))
    blank = draw(st.sampled_from(BLANKS[:7] * 3 + BLANKS))
    points = draw(st.lists(st.tuples(st.sampled_from(["1", "2", "10"]), PLAIN, PLAIN), min_size=1, max_size=14))
    if draw(st.integers(0, 2)):
        points = [tuple(map(str, row)) for row in points]
    else:
        at, column = draw(st.integers(0, len(points) - 1)), draw(st.integers(0, 2))
        points[at] = tuple(draw(ODD) if place == column else text for place, text in enumerate(points[at]))
    texts = [form.format(*row) for row in points]
    if not draw(st.integers(0, 4)):
        at = draw(st.integers(0, len(texts) - 1))
        texts[at] = draw(st.sampled_from(FORMS)).format(*points[at])
    return blank.join(texts) + blank


@st.composite
def contents(draw):
    """Draw the bytes of a file, sound or damaged in some way."""
    few = st.sampled_from(BETWEEN[:4] * 8 + BETWEEN)
    body = "".join(draw(few) + run for run in draw(st.lists(runs(), min_size=1, max_size=4))) + draw(few)
    text = f'{draw(st.sampled_from(HEADS[:4] * 3 + HEADS))}<A><LSG A="1">{body}</LSG>\n</A>'
    content = text.encode(draw(st.sampled_from(["utf-8"] * 8 + ["cp1252", "utf-16", "utf-16-be"])), "replace")
    damage = draw(st.sampled_from(["none"] * 4 + ["cut", "byte", "twice"]))
    at = draw(st.integers(0, len(content)))
    if damage == "cut":
        return content[:at]
    if damage == "byte":
        return content[:at] + draw(st.sampled_from([b"\xff", b"\0", b"<", b'"', b"&", b"\r", b"\xc3"])) + content[at:]
    return content + content[at:] if damage == "twice" else content


class Pieces(io.RawIOBase):
    """A stream that gives a file in pieces of some length."""

    def __init__(self, content, size):
        self.content, self.size, self.at = content, size, 0

    def read(self, size=-1):
        piece = self.content[self.at : self.at + min(size, self.size)]
        self.at += len(piece)
        return piece


def told(node, stores):
    """Return a node with everything that it holds."""
    if isinstance(node, OtherNode):
        return node.kind, node.text
    if isinstance(node, PointRun):
        store = stores.setdefault(id(node.store), (len(stores), node.store))[0]
        texts = [node.texts(name) for name in node.names]
        return "run", store, node.start, node.stop, node.names, texts, [node.line(at) for at in range(len(node))]
    children = [told(child, stores) for child in node.children]
    assert all(child.parent is node for child in node.elements())
    return "element", node.tag, list(node.attributes.items()), node.file, node.line, children


def read(content, size, encoding, *, in_bulk):
    """Return all that a file is read as, or how it is refused."""
    try:
        parsed = parse_xml(Pieces(content, size), "TASKDATA.XML", encoding, in_bulk=in_bulk)
    except SourceError as error:
        return type(error), str(error), error.where, error.why, error.remedy
    stores = {}
    tree = told(parsed.root, stores)
    strays = [[told(node, stores) for node in nodes] for nodes in (parsed.before, parsed.after)]
    columns = [
        (store.lines.tolist(), [(part.scaled.tolist(), part.digits.tolist(), part.odd) for part in store.columns])
        for _, store in stores.values()
    ]
    return tree, strays, columns, parsed.encoding, parsed.declared


def assert_same(content, size=1 << 20, encoding=None):
    """Compare with the parser alone, fed in the same pieces, and what is read also with the parser fed at once."""
    found = read(content, size, encoding, in_bulk=True)
    assert found == read(content, size, encoding, in_bulk=False)
    if isinstance(found[0], tuple):
        assert found == read(content, 1 << 20, encoding, in_bulk=False)


def point(text, count=9, form=FORMS[0], blank="\n"):
    return blank.join(form.format("2", f"54.{at:03}", text) for at in range(count)) + blank


@settings(max_examples=examples(250))
@given(contents(), st.sampled_from([1 << 20, 1 << 20, 1, 7, 60, 333]), st.sampled_from([None, None, "utf-8", "cp1252"]))
@example(f'<A>{point("10.5")}<PNT A="1" A="2"/></A>'.encode(), 1 << 20, None)
@example(f"<A>{point('10.5')}{point('x&#32;')}{point('-1')}</A>".encode(), 1 << 20, None)
@example(f"<A><!--{point('1')}-->{point('2')}<![CDATA[{point('3')}]]>{point('4')}</A>".encode(), 1 << 20, None)
@example(f"<A><?a {point('1')}?>{point('2')}</A>".encode(), 1 << 20, None)
@example(f"<A><B C='{point('1')}'/></A>".encode(), 1 << 20, None)
@example(f"<!DOCTYPE A [<!ENTITY a '{point('1')}'>]><A>{point('1')}&a;</A>".encode(), 1 << 20, None)
@example(f"{point('1')}".encode(), 1 << 20, None)
@example(f"<A/>{point('1')}".encode(), 1 << 20, None)
@example(f'<PNT A="1">{point("1")}</PNT>'.encode(), 1 << 20, None)
@example(f"<A>{point('1', blank='')}x{point('1', blank=' ')}<B".encode(), 1 << 20, None)
@example(f"<A>{point('1', 3)}{point('1')}{point('1', 3)}\n</A></B>".encode(), 1 << 20, None)
@example(f"<A>{point('1')}".encode("utf-16-be") + point("1").encode() + "</A>".encode("utf-16-be"), 1 << 20, None)
@example(b"\xfe\xff" + "<A>".encode("utf-16-be") + (point("1") * 2).encode() + "</A>".encode("utf-16-be"), 333, None)
def test_a_file_is_read_as_by_the_parser_alone(content, size, encoding):
    assert_same(content, size, encoding)


def test_every_kind_of_value_in_a_run_is_read_as_by_the_parser_alone():
    for form in FORMS:
        for blank in BLANKS:
            assert_same(f"<A>\n{point('10.25', form=form, blank=blank)}</A>\n</B>".encode())


def test_a_fault_right_behind_a_run_is_told_at_its_line_and_column():
    for blank in ("", " ", "\n", "\r\n", "\r"):
        content = f"<A>ü{point('1', blank=blank)}ü{point('1', blank=blank)}ü</B></A>".encode()
        with pytest.raises(expat.ExpatError) as caught:
            expat.ParserCreate().Parse(content, True)
        with pytest.raises(SourceError, match=f"line {caught.value.lineno}, column {caught.value.offset + 1} "):
            parse_xml(io.BytesIO(content), "TASKDATA.XML")
        assert_same(content)


def seen_by_the_parser(content):
    """Return how many bytes of a file the parser gets."""
    builder = TreeBuilder("TASKDATA.XML", None)
    feeder = Feeder(builder, in_bulk=True)
    feeder.feed(io.BytesIO(content), lambda _: None)
    builder.result()
    return builder.parser.CurrentByteIndex


@pytest.mark.parametrize("form", FORMS[:8])
@pytest.mark.parametrize("blank", BLANKS[:7])
def test_runs_go_beside_the_parser(form, blank):
    content = f"<A>{point('10.123456789', 1000, form, blank)}</A>".encode()
    assert seen_by_the_parser(content) < len(content) / 100


def test_a_run_that_is_none_ends_the_search_for_more():
    content = f"<A><!-- {point('1', 100)}-->{point('2', 100)}</A>".encode()
    assert seen_by_the_parser(content) == len(content)


def test_long_runs_over_many_chunks_and_many_layouts_are_read_as_by_the_parser_alone(monkeypatch):
    monkeypatch.setattr(feeding, "_CHUNK", 5000)
    rows = []
    for at in range(3000):
        form = FORMS[at // 700 % 3]
        rows.append(
            form.format(at % 3, f"{at / 7 - 200:.{at // 400 % 9 + 1}f}", "x" if at % 997 == 5 else f"{at / 100}")
        )
    content = f"<A>\n{chr(10).join(rows)}\n</A>".encode()
    assert_same(content)
    root = parse_xml(io.BytesIO(content), "TASKDATA.XML").root
    run = root.children[0]
    assert isinstance(run, PointRun)
    assert run.texts("D") == re.findall(r"""D=["']([^"']*)""", content.decode())
    assert isinstance(root, Element)

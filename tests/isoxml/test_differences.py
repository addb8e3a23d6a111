"""Each single change of a set is found, and nothing else is."""

from hypothesis import given
from hypothesis import strategies as st

from taskdata.isoxml.files.blob import Blob
from taskdata.isoxml.tree.differences import differences
from taskdata.isoxml.tree.document import Document, XmlFile
from taskdata.isoxml.tree.element import Element, OtherNode, PointRun
from tests.generate import FEATURES, build, file_sets

RICH = build(21, 4, frozenset(FEATURES), 1)
UNCHANGED = RICH.document()


def twins():
    return UNCHANGED, RICH.document()


def elements(document):
    return [element for file in document.xml_files for element in file.root.walk()]


def told(first, second):
    """Return what differs, which must be the same number of things either way round."""
    found, back = list(differences(first, second)), list(differences(second, first))
    assert len(found) == len(back)
    return found


@given(file_sets(small=True))
def test_a_set_is_like_itself(made):
    assert told(made.document(), made.document()) == []


@given(st.data())
def test_a_changed_attribute_is_found(data):
    first, second = twins()
    element = data.draw(st.sampled_from([item for item in elements(second) if item.attributes]))
    name = data.draw(st.sampled_from(sorted(element.attributes)))
    element.attributes[name] += data.draw(st.sampled_from([" ", "0", "x"]))
    assert len(told(first, second)) == 1


@given(st.data())
def test_a_missing_an_added_and_a_renamed_attribute_are_found(data):
    first, second = twins()
    element = data.draw(st.sampled_from([item for item in elements(second) if item.attributes]))
    name = data.draw(st.sampled_from(sorted(element.attributes)))
    text = element.attributes.pop(name)
    assert len(told(first, second)) == 1
    element.attributes["renamed"] = text
    assert len(told(first, second)) == 1


@given(st.data())
def test_another_order_of_attributes_is_found(data):
    first, second = twins()
    element = data.draw(st.sampled_from([item for item in elements(second) if len(item.attributes) > 1]))
    element.attributes = dict(reversed(element.attributes.items()))
    assert len(told(first, second)) == 1


@given(st.data())
def test_a_missing_doubled_or_moved_child_is_found(data):
    first, second = twins()
    parent = data.draw(st.sampled_from([item for item in elements(second) if item.children]))
    at = data.draw(st.integers(0, len(parent.children) - 1))
    child = parent.children[at]
    parent.children.insert(at, child)
    assert told(first, second)
    del parent.children[at : at + 2]
    assert told(first, second)
    parent.children.append(child)
    assert bool(told(first, second)) == (at != len(parent.children) - 1)


@given(st.data())
def test_a_changed_digit_of_a_point_is_found(data):
    first, second = twins()
    runs = [
        (item, at) for item in elements(second) for at, child in enumerate(item.children) if isinstance(child, PointRun)
    ]
    parent, at = data.draw(st.sampled_from(runs))
    run = parent.children[at]
    columns = {name: run.texts(name) for name in run.names}
    texts = columns[data.draw(st.sampled_from(run.names))]
    row = data.draw(st.integers(0, len(run) - 1))
    texts[row] = data.draw(st.sampled_from([texts[row] + "0", "0" + texts[row], "+" + texts[row].lstrip("+") + "1"]))
    parent.children[at] = PointRun.of(columns)
    assert len(told(first, second)) == 1


@given(st.data())
def test_a_changed_byte_is_found(data):
    first, second = twins()
    name = data.draw(st.sampled_from([key for key, blob in second.others.items() if blob.size]))
    content = bytearray(second.others[name].read())
    content[data.draw(st.integers(0, len(content) - 1))] ^= data.draw(st.integers(1, 255))
    second.others[name] = Blob.of(name, bytes(content))
    assert told(first, second) == [f"file {name} has other bytes"]


def test_missing_files_and_other_roles_are_found():
    first, second = twins()
    gone, _ = second.others.popitem()
    assert told(first, second) == [f"file {gone} is only in the first"]
    first, second = twins()
    file = second.xml_files.pop()
    assert list(differences(second, first)) == [f"file {file.name.upper()} ({file.role}) is only in the second"]
    first, second = twins()
    second.xml_files[-1].role = "external"
    assert len(told(first, second)) == 2


def test_comments_and_texts_are_compared():
    first, second = twins()
    second.main.before.append(OtherNode("comment", "more"))
    second.main.after.clear()
    assert len(told(first, second)) == 2
    for kind, text in (("text", "x"), ("comment", "y"), ("instruction", "z")):
        one, two = plain(OtherNode("comment", "x")), plain(OtherNode(kind, text))
        assert len(told(one, two)) == 1


def plain(*children):
    root = Element("ISO11783_TaskData")
    line = Element("LSG")
    for child in children:
        line.append(child)
    root.append(line)
    return Document("plain", [XmlFile("TASKDATA.XML", "main", root)])


def points(count, tail="5"):
    return {"A": ["1"] * count, "C": [f"{at}.{tail}" for at in range(count)]}


def test_points_are_the_same_in_one_run_in_two_and_as_elements():
    whole = points(5)
    rows = list(PointRun.of(whole).rows())
    two = [
        PointRun.of({key: texts[:2] for key, texts in whole.items()}),
        PointRun.of({key: texts[2:] for key, texts in whole.items()}),
    ]
    forms = [plain(PointRun.of(whole)), plain(*two), plain(*(Element("PNT", row) for row in rows))]
    assert [told(one, other) for one in forms for other in forms] == [[]] * 9
    rows[3]["C"] = "3.50"
    assert len(told(plain(*(Element("PNT", row) for row in rows)), forms[0])) == 1
    assert len(told(plain(*(Element("PNT", row) for row in rows)), forms[1])) == 1


def test_what_stands_in_a_point_is_compared():
    def made(text):
        point = Element("PNT", {"A": "1", "C": "5.0"})
        point.append(OtherNode("comment", text))
        return plain(PointRun.of(points(2)), point, Element("B"))

    assert told(made("x"), made("x")) == []
    assert len(told(made("x"), made("y"))) == 1


def test_what_does_not_count_is_not_told():
    first, second = twins()
    second.source = "elsewhere"
    for element in elements(second):
        element.line = 0
    for file in second.xml_files:
        file.name, file.encoding, file.mark = file.name.lower(), None, True
    assert told(first, second) == []

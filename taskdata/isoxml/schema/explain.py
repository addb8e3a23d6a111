"""Explain why a file is not valid: every fault of every element, in the order of the file.

Names, values and presence of attributes are decided by the parser's schema validator on batches of elements; where
elements stand and how many there are is counted against the fact tables. A validator alone would stop looking at the
rest of a parent at the first child that it does not expect.
"""

from __future__ import annotations

from itertools import islice

from lxml import etree

from taskdata.findings import Fact, Finding, Place, Rule
from taskdata.isoxml.facts import ChildFact, elements
from taskdata.isoxml.schema import layout, words
from taskdata.isoxml.schema.attributes import AttributeCheck
from taskdata.isoxml.schema.verdict import Hashes, identifiers, syntax_fault
from taskdata.isoxml.schema.walk import Open, Walk
from taskdata.isoxml.schema.xml_bytes import BLANKS, XmlBytes
from taskdata.phrases import phrase
from taskdata.raised_rules.schema.misplaced_element import RULE as MISPLACED_ELEMENT
from taskdata.raised_rules.schema.missing_element import RULE as MISSING_ELEMENT
from taskdata.raised_rules.schema.not_valid import RULE as NOT_VALID
from taskdata.raised_rules.schema.text_content import RULE as TEXT_CONTENT
from taskdata.raised_rules.schema.unknown_name import RULE as UNKNOWN_NAME

MOST_FAULTS = 10_000
"""So many faults of one file are listed; a last finding says that there are more."""

HARVEST_EVERY = 512


class Explanation:
    """The faults of one file, gathered in one walk through it.

    Parameters
    ----------
    source : XmlBytes
        The bytes of the file.
    kind : str
        Kind of file.
    check : AttributeCheck
        What judges attributes.
    file : str
        Name for places.

    Attributes
    ----------
    hashes : Hashes
        Of every identifier in the file.
    """

    def __init__(self, source: XmlBytes, kind: layout.Kind, check: AttributeCheck, file: str) -> None:
        self._walk = Walk(source)
        self._kind = kind
        self._check = check
        self._major = check.version[0]
        self._file = file
        self._known = frozenset(layout.tags(kind, self._major))
        self._found: list[tuple[int, Finding]] = []
        self.hashes = Hashes()

    def findings(self) -> list[Finding]:
        """Walk through the file and return its faults in the order of the file."""
        end: list[Finding] = []
        try:
            self._gather()
        except etree.XMLSyntaxError as error:
            line, reason = syntax_fault(error)
            end.append(not_valid(self._file, line, reason))
        self._found += self._check.flush()
        self._found += self._check.otherwise()
        ordered = [finding for _, finding in sorted(self._found, key=lambda item: item[0])]
        if len(ordered) > MOST_FAULTS:
            end.append(not_valid(self._file, None, f"it has more than {MOST_FAULTS} faults; the rest are not listed"))
        return ordered[:MOST_FAULTS] + end

    def _gather(self) -> None:
        letters = identifiers(self._kind, self._major)
        ended = 0
        for starts, element, record in self._walk.steps():
            if starts:
                self._look_at_place(record)
                letter = letters.get(record.tag)
                if letter is not None and not record.passed_over and (value := element.get(letter)) is not None:
                    self.hashes.add(value)
                continue
            self._look_at_end(element, record)
            ended += 1
            if not ended % HARVEST_EVERY:
                self._harvest_before(element, record)
            if len(self._found) > MOST_FAULTS:
                return

    def _look_at_place(self, record: Open) -> None:
        """Report an element that may not stand where it does; leave an unknown one alone."""
        parent = record.parent
        if parent is None:
            self._look_at_root(record)
        elif record.tag not in elements() or not elements()[record.tag].holds(self._major):
            record.passed_over = True
            reason = words.unknown_element(record.tag, self._major)
            self._add(UNKNOWN_NAME, record, what=phrase("element"), name=record.tag, element=parent.tag, reason=reason)
        else:
            child = self._allowed(parent, record.tag)
            if child is None:
                record.passed_over = record.tag not in self._known
                self._misplaced(record, self._home(parent, record.tag))
            elif child.most is not None and record.number > child.most:
                self._misplaced(record, f"at most {child.most} may be there")

    def _look_at_root(self, record: Open) -> None:
        wanted = layout.ROOTS[self._kind]
        if record.tag == wanted:
            return
        record.passed_over = True
        reason = f"the root of this kind of file is {wanted}"
        if record.tag in elements():
            self._misplaced(record, reason)
        else:
            self._add(
                UNKNOWN_NAME, record, what=phrase("element"), name=record.tag, element=phrase("the file"), reason=reason
            )

    def _allowed(self, parent: Open, tag: str) -> ChildFact | None:
        if parent.tag == tag and parent.parent is not None and parent.parent.tag == tag:
            return None
        return layout.child(parent.tag, tag, self._major)

    def _home(self, parent: Open, tag: str) -> str:
        return "it nests one level deep" if parent.tag == tag else words.homes(tag, self._kind, self._major)

    def _misplaced(self, record: Open, reason: str) -> None:
        parent = words.element_label(record.parent.tag) if record.parent else phrase("the file")
        element = words.element_label(record.tag)
        self._add(MISPLACED_ELEMENT, record, element=element, parent=parent, reason=reason)

    def _look_at_end(self, element: etree._Element, record: Open) -> None:
        """Report text and missing children, and hand the children on to the check of attributes."""
        if not record.passed_over:
            text = element.text
            if text and text.strip(BLANKS):
                self._text(record, text)
            for child in layout.children(record.tag, self._major):
                if child.least and not record.counts.get(child.tag):
                    label = words.element_label(child.tag)
                    self._add(MISSING_ELEMENT, record, element=words.element_label(record.tag), child=label)
        self._harvest(element, record, len(element))
        if record.parent is not None:
            record.parent.kept.append(record)
        elif not record.passed_over:
            self._found += self._check.take(element, record)

    def _text(self, record: Open, text: str) -> None:
        self._add(TEXT_CONTENT, record, element=words.element_label(record.tag), text=words.shortened(text))

    def _harvest_before(self, element: etree._Element, record: Open) -> None:
        """Hand on what ended before an element in every element that is open, so that memory stays small."""
        parent = element.getparent()
        while record.parent is not None and parent is not None:
            self._harvest(parent, record.parent, parent.index(element))
            element, record, parent = parent, record.parent, parent.getparent()

    def _harvest(self, element: etree._Element, record: Open, count: int) -> None:
        """Take the first ``count`` nodes below an element out of the tree."""
        taken = 0
        for node in list(islice(element, count)):
            if not record.passed_over:
                self._look_at_text(node, record)
            if not record.passed_over and self._walk.standard_name(node.tag) is not None:
                child = record.kept[taken]
                taken += 1
                if not child.passed_over:
                    self._found += self._check.take(node, child)
            element.remove(node)
        del record.kept[:taken]

    def _look_at_text(self, node: etree._Element, record: Open) -> None:
        """Report text behind a child, and a reference to an entity, which stays unresolved and counts as text."""
        if node.tag is etree.Entity:
            self._text(record, node.text or "")
        if node.tail and node.tail.strip(BLANKS):
            self._text(record, node.tail)

    def _add(self, rule: Rule, record: Open, **facts: Fact) -> None:
        self._found.append((record.order, rule.at(record.place(self._file), severity=None, **facts)))


def not_valid(file: str, line: int | None, reason: str) -> Finding:
    """Return the finding for a fault without an element, in the parser's words."""
    return NOT_VALID.at(Place(file=file, line=line or None), reason=reason)

"""Judge the attributes of elements in batches, and word what is wrong with them."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping
from typing import Any, Final

from lxml import etree

from taskdata.dataclass import dataclass
from taskdata.findings import Finding
from taskdata.isoxml.facts import elements
from taskdata.isoxml.schema import layout, words
from taskdata.isoxml.schema.load import BATCH
from taskdata.isoxml.schema.reasons import UNFIT, Reasons
from taskdata.isoxml.schema.walk import Open
from taskdata.isoxml.schema.xml_bytes import PROPRIETARY
from taskdata.isoxml.tree.notation import Meant, meant
from taskdata.phrases import phrase
from taskdata.raised_rules.schema.invalid_value import RULE as INVALID_VALUE
from taskdata.raised_rules.schema.missing_attribute import RULE as MISSING_ATTRIBUTE
from taskdata.raised_rules.schema.not_valid import RULE as NOT_VALID
from taskdata.raised_rules.schema.other_notation import RULE as OTHER_NOTATION
from taskdata.raised_rules.schema.unknown_name import RULE as UNKNOWN_NAME

BATCH_SIZE: Final = 1000

_FAULT: Final = re.compile(r"Element '[^']*'(?:, attribute '(?P<letter>[^']*)')?: (?P<words>.*)", re.DOTALL)
_MISSING: Final = re.compile(r"The attribute '([^']*)' is required but missing")
_NOT_ALLOWED: Final = "is not allowed."


@dataclass(slots=True)
class Otherwise:
    """The first value of an attribute that is written in another notation, what it means, how many there are."""

    record: Open
    value: str
    meant: Meant
    count: int = 0


class AttributeCheck:
    """Judge of the attributes of one file.

    Parameters
    ----------
    kind, version
        Of the packed schema.
    schema : lxml.etree.XMLSchema
        From ``load.attributes_only``.
    file : str
        Name for places.
    """

    def __init__(self, kind: layout.Kind, version: layout.Version, schema: etree.XMLSchema, file: str) -> None:
        self.version = version
        self._kind = kind
        self._schema = schema
        self._file = file
        self._reasons = Reasons(kind, version)
        self._batch = etree.Element(BATCH)
        self._records: list[Open] = []
        self._otherwise: dict[tuple[str, str, str], Otherwise] = {}

    def take(self, element: etree._Element, record: Open) -> list[tuple[int, Finding]]:
        """Copy tag and attributes of an element into the batch; return the faults of the batch if that made it full.

        Each fault comes with the order of its element in the file.
        """
        attributes: Any = dict(element.attrib)
        if ":" in "".join(attributes):  # another namespace, or a prefix that nobody declared
            attributes = {name: value for name, value in attributes.items() if ":" not in name and name[0] != "{"}
        etree.SubElement(self._batch, record.tag, attributes)
        self._records.append(record)
        return self.flush() if len(self._records) >= BATCH_SIZE else []

    def otherwise(self) -> list[tuple[int, Finding]]:
        """Return one finding for each attribute and each other notation that its values were written in."""
        return [
            (
                first.record.order,
                OTHER_NOTATION.at(
                    first.record.place(self._file),
                    attribute=words.attribute_label(tag, letter),
                    value=words.shortened(first.value),
                    wanted=first.meant.text,
                    what=notation,
                    count=first.count,
                ),
            )
            for (tag, letter, notation), first in self._otherwise.items()
        ]

    def flush(self) -> list[tuple[int, Finding]]:
        """Judge the batch and empty it."""
        found: list[tuple[int, Finding]] = []
        if not self._schema.validate(self._batch):
            places = self._paths()
            seen: set[tuple[int, str, bool]] = set()
            log: Any = self._schema.error_log
            for entry in log:
                at = places[entry.path.partition("/@")[0]]
                finding = self._fault(self._batch[at], self._records[at], entry.message, seen)
                if finding is not None:
                    found.append((self._records[at].order, finding))
        self._batch = etree.Element(BATCH)
        self._records = []
        return found

    def _paths(self) -> Mapping[str, int]:
        """Return the place in the batch by the path that the parser gives in its messages."""
        total = Counter(record.tag for record in self._records)
        so_far: Counter[str] = Counter()
        found: dict[str, int] = {f"/{BATCH}": 0}
        for at, record in enumerate(self._records):
            so_far[record.tag] += 1
            step = record.tag if total[record.tag] == 1 else f"{record.tag}[{so_far[record.tag]}]"
            found[f"/{BATCH}/{step}"] = at
        return found

    def _fault(
        self, element: etree._Element, record: Open, message: str, seen: set[tuple[int, str, bool]]
    ) -> Finding | None:
        """Return the finding for one message of the parser; None if the same attribute was reported before."""
        parts = _FAULT.match(message)
        letter, said = (parts["letter"], parts["words"]) if parts else (None, message)
        missing = _MISSING.search(said)
        if missing:
            return self._missing(record, missing.group(1))
        if letter is None or letter not in element.attrib:
            return NOT_VALID.at(record.place(self._file), reason=said)
        unknown = said.endswith(_NOT_ALLOWED)
        if (record.order, letter, unknown) in seen or (unknown and PROPRIETARY.match(letter)):
            return None
        seen.add((record.order, letter, unknown))
        return self._unknown(record, letter) if unknown else self._invalid(record, letter, element.get(letter, ""))

    def _missing(self, record: Open, letter: str) -> Finding:
        fact = elements()[record.tag].attributes[letter]
        return MISSING_ATTRIBUTE.at(
            record.place(self._file),
            attribute=words.attribute_label(record.tag, letter),
            element=words.element_label(record.tag),
            expected=words.expectation(fact, self._kind, self.version[0]),
        )

    def _unknown(self, record: Open, letter: str) -> Finding:
        return UNKNOWN_NAME.at(
            record.place(self._file),
            what=phrase("attribute"),
            name=letter,
            element=words.element_label(record.tag),
            reason=words.unknown_attribute(record.tag, letter, self.version[0]),
        )

    def _invalid(self, record: Open, letter: str, value: str) -> Finding | None:
        other = meant(record.tag, letter, value)
        if other is not None:
            first = self._otherwise.setdefault((record.tag, letter, other.notation), Otherwise(record, value, other))
            first.count += 1
            return None
        fact = elements()[record.tag].attributes[letter]
        major = self.version[0]
        reason = words.later_value(fact, value, major) or self._reasons.reason(record.tag, letter, value)
        return INVALID_VALUE.at(
            record.place(self._file),
            attribute=words.attribute_label(record.tag, letter),
            value=words.shortened(value),
            reason=reason or UNFIT,
            expected=words.expectation(fact, self._kind, major),
        )

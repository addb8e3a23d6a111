"""The rules that validation against a schema reports under."""

from __future__ import annotations

from typing import Final

from taskdata.findings import Rule, Severity

INVALID_VALUE: Final = Rule(
    id="schema.invalid-value",
    severity=Severity.ERROR,
    message="{attribute} is '{value}': {reason}; expected {expected}",
    remedy="Correct the value in the program that wrote the file, or remove the attribute where it is optional.",
    clause="Annex D",
    covers=("R-003", "R-006", "R-020", "R-036", "R-044", "R-054", "R-056", "R-067", "R-072", "R-092"),
    about="""What it checks
--------------
The value of every attribute fits its type: limits of numbers, length of texts, form of identifiers, references and
stamps, codes of enumerations, as far as the version of the file knows them.

Why it matters
--------------
A file with one wrong value is not valid as a whole, and a terminal may refuse it as a whole.

Example
-------
``PFD D="-5"``: an area cannot be negative. ``PNT A="9"`` in a file of version 3: this type came with version 4.

How to fix
----------
Correct the value at its origin. Texts that are too long are best shortened by hand, numbers that are out of range point
to a wrong unit.
""",
)

OTHER_NOTATION: Final = Rule(
    id="schema.other-notation",
    severity=Severity.ERROR,
    message="{attribute} is written {value}, with {what} (values: {count}); the standard has {wanted}",
    remedy="Clean the set: the values are written as the standard has them. Other programs may refuse the file.",
    clause="Annex D",
    covers=("R-056",),
    about="""What it checks
--------------
Values in a notation that the standard does not have and that can mean one thing only: a number with a decimal comma or
an exponent, a DDI without its leading zeros, a file name with its extension, a time stamp with a blank. One finding for
each attribute and notation in a file, at the first such value. What can be read in two ways, such as 1,234 where a
thousand is possible too, is no number and told by schema.invalid-value.

Why it matters
--------------
This program reads the value; a terminal may take another number, miss the file, or refuse the whole set.

Example
-------
``PNT C="54,3001"`` for ``54.3001``, ``D="7.0E0"`` for ``7.0``, ``PDV A="6"`` for ``0006``, ``TLG A="TLG00001.BIN"``.

How to fix
----------
Clean the set, or set the program that wrote it to the notation of the standard. No value changes.
""",
)

MISSING_ATTRIBUTE: Final = Rule(
    id="schema.missing-attribute",
    severity=Severity.ERROR,
    message="{attribute} is missing in {element}; expected {expected}",
    remedy="Give the attribute a value; where nobody knows it, ask the program that wrote the file.",
    clause="Annex D",
    covers=("R-006", "R-061"),
    about="""What it checks
--------------
Every attribute that the standard requires is there.

Why it matters
--------------
The receiver cannot know what the writer meant, and the file is not valid as a whole.

Example
-------
``<PFD A="PFD1" D="12000"/>`` has no ``PFD.C PartfieldDesignator``, the name of the field.

How to fix
----------
Add the attribute. Never invent positions, rates or identities of machines: lines steer machines, rates feed sprayers.
""",
)

UNKNOWN_NAME: Final = Rule(
    id="schema.unknown-name",
    severity=Severity.ERROR,
    message="The {what} '{name}' in {element} is not allowed: {reason}",
    remedy="Correct the name, remove it, or raise the version of the file to one that has it.",
    clause="8.4.1, Annex D",
    covers=("R-006", "R-008", "R-020", "R-049", "R-206"),
    about="""What it checks
--------------
Every element and attribute has a name of the standard in the version of the file, or a proprietary name: ``P``, the
decimal manufacturer code and an underscore. Names are case-sensitive. Content of other namespaces is passed over.

Why it matters
--------------
Only names of the agreed forms may be passed over by a receiver; any other makes the file invalid.

Example
-------
``<pfd/>`` instead of ``<PFD/>``; ``GGP`` in a file of version 3, where guidance groups came with version 4.

How to fix
----------
Write the name as the standard does, give an extension of your own a proprietary name, or leave the content out.
""",
)

MISPLACED_ELEMENT: Final = Rule(
    id="schema.misplaced-element",
    severity=Severity.ERROR,
    message="{element} may not stand in {parent}: {reason}",
    remedy="Move the element to where the standard has it, or remove it.",
    clause="8.5, Annex D",
    covers=(
        "R-006",
        "R-010",
        "R-024",
        "R-029",
        "R-030",
        "R-032",
        "R-065",
        "R-072",
        "R-113",
        "R-114",
        "R-143",
        "R-155",
        "R-191",
        "R-192",
        "R-206",
    ),
    about="""What it checks
--------------
Every element stands in a parent that may hold it, not more often than allowed, under the root for its kind of file.

Why it matters
--------------
A receiver looks for an element where the standard puts it; elsewhere it is lost, and the file is not valid.

Example
-------
A ``PNT`` directly under the root, a second ``GRD`` in one task, an ``XFR`` inside an external file.

How to fix
----------
Move the element into the parent that the message names, or remove what is too many.
""",
)

MISSING_ELEMENT: Final = Rule(
    id="schema.missing-element",
    severity=Severity.ERROR,
    message="{element} holds no {child}; at least one is required",
    remedy="Add what is missing, or remove the element that is empty without it.",
    clause="Annex D",
    covers=("R-006", "R-091", "R-143"),
    about="""What it checks
--------------
Every element holds the children it cannot do without: a polygon its line strings, a line string its points, a device
its elements, a guidance pattern its line.

Why it matters
--------------
The element says nothing without them, and the file is not valid.

Example
-------
``<PLN A="1"/>``: a polygon without a ring.

How to fix
----------
Add the children, or leave the element out.
""",
)

TEXT_CONTENT: Final = Rule(
    id="schema.text-content",
    severity=Severity.ERROR,
    message="{element} holds the text '{text}', but all data are attributes",
    remedy="Move the text into the attribute it belongs to, or remove it.",
    clause="8.2, 8.3",
    covers=("R-006", "R-007"),
    about="""What it checks
--------------
No element holds text. White space between elements is no text.

Why it matters
--------------
Data stand in attributes alone; a receiver never sees the text, and the file is not valid.

Example
-------
``<PFD A="PFD1" C="North" D="1">North</PFD>``

How to fix
----------
Remove the text, or write it as the attribute it was meant for.
""",
)

NOT_VALID: Final = Rule(
    id="schema.not-valid",
    severity=Severity.ERROR,
    message="The file is not valid: {reason}",
    remedy="Have the file written again by the program it comes from.",
    clause="8.2, 8.3",
    covers=("R-006",),
    about="""What it checks
--------------
Whatever else makes an XML file invalid: it is not well formed, or the parser gives a reason of its own.

Why it matters
--------------
A file that is not valid against the schema of its version cannot be processed.

Example
-------
A file that ends in the middle of a tag because a medium was removed too early.

How to fix
----------
Get the file again from its origin. A cut file has lost data; do not just close its tags.
""",
)

REPEATED_ID: Final = Rule(
    id="identity.repeated-id",
    severity=Severity.ERROR,
    message="'{value}' in {attribute} stands already in {first_attribute} on line {first_line} of the same file",
    remedy="Give one of the two a new identifier, and adjust what refers to it.",
    clause="8.4",
    covers=("R-006", "R-013", "R-014", "R-035", "R-037", "R-069", "R-072", "R-209"),
    about="""What it checks
--------------
No identifier occurs twice within one file. Names of binary and external files share the space of identifiers: a task
must not be called like a file. A clash of an identifier with a file name is a warning.

Why it matters
--------------
A reference cannot tell which of the two is meant: work may be booked on, or a rate taken from, the wrong one.

Example
-------
Two partfields with ``A="PFD1"``.

How to fix
----------
Number one of the two anew, and look through every reference to the old number.
""",
)

RULES: Final[tuple[Rule, ...]] = (
    INVALID_VALUE,
    OTHER_NOTATION,
    MISSING_ATTRIBUTE,
    UNKNOWN_NAME,
    MISPLACED_ELEMENT,
    MISSING_ELEMENT,
    TEXT_CONTENT,
    NOT_VALID,
    REPEATED_ID,
)

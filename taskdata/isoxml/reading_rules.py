"""Rules for what the reader itself notices in the bytes of a set."""

from __future__ import annotations

from taskdata.findings import Rule, Severity

UNREADABLE = Rule(
    id="file.unreadable",
    severity=Severity.ERROR,
    message="{file} {what}.",
    remedy="Copy the file again from its source; until then everything it holds is missing.",
    clause="8.2-8.3",
    covers=("R-006",),
    about="""\
What it checks
    That every XML file the set refers to can be parsed.
Why it matters
    A file that is cut off or damaged takes its fields, products or log headers with it.
Example
    PFD00001.XML ends in the middle of an element.
How to fix
    Copy the stick again, or let the machine or program that wrote the set write it once more.
""",
)

CUT_OFF = Rule(
    id="file.cut-off",
    severity=Severity.ERROR,
    message="{file} is cut off or damaged at line {line} ({reason}): the first {octets} of its {size} bytes were read, "
    "and nothing behind them. They hold: {what}.",
    remedy="Copy the file again from its source; until then everything behind the cut is missing.",
    clause="8.2-8.3",
    covers=("R-006",),
    about="""\
What it checks
    Whether an XML file ends too early or is damaged. With --rescue all that stands before the fault is read; a ring of
    a polygon in which the cut lies is left out, since half of it would be another outline.
Why it matters
    Everything behind the cut is missing: fields, tasks, logs. The element in which the cut lies is incomplete: a hole
    of its field, and with it an obstacle, may be among what is lost.
Example
    A main file of which the stick kept the first 60 %, so that it ends in the middle of a field.
How to fix
    Copy the file again from where it came. Use what was rescued only where the whole file is gone for good.
""",
)

NOT_UTF8 = Rule(
    id="file.not-utf-8",
    severity=Severity.ERROR,
    message="{file} is not UTF-8 from byte {at} on; it was read as {guess}, which is a guess for display only.",
    remedy="Have it written again as UTF-8, or check every name with unusual letters.",
    clause="8.1",
    covers=("R-005",),
    about="""\
What it checks
    That the bytes of every XML file decode as UTF-8.
Why it matters
    A strict reader refuses the file; a lax one shows wrong letters in names.
Example
    A name with an umlaut written in a one-byte encoding.
How to fix
    Write the file as UTF-8. The letters that were guessed need a look.
""",
)

OTHER_ENCODING = Rule(
    id="file.other-encoding",
    severity=Severity.ERROR,
    message="{file} declares the encoding {encoding}; task data is UTF-8.",
    remedy="Convert the set: it is written as UTF-8.",
    clause="8.5",
    covers=("R-004",),
    about="""\
What it checks
    That an XML declaration names UTF-8.
Why it matters
    A receiver need not know any other encoding.
Example
    <?xml version="1.0" encoding="ISO-8859-1"?>
How to fix
    Convert the set; the text is kept and written as UTF-8.
""",
)

BYTE_ORDER_MARK = Rule(
    id="file.byte-order-mark",
    severity=Severity.NOTE,
    message="{file} begins with a byte order mark.",
    remedy="Nothing need be done; a receiver that refuses the file wants it without.",
    clause="8.1",
    covers=("R-005",),
    about="""\
What it checks
    Whether an XML file begins with the bytes EF BB BF.
Why it matters
    The mark is allowed in XML, yet some readers stumble over it.
Example
    A file saved by a text editor as UTF-8 with mark.
How to fix
    Save without the mark.
""",
)

NAME_IN_OTHER_CASE = Rule(
    id="file.name-in-other-case",
    severity=Severity.NOTE,
    message="The file is called {file}, the set means {wanted}.",
    remedy="Rename it to capitals; converting the set does so.",
    clause="8.5",
    covers=("R-016", "R-002"),
    about="""\
What it checks
    That files are named as the set names them, in capitals.
Why it matters
    Names are case-sensitive: a strict receiver does not find tlg00001.bin.
Example
    taskdata.xml instead of TASKDATA.XML.
How to fix
    Rename the file. Names are matched in any case when reading, and written in capitals.
""",
)

PATH_IN_REFERENCE = Rule(
    id="file.path-in-reference",
    severity=Severity.ERROR,
    message="{element} names the file {wanted}, which contains a path; it was not followed.",
    remedy="Put the file beside the main file and name it without a path.",
    clause="8.1",
    covers=("R-003",),
    about="""\
What it checks
    That names of files in the set are plain names.
Why it matters
    A set is one flat folder. A path could lead to files that are none of its business.
Example
    Filename "../other/TLG00001".
How to fix
    Move the file into the folder of the set and give its name alone.
""",
)

LINK_OUTSIDE = Rule(
    id="file.link-outside",
    severity=Severity.WARNING,
    message="{file} is a link that leads out of the folder of the set; it was not followed.",
    remedy="Put the file itself into the folder, or take the link away.",
    clause="8.1",
    about="""\
What it checks
    That no entry of the folder is a link to something elsewhere.
Why it matters
    A set is one flat folder. A link could lead to files that are none of its business.
Example
    PFD00001.XML is a link to a file in the home folder of somebody else.
How to fix
    Copy the file into the folder of the set in place of the link.
""",
)

SET_IN_SUBFOLDER = Rule(
    id="file.set-in-subfolder",
    severity=Severity.NOTE,
    message="The set was found in {found}; a terminal looks for a folder TASKDATA at the root of the stick.",
    remedy="See that it is the set that is meant; put it at the root before the stick goes to a machine.",
    clause="8.5",
    covers=("R-002",),
    about="""\
What it checks
    Whether the set lies deeper than the root of what was named. The only set at any depth is read, also in an archive.
Why it matters
    A terminal does not find it there. A set in a folder of copies may be an old one.
Example
    stick/2024/TASKDATA/TASKDATA.XML, or stick/export.zip with the set in it.
How to fix
    Move the folder TASKDATA to the root of the stick, or leave it as it is where the set stays in the office.
""",
)

ANOTHER_SET = Rule(
    id="file.another-set",
    severity=Severity.NOTE,
    message="There is another set in {found}; it was not read.",
    remedy="Name it as a source of its own where it counts; take old copies off the stick.",
    clause="8.5",
    about="""\
What it checks
    Whether folders and archives beside or below the set that was read hold further sets.
Why it matters
    Dated copies are easily taken for the set. Work that stands in them alone is not part of the result.
Example
    TASKDATA and TASKDATA_old on one stick.
How to fix
    Name the other one as a source too, or keep copies elsewhere.
""",
)

NOT_LOOKED_INTO = Rule(
    id="file.not-looked-into",
    severity=Severity.WARNING,
    message="{found} could not be looked into ({reason}); a set in it was not read.",
    remedy="Copy it again from its source where a set may lie in it.",
    clause="8.5",
    about="""\
What it checks
    Whether every folder and archive beside the set could be looked into.
Why it matters
    Another set may lie there, and nothing of it was read.
Example
    An archive season.zip beside the set whose end is missing.
How to fix
    Copy it again, or take it off the stick where it holds nothing that counts.
""",
)

RULES = (
    UNREADABLE,
    CUT_OFF,
    NOT_UTF8,
    OTHER_ENCODING,
    BYTE_ORDER_MARK,
    NAME_IN_OTHER_CASE,
    PATH_IN_REFERENCE,
    LINK_OUTSIDE,
    SET_IN_SUBFOLDER,
    ANOTHER_SET,
    NOT_LOOKED_INTO,
)

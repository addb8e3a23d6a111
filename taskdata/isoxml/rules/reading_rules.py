"""Rules for what the reader itself notices in the bytes of a set."""

from __future__ import annotations

from taskdata.findings import Rule, Severity

UNREADABLE = Rule(
    id="file.unreadable",
    severity=Severity.ERROR,
    message="{file} {what}.",
    remedy="Copy the file again from its source; until then everything it holds is missing. Of an XML file that is cut "
    "off or damaged [[rescue]] reads what stands before that place.",
    clause="8.2-8.3",
    covers=("R-006",),
    about="""\
What it checks
    That every XML file the set refers to can be parsed, and that the disk or the archive gives every file that it
    names: binary files and attachments too.
Why it matters
    A file that is cut off or damaged takes its fields, products, log headers or records with it.
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

ZEROS_BEHIND_END = Rule(
    id="file.zeros-behind-end",
    severity=Severity.ERROR,
    message="{file} has zeros behind its last element (octets: {octets}); they were passed over.",
    remedy="Write the set anew without them: cleaning does so. No parser accepts the file as it is.",
    clause="8.1",
    covers=("R-005",),
    about="""\
What it checks
    Whether zero bytes follow the end of an XML file. A file that ends too early is told otherwise.
Why it matters
    XML allows no zero byte: a strict reader refuses the whole set, although nothing of it is missing.
Example
    A terminal reserved 64 KiB for TASKDATA.XML and filled what was left over with zeros.
How to fix
    Clean the set. Nothing of it changes.
""",
)

BARE_AMPERSAND = Rule(
    id="file.bare-ampersand",
    severity=Severity.ERROR,
    message="{file} has a bare & in line {line}, in {text} of {tag} (in the whole file: {count}); it was read as &.",
    remedy="Write it as &amp;: cleaning does so. No parser accepts the file as it is.",
    clause="8.1",
    covers=("R-005",),
    about="""\
What it checks
    Whether an & stands in an XML file that begins neither a character's number nor the name of an entity.
Why it matters
    XML demands &amp;: a strict reader refuses the whole set for the name of one customer.
Example
    <CTR A="CTR1" B="Brandt & Sohn"/>
How to fix
    Clean the set, or write &amp; at its origin. Names stay as they are meant.
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

MISSING = Rule(
    id="file.missing",
    severity=Severity.ERROR,
    message="{element} names the file {file}, which is not in the set.",
    remedy="Copy the whole folder of the set again, or take out the element that names the file.",
    clause="8.5, D.3, D.27, D.38, D.49, D.55",
    covers=("R-011",),
    about="""\
A file that the set names is not there.

What it checks
    That every external file (XFR), time log header and binary file (TLG), grid (GRD), binary point file (PNT) and
    attachment (AFE) that an element names lies in the set.
Why it matters
    Whatever the file holds is lost to the receiver: products, fields, a whole log. Many receivers refuse the set.
Example
    Bad: <TLG A="TLG00001"/> while the folder holds TLG00001.XML but no TLG00001.BIN.
    Good: both files lie beside TASKDATA.XML.
How to fix
    Copy the set again, all files of its folder. If the file is gone for good, take out the element that names it.
""",
)

EMPTY = Rule(
    id="file.empty",
    severity=Severity.ERROR,
    message="{file}, {kind} of {element}, is empty.",
    remedy="Copy it again from the terminal; if it is empty there too, nothing was recorded.",
    clause="8.6.3, 8.6.4",
    about="""\
A binary file of a log or of points holds nothing.

What it checks
    That the binary file of a time log (TLG) and a binary point file (PNT) hold at least one byte. Of a task that is
    planned, or a template, an empty log is a note: nothing has been recorded yet.
Why it matters
    The work that was done, or the line that the points make up, is missing. A card that was pulled out too early
    leaves such files behind.
Example
    A completed task whose TLG00001.BIN has 0 bytes.
How to fix
    Copy the file again from the terminal. If it is empty there too, the records are lost.
""",
)

WRONG_LENGTH = Rule(
    id="file.wrong-length",
    severity=Severity.WARNING,
    message="{file} has {size} bytes, but {element} says {stated}.",
    remedy="Copy the file again from its source; a file that is shorter than stated has lost its end.",
    clause="D.3, D.27, D.38, D.49",
    covers=("R-017",),
    about="""\
A file is longer or shorter than the set says.

What it checks
    That the length stated for a grid, a binary file of a time log, a binary point file or an attachment is the size
    of the file in bytes. A shorter file is an error, a longer one a warning.
Why it matters
    A shorter file was cut off on the way; a longer one belongs to something else or was written twice.
Example
    Bad: <GRD ... G="GRD00001" H="1200" .../> and a GRD00001.BIN of 900 bytes.
    Good: H is the size of the file.
How to fix
    Copy the file again. Cleaning the set raises a length that is too small. One that is too large is never brought
    down: it is the evidence that the end of the file is missing.
""",
)

RULES = (
    UNREADABLE,
    CUT_OFF,
    ZEROS_BEHIND_END,
    BARE_AMPERSAND,
    NOT_UTF8,
    OTHER_ENCODING,
    BYTE_ORDER_MARK,
    NAME_IN_OTHER_CASE,
    PATH_IN_REFERENCE,
    LINK_OUTSIDE,
    SET_IN_SUBFOLDER,
    ANOTHER_SET,
    NOT_LOOKED_INTO,
    MISSING,
    EMPTY,
    WRONG_LENGTH,
)

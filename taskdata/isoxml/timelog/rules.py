"""Rules on binary time logs and their headers: what may be wrong in the bytes themselves."""

from __future__ import annotations

from taskdata.findings import Rule, Severity

CLAUSE = "8.6.3"

CUT_RECORD = Rule(
    id="timelog.cut-record",
    severity=Severity.ERROR,
    message="The last record is cut: record {record} ends after octet {octets}",
    remedy="Copy the file again from the terminal; {records} whole records before it can be used",
    clause=CLAUSE,
    covers=("R-200",),
    about="""The binary file of a time log ends in the middle of a record.

What it checks
    After the last whole record nothing may follow. Octets that begin a further record but do not complete it are
    reported; all records before them are kept.

Why it matters
    A cut file is the sign of a broken copy, a card pulled out too early or a terminal switched off while writing.
    Records may be missing, so totals computed from the log can be too low.

Example
    A log with 24 octets a record has 2410 octets: 100 whole records and 10 octets of the next.

How to fix
    Copy the file again from the terminal. Where that is impossible, write the set anew: the whole records are kept.
""",
)

TRAILING_OCTETS = Rule(
    id="timelog.trailing-bytes",
    severity=Severity.ERROR,
    message="Padding follows the last record (octets: {octets})",
    remedy="Write the set anew without them; all {records} records are whole",
    clause=CLAUSE,
    covers=("R-200",),
    about="""The binary file of a time log is padded after its last record.

What it checks
    The rest after the last record, when it consists of nothing but 00 or nothing but FF octets, however long it is.

Why it matters
    A reader that does not expect the padding takes it for records of 1980 without a place, or refuses the file.

Example
    A storage card filled the last block of the file with FF octets; a terminal reserved room that stayed empty.

How to fix
    Write the set anew: the padding is left out when the log is written without it.
""",
)

VALUE_INDEX_OUT_OF_RANGE = Rule(
    id="timelog.value-index-out-of-range",
    severity=Severity.ERROR,
    message="Values name position {index} or another that the header does not have (values: {count}, listed: {listed})",
    remedy="Check that header and binary file belong together; such values have no meaning and are left out of results",
    clause=CLAUSE,
    covers=("R-198",),
    about="""A stored value points at a log value that the header does not list.

What it checks
    The position stored with every value is lower than the number of DLV elements of the header. One finding a file,
    at the first such record, with the number of values concerned.

Why it matters
    Nobody can tell what such a value measures. Many of them mean that the header belongs to another log, and then
    every column of the log may be read wrongly.

Example
    The header lists three DLV, a record stores a value for position 3 (the first position is 0).

How to fix
    Find the header that was written with this binary file. If there is none, treat the whole log with mistrust.
""",
)

NO_COUNT_OCTET = Rule(
    id="timelog.no-count-octet",
    severity=Severity.WARNING,
    message="The header lists no values and the records hold no count of values either",
    remedy="Read as {records} records of {length} octets without a count; other programs may refuse this log",
    clause=CLAUSE,
    about="""The records of a log without values lack the octet that counts the values.

What it checks
    When the header lists no DLV, the count octet (then 0) is still expected in every record. If the file makes no
    sense with it but consists of whole records without it, it is read without, and this is reported.

Why it matters
    The standard lists the count unconditionally (judged: also without any DLV). A program that follows it reads
    such a log shifted by one octet a record.

Example
    A header with time and position only; the file holds 14 octets a record instead of 15.

How to fix
    Write the set anew with a count octet, or ask the maker of the terminal for a corrected version.
""",
)

FIELD_CANNOT_BE_STORED = Rule(
    id="timelog.field-cannot-be-stored",
    severity=Severity.ERROR,
    message="{name} of {tag} is written empty in the header, but a binary record has no place for it",
    remedy="Give it a value or leave it out",
    clause=CLAUSE,
    covers=("R-195", "R-197"),
    about="""The header declares a field that binary records cannot hold.

What it checks
    Only the start time, the attributes of the position and the values can be written empty in a header, which means
    "stored in every record". Any other attribute written empty is reported.

Why it matters
    Programs may count the field into the length of a record and then read everything after it wrongly.

Example
    A header whose TIM has an empty Stop.

How to fix
    Remove the attribute from the header, or give it its value.
""",
)

BAD_CONSTANT = Rule(
    id="timelog.bad-constant",
    severity=Severity.ERROR,
    message="{name} of {tag} is fixed for all records, but its value {text} cannot be read",
    remedy="Correct the value in the header; until then the log is treated as having none",
    clause=CLAUSE,
    covers=("R-194",),
    about="""A value that the header fixes for all records is not of its type.

What it checks
    An attribute with a value in the header holds for every record. It has to be a number, a date with time or a
    hexadecimal identifier, as its type demands.

Why it matters
    The value would be applied to all records of the log, so it is left out rather than guessed.

Example
    A PTN whose height reads "12 m".

How to fix
    Correct the header.
""",
)

FIXED_START = Rule(
    id="timelog.fixed-start",
    severity=Severity.WARNING,
    message="The header fixes one start time for all records",
    remedy="Order and duration cannot be computed from this log; check the terminal's logging set-up",
    clause=CLAUSE,
    covers=("R-197",),
    about="""All records of a log carry the same start time.

What it checks
    The start of TIM in the header is written empty, so that every record stores its own.

Why it matters
    A fixed start says the same moment for every record: no speed, no duration and no order can be told.

Example
    A header whose TIM starts at 2026-05-04T08:00:00 instead of an empty text.

How to fix
    Have the log recorded with its times. Existing records cannot be given times afterwards.
""",
)

TOO_MANY_VALUES = Rule(
    id="timelog.too-many-values",
    severity=Severity.ERROR,
    message="The header lists {count} values; a log can hold 255",
    remedy="Split the log; values beyond position 254 can never be stored",
    clause=CLAUSE,
    covers=("R-198",),
    about="""The header lists more values than the records can name.

What it checks
    A header has at most 255 DLV elements, because a record names a value by one octet.

Why it matters
    Values beyond the limit cannot be stored and are missing in every record.

Example
    A wide machine with a DLV for each of its 300 sections.

How to fix
    Use condensed states for sections, or spread the values over several logs.
""",
)

NO_HEADER = Rule(
    id="timelog.no-header",
    severity=Severity.ERROR,
    message="{other} does not say what the records of {file} hold",
    remedy="Copy the header again from the terminal; without it nobody can read the records",
    clause=CLAUSE,
    about="""The header of a time log does not describe its records.

What it checks
    The XML file beside the binary file of a log holds a TIM, which says what stands in each record.

Why it matters
    Records are bare numbers: without the header none of them can be read.

Example
    TLG00001.XML holds an empty element of another kind.

How to fix
    Copy the header again, or take that of another log of the same terminal and machine, if you are sure it fits.
""",
)

RULES = (
    CUT_RECORD,
    TRAILING_OCTETS,
    VALUE_INDEX_OUT_OF_RANGE,
    NO_COUNT_OCTET,
    FIELD_CANNOT_BE_STORED,
    BAD_CONSTANT,
    FIXED_START,
    TOO_MANY_VALUES,
    NO_HEADER,
)

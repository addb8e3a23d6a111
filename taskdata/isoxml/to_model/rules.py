"""Rules for what stands in a set but cannot be given a meaning."""

from __future__ import annotations

from taskdata.findings import Rule, Severity

UNREADABLE_OBJECT = Rule(
    id="model.unreadable-object",
    severity=Severity.ERROR,
    message="{element} ({tag}) was left out: {reason}.",
    remedy="Correct the object in the program that wrote it; everything else in the set was read.",
    clause="Annex D",
    covers=("R-172", "R-177"),
    about="""\
What it checks
    That every object gives what it cannot do without: a zone its code, a grid its corner and cells, a line or ring
    its points, a guidance pattern its type.
Why it matters
    The object is missing in every list, map and figure. It stays in the file when the set is written again.
Example
    A guidance pattern of a type that the standard does not know. It is not guessed, because machines steer by it.
How to fix
    Correct the object where it was made, or delete it there.
""",
)

UNREADABLE_NUMBER = Rule(
    id="model.unreadable-number",
    severity=Severity.ERROR,
    message="{name} of {element} ({tag}) is no number: {text}.",
    remedy="Write a plain number; it counts as absent until then.",
    clause="Annex D",
    about="""\
What it checks
    That attributes which are numbers by the standard can be read as such.
Why it matters
    The value counts as absent: an area, a width or an amount is missing where somebody expects it.
Example
    A swath width of 24,0 or 24 m instead of 24000.
How to fix
    Write digits, for decimals with a point, without unit. The raw unit of each attribute is the standard's.
""",
)

UNKNOWN_CODE = Rule(
    id="model.unknown-code",
    severity=Severity.WARNING,
    message="{name} of {element} ({tag}) is {text}, which the standard does not list; it was read as {taken}.",
    remedy="Correct the code in the program that wrote it, or tell its meaning to those who receive the set.",
    clause="Annex D",
    about="""\
What it checks
    That codes of types and states are among those that the standard lists.
Why it matters
    Nobody can tell what is meant; the object is kept under the most general type, so it may be shown or treated
    otherwise than its maker meant it.
Example
    A polygon of type 37. It is read as an area of another kind.
How to fix
    Use a listed code.
""",
)

MISSING_ID = Rule(
    id="model.missing-identifier",
    severity=Severity.ERROR,
    message="This {tag} has no identifier; nothing can refer to it.",
    remedy="Give it an identifier of its tag and a number, such as {tag}1.",
    clause="8.4",
    about="""\
What it checks
    That fields, farms, customers, machines, products, workers and tasks carry their identifier.
Why it matters
    A task cannot name its field, a set that comes back cannot be matched with the one that was sent.
Example
    A field whose identifier is empty. It is read, with an empty identifier.
How to fix
    Give it a new, unused identifier.
""",
)

BAD_COORDINATES = Rule(
    id="model.bad-coordinates",
    severity=Severity.ERROR,
    message="Points of {element} ({tag}) without a readable position were left out: {count} of {total}.",
    remedy="Correct these points; the line or ring now goes straight past them.",
    clause="D.38",
    covers=("R-177",),
    about="""\
What it checks
    That latitude and longitude of every point of a line or ring are numbers.
Why it matters
    The shape is drawn and measured without these points, so its area and course may be wrong there.
Example
    A point whose latitude reads 54.30O1, with a letter for a nought.
How to fix
    Correct or delete the points.
""",
)

RULES = (UNREADABLE_OBJECT, UNREADABLE_NUMBER, UNKNOWN_CODE, MISSING_ID, BAD_COORDINATES)

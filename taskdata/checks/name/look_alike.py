"""Two names look the same.

What it checks
    That names in one list (fields and lines of one farm or field, customers, farms, workers, products, machines, tasks)
    do not differ only in capitals, blanks or characters that look alike, such as 0 and O, 1, l and I, Latin and
    Cyrillic a. Equal names are not meant.
Why it matters
    Usually it is one thing entered twice, and amounts and hours are spread over both. If they are two things, the
    driver cannot tell them apart on the screen.
Example
    Bad: the products "Kali 40" and "KALI 4O", with the letter O.
    Good: one product "Kali 40".
How to fix
    Join them, or rename one so that the difference can be seen.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import compress

import numpy as np
from numpy.typing import NDArray

from taskdata.checks.name._looks import looks
from taskdata.checks.name._named import Named, named
from taskdata.checks.subject import Subject
from taskdata.findings import Finding, Rule, Severity

RULE = Rule(
    id="name.look-alike",
    severity=Severity.WARNING,
    message='{element} "{name}" looks like {other} "{text}".',
    remedy="Join them if they are the same, or rename one so that the difference is visible.",
)


def check(subject: Subject) -> Iterator[Finding]:
    """Yield one finding for each name that looks like an earlier one in its list, but is not equal to it."""
    seen: dict[tuple[tuple[str, str | None], str], Named] = {}
    hashes = np.fromiter(map(_hash, named(subject)), np.int64)
    several = _repeated(hashes)
    for item in compress(named(subject), several.tolist()):
        first = seen.setdefault((item.group, looks(item.text)), item)
        if first.text != item.text and first.id != item.id:
            yield RULE.at(item.place, element=item.id, name=item.text, other=first.id, text=first.text)


def _hash(item: Named) -> int:
    return hash((item.group, looks(item.text)))


def _repeated(hashes: NDArray[np.int64]) -> NDArray[np.bool_]:
    """Tell which of (n,) hashes occur more than once; all others need not be kept."""
    order = np.argsort(hashes)
    equal = hashes[order[1:]] == hashes[order[:-1]]
    found = np.zeros(len(hashes), np.bool_)
    found[order[1:][equal]] = True
    found[order[:-1][equal]] = True
    return found

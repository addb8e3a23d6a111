"""Write names without characters that nobody sees, and with plain blanks.

Why it needs a look: names are matched by their characters elsewhere. A name that would then be that of another thing
is left, and so are controls beyond 127: they are what is left of letters that were read wrongly.
"""

from __future__ import annotations

from taskdata.checks.name._looks import is_blank, unseen
from taskdata.checks.name.invisible_character import check
from taskdata.phrases import phrase
from taskdata.repairs.name.writing import write
from taskdata.repairs.repair_work import RepairWork
from taskdata.results.cleaning import Standing

RULES = ("name.invisible-character",)
STANDING = Standing.REVIEW
NEEDS = ("name.outer-blanks",)

MISREAD = frozenset(map(chr, range(0x80, 0xA0)))
"""Controls of ISO/IEC 8859, which nobody types: bytes of other letters."""


def repair(work: RepairWork) -> None:
    """Write each such name with what can be seen of it."""
    write(work, RULES[0], check, seen, phrase("characters that cannot be seen"))


def seen(text: str) -> str:
    """Return a name without characters that cannot be seen; blanks of other kinds become plain ones."""
    odd = unseen(text)
    if odd & MISREAD:
        return text
    drawn = str.maketrans({item: " " if is_blank(item) else None for item in odd})
    return text.translate(drawn).strip()

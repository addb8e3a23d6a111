"""Write UUIDs of the link list in their plain form.

Why it is safe: braces, a prefix urn:uuid: and missing hyphens do not change which UUID it is (RFC 4122, 3). What is no
random UUID in any form is left.
"""

from __future__ import annotations

import re

from taskdata.checks.linklist.wrong_uuid import check, is_random_uuid
from taskdata.phrases import phrase
from taskdata.repairs.repair_work import RepairWork
from taskdata.results.cleaning import Standing

RULES = ("linklist.wrong-uuid",)
STANDING = Standing.SAFE

_PREFIX = "urn:uuid:"


def repair(work: RepairWork) -> None:
    """Rewrite each such UUID."""
    for element, _ in work.found(check):
        text = element.get("LinkValue") or ""
        plain = plain_uuid(text)
        if plain != text and is_random_uuid(plain):
            work.note(RULES[0], element, text, plain, phrase("it is the same UUID"))
            element.set("LinkValue", plain)


def plain_uuid(text: str) -> str:
    """Return what is left of a text without braces, blanks and prefix, with hyphens where RFC 4122 has them."""
    bare = text.strip().strip("{}()").strip()
    bare = bare[len(_PREFIX) :] if bare.lower().startswith(_PREFIX) else bare
    digits = bare.replace("-", "")
    if not re.fullmatch("[0-9A-Fa-f]{32}", digits):
        return text
    return "-".join((digits[:8], digits[8:12], digits[12:16], digits[16:20], digits[20:]))

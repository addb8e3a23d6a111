"""Keep files that nothing refers to out of the set.

Why it needs a look: one may hold a log or fields whose element got lost. None is deleted: they are put into a folder
beside the target.
"""

from __future__ import annotations

from taskdata.checks.file.unused import check
from taskdata.repairs.journal import ASIDE, Standing
from taskdata.repairs.work import Work

RULES = ("file.unused",)
STANDING = Standing.REVIEW
ORDER = 90


def repair(work: Work) -> None:
    """Take each such file out of the set."""
    for finding in work.audit(check):
        name = finding.place.file
        if name is not None and work.document.others.pop(name.upper(), None) is not None:
            work.note_file(RULES[0], name, name, ASIDE, "nothing in the set refers to it")

"""The errors that a target has and its source had not, for people and programs."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from taskdata.findings import Finding
from taskdata.reports import words
from taskdata.reports.check_text import STYLES
from taskdata.reports.reading import finding_documents
from taskdata.reports.styled import Line, wrapped

SHOWN = 20


def new_errors_lines(errors: Sequence[Finding]) -> list[Line]:
    """Return the errors with their places in the target, after a blank line; nothing where there are none."""
    if not errors:
        return []
    told = words.counted(len(errors), "error")
    lines = [Line(""), *wrapped(f"A check of the result finds {told} that the source did not have:", style="heading")]
    for error in errors[:SHOWN]:
        where = words.standing(error)
        text = f"{words.message(error)} {words.remedy(error)}"
        text = f"{str(error.severity).upper()}  {error.rule.id}  {f'{where}: ' if where else ''}{text}"
        lines += wrapped(text, 2, style=STYLES[error.severity], hanging=2)
    rest = len(errors) - SHOWN
    return lines + (wrapped(f"{rest} more: taskdata check of the result lists each.", 2) if rest > 0 else [])


def new_errors_document(errors: Sequence[Finding]) -> list[dict[str, Any]]:
    """Return the errors in the form of ``check``."""
    return finding_documents(errors)

"""Accepted findings: a file of those that are known, so that only new ones count.

A finding is recognised by its rule, file, element and facts, not by its line, so that it stays accepted when things
move about in the file. A finding is accepted wherever it stands: the file does not name the set it was written for.
"""

from __future__ import annotations

import json
import os
from collections import Counter
from collections.abc import Iterable
from typing import Any

from taskdata import strict_json
from taskdata.errors import UnfitError, UsageError, unfit
from taskdata.file_formats.regular import settings_text
from taskdata.findings import Finding
from taskdata.paths import named_path

FORM = "taskdata baseline 1"


def fingerprint(finding: Finding) -> str:
    """Return a text that is the same for the same finding of the same set, whatever its line."""
    place = finding.place
    spot = [(place.file or "").upper(), place.element or "", place.record]
    facts = sorted((name, value) for name, value in finding.facts.items() if not name.endswith("line"))
    return strict_json.dumps([finding.rule.id, *spot, facts], sort_keys=True)


def baseline_document(findings: Iterable[Finding]) -> dict[str, Any]:
    """Return the document that accepts ``findings``: each with how often it stands."""
    counts = Counter(fingerprint(finding) for finding in findings)
    return {"form": FORM, "accepted": [{"finding": json.loads(key), "times": counts[key]} for key in sorted(counts)]}


def read_baseline(path: str | os.PathLike[str]) -> Counter[str]:
    """Read a file of accepted findings: how often each is accepted.

    Raises
    ------
    UsageError
        The file is missing or is no such file.
    """
    place = named_path(path, "file of known findings")
    try:
        document = strict_json.loads(settings_text(place))
        if document["form"] != FORM:
            raise UnfitError("it is of another form")
        rows = document["accepted"]
        return Counter({strict_json.dumps(row["finding"]): int(row["times"]) for row in rows})
    except (OSError, ValueError, KeyError, TypeError, OverflowError, RecursionError) as error:
        raise UsageError(
            "is not a file of known findings",
            where=path,
            why=unfit(error),
            remedy="Write one with [[write_baseline()]]",
        ) from error


def write_baseline(path: str | os.PathLike[str], findings: Iterable[Finding]) -> None:
    """Write a file that accepts ``findings``, whole or not at all.

    Parameters
    ----------
    path : path
        The file to make; an existing file is never replaced.
    findings : iterable of Finding
        Those of a report that lists all, which ``check(..., max_per_rule=0)`` makes.

    Raises
    ------
    TargetError
        The file exists, or the disk reported an error.

    Examples
    --------
    >>> import taskdata
    >>> report = taskdata.check("samples/older")
    >>> taskdata.write_baseline("known.json", report.findings)
    >>> taskdata.check("samples/older", accepted="known.json").summary
    {'error': 0, 'warning': 0, 'note': 0}
    """
    from taskdata.staging import write_text  # noqa: PLC0415  # an audit writes nothing

    text = strict_json.dumps(baseline_document(findings), indent=1)
    write_text(path, f"{text}\n")


def without_accepted(findings: Iterable[Finding], accepted: Counter[str]) -> list[Finding]:
    """Return the findings that are not accepted; one that is accepted twice and stands three times is left once."""
    left = Counter(accepted)
    kept = []
    for finding in findings:
        key = fingerprint(finding)
        if left[key] > 0:
            left[key] -= 1
        else:
            kept.append(finding)
    return kept

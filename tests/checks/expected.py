"""What the samples of the rules yield: read, made anew and compared in one form.

``python -m tests.checks.expected [RULE ...]`` writes ``expected.json`` of these rules (all without one) again. It says
what the program does, not what it ought to do: read each line that changed before it is committed.
"""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Any

from taskdata import api
from taskdata.findings import Finding
from taskdata.reports import words

FOLDER = Path(__file__).parent.parent / "rules"
NAME = "expected.json"
DIGITS = 7


def receiver_for(folder: Path) -> Path | None:
    """The profile beside a sample: its own, or that of all samples of the rule; only rules on a receiver have one."""
    beside = (folder.with_suffix(".toml"), folder.parent / "receiver.toml")
    return next((path for path in beside if path.exists()), None)


def found(folder: Path) -> list[dict[str, Any]]:
    """The findings of a sample: rule, severity, where, and every word of message and remedy."""
    report = api.check(folder, receiver=receiver_for(folder), max_per_rule=0)
    return sorted((row(finding, folder) for finding in report.findings), key=str)


def expected(folder: Path) -> list[dict[str, Any]]:
    """What a sample ought to yield."""
    rows = json.loads((folder.parent / NAME).read_text(encoding="utf-8")).get(folder.name, [])
    return sorted(rows, key=str)


def write(rule: Path) -> None:
    """Write what the samples of a rule yield, good ones with findings too, so that nobody overlooks them."""
    cases = {folder.name: found(folder) for folder in sorted(rule.iterdir()) if folder.is_dir()}
    text = json.dumps({name: rows for name, rows in cases.items() if rows}, ensure_ascii=False, indent=2)
    (rule / NAME).write_text(f"{text}\n", encoding="utf-8")


def row(finding: Finding, source: Path) -> dict[str, Any]:
    """Return a finding in plain values; where this copy of the samples lies is no part of it."""
    place = finding.place
    found: dict[str, Any] = {
        "rule": finding.rule.id,
        "severity": str(finding.severity),
        "file": place.file,
        "line": place.line,
        "element": place.element,
    }
    if place.record is not None:
        found["record"] = place.record
    if place.location is not None:
        found["location"] = [round(degrees, DIGITS) for degrees in place.location]
    texts = {"message": words.message(finding), "remedy": words.remedy(finding)}
    return found | {name: text.replace(str(source), source.name) for name, text in texts.items()}


if __name__ == "__main__":
    for path in sorted(FOLDER.iterdir()):
        if len(sys.argv) == 1 or path.name in sys.argv:
            write(path)

"""What of a source of layers could not be read, as a whole or in part, so that results and exit codes say so."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from pathlib import Path
from types import MappingProxyType

from taskdata.findings import Finding, Unread
from taskdata.raised_rules.import_ import broken_off, cut_off, database_damaged, rows_missing, unreadable_layer

_WORDS: Mapping[str, str] = MappingProxyType(
    {
        unreadable_layer.RULE.id: "cannot be read: {reason}",
        broken_off.RULE.id: "is damaged or cut off in line {line}: {reason}",
        cut_off.RULE.id: "was cut off: it has {size} bytes, and its header says {stated}",
        rows_missing.RULE.id: "says that it holds {total} rows, and {count} can be read",
        database_damaged.RULE.id: "is damaged within; rows of it may be missing",
    }
)
"""How a sentence that begins with the file ends, by rule."""


def with_unread(findings: Iterable[Finding]) -> Iterator[Finding]:
    """Yield findings; those that tell of something unread say what."""
    for finding in findings:
        words = _WORDS.get(finding.rule.id)
        if words is None:
            yield finding
            continue
        file = finding.place.file or ""
        layer = finding.facts.get("layer", file)
        what = "layer" if layer in (file, Path(file).stem) else f"layer {layer}"
        yield replace(finding, unread=Unread(file, what, words.format_map(finding.facts)))

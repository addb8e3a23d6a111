"""What reading layers left out, as lines of the ledger."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from taskdata.findings import Finding
from taskdata.ledger import Loss, LossKind

_LEFT_OUT = {
    "import.no-geometry": ("row {row} of {layer}", "it has no geometry"),
    "import.bad-geometry": ("row {row} of {layer}", "its geometry cannot be used: {reason}"),
    "import.part-left-out": ("a part of row {row} of {layer}", "{reason}"),
    "import.rows-deleted": ("rows {rows} of {layer}", "they are marked as deleted in {file}"),
    "import.rows-unequal": ("shapes or rows of {layer}", "it has {count} shapes and {file} {total} rows"),
    "import.rows-missing": ("rows of {file}", "it says that it holds {total}, and {count} can be read"),
    "import.database-damaged": ("rows of {file}", "it is damaged inside; how many are missing is unknown"),
    "import.no-feature": ("row {row} of {layer}", "it is {what}, not a Feature"),
    "import.name-twice": ("all but the last member {name} of {layer}", "{what} has several of that name"),
    "import.broken-off": ("what stands in {file} after line {line}", "it is damaged or cut off there: {reason}"),
    "import.link-not-followed": ("what {file} refers to", "{what}: nothing outside the file is opened"),
    "import.unreadable-layer": ("layer {layer}", "it cannot be read: {reason}"),
    "import.crs-unknown": ("layer {layer}", "its coordinate reference system is unknown"),
    "import.layer-left-out": ("layer {layer}", "{reason}"),
    "import.copy-left-out": ("{differing} of {layer}", "{reason}"),
    "import.rates-set-aside": ("layer {layer}", "it is taken as a rate map, and rates become a task by themselves"),
    "import.kind-set-aside": ("layer {layer}", "it is taken as {kind}"),
    "import.measures-left-out": ("measures of {layer}", "fields and lines do not hold them"),
    "import.heights-left-out": ("heights of {layer}", "{reason}"),
    "import.columns-left-out": (
        "columns {columns} of {layer}",
        "task data has no attribute that they are known to match",
    ),
    "import.log-columns-left-out": ("columns {columns} of {layer}", "they are not read into logs"),
    "import.broken-sentences": ("{count} sentences of {file}", "they are broken; the first: {reason}"),
    "import.value-left-out": ("{what}", "{reason}"),
}


def losses_from_findings(findings: Iterable[Finding]) -> Iterator[Loss]:
    """Yield a line for each finding that says that something which was read is not kept."""
    for finding in findings:
        words = _LEFT_OUT.get(finding.rule.id)
        if words is not None and finding.facts.get("differing", True):  # a copy may hold nothing of its own
            what, why = (text.format_map(finding.facts) for text in words)
            yield Loss(LossKind.DROPPED, finding.place.element, what, why)

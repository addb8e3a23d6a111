"""The summary of a batch as JSON."""

from __future__ import annotations

from collections import Counter
from typing import Any

from taskdata.results.batch import Batch, BatchedSource

FAILED = 2
"""The exit code from which a source has no result."""


def batch_document(result: Batch) -> dict[str, Any]:
    """Return the document of ``batch --json``, which ``summary.json`` is too."""
    return {
        "command": result.command,
        "sources": [_source(item) for item in result.sources],
        "totals": batch_totals(result),
        "findings": [],
        "warnings": list(result.warnings),
        "unread": [],
    }


def batch_totals(result: Batch) -> dict[str, Any]:
    """Return how many sources there are, failed or were kept, how many by exit code, and sums of what was counted."""
    counts: Counter[str] = Counter()
    for item in result.sources:
        counts.update(item.counts)
    codes = Counter(item.exit for item in result.sources)
    return {
        "sources": len(result.sources),
        "failed": sum(item.exit >= FAILED for item in result.sources),
        "kept": sum(item.kept for item in result.sources),
        "exit": {str(code): codes[code] for code in sorted(codes)},
        "seconds": round(sum(item.seconds for item in result.sources), 3),
        "counts": dict(counts),
    }


def _source(item: BatchedSource) -> dict[str, Any]:
    return {
        "source": item.source,
        "digest": item.digest,
        "exit": item.exit,
        "result": item.result,
        "document": item.document,
        "seconds": item.seconds,
        "error": item.error,
        "bounds": None if item.bounds is None else list(item.bounds),
        "counts": dict(item.counts),
    }

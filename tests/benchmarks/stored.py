"""The ratios of the last stored run of each benchmark, beside this module: shown next to new ones, written on request.

Only figures without a unit are kept: ratios to a floor and exponents, which say as much on another machine.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from tests.benchmarks.measure import show

STORED = Path(__file__).with_name("last.json")
UNITS, COUNTS = ("_s", "_mb", "_error"), ("quads", "ribbons", "residual")
"""Ends of names, and names, of figures that are seconds, megabytes, errors and counts and no ratios."""


def flat(found: Mapping[Any, Any], above: str = "") -> dict[str, float]:
    """Return the ratios among nested figures by the path of their names.

    >>> flat({"ordinary": {"all_to_ribbons": 1.10456, "areas_s": 1.2, "quads": 7}, 16000: 1.4})
    {'ordinary: all_to_ribbons': 1.105, '16000': 1.4}
    """
    ratios: dict[str, float] = {}
    for name, value in found.items():
        path = f"{above}: {name}" if above else str(name)
        if isinstance(value, Mapping):
            ratios |= flat(value, path)
        elif isinstance(value, float) and name not in COUNTS and not path.endswith(UNITS):
            ratios[path] = float(f"{value:.4g}")
    return ratios


def beside(benchmark: str, found: Mapping[Any, Any], *, store: bool) -> None:
    """Print ratios beside those stored last, and store them if asked."""
    last = json.loads(STORED.read_text(encoding="utf-8")) if STORED.exists() else {}
    before = last.get(benchmark, {})
    rows = [("ratio", "last", "now")]
    rows += [(name, f"{before[name]:.2f}" if name in before else "", f"{now:.2f}") for name, now in flat(found).items()]
    show(f"{benchmark}: beside the last", rows)
    if store:
        last[benchmark] = before | flat(found)
        text = json.dumps(dict(sorted(last.items())), indent=1, ensure_ascii=False)
        STORED.write_text(f"{text}\n", encoding="utf-8")

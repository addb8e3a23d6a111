"""``python -m tests.faults [KIND] [COUNT] [SEED]``: put faults under the program and say what came of it.

``sample`` instead of a kind does a few of each.
"""

from __future__ import annotations

import os
import sys
import tempfile
from collections.abc import Callable, Mapping
from pathlib import Path
from types import MappingProxyType

from tests.faults.kills import kills
from tests.faults.limits import closed_output, memory
from tests.faults.media import full, permission, read_only
from tests.faults.pairs import pairs
from tests.faults.report import Report, tell
from tests.faults.runs import load_everything
from tests.faults.sources import sources

SAMPLE = "sample"
KINDS: Mapping[str, tuple[Callable[[Path, int, int], Report], int, int]] = MappingProxyType(
    {
        "kill": (kills, 200, 3),
        "two": (pairs, 26, 2),
        "full": (full, 55, 1),
        "read-only": (read_only, 11, 1),
        "permission": (permission, 11, 1),
        "source": (sources, 99, 3),
        "stdout": (closed_output, 5, 1),
        "memory": (memory, 78, 2),
    }
)
"""What may be done, how often in a long run, and how often in a sample."""


def main() -> int:
    """Run one kind, or all; return 1 where a promise did not hold."""
    words = sys.argv[1:]
    chosen = [words[0]] if words and words[0] != SAMPLE else list(KINDS)
    sample = words[:1] == [SAMPLE]
    seed = int(words[2]) if len(words) > 2 else 1
    load_everything()
    found = []
    for kind in chosen:
        run, usual, few = KINDS[kind]
        count = few if sample else int(words[1]) if len(words) > 1 else usual
        with tempfile.TemporaryDirectory(prefix="faults-", dir=os.environ.get("FAULTS_FOLDER") or None) as work:
            found.append(run(Path(work), count, seed))
        tell(found[-1].shown())
    return int(any(report.failures for report in found))


if __name__ == "__main__":
    sys.exit(main())

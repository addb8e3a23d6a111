"""Print what became of every fault: ``python -m tests.checks.mutations``."""

from __future__ import annotations

import sys
from collections import Counter

from tests.checks.mutations import cannot
from tests.checks.mutations.catalogue import faults
from tests.checks.mutations.engine import judge


def main() -> int:
    """Print a table by kind, then the faults that were missed or found elsewhere, and those that nobody can find."""
    made, found, placed = Counter[str](), Counter[str](), Counter[str]()
    left = []
    for fault in faults():
        verdict = judge(fault)
        made[fault.kind] += 1
        found[fault.kind] += verdict.found
        placed[fault.kind] += verdict.placed
        if not verdict.placed:
            left.append(verdict)
    rows = [(kind, made[kind], found[kind], placed[kind], made[kind] - found[kind]) for kind in sorted(made)]
    rows.append(("together", *(sum(column) for column in list(zip(*rows, strict=True))[1:])))
    lines = [f"{'fault':38} {'made':>6} {'found':>6} {'placed':>6} {'missed':>6}"]
    lines += [f"{kind:38} {a:6} {b:6} {c:6} {d:6}" for kind, a, b, c, d in rows]
    for verdict in left:
        lines.append(
            f"{'NOT PLACED' if verdict.found else 'MISSED'} {verdict.fault}: {', '.join(verdict.news) or 'nothing new'}"
        )
    lines.append("No audit of one set can find:")
    lines += [f"  {fault.name}: {reason}" for fault, reason in cannot.faults()]
    sys.stdout.write("\n".join(lines) + "\n")
    return 1 if left else 0


if __name__ == "__main__":
    sys.exit(main())

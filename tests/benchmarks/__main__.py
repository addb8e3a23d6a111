"""Run benchmarks: ``python -m tests.benchmarks [NAME...]``, all of them without a name.

The figures to judge are ratios to a floor that was measured in the same run on the same machine.
"""

import sys
from importlib import import_module

NAMES = (
    "reading",
    "writing",
    "logs",
    "tracks",
    "timelog",
    "coverage",
    "checking",
    "cleaning",
    "adapting",
    "comparing",
    "merging",
    "ratemap",
)


def main(names: list[str]) -> int:
    """Run the named benchmarks, or all."""
    unknown = [name for name in names if name not in NAMES]
    if unknown:
        sys.stderr.write(f"no benchmark is called {unknown[0]}; there are {', '.join(NAMES)}\n")
        return 2
    for name in names or NAMES:
        import_module(f"tests.benchmarks.bench_{name}").run()
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))

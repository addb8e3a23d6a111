"""Run benchmarks: ``python -m tests.benchmarks [--store] [NAME...]``, all of them without a name.

The figures to judge are ratios to a floor that was measured in the same run on the same machine, and exponents of
growth. They are printed beside those of the last stored run; ``--store`` stores the new ones. After ``growth`` series
and commands may be named, such as ``growth links check``. ``gigabyte`` and ``page``, which needs Chromium, run only by
name, with or without commands or sets such as ``gigabyte inspect`` and ``page "100 MB"``. ``--quick`` runs what
continuous integration prints: a few series of growth, and coverage of few sweeps. Nothing fails on what is measured.
"""

import sys
from importlib import import_module

from tests.benchmarks.stored import beside

NAMES = (
    "starting",
    "reading",
    "writing",
    "converting",
    "logs",
    "tracks",
    "timelog",
    "coverage",
    "checking",
    "cleaning",
    "adapting",
    "comparing",
    "merging",
    "catalogue",
    "ratemap",
    "batch",
    "growth",
)
QUICK = {"coverage": {"sizes": (20_000,), "flicker": 0}, "growth": {"quick": True}}


def main(words: list[str]) -> int:
    """Run the named benchmarks, or all."""
    store, quick = "--store" in words, "--quick" in words
    names = [word for word in words if not word.startswith("--")]
    if names[:1] in (["growth"], ["gigabyte"], ["page"]):
        name, *chosen = names
        beside(name, import_module(f"tests.benchmarks.bench_{name}").run(*chosen), store=store)
        return 0
    unknown = [name for name in names if name not in NAMES]
    if unknown:
        sys.stderr.write(f"no benchmark is called {unknown[0]}; there are {', '.join(NAMES)}\n")
        return 2
    for name in names or (QUICK if quick else NAMES):
        found = import_module(f"tests.benchmarks.bench_{name}").run(**(QUICK.get(name, {}) if quick else {}))
        beside(f"{name}, quick" if quick else name, found, store=store)
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))

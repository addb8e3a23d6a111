"""How many small faults put into the code do the tests notice? A mutation run over a random sample, outside the gate.

``python -m tests.mutants geometry 150`` needs mutmut (``pip install "mutmut>=3.8"``). It works on a copy, draws the
sample with a fixed seed, and shows how many were killed and each mutant that survived; ``mutmut show NAME`` in the
copy shows one. A survivor is a hole in the tests or says the same in other words: look at each.
"""

from __future__ import annotations

import json
import random
import shutil
import subprocess
import sys
import tempfile
from collections import Counter
from pathlib import Path

ROOT = Path(__file__).parent.parent
COPIED = ("taskdata", "tests", "schemas", "samples", "README.md", "pyproject.toml")
PARTS = {
    "geometry": ("taskdata/geometry/*", ["tests/geometry"]),
    "timelog": ("taskdata/isoxml/timelog/*", ["tests/isoxml/test_timelog.py", "tests/checks/test_samples.py"]),
    "fieldwork": ("taskdata/fieldwork/*", ["tests/fieldwork"]),
}
SEED = 1
SURVIVED = {0: "survived", 33: "no test"}
NO_MUTANT = "none.of.that.name"


def sample_of(part: str, count: int, seed: int = SEED) -> dict[str, int | None]:
    """Return the exit code of mutmut for each mutant of a sample: 0 where all tests passed, 33 where none ran."""
    folder = Path(tempfile.mkdtemp(prefix=f"mutants-{part}-"))
    for name in COPIED:
        copied = shutil.copytree if (ROOT / name).is_dir() else shutil.copy
        copied(ROOT / name, folder / name)
    pattern, tests = PARTS[part]
    settings = {
        "source_paths": ["taskdata"],
        "only_mutate": [pattern],
        "also_copy": [name for name in COPIED if name not in {"taskdata", "tests", "pyproject.toml"}],
        "pytest_add_cli_args": ["-n", "0", "-p", "no:cacheprovider"],
        "pytest_add_cli_args_test_selection": tests,
        "timeout_multiplier": 3,
    }
    lines = [f"{name} = {json.dumps(value)}" for name, value in settings.items()]
    with (folder / "pyproject.toml").open("a", encoding="utf-8") as stream:
        stream.write("\n".join(["", "[tool.mutmut]", *lines, ""]))
    tell(f"Working in {folder}")
    _run(folder, NO_MUTANT)  # makes the mutants and learns which tests run which function, then finds none to try
    names = sorted(_outcomes(folder, pattern))
    chosen = random.Random(seed).sample(names, min(count, len(names)))  # noqa: S311  # a sample, no secret
    tell(f"{len(chosen)} of {len(names)} mutants of {pattern}, seed {seed}")
    _run(folder, *chosen)
    found = _outcomes(folder, pattern)
    return {name: found[name] for name in chosen}


def tell(*words: object) -> None:
    """Print words on a line of their own."""
    sys.stdout.write(" ".join(map(str, words)) + "\n")


def _run(folder: Path, *names: str) -> None:
    command = [sys.executable, "-m", "mutmut", "run", *names]
    subprocess.run(command, cwd=folder, check=False, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)


def _outcomes(folder: Path, pattern: str) -> dict[str, int | None]:
    files = (folder / "mutants" / pattern.removesuffix("/*")).rglob("*.meta")
    return {
        name: code
        for path in files
        for name, code in json.loads(path.read_text(encoding="utf-8"))["exit_code_by_key"].items()
    }


def main() -> None:
    """Print the figure of one part and its survivors."""
    part, count = sys.argv[1], int(sys.argv[2]) if len(sys.argv) > 2 else 150
    outcomes = sample_of(part, count)
    counts = Counter("not tried" if code is None else SURVIVED.get(code, "killed") for code in outcomes.values())
    tell(dict(counts), f"{counts['killed'] / len(outcomes):.1%} killed")
    for name, code in sorted(outcomes.items()):
        if code is None or code in SURVIVED:
            tell("not tried" if code is None else SURVIVED[code], name)


if __name__ == "__main__":
    main()

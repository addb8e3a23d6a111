"""The bill of materials of a test run: ``python -m tests.supply.bill FOLDER`` needs ``cyclonedx-bom``.

Writes ``lock.txt``, every package of this environment with its version, and ``bill.json``, the same as CycloneDX 1.6
with licences and dependencies.
"""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

from tests.supply.environments import ROOT, run


def main() -> None:
    """Write both files."""
    folder = Path(sys.argv[1])
    folder.mkdir(parents=True, exist_ok=True)
    freeze = [sys.executable, "-m", "pip", "freeze", "--exclude-editable"]
    lock = subprocess.run(freeze, check=True, capture_output=True, text=True).stdout
    (folder / "lock.txt").write_text(lock, encoding="utf-8")
    options = ["--pyproject", str(ROOT / "pyproject.toml"), "--spec-version", "1.6", "--output-reproducible"]
    target = ["--output-format", "JSON", "--output-file", str(folder / "bill.json")]
    run([sys.executable, "-m", "cyclonedx_py", "environment", *options, *target, sys.executable], ROOT)


if __name__ == "__main__":
    main()

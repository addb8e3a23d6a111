"""A few faults of each kind; the command that does many is in DEVELOPERS.md."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

from tests.faults.__main__ import KINDS


def test_promises_hold_under_a_few_faults_of_each_kind() -> None:
    """In a folder that another user can reach, in memory where tests are."""
    command = [sys.executable, "-m", "tests.faults", "sample"]
    home = Path(__file__).parents[2]
    memory = os.environ.get("PYTEST_DEBUG_TEMPROOT", "")
    environment = os.environ | ({"FAULTS_FOLDER": memory} if memory else {})
    done = subprocess.run(command, cwd=home, env=environment, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
    told = [line.split(":")[0] for line in done.stdout.splitlines()]
    assert told == list(KINDS), "each kind says how many faults there were, and of no failure"

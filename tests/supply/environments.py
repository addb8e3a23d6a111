"""Virtual environments of their own, and commands in them."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path

ROOT = Path(__file__).parents[2]


def environment(folder: Path, python: str = sys.executable) -> Path:
    """Make a virtual environment that sees no other packages, and return its interpreter."""
    run([python, "-m", "venv", str(folder)], ROOT)
    return folder / "bin" / "python"


def install(python: Path, *what: str) -> None:
    """Install packages into the environment of an interpreter."""
    run([str(python), "-m", "pip", "install", "-q", "--disable-pip-version-check", *what], ROOT)


def run(command: Sequence[str], folder: Path) -> None:
    """Run a command in a folder and show it; it ends the program where it fails."""
    sys.stdout.write(f"+ {' '.join(command)}\n")
    sys.stdout.flush()
    done = subprocess.run(command, cwd=folder, check=False)
    if done.returncode:
        raise SystemExit(f"ended with exit code {done.returncode}")

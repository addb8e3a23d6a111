"""Try the lowest or the newest versions of what the program needs: ``python -m tests.supply.versions lowest|newest``.

A virtual environment gets the lowest versions that ``pyproject.toml`` allows of every dependency of users, or the
newest there are, and runs a part of the suite. ``--python python3.13`` takes another interpreter; ``wheels`` asks,
without one, whether every dependency has a wheel for CPython 3.11 to 3.13.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
from pathlib import Path

from packaging.requirements import Requirement

from tests.supply.dependencies import direct
from tests.supply.environments import ROOT, environment, install, run

PART = (
    "tests/formats",
    "tests/isoxml",
    "tests/exchange/test_round_trips.py",
    "tests/rates",
    "tests/geometry",
    "tests/cli",
)
PYTHONS = ("3.11", "3.12", "3.13")


def lowest(requirement: Requirement) -> str:
    """Return a requirement of its lowest version alone."""
    (bound,) = (item.version for item in requirement.specifier if item.operator == ">=")
    return f"{requirement.name}=={bound}"


def main() -> None:
    """Make the environment and run the tests in it."""
    parser = argparse.ArgumentParser(prog="python -m tests.supply.versions")
    parser.add_argument("which", choices=["lowest", "newest", "wheels"])
    parser.add_argument("tests", nargs="*", default=PART)
    parser.add_argument("--python", default=sys.executable)
    given = parser.parse_args()
    with tempfile.TemporaryDirectory(prefix="taskdata-versions-") as folder:
        if given.which == "wheels":
            for version in PYTHONS:
                options = ["--dry-run", "--only-binary=:all:", "--python-version", version, "--target", folder]
                install(Path(sys.executable), *options, *map(str, direct()))
            return
        python = environment(Path(folder), given.python)
        pins = [lowest(item) for item in direct()] if given.which == "lowest" else ["--upgrade"]
        install(python, "-e", f"{ROOT}[test]", *pins)
        run([str(python), "-m", "pip", "list", "--format", "freeze"], ROOT)
        quiet = "ignore:Conversion of an array:DeprecationWarning"  # which NumPy 2.0 tells pyproj
        run([str(python), "-m", "pytest", "-p", "no:cacheprovider", "-W", quiet, *given.tests], ROOT)


if __name__ == "__main__":
    main()

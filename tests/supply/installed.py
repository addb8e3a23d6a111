"""Build wheel and source archive, install each without the checkout, and run README's first command from there.

``python -m tests.supply.installed`` needs ``build``. The source archive is unpacked elsewhere and set up as README
says; the wheel goes into an environment of its own and converts the same sample, with no file of the project beside it.
"""

from __future__ import annotations

import sys
import tarfile
import tempfile
from pathlib import Path

from tests.supply.environments import ROOT, environment, install, run

MARK = "<!-- main command -->"


def first_command() -> str:
    """Return the command that README shows first."""
    return (ROOT / "README.md").read_text(encoding="utf-8").split(MARK)[1].strip().splitlines()[1]


def main() -> None:
    """Build and try both."""
    with tempfile.TemporaryDirectory(prefix="taskdata-installed-") as folder:
        place = Path(folder)
        run([sys.executable, "-m", "build", "--outdir", str(place / "dist"), str(ROOT)], place)
        (archive,), (wheel,) = (place / "dist").glob("*.tar.gz"), (place / "dist").glob("*.whl")
        with tarfile.open(archive) as packed:
            packed.extractall(place / "unpacked", filter="data")
        (unpacked,) = (place / "unpacked").iterdir()
        run(["bash", "-euo", "pipefail", "-c", first_command()], unpacked)
        python = environment(place / "clean")
        install(python, str(wheel))
        elsewhere = place / "elsewhere"
        elsewhere.mkdir()
        (place / "unpacked" / unpacked.name / "samples" / "machine").rename(elsewhere / "stick")
        command = str(python.with_name("taskdata"))
        run([command, "convert", "stick", "farm.gpkg", "--verify"], elsewhere)
        run([command, "check", "farm.gpkg", "--quiet"], elsewhere)


if __name__ == "__main__":
    main()

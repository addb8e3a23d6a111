"""The engine: atheris over one group of kinds, in a process of its own that ends when it has run."""

from __future__ import annotations

import hashlib
import os
import pkgutil
import random
import shutil
import sys
import tempfile
import traceback
from importlib import import_module
from pathlib import Path

import atheris

with atheris.instrument_imports(include=["taskdata"]):
    import taskdata

    for _found in pkgutil.walk_packages(taskdata.__path__, "taskdata."):
        if not _found.name.endswith("__main__"):
            import_module(_found.name)

from tests.fuzz import judges
from tests.fuzz.kinds import Kind
from tests.fuzz.targets import kinds_of

HERE = Path(__file__).parent
CORPUS, FOUND, WORDS = HERE / "corpus", HERE / "found", HERE / "words.dict"
SCRATCH = Path("/dev/shm") if os.access("/dev/shm", os.W_OK) else Path(tempfile.gettempdir())  # noqa: S108
TIMEOUT = 60
"""Seconds after which an input ends the run, as where it does not come to an end."""


class Runner:
    """Runs inputs of some kinds: the first byte says which kind, the rest is the content."""

    def __init__(self, name: str, finds: Path) -> None:
        self.kinds, self.finds = kinds_of(name), finds
        self.scratch = Path(tempfile.mkdtemp(prefix=f"fuzz-{name}-", dir=SCRATCH))
        self.known: set[str] = set()

    def of(self, data: bytes) -> Kind:
        """Return the kind of an input."""
        return self.kinds[data[0] % len(self.kinds)]

    def run(self, data: bytes) -> None:
        """Put one input through the program, and keep it where it is a find of a new sort."""
        if len(data) < 2:
            return
        kind, place = self.of(data), self.scratch / "input"
        (place / "source").mkdir(parents=True)
        try:
            source = kind.lay(data[1:], place / "source")
            if source is not None:
                with judges.bounded():
                    kind.judge(source)
        except Exception as error:  # every one that gets here is a find
            self._keep(kind, data[1:], error)
        finally:
            shutil.rmtree(place, ignore_errors=True)

    def _keep(self, kind: Kind, content: bytes, error: Exception) -> None:
        sort = sort_of(error)
        if sort in self.known:
            return
        self.known.add(sort)
        digest = hashlib.sha256(sort.encode()).hexdigest()[:8]
        path = self.finds / f"{kind.name}-{digest}{kind.suffix}"
        self.finds.mkdir(parents=True, exist_ok=True)
        path.write_bytes(content)
        path.with_name(f"{path.name}.log").write_text("".join(traceback.format_exception(error)), encoding="utf-8")
        sys.stderr.write(f"found: {path}: {sort}\n")

    def change(self, data: bytes, most: int, seed: int) -> bytes:
        """Change an input of a kind into another of the same kind."""
        if not data:
            data = bytes([seed % len(self.kinds)])
        kind, rng = self.of(data), random.Random(seed)  # noqa: S311  # no secret
        room = max(1, most - 1)

        def raw(content: bytes) -> bytes:
            return bytes(atheris.Mutate(content, max(room, len(content) + 1)))

        changed = kind.change(data[1:], rng, raw)
        if rng.random() < 0.3:
            changed = kind.change(changed, rng, raw)
        return data[:1] + changed[:room]

    def seeds(self, folder: Path) -> None:
        """Write what is started with: sound files, the corpus, and what was found before."""
        for number, kind in enumerate(self.kinds):
            made = Path(tempfile.mkdtemp(dir=self.scratch))
            contents = [kind.content(files) for files in kind.seeds(made)]
            for place in (CORPUS / kind.name, FOUND / kind.name):
                contents += [path.read_bytes() for path in sorted(place.glob("*"))]
            for content in contents:
                (folder / f"{kind.name}-{hashlib.sha256(content).hexdigest()[:16]}").write_bytes(
                    bytes([number]) + content
                )


def sort_of(error: BaseException) -> str:
    """Return what tells one find from another: the kind of exception and the last places in the program."""
    if isinstance(error, judges.BrokenError):
        return f"Broken {str(error.__cause__ or error)[-120:]}"
    frames = [frame for frame in traceback.extract_tb(error.__traceback__) if "/taskdata/" in frame.filename]
    places = [f"{frame.filename.rpartition('/taskdata/')[2]}:{frame.name}" for frame in frames[-2:]]
    return f"{type(error).__name__} {' '.join(places)}"


def fuzz(name: str, seconds: int, seed: int, finds: Path, kept: Path | None) -> None:
    """Run for so long; it never returns."""
    runner = Runner(name, finds)
    started = kept or Path(tempfile.mkdtemp(dir=runner.scratch))
    started.mkdir(parents=True, exist_ok=True)
    runner.seeds(started)
    most = max(kind.most for kind in runner.kinds)
    finds.mkdir(parents=True, exist_ok=True)
    options = {
        "max_total_time": seconds,
        "seed": seed,
        "timeout": TIMEOUT,
        "report_slow_units": TIMEOUT,
        "max_len": most,
        "rss_limit_mb": 4096,
        "dict": WORDS,
        "artifact_prefix": f"{finds}/{name}-native-",
        "print_final_stats": 1,
        "reload": 0,
    }
    arguments = [f"-{option}={value}" for option, value in options.items()]
    atheris.Setup([f"fuzz-{name}", *arguments, str(started)], runner.run, custom_mutator=runner.change)
    atheris.Fuzz()

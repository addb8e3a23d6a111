"""Every input that is kept, and everything that was once found, goes through the program as any source does."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.fuzz import judges
from tests.fuzz.kinds import Kind
from tests.fuzz.targets import GROUPS, KINDS

HERE = Path(__file__).parent
BYTES = 500_000


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.name)
def test_inputs_end_in_a_result_or_a_line(kind: Kind, tmp_path: Path) -> None:
    (tmp_path / "seeds").mkdir()
    inputs = {f"seed {number}": kind.content(files) for number, files in enumerate(kind.seeds(tmp_path / "seeds"))}
    for place in ("corpus", "found"):
        inputs |= {f"{place}/{path.name}": path.read_bytes() for path in sorted((HERE / place / kind.name).glob("*"))}
    told = {}
    for number, (name, content) in enumerate(inputs.items()):
        (tmp_path / str(number) / "source").mkdir(parents=True)
        source = kind.lay(content, tmp_path / str(number) / "source")
        assert source is not None, name
        try:
            with judges.bounded():
                kind.judge(source)
        except Exception as error:  # each is named with its input
            told[name] = repr(error)
    assert told == {}


def test_every_kind_is_in_one_group() -> None:
    assert sorted(name for names in GROUPS.values() for name in names) == sorted(kind.name for kind in KINDS)


def test_the_corpus_is_small_and_each_file_of_a_kind() -> None:
    files = [path for place in ("corpus", "found") for path in (HERE / place).rglob("*") if path.is_file()]
    assert {path.parent.name for path in files} <= {kind.name for kind in KINDS}
    assert sum(path.stat().st_size for path in files) < BYTES

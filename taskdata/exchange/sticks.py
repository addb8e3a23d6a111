"""A set that was split over several sticks, to disk: a folder that holds one stick a folder, or a zip of it."""

from __future__ import annotations

import zipfile
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory

from taskdata.adapt.sticks.split import Stick
from taskdata.errors import TargetError
from taskdata.exchange.replacing.sets import foreign_in_archive, foreign_in_sticks, is_stick_name
from taskdata.exchange.targets import Target
from taskdata.isoxml.files.folders import FOLDER, DiskFolder, main_in
from taskdata.isoxml.to_model.dataset import to_dataset
from taskdata.isoxml.writing.write import write_folder, write_zip
from taskdata.litter import entries
from taskdata.staging import staged


def write_sticks(sticks: Sequence[Stick], goal: Target, *, overwrite: bool, verify: bool) -> None:
    """Write sticks, all of them or none.

    Raises
    ------
    TargetError
        The target may not or could not be written, is the folder of one set, or reads back different.
    """
    if not goal.packed and goal.place == goal.named:
        why = f"the set needs {len(sticks)} sticks, and {FOLDER} is the folder of one"
        raise TargetError(
            "cannot hold several sticks", where=goal.named, why=why, remedy="Name the folder that contains it"
        )
    empty = not goal.packed and goal.named.is_dir() and not entries(goal.named)
    foreign = foreign_in_archive if goal.packed else foreign_in_sticks
    with staged(goal.named, overwrite=overwrite or empty, foreign=foreign) as fresh:
        documents = {stick.name: stick.document for stick in sticks}
        if goal.packed:
            write_zip(documents, fresh)
        else:
            for name, document in documents.items():
                (fresh / name).mkdir(parents=True)
                write_folder(document, fresh / name / FOLDER)
        if verify:
            with _unpacked(fresh, goal) as folder:
                for name, document in documents.items():
                    from taskdata.exchange.verify import verify_target

                    verify_target(to_dataset(document), document, folder / name, goal)


def refuse_beside_sticks(goal: Target) -> None:
    """Refuse to put one set beside sticks that were written before: which of them counts could not be told.

    Raises
    ------
    TargetError
        There are such sticks.
    """
    if goal.place != goal.named and goal.named.is_dir() and any(_is_stick(item) for item in entries(goal.named)):
        raise TargetError(
            "holds sticks from an earlier run",
            where=goal.named,
            remedy="Name another target, or move them away",
        )


@contextmanager
def _unpacked(fresh: Path, goal: Target) -> Iterator[Path]:
    """Give the folder of the sticks: the target, or what its archive unpacks to."""
    if not goal.packed:
        yield fresh
        return
    with TemporaryDirectory(dir=fresh.parent) as room, zipfile.ZipFile(fresh) as archive:
        archive.extractall(room)
        yield Path(room)


def _is_stick(place: Path) -> bool:
    """Tell whether a folder is a stick that was written here, whatever else lies on it by now."""
    return is_stick_name(place.name) and main_in(DiskFolder(place / FOLDER)) is not None

"""Convert: what would change, in words, and then the file to be saved."""

from __future__ import annotations

import os
import shutil
import tomllib
from functools import partial
from pathlib import Path
from typing import Any

from taskdata import api
from taskdata.errors import TargetError, UsageError
from taskdata.file_formats.table import ISOXML, format_named
from taskdata.page.wording import Wording
from taskdata.reports.convert_json import convert_document
from taskdata.workbench.bench import Bench
from taskdata.workbench.history import Done
from taskdata.workbench.jobs import _sets

_SMALL = 1 << 20
_SHOWN = 300
_TASKDATA = "TASKDATA"


def convert(bench: Bench, options: dict[str, Any]) -> Done:
    """Show what the target cannot hold, or with ``write`` make it: a file to download, or in a folder of the user."""
    to = _sets.text(options, "to") or ISOXML
    version = _sets.number(options, "version")
    writing = bool(options.get("write"))
    folder = _sets.text(options, "folder") if writing else None
    place = _target(bench, to, folder)
    result = api.convert(
        bench.current,
        place,
        to=to,
        version=None if version is None or to != ISOXML else int(version),
        receiver=_receiver(bench, options),
        overwrite=bool(options.get("overwrite")),
        dry_run=not writing,
        **_sets.reading(bench),
    )
    told = partial(_told, {**convert_document(result), "wrote": writing, "folder": folder})
    return Done(told, download=_one_file(place) if writing and not folder else None)


def _told(document: dict[str, Any], word: Wording) -> dict[str, Any]:
    """Return what changes in the language of a page: the first lines, and how many there are."""
    losses = document["losses"]
    return {**document, "losses": _sets.phrased(losses[:_SHOWN], word, "what", "why"), "lost": len(losses)}


def _target(bench: Bench, to: str, folder: str | None) -> Path:
    """Return where the result goes; a folder of the user is a new one, or one without what is written into it."""
    form = format_named(to)
    if folder is None:
        if to == ISOXML:
            return bench.fresh("taskdata.zip")
        return bench.fresh(f"fields{form.suffixes[0]}" if not form.folder else "layers")
    chosen = _folder(folder)
    if chosen.resolve().is_relative_to(bench.folder.resolve()):
        raise TargetError("is removed with the workbench", where=folder, remedy="Choose another folder")
    if to == ISOXML:
        return chosen if chosen.name.upper() == _TASKDATA else chosen / _TASKDATA
    return chosen / ("layers" if form.folder else f"fields{form.suffixes[0]}")


def _folder(named: str) -> Path:
    """Return the folder that a person named.

    Raises
    ------
    UsageError, TargetError
        It is not named from the root of the disk on, or is something else than a folder.
    """
    if "\0" in named:
        raise UsageError("is not a name of a folder", where=named, remedy="Name a folder such as /media/stick")
    try:
        chosen = Path(named).expanduser()
    except RuntimeError as error:
        raise UsageError("there is no such user", where=named, remedy="Name a folder such as /media/stick") from error
    if not chosen.is_absolute():
        raise UsageError("is not a whole path", where=named, remedy="Name a folder from the root of the disk on")
    if os.path.lexists(chosen) and not chosen.is_dir():
        raise TargetError("is not a folder", where=named, remedy="Name another one")
    return chosen


def _one_file(place: Path) -> Path:
    """Return what can be downloaded: a folder becomes an archive."""
    if place.is_file() and len(list(place.parent.iterdir())) == 1:
        return place
    folder = place.parent if place.is_file() else place
    return Path(shutil.make_archive(os.fspath(folder.with_name(f"{folder.name}-{place.stem}")), "zip", folder))


def _receiver(bench: Bench, options: dict[str, Any]) -> Path | None:
    """Return a file with the profile of the receiving terminal that the page gave as text."""
    profile = _sets.text(options, "receiver")
    if profile is None:
        return None
    if len(profile) > _SMALL:
        raise UsageError("the profile of the terminal is too long", remedy="Give a profile of a few lines")
    try:
        tomllib.loads(profile)
    except tomllib.TOMLDecodeError as error:
        raise UsageError("the profile of the terminal is no TOML", why=str(error), remedy="Correct it") from error
    place = bench.fresh("receiver.toml")
    place.write_text(profile, encoding="utf-8")
    return place

"""Convert: what would change, in words, and then the file to be saved."""

from __future__ import annotations

import os
import shutil
import tomllib
from pathlib import Path
from typing import Any

from taskdata import api
from taskdata.errors import UsageError
from taskdata.file_formats.table import ISOXML, format_named
from taskdata.reports.convert_json import convert_document
from taskdata.workbench.bench import Bench, Done
from taskdata.workbench.jobs import _sets

_SMALL = 1 << 20


def convert(bench: Bench, options: dict[str, Any]) -> Done:
    """Show what the target cannot hold, or with ``write`` make it: a file to download, or in a folder of the user."""
    to = _sets.text(options, "to") or ISOXML
    version = _sets.number(options, "version")
    writing = bool(options.get("write"))
    folder = _sets.text(options, "folder")
    place = _target(bench, to, folder)
    result = api.convert(
        bench.current,
        place,
        to=to,
        version=None if version is None or to != ISOXML else int(version),
        receiver=_receiver(bench, options),
        dry_run=not writing,
        **_sets.reading(options),
    )
    found = {**convert_document(result), "wrote": writing, "folder": folder if writing else None}
    if not writing or folder:
        return Done(found)
    return Done(found, download=_one_file(place))


def _target(bench: Bench, to: str, folder: str | None) -> Path:
    """Return where the result goes."""
    form = format_named(to)
    if folder is not None:
        chosen = Path(folder).expanduser()
        if not chosen.is_absolute():
            raise UsageError("is not a whole path", where=folder, remedy="Name a folder from the root of the disk on")
        return chosen if form.folder or to == ISOXML else chosen / f"fields{form.suffixes[0]}"
    if to == ISOXML:
        return bench.fresh("taskdata.zip")
    return bench.fresh(f"fields{form.suffixes[0]}" if not form.folder else "layers")


def _one_file(place: Path) -> Path:
    """Return what can be downloaded: a folder becomes an archive."""
    if place.is_file():
        return place
    return Path(shutil.make_archive(os.fspath(place), "zip", place))


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

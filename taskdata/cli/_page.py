"""The page of ``--report``: what a command changed, beside the set that it made."""

from __future__ import annotations

import os
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from taskdata.errors import TargetError, UsageError


def refuse_early(
    page: str | None, sources: Sequence[str], target: str | None, *, overwrite: bool, dry_run: bool
) -> None:
    """Refuse a page that could not be written before anything else is done.

    Raises
    ------
    UsageError, TargetError
        The page shows what was written and nothing will be; the name is none of a page; it exists, or was not written
        by this program; it lies on a source or in the target.
    """
    if page is None:
        return
    from taskdata.api.reporting import writer_of
    from taskdata.exchange.targets import refuse_source
    from taskdata.page.made_by import foreign_page

    if dry_run:
        raise UsageError(
            "a page of the result needs the result", where=page, remedy="Leave out --report or [[dry_run]]"
        )
    place, _ = writer_of(page)
    if os.path.lexists(place) and not overwrite:
        raise TargetError("exists already", where=place, remedy="Name another page, or allow [[overwrite]]")
    if os.path.lexists(place) and foreign_page(place, place):
        remedy = "Name another page, or move it away"
        raise TargetError("was not written by this program, and is not replaced", where=place, remedy=remedy)
    for source in sources:
        refuse_source(place, Path(source))
    if target is not None and place.resolve().is_relative_to(Path(target).resolve()):
        raise TargetError("lies in the target, which holds nothing else", where=place, remedy="Name another page")


def write_page(
    page: str | None, result: Any, sources: Sequence[str], reading: dict[str, Any], *, overwrite: bool
) -> None:
    """Write a page of what a command made, with its source, or the sources of a merge, as they were before.

    Where the set was split over sticks the page shows the source, with what was changed.
    """
    if page is None:
        return
    from taskdata import api

    before = [api.read(source, **reading) for source in sources]
    if getattr(result, "sticks", ()):  # no one of them is the whole
        api.report(before[0], page, changed=result, overwrite=overwrite)
    else:
        api.report(api.read(result.target), page, against=before, changed=result, overwrite=overwrite)

"""The page of ``--report``: what a command changed, beside the set that it made."""

from __future__ import annotations

import os
from typing import Any

from taskdata.errors import TargetError, UsageError


def refuse_early(page: str | None, *, overwrite: bool, dry_run: bool) -> None:
    """Refuse a page that could not be written before anything else is done.

    Raises
    ------
    UsageError, TargetError
        The page shows what was written and nothing will be; the name is none of a page; it exists.
    """
    if page is None:
        return
    from taskdata.api.reporting import writer_of

    if dry_run:
        raise UsageError(
            "a page of the result needs the result", where=page, remedy="Leave out --report or [[dry_run]]"
        )
    place, _ = writer_of(page)
    if os.path.lexists(place) and not overwrite:
        raise TargetError("exists already", where=place, remedy="Name another page, or allow [[overwrite]]")


def write_page(page: str | None, result: Any, source: str | None, reading: dict[str, Any], *, overwrite: bool) -> None:
    """Write a page of what a command made, compared with its source where it has one.

    Where the set was split over sticks the page shows the source, with what was changed.
    """
    if page is None:
        return
    from taskdata import api

    before = None if source is None else api.read(source, **reading)
    split = getattr(result, "sticks", ())
    if split and before is not None:  # no one of them is the whole
        api.report(before, page, changed=result, overwrite=overwrite)
    else:
        api.report(api.read(result.target), page, against=before, changed=result, overwrite=overwrite)

"""Whole sets: write, compare, clean."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace
from typing import Unpack

from taskdata.api.reading import Source, read
from taskdata.arguments import one_or_several
from taskdata.formats.foreign.options import Reading
from taskdata.model import dataset as model
from taskdata.model.receiver import Receiver
from taskdata.results.cleaning import Cleaning
from taskdata.results.comparison import Comparison
from taskdata.results.conversion import Conversion


def write(
    data: model.Dataset,
    target: Source,
    *,
    to: str | None = None,
    version: int | None = None,
    time_zone: str | None = None,
    receiver: Receiver | Source | None = None,
    plan_templates: bool = False,
    raw: bool = False,
    simplestyle: bool = False,
    overwrite: bool = False,
    dry_run: bool = False,
    verify: bool = False,
) -> Conversion:
    """Write a data set, changed or not since it was read; whole or not at all.

    Parameters
    ----------
    data : Dataset
        What ``read`` returned.
    target : path
        Folder or file to make.
    to : str, optional
        ``isoxml``, ``geojson``, ``shapefile``, ``gpkg`` or ``parquet``; default by the name of the target.
    version : int, optional
        Major version of an ISO-XML target; default that of the source, else 4.
    time_zone, receiver, plan_templates, raw, simplestyle, dry_run
        As for ``convert``.
    overwrite : bool
        Allow that an existing target is replaced, if all that is in it was written by this program or belongs to a set.
    verify : bool
        Read the target back and compare before it is put in place.

    Returns
    -------
    Conversion
        What was written, and the ledger of what the target cannot hold.

    Raises
    ------
    UsageError, TargetError
        The format cannot be told; the target could not or may not be written.

    Examples
    --------
    >>> import taskdata
    >>> data = taskdata.read("samples/office")
    >>> done = taskdata.write(data, "farm.gpkg", verify=True)
    >>> done.written["fields"], done.losses
    (5, ())
    """
    from taskdata.exchange import convert as exchange

    return exchange.write(
        data,
        target,
        to=to,
        version=version,
        time_zone=time_zone,
        receiver=receiver,
        plan_templates=plan_templates,
        raw=raw,
        simplestyle=simplestyle,
        overwrite=overwrite,
        dry_run=dry_run,
        verify=verify,
    )


def compare(
    first: model.Dataset | Source,
    second: model.Dataset | Source,
    *,
    tolerance_m: float = 0.0,
    **reading: Unpack[Reading],
) -> Comparison:
    """Show what differs between two data sets, paired by link, identifier, name and place.

    Parameters
    ----------
    first, second : Dataset or path
        What ``read`` returned, or what it takes.
    tolerance_m : float
        Metres that two places may lie apart and still be the same.
    **reading
        See ``read``.

    Returns
    -------
    Comparison
        ``equal``, the differences, and a shift that most things have in common.

    Raises
    ------
    SourceError
        A source could not be read.

    Examples
    --------
    >>> import taskdata
    >>> found = taskdata.compare("samples/office", "samples/machine")
    >>> found.equal, len(found.differences)
    (False, 28)
    >>> found.differences[0].what, found.differences[0].before, found.differences[0].after
    ('DataTransferOrigin of the set', '1', '2')
    """
    from taskdata.exchange.comparing import compare_sets
    from taskdata.exchange.told import findings_of

    sets = [item if isinstance(item, model.Dataset) else read(item, **reading) for item in (first, second)]
    return replace(compare_sets(sets[0], sets[1], tolerance_m), findings=findings_of(sets))


def clean(
    source: Source,
    target: Source,
    *,
    to: str | None = None,
    review: bool = False,
    only: str | Collection[str] = (),
    leave: str | Collection[str] = (),
    overwrite: bool = False,
    dry_run: bool = False,
    **reading: Unpack[Reading],
) -> Cleaning:
    """Repair what can be repaired without guessing, and journal each change beside the target.

    Parameters
    ----------
    source, target : path
        As for ``convert``; a target without a telling name becomes ISO-XML.
    to, overwrite, dry_run, **reading
        As for ``convert``.
    review : bool
        Also repair what takes a choice that a person may want to see.
    only, leave : str or collection of str
        Rules or families: only these, all but these.

    Returns
    -------
    Cleaning
        The changes, what an audit still finds, and how much it found before and after.

    Raises
    ------
    UsageError, SourceError, TargetError

    Examples
    --------
    >>> import taskdata
    >>> done = taskdata.clean("samples/broken", "clean", dry_run=True)
    >>> for change in done.changes[1:3]:
    ...     print(change.rule, change.before, "->", change.after)
    file.name-in-other-case pfd00001.xml -> PFD00001.XML
    identity.leading-zero WKR007 -> WKR7
    """
    from taskdata.exchange.cleaning import clean_set
    from taskdata.reports.clean_json import journal_text

    return clean_set(
        source,
        target,
        to=to,
        review=review,
        only=one_or_several(only),
        leave=one_or_several(leave),
        overwrite=overwrite,
        dry_run=dry_run,
        journal=journal_text,
        **reading,
    )

"""The public functions: one call for one job, whatever the format."""

from __future__ import annotations

import os
from collections.abc import Collection, Iterable
from typing import TypeAlias

from taskdata.checks.catalogue import catalogue
from taskdata.checks.report import CheckReport, summarize
from taskdata.checks.run import cap, run
from taskdata.checks.subject import Subject
from taskdata.errors import SourceError, UsageError
from taskdata.findings import Rule
from taskdata.isoxml.document import Document
from taskdata.isoxml.read import read_document
from taskdata.isoxml.to_model.dataset import to_dataset
from taskdata.model.dataset import Dataset

Source: TypeAlias = str | os.PathLike[str]


def read(source: Source, *, crs: str | None = None, name_column: str | None = None) -> Dataset:
    """Read a data set.

    Raises
    ------
    SourceError
        The source could not be read.
    """
    try:
        return to_dataset(read_document(source)).with_changes(source=os.fspath(source))
    except OSError as error:
        raise SourceError("could not be read", where=source, why=error.strerror or str(error)) from error


def check(
    data: Dataset | Source,
    *,
    select: Collection[str] = (),
    ignore: Collection[str] = (),
    max_per_rule: int = 50,
) -> CheckReport:
    """Audit a data set against the standard.

    Parameters
    ----------
    data : Dataset or path
        What ``read`` returned, or what it takes.
    select, ignore : collection of str
        Rule ids such as ``timelog.cut-record`` or families such as ``timelog``: only these, all but these.
    max_per_rule : int
        So many findings of one rule are listed, then one counts the rest; 0 lists all.

    Returns
    -------
    CheckReport
        The findings, never an exception for what is wrong in the data.

    Raises
    ------
    SourceError
        The source could not be read.
    UsageError
        There is no rule or family of a name in ``select`` or ``ignore``.
    """
    _refuse_unknown((*select, *ignore))
    dataset = data if isinstance(data, Dataset) else read(data)
    document = dataset.lossless if isinstance(dataset.lossless, Document) else None
    findings = run(Subject(document, dataset), select, ignore)
    version = None if dataset.version is None else ".".join(map(str, dataset.version))
    return CheckReport(dataset.source, version, tuple(cap(findings, max_per_rule)), summarize(findings))


def rules(name: str | None = None) -> tuple[Rule, ...]:
    """Return every rule by id, each with its page in ``about``; or the rule, or family of rules, of that name.

    Raises
    ------
    UsageError
        There is no rule or family of that name.
    """
    if name is None:
        return catalogue()
    _refuse_unknown((name,))
    return tuple(rule for rule in catalogue() if name in {rule.id, rule.id.partition(".")[0]})


def _refuse_unknown(names: Iterable[str]) -> None:
    ids = {rule.id for rule in catalogue()}
    families = {rule_id.partition(".")[0] for rule_id in ids}
    for name in names:
        if name not in ids | families:
            raise UsageError("no rule or family of rules has this name", where=name, remedy="See: taskdata rules")

"""The audit: check a set, list the rules, describe a receiving terminal."""

from __future__ import annotations

import os
from collections import Counter
from collections.abc import Collection, Iterable, Iterator, Mapping
from contextlib import contextmanager
from typing import Unpack

from taskdata.api.reading import Source, read
from taskdata.arguments import one_or_several
from taskdata.checks.baseline import read_baseline, without_accepted
from taskdata.checks.catalogue import applied, catalogue, known_names
from taskdata.checks.profile import Profile
from taskdata.checks.run import cap, run
from taskdata.checks.subject import Subject, folder_of
from taskdata.checks.tolerances import load_profile
from taskdata.errors import SourceError, UsageError
from taskdata.exchange.auditing import SAID_BY_RULES, TOLD_BY_READING, auditable
from taskdata.exchange.behind import document_behind
from taskdata.findings import Rule
from taskdata.formats.foreign.options import Reading
from taskdata.model.dataset import Dataset
from taskdata.model.receiver import Receiver, read_receiver, receiver_text
from taskdata.results.audit import CheckReport, summarize
from taskdata.results.cleaning import Standing


def check(
    data: Dataset | Source,
    *,
    select: str | Collection[str] = (),
    ignore: str | Collection[str] = (),
    max_per_rule: int = 50,
    profile: Source | None = None,
    receiver: Receiver | Source | None = None,
    accepted: Mapping[str, int] | Source | None = None,
    repairs: bool = False,
    **reading: Unpack[Reading],
) -> CheckReport:
    """Audit a data set against the standard, and against one receiving terminal.

    Parameters
    ----------
    data : Dataset or path
        What ``read`` returned, or what it takes.
    select, ignore : str or collection of str
        Rule ids such as ``timelog.cut-record`` or families such as ``timelog``: only these, all but these.
    max_per_rule : int
        So many findings of one rule are listed, then one counts the rest; 0 lists all.
    profile : path, optional
        A TOML file with other tolerances, see ``schemas/check-profile.schema.json``.
    receiver : Receiver or path, optional
        What the receiving terminal takes, or a TOML file that says it, see ``schemas/receiver.schema.json``.
    accepted : dict of str to int or path, optional
        Findings that are known and not reported again, or the file that ``write_baseline`` made.
    **reading
        As for ``read``.
    repairs : bool
        Say of each finding whether ``clean`` repairs it, which takes about as long as cleaning.

    Returns
    -------
    CheckReport
        The findings, never an exception for what is wrong in the data.

    Raises
    ------
    SourceError
        The source could not be read.
    UsageError
        There is no rule or family of a name in ``select`` or ``ignore``; ``profile``, ``receiver`` or ``accepted`` is
        no such file.

    Examples
    --------
    >>> import taskdata
    >>> report = taskdata.check("samples/older")
    >>> report.summary
    {'error': 0, 'warning': 0, 'note': 5}
    >>> finding = report.findings[0]
    >>> finding.rule.id, finding.where
    ('geometry.flag-without-comment', 'TASKDATA.XML:92 PFD4711')
    >>> print(finding.message, finding.remedy)
    A flag of PFD4711 ...
    """
    select, ignore = _rule_names(one_or_several(select)), _rule_names(one_or_several(ignore))
    limits = Profile() if profile is None else load_profile(profile, catalogue())
    terminal = receiver if receiver is None or isinstance(receiver, Receiver) else read_receiver(receiver)
    known = read_baseline(accepted) if isinstance(accepted, str | os.PathLike) else Counter(accepted or {})
    dataset = data if isinstance(data, Dataset) else read(data, partial=True, **reading)
    document, records = auditable(dataset)
    subject = Subject(document, records, limits, terminal)
    told = SAID_BY_RULES if document is dataset.lossless else (*SAID_BY_RULES, *TOLD_BY_READING)
    with _readable(dataset.source):
        findings = without_accepted(run(subject, select, (*ignore, *told)), known)
    listed = cap(findings, max_per_rule)
    standings: tuple[Standing | None, ...] = ()
    if repairs and document is not None:
        from taskdata.repairs.reach import reach

        standings = reach(document, listed)
    return CheckReport(
        source=dataset.source,
        version=None if dataset.version is None else ".".join(map(str, dataset.version)),
        findings=tuple(listed),
        summary=summarize(findings),
        folder=folder_of(subject),
        applied=applied(subject, select, ignore),
        repairs=standings,
    )


def make_receiver(data: Dataset | Source, target: Source) -> Receiver:
    """Write a first profile of a terminal, concluded from a set that the terminal itself wrote.

    Parameters
    ----------
    data : Dataset or path
        The set, last written by a machine.
    target : path
        The TOML file to make; an existing file is never replaced.

    Returns
    -------
    Receiver
        What was written; all but its name, and the version where the terminal states it, are hints: a check tells
        them as notes and no set is changed for them until a person takes their names out of the list ``inferred``.

    Raises
    ------
    SourceError
        The source could not be read.
    UsageError
        It is not a task data set that a terminal wrote.
    TargetError
        The file exists, or the disk reported an error.

    Examples
    --------
    >>> import taskdata
    >>> receiver = taskdata.make_receiver("samples/machine", "cab.toml")
    >>> report = taskdata.check("samples/older", receiver=receiver)
    >>> [item.rule.id for item in report.findings if item.severity == "error"]
    ['receiver.version-not-taken']
    """
    dataset = data if isinstance(data, Dataset) else read(data)
    document = document_behind(dataset)
    if document is None or document.origin == "FMIS":
        why = "not a task data set" if document is None else "last written by office software"
        remedy = "Give a set that the terminal itself wrote"
        raise UsageError("says nothing about a terminal", where=dataset.source, why=why, remedy=remedy)
    from taskdata.isoxml.receivers import receiver_of
    from taskdata.staging import write_text

    receiver = receiver_of(document, dataset)
    write_text(target, receiver_text(receiver))
    return receiver


def rules(name: str | None = None) -> tuple[Rule, ...]:
    """Return every rule by id, each with its page in ``about``; or the rule, or family of rules, of that name.

    Raises
    ------
    UsageError
        There is no rule or family of that name.

    Examples
    --------
    >>> import taskdata
    >>> taskdata.rules("reference.dangling")[0].severity
    <Severity.ERROR: 'error'>
    """
    everything = catalogue()
    if name is None:
        return everything
    (known,) = _rule_names((name,))
    return tuple(rule for rule in everything if known in {rule.id, rule.id.partition(".")[0]})


@contextmanager
def _readable(source: Source) -> Iterator[None]:
    """Turn a refusal of the disk while binary files are read into a failure that says what and where."""
    try:
        yield
    except OSError as error:
        remedy = "Check that the file exists and that you may read it"
        raise SourceError("could not be read", where=source, why=error.strerror or str(error), remedy=remedy) from error


def _rule_names(names: Iterable[str]) -> tuple[str, ...]:
    return known_names(names, [rule.id for rule in catalogue()], "no rule or family of rules has this name")

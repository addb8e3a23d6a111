"""Values that somebody typed and that cannot be stored: told when they are read, refused when anything is written."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from taskdata.errors import UsageError
from taskdata.findings import Finding, Place
from taskdata.ledger import Loss, Refusal
from taskdata.model.dataset import Dataset
from taskdata.raised_rules.import_.value_refused import RULE as VALUE_REFUSED

_SHOWN = 5


def refused(losses: Iterable[Loss]) -> Iterator[Finding]:
    """Yield a finding for each value that is refused."""
    for item in losses:
        if isinstance(item, Refusal):
            place = Place(file=item.file, record=item.record, element=item.element)
            yield VALUE_REFUSED.at(place, column=item.column, what=item.where, value=item.value, wanted=item.takes)


def refuse_unfit(dataset: Dataset) -> None:
    """Refuse to write records of whose rows a value could not be taken over.

    Raises
    ------
    UsageError
        It names each row and column, the value, and what the column takes.
    """
    _refuse([finding for finding in dataset.noted if finding.rule is VALUE_REFUSED], dataset.source)


def refuse_typed(losses: Iterable[Loss], source: str) -> None:
    """Refuse to write a set in which a value that somebody typed cannot be stored; see ``refuse_unfit``.

    What a layer of another program holds is left out instead: that is the ledger's.
    """
    refusals = [item for item in losses if isinstance(item, Refusal)]
    if refusals:
        from taskdata.formats.layers.of_dataset import SPECS

        typed = (item for item in refusals if item.file is None or item.file in SPECS)
        _refuse(list(refused(typed)), source)


def _refuse(findings: list[Finding], source: str) -> None:
    if not findings:
        return
    told = [
        "{column} of {what} is {value}; it should be {wanted}".format_map(finding.facts)
        for finding in findings[:_SHOWN]
    ]
    rest = f"; and {len(findings) - _SHOWN} more" if len(findings) > _SHOWN else ""
    raise UsageError(
        f"a value cannot be stored: {'; '.join(told)}{rest}", where=source, remedy="Correct it; nothing was written"
    )

"""What the profile of a terminal only supposes of it, and a set that was written for it does not keep to."""

from __future__ import annotations

from collections.abc import Iterable

from taskdata.checks.run import cap, run
from taskdata.checks.subject import Subject
from taskdata.findings import Finding
from taskdata.isoxml.to_model.dataset import to_dataset
from taskdata.isoxml.tree.document import Document
from taskdata.isoxml.writing.as_written import as_written
from taskdata.model.receiver import Receiver

_FAMILY = "receiver"
_SHOWN = 3
"""How many findings of each rule are told; the rest is counted."""


def beyond_hints(documents: Iterable[Document], receiver: Receiver | None) -> tuple[Finding, ...]:
    """Return notes on what a terminal may not accept of the sets that are written for it, by the hints of its profile.

    Parameters
    ----------
    documents : iterable of Document
        The set, or its sticks, as they are written.
    receiver : Receiver or None
        The profile of the terminal.
    """
    if receiver is None or not receiver.has_hints:
        return ()
    written = map(as_written, documents)
    subjects = (Subject(document, to_dataset(document), receiver=receiver.hints) for document in written)
    return tuple(cap((finding for subject in subjects for finding in run(subject, [_FAMILY])), _SHOWN))

"""What an ISO-XML target shall be: a version, and what one receiver takes."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import tzinfo

from taskdata.adapt.receivers import to_receiver
from taskdata.adapt.versions import to_version
from taskdata.errors import UsageError
from taskdata.isoxml.document import Document
from taskdata.ledger import Loss
from taskdata.model.receiver import Receiver


@dataclass(frozen=True, slots=True)
class Wish:
    """What the user asked of an ISO-XML target.

    Parameters
    ----------
    version : int or None
        Major version; None = that of the source.
    zone : tzinfo or None
        Time zone of the set, see ``to_version``.
    receiver : Receiver or None
        What the terminal takes that the set is for.
    """

    version: int | None = None
    zone: tzinfo | None = None
    receiver: Receiver | None = None

    def refuse_for(self, target: str) -> None:
        """Refuse wishes that only an ISO-XML target can fulfil.

        Raises
        ------
        UsageError
            There is such a wish.
        """
        if target != "isoxml" and self.version is not None:
            raise UsageError("a version is only for ISO-XML targets", remedy="Leave --version out")
        if target != "isoxml" and self.receiver is not None:
            raise UsageError("a receiver is only for ISO-XML targets", remedy="Leave --receiver out")


def adapted(document: Document, wish: Wish) -> tuple[Document, list[Loss]]:
    """Return a set as the user wants it, and what that costs; the set itself where nothing is to be done.

    Raises
    ------
    UsageError, TargetError
        See ``to_version`` and ``to_receiver``.
    """
    here = document.version
    losses: list[Loss] = []
    if wish.version is not None and (here is None or here[0] != wish.version):
        document, losses = to_version(document, wish.version, zone=wish.zone)
    if wish.receiver is not None:
        document, more = to_receiver(document, wish.receiver, zone=wish.zone)
        losses = [*losses, *more]
    return document, losses

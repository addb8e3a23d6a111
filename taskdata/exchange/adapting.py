"""What an ISO-XML target shall be: a version, and what one receiver takes."""

from __future__ import annotations

from datetime import tzinfo

from taskdata.adapt.receivers import to_receiver
from taskdata.adapt.sticks.split import Stick, split
from taskdata.adapt.versions import in_zone, to_version
from taskdata.dataclass import dataclass
from taskdata.errors import UsageError
from taskdata.file_formats.table import ISOXML
from taskdata.isoxml.tree.document import Document
from taskdata.ledger import Loss
from taskdata.model.receiver import Receiver


@dataclass(frozen=True, slots=True)
class TargetOptions:
    """What the user asked of an ISO-XML target.

    Parameters
    ----------
    version : int or None
        Major version; None = that of the source.
    zone : tzinfo or None
        Time zone of the set, see ``to_version`` and ``in_zone``.
    receiver : Receiver or None
        What the terminal takes that the set is for.
    plan_templates : bool
        See ``to_version``.
    """

    version: int | None = None
    zone: tzinfo | None = None
    receiver: Receiver | None = None
    plan_templates: bool = False

    def refuse_for(self, target: str) -> None:
        """Refuse wishes that only an ISO-XML target can fulfil, and such as contradict each other.

        Raises
        ------
        UsageError
            There is such a wish.
        """
        versions = None if self.receiver is None else self.receiver.confirmed.get("receiver.versions")
        if self.receiver is not None and versions and self.version is not None and self.version not in versions:
            told = (
                f"version {self.version} was asked for, but {self.receiver.name} reads {', '.join(map(str, versions))}"
            )
            raise UsageError(told, remedy="Leave [[version]] out: the receiver decides")
        wishes = {
            "a version": ("version", self.version is not None),
            "a time zone": ("time_zone", self.zone is not None),
            "a receiver": ("receiver", self.receiver is not None),
            "planning templates": ("plan_templates", self.plan_templates),
        }
        for wish, (argument, asked) in wishes.items():
            if asked and target != ISOXML:
                raise UsageError(f"{wish} is only for ISO-XML targets", remedy=f"Leave [[{argument}]] out")


def adapt_document(document: Document, wish: TargetOptions) -> tuple[Document, list[Loss]]:
    """Return a set as the user wants it, and what that costs; the set itself where nothing is to be done.

    Raises
    ------
    UsageError, TargetError
        See ``to_version`` and ``to_receiver``.
    """
    here = document.version
    losses: list[Loss] = []
    if wish.version is not None and (here is None or here[0] != wish.version):
        document, losses = to_version(document, wish.version, zone=wish.zone, plan_templates=wish.plan_templates)
    if wish.receiver is not None:
        document, more = to_receiver(document, wish.receiver, zone=wish.zone, plan_templates=wish.plan_templates)
        losses = [*losses, *more]
    if wish.zone is not None:
        document, more = in_zone(document, wish.zone, told=bool(losses))
        losses = [*losses, *more]
    return document, losses


def split_over_sticks(document: Document, wish: TargetOptions, losses: list[Loss]) -> tuple[Document, list[Stick]]:
    """Return a set and the sticks for it, none where it is no more than the terminal takes; add to the ledger.

    Raises
    ------
    TargetError
        See ``split``.
    """
    if wish.receiver is None:
        return document, []
    document, sticks, more = split(document, wish.receiver)
    losses += more
    return document, sticks

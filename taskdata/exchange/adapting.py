"""What an ISO-XML target shall be: a version, and what one receiver takes."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import tzinfo

from taskdata.adapt.versions import to_version
from taskdata.errors import UsageError
from taskdata.isoxml.document import Document
from taskdata.ledger import Loss


@dataclass(frozen=True, slots=True)
class Wish:
    """What the user asked of an ISO-XML target.

    Parameters
    ----------
    version : int or None
        Major version; None = that of the source.
    zone : tzinfo or None
        Time zone of the set, see ``to_version``.
    """

    version: int | None = None
    zone: tzinfo | None = None

    def refuse_for(self, target: str) -> None:
        """Refuse wishes that only an ISO-XML target can fulfil.

        Raises
        ------
        UsageError
            There is such a wish.
        """
        if target != "isoxml" and self.version is not None:
            raise UsageError("a version is only for ISO-XML targets", remedy="Leave --version out")


def adapted(document: Document, wish: Wish) -> tuple[Document, list[Loss]]:
    """Return a set as the user wants it, and what that costs; the set itself where nothing is to be done.

    Raises
    ------
    UsageError
        See ``to_version``.
    """
    here = document.version
    if wish.version is None or (here is not None and here[0] == wish.version):
        return document, []
    return to_version(document, wish.version, zone=wish.zone)

"""A set in the shape that one receiving terminal takes, by its profile, with a ledger of what that costs.

Steps run in this order: version; external files folded in; binary points written as elements; attached files and the
link list left out; guidance as groups or lines; treatment zones as polygons or grids; points thinned; names spelled and
shortened; stated lengths of files. Each step does nothing where the profile says nothing of its matter.

A set with more fields, guidance lines or tasks, or a larger main file, than the terminal takes is split afterwards,
see ``taskdata.adapt.sticks.split``. What neither can bring about, such as more rings in a field than it takes, is
refused in one line that names what can be left out: which of it is for a person to say.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import tzinfo

from taskdata.adapt.adaptation import Adaptation, Step
from taskdata.adapt.limits import refuse_beyond
from taskdata.adapt.steps.attachments import drop_attachments
from taskdata.adapt.steps.binary_points import expand_binary_points
from taskdata.adapt.steps.external_files import fold_in
from taskdata.adapt.steps.guidance_taken import fit_guidance
from taskdata.adapt.steps.maps import fit_maps
from taskdata.adapt.steps.names import fit_names
from taskdata.adapt.steps.root import state_writer
from taskdata.adapt.steps.thin import thin_points
from taskdata.adapt.versions import to_version
from taskdata.errors import TargetError
from taskdata.isoxml.tree.copying import copy_document
from taskdata.isoxml.tree.document import Document
from taskdata.isoxml.writing.mended_lengths import mend_lengths
from taskdata.ledger import Loss
from taskdata.model.receiver import Receiver
from taskdata.versions import either, writable

_REFUSED: tuple[tuple[str, Step], ...] = (
    ("takes.external_files", fold_in),
    ("takes.binary_points", expand_binary_points),
    ("takes.link_list", drop_attachments),
)


def to_receiver(
    document: Document, receiver: Receiver, *, zone: tzinfo | None = None, plan_templates: bool = False
) -> tuple[Document, list[Loss]]:
    """Return a set as a receiving terminal takes it, and what that costs.

    Parameters
    ----------
    document : Document
        Any set; it stays as it is.
    receiver : Receiver
        What the terminal takes. A set is never changed for a hint.
    zone, plan_templates
        See ``to_version``.

    Returns
    -------
    Document, list of Loss
        After it, and after ``split``, the rules on a receiver find nothing.

    Raises
    ------
    TargetError
        The profile cannot be satisfied; the line says what exceeds it, and what to leave out.
    UsageError
        The version of the set is unknown.
    """
    receiver = receiver.confirmed
    copy, losses = _in_version(document, receiver, zone, plan_templates)
    work = Adaptation(copy, (copy.version or (0, 0))[0], zone, f"{receiver.name} does not accept it")
    for entry, step in _REFUSED:
        if receiver.get(entry) is False:
            step(work)
    fit_guidance(work, receiver)
    fit_maps(work, receiver)
    thin_points(work, receiver)
    fit_names(work, receiver)
    if work.costs and not losses:
        state_writer(work)
    work.mend_references()
    copy.xml_files = [replace(file, blob=None) for file in copy.xml_files]
    copy.touch()
    refuse_beyond(copy, receiver)
    return copy, [*losses, *work.losses, *mend_lengths(copy)]


def version_for(here: int | None, versions: Sequence[int] | None) -> int | None:
    """Return the major version to write for a terminal that reads ``versions``; None = the one the set has.

    The newest one that is not newer than the set, else the oldest that can be written.

    Raises
    ------
    TargetError
        None of them can be written.
    """
    if versions is None or here in versions:
        return None
    able = sorted(set(versions) & set(writable()))
    if not able:
        told = " and ".join(map(str, sorted(set(versions))))
        remedy = f"Name version {either(writable())} in its profile if it reads one of them"
        raise TargetError(f"the terminal reads only version {told}, which cannot be written", remedy=remedy)
    return max((major for major in able if here is None or major <= here), default=able[0])


def _in_version(
    document: Document, receiver: Receiver, zone: tzinfo | None, plan_templates: bool
) -> tuple[Document, list[Loss]]:
    major = version_for((document.version or (None,))[0], receiver.get("receiver.versions"))
    if major is None:
        return copy_document(document), []
    return to_version(document, major, zone=zone, plan_templates=plan_templates)

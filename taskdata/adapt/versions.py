"""From one version of the standard to another, step by step, with a ledger of what that costs.

Steps run in the order of ``DOWN`` and ``UP``; the docstring of each names the numbers of the rules that it carries
out. An order matters where one step prepares for another: binary points are points before their types change, a
guidance pattern is a line before lines and points lose what version 3 lacks, tasks go before their times change, rings
are closed before polygons are split, polygons are split before zones are.

Binary time logs and grids stay as they are (R-256). Rings stay closed on the way down (R-251). On the way up nothing is
added where its absence already means the right thing (R-266), and no identifiers are made that nothing needs (R-268).
"""

from __future__ import annotations

from dataclasses import replace
from datetime import tzinfo

from taskdata.adapt.adaptation import Adaptation, Step
from taskdata.adapt.steps.allocations import drop_remainders
from taskdata.adapt.steps.attachments import drop_attachments
from taskdata.adapt.steps.binary_points import expand_binary_points
from taskdata.adapt.steps.close_rings import close_rings
from taskdata.adapt.steps.devices import simplify_devices
from taskdata.adapt.steps.guidance_to_lines import guidance_to_lines
from taskdata.adapt.steps.identifiers import renumber_zero
from taskdata.adapt.steps.join_polygons import join_polygons
from taskdata.adapt.steps.join_zones import join_zones
from taskdata.adapt.steps.later_elements import drop_later_elements
from taskdata.adapt.steps.leftovers import drop_leftovers
from taskdata.adapt.steps.line_types import simplify_lines
from taskdata.adapt.steps.lines_to_guidance import lines_to_guidance
from taskdata.adapt.steps.point_types import simplify_points
from taskdata.adapt.steps.polygon_types import simplify_polygons
from taskdata.adapt.steps.products import simplify_products
from taskdata.adapt.steps.root import state_version, state_writer
from taskdata.adapt.steps.setpoints import ungroup_setpoints
from taskdata.adapt.steps.split_polygons import split_polygons
from taskdata.adapt.steps.split_zones import split_zones
from taskdata.adapt.steps.stamps import add_zones, drop_zones
from taskdata.adapt.steps.tasks import drop_templates_and_cancelled
from taskdata.adapt.steps.times import translate_times
from taskdata.dataclass import dataclass
from taskdata.errors import UsageError
from taskdata.isoxml.tree.copying import copy_document
from taskdata.isoxml.tree.document import Document
from taskdata.ledger import Loss
from taskdata.progress import each
from taskdata.versions import either, has, writable


@dataclass(frozen=True, slots=True)
class VersionStep:
    """A step and the version whose coming made it necessary.

    Parameters
    ----------
    run : callable
        The step.
    since : int or None
        It is taken where a set goes over the border before this version; None = wherever the version changes.
    """

    run: Step
    since: int | None = None


DOWN: tuple[VersionStep, ...] = (
    VersionStep(expand_binary_points, since=4),
    VersionStep(guidance_to_lines, since=4),
    VersionStep(drop_attachments, since=4),
    VersionStep(drop_later_elements, since=4),
    VersionStep(simplify_products, since=4),
    VersionStep(drop_templates_and_cancelled, since=4),
    VersionStep(ungroup_setpoints, since=4),
    VersionStep(drop_remainders, since=4),
    VersionStep(translate_times, since=4),
    VersionStep(simplify_points, since=4),
    VersionStep(simplify_lines, since=4),
    VersionStep(simplify_polygons, since=4),
    VersionStep(join_polygons, since=4),
    VersionStep(join_zones, since=4),
    VersionStep(drop_zones, since=4),
    VersionStep(simplify_devices, since=4),
    VersionStep(drop_leftovers),
    VersionStep(state_version),
)
"""To an older version."""

UP: tuple[VersionStep, ...] = (
    VersionStep(renumber_zero),
    VersionStep(close_rings, since=4),
    VersionStep(split_polygons, since=4),
    VersionStep(split_zones, since=4),
    VersionStep(translate_times, since=4),
    VersionStep(add_zones, since=4),
    VersionStep(lines_to_guidance, since=4),
    VersionStep(drop_leftovers),
    VersionStep(state_version),
)
"""To a newer version."""


def to_version(
    document: Document, major: int, *, zone: tzinfo | None = None, plan_templates: bool = False, sign: bool = True
) -> tuple[Document, list[Loss]]:
    """Return a set as one of another major version, and what that costs.

    Parameters
    ----------
    document : Document
        Any set; it stays as it is.
    major : int
        One that can be written. A set of this version comes back as a copy, without a ledger.
    zone : tzinfo, optional
        Time zone of the set: UTC stamps are converted to it for version 3, local ones get its offset for version 4.
    plan_templates : bool
        Write templates of tasks as planned ones in version 3, instead of leaving them out.
    sign : bool
        Name this program as the last writer; without it the set is for another step, which does that.

    Returns
    -------
    Document, list of Loss
        What is lost or changes, element by element.

    Raises
    ------
    UsageError
        ``major`` cannot be written, or the version of the set is unknown.
    """
    if major not in writable():
        remedy = f"Choose {either(writable())}"
        raise UsageError(f"sets cannot be converted to version {major}", remedy=remedy)
    here = document.version
    if here is None or here[0] > max(writable()):
        told = document.root.get("VersionMajor")
        raise UsageError(
            f"a set of version {told} cannot be converted to another", remedy="Correct VersionMajor in the main file"
        )
    copy = copy_document(document)
    if here[0] == major:
        return copy, []
    copy.xml_files = [replace(file, blob=None) for file in copy.xml_files]
    work = Adaptation(copy, major, zone, plan_templates=plan_templates)
    for step in each(steps(here[0], major), "Adapting to the version", "steps"):
        step(work)
    if sign:
        state_writer(work)
    work.mend_references()
    copy.touch()
    return copy, work.losses


def in_zone(document: Document, zone: tzinfo, *, told: bool = False) -> tuple[Document, list[Loss]]:
    """Return a set with its time stamps as its version writes them in a zone; the set itself where they are so.

    From version 4 on, stamps without a zone get the offset of this one; before, stamps lose theirs (R-252, R-264).

    Parameters
    ----------
    document : Document
        A set of any version; it stays as it is.
    zone : tzinfo
        Time zone of the set.
    told : bool
        Whether the last writer is stated already.

    Returns
    -------
    Document, list of Loss
        What changes, element by element.
    """
    copy = copy_document(document)
    major = (document.version or (0, 0))[0]
    work = Adaptation(copy, major, zone)
    (add_zones if has("zones of stamps", major) else drop_zones)(work)
    if not work.costs:
        return document, []
    if not told:
        state_writer(work)
    copy.xml_files = [replace(file, blob=None) for file in copy.xml_files]
    return copy, work.losses


def steps(before: int, after: int) -> tuple[Step, ...]:
    """Return the steps from one version to another, in their order."""
    low, high = sorted((before, after))
    ordered = DOWN if after < before else UP
    return tuple(step.run for step in ordered if step.since is None or low < step.since <= high)

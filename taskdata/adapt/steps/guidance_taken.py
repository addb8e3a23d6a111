"""Guidance in the form that a receiver takes."""

from __future__ import annotations

from taskdata.adapt.adaptation import Adaptation, label
from taskdata.adapt.steps.guidance_to_lines import guidance_to_lines
from taskdata.adapt.steps.lines_to_guidance import lines_to_guidance
from taskdata.isoxml.facts import elements
from taskdata.model.receiver import Receiver
from taskdata.model.shapes import LineKind
from taskdata.phrases import phrase


def fit_guidance(work: Adaptation, receiver: Receiver) -> None:
    """Turn patterns into lines of type 5 or such lines into patterns; what is taken in neither form is left out."""
    groups = receiver.get("takes.guidance_groups") is not False and elements()["GGP"].holds(work.target)
    strings = receiver.get("takes.guidance_strings") is not False
    if not groups and not strings:
        _drop_patterns(work)
    elif not groups:
        guidance_to_lines(work)
    if strings:
        return
    if groups:
        lines_to_guidance(work)
    for field in work.tagged("PFD"):
        for line in list(field.elements("LSG")):
            if line.get("LineStringType") == str(int(LineKind.GUIDANCE)):
                work.drop(field, phrase("guidance line: {line}", line=label(line)))
                work.remove(line)


def _drop_patterns(work: Adaptation) -> None:
    """Leave out groups with their patterns, and what tasks say of them."""
    for group in work.tagged("GGP"):
        for pattern in group.elements("GPN"):
            work.drop(pattern, label(pattern))
        work.drop(group, label(group))
        work.remove(group)
    for assignment in work.tagged("GAN"):
        work.drop(
            assignment,
            phrase("assignment of {guidance_group} to the task", guidance_group=assignment.get("GuidanceGroupIdRef")),
        )
        work.remove(assignment)

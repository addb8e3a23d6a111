"""Names in the letters and the length that a receiver takes."""

from __future__ import annotations

from taskdata.adapt.adaptation import Adaptation, spaced
from taskdata.adapt.leavable import leavable, or_leave
from taskdata.adapt.transliterate import fit_texts
from taskdata.errors import TargetError
from taskdata.isoxml.facts import elements
from taskdata.isoxml.receivers import designator_letters
from taskdata.isoxml.tree.element import Element
from taskdata.model.receiver import Receiver
from taskdata.phrases import phrase


def fit_names(work: Adaptation, receiver: Receiver) -> None:
    """Spell and shorten names; of things of one kind, different names stay different.

    Raises
    ------
    TargetError
        The receiver leaves no room to keep them apart.
    """
    characters, longest = receiver.get("names.characters") or "any", receiver.get("names.longest")
    if characters == "any" and longest is None:
        return
    groups: dict[tuple[str, str], list[Element]] = {}
    for element in work.document.walk():
        for key in designator_letters(element.tag):
            if element.attributes.get(key):
                groups.setdefault((element.tag, key), []).append(element)
    for (tag, key), owners in groups.items():
        fact = elements()[tag].attributes[key]
        most = min(size for size in (longest, fact.max_length, 1 << 20) if size is not None)
        try:
            names = fit_texts((owner.attributes[key] for owner in owners), characters, most)
        except ValueError as error:
            remedy = or_leave("Give them shorter names", map(leavable, owners))
            why = phrase("{name}: {error}", name=phrase(spaced(fact.name)), error=error)
            raise TargetError(f"{receiver.name} accepts no such names", why=why, remedy=remedy) from None
        for owner in owners:
            before = owner.attributes[key]
            if names[before] != before:
                owner.attributes[key] = names[before]
                work.alter(
                    owner,
                    phrase(
                        "{name} {before!r} becomes {names!r}",
                        name=phrase(spaced(fact.name)),
                        before=before,
                        names=names[before],
                    ),
                    phrase("{name} shows no others", name=receiver.name),
                )

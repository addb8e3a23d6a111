"""Time stamps lose or gain their zone."""

from __future__ import annotations

from collections.abc import Iterator

from taskdata.adapt.adaptation import Adaptation
from taskdata.adapt.clock import is_ambiguous_time, readable, suffix, with_zone, without_zone
from taskdata.isoxml.facts import elements
from taskdata.isoxml.tree.element import Element
from taskdata.phrases import phrase


def drop_zones(work: Adaptation) -> None:
    """Write time stamps as local time (R-252).

    With an offset the reading of the clock stays. UTC is converted to the zone that the user named; without one the
    digits stay, and the ledger warns.
    """
    for element, key, text in _stamps(work):
        stated = suffix(text)
        if not stated:
            continue
        element.attributes[key] = without_zone(text, work.zone)
        if stated != "Z":
            work.alter(
                element,
                phrase("time stamps lose their time zone {stated}", stated=stated),
                phrase("version {target} has local time only", target=work.target),
            )
        elif work.zone is not None and readable(text):
            work.alter(
                element,
                phrase("time stamps in UTC become local time"),
                phrase("version {target} has local time only", target=work.target),
            )
            _warn_twofold(work, element, element.attributes[key], "it is no longer clear which of the two is meant")
        else:
            why = (
                phrase("no time zone was given to convert them to")
                if work.zone is None
                else phrase("they are not valid dates and times")
            )
            work.alter(element, phrase("time stamps in UTC are now read as local time"), why)


def add_zones(work: Adaptation) -> None:
    """Add the zone that the user named to time stamps; without one they stay local (R-264)."""
    if work.zone is None:
        return
    for element, key, text in _stamps(work):
        if suffix(text) == "" and readable(text):
            element.attributes[key] = with_zone(text, work.zone)
            work.alter(element, phrase("time stamps gain a time zone"), phrase("it was given"))
            _warn_twofold(work, element, text, "the offset before the change is written")


def _warn_twofold(work: Adaptation, element: Element, text: str, why: str) -> None:
    if work.zone is not None and is_ambiguous_time(text, work.zone):
        work.approximate(
            element, phrase("time stamp {text} lies in the hour in which the clock changes", text=text), why
        )


def _stamps(work: Adaptation) -> Iterator[tuple[Element, str, str]]:
    wanted = {
        tag: [fact.letter for fact in element.attributes.values() if fact.type == "xs:dateTime"]
        for tag, element in elements().items()
    }
    for element in work.described():
        for key in wanted.get(element.tag, ()):
            if element.attributes.get(key):
                yield element, key, element.attributes[key]

"""Write localization labels with the reserved byte first.

Why it is safe: only labels that end with FF are turned round; the bytes stay. Others are left.
"""

from __future__ import annotations

from taskdata.checks.device._labels import label_octets
from taskdata.checks.device.label_without_reserved_octet import check
from taskdata.phrases import phrase
from taskdata.repairs.repair_work import RepairWork
from taskdata.results.cleaning import Standing

NAME, RESERVED = "DeviceLocalizationLabel", 0xFF

RULES = ("device.label-without-reserved-octet",)
STANDING = Standing.SAFE
NEEDS = ("schema.other-notation",)


def repair(work: RepairWork) -> None:
    """Reverse the bytes of each label that was written the other way round."""
    for element, _ in work.found(check):
        octets = label_octets(element, NAME)
        if octets[-1] == RESERVED:
            turned = octets[::-1].hex().upper()
            work.note(RULES[0], element, element.get(NAME), turned, phrase("the bytes are in reverse order, FF first"))
            element.set(NAME, turned)

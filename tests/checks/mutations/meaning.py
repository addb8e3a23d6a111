"""Faults in what elements mean together: root, stamps, devices, products, tasks, comments, guidance, links."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator

from tests.checks.mutations.engine import MAIN, Fault, Node, attribute, in_tree, told_elsewhere

LINKS, PRODUCTS = "LINKLIST.XML", "PDT00001.XML"
# Kind, set, rules that must find it, element, attribute letter or name, value (None = removed), file; where it is told,
# if not at the element: at others of the same file, or in another file.
VALUES: tuple[tuple[str | None, ...], ...] = (
    ("root", "office", "version", "/ISO11783_TaskData", "VersionMajor", "7", MAIN),
    ("root", "office", "version", "/ISO11783_TaskData", "VersionMinor", "9", MAIN),
    ("root", "older", "version", "/ISO11783_TaskData", "VersionMajor", "5", MAIN),
    ("root", "office", "root schema", "/ISO11783_TaskData", "TaskControllerManufacturer", "Bordrechner", MAIN),
    ("root", "machine", "root", "/ISO11783_TaskData", "TaskControllerManufacturer", None, MAIN),
    ("root", "machine", "root", "//TCC", "C", "3", MAIN),
    ("root", "machine", "root", "//TCC", "D", "0", MAIN),
    ("root", "machine", "root.capabilities-disagree", "//TCC", "D", "59", MAIN),
    ("zones of another field", "office", "zone.outside-field", "//TSK[@A='TSK1']", "E", "PFD4", MAIN),
    ("link list", "office", "linklist.wrong-uuid", "//LNK[@A='PFD1']", "B", "PFD1", LINKS),
    (
        "link list",
        "office",
        "linklist.shared-uuid",
        "//LNK[@A='PFD1']",
        "B",
        "7009cc53-59e9-4824-9a6f-8e39a109ab8f",
        LINKS,
    ),
    ("link list", "office", "linklist.dangling", "//LNK[@A='PFD2']", "A", "PFD99", LINKS),
    ("link list", "office", "linklist.second-uuid", "//LNK[@A='PFD2']", "A", "PFD1", LINKS),
    ("link list", "office", "linklist.no-owner", "//LGP[@B='2']", "C", None, LINKS),
    ("link list", "office", "linklist.wrong-owner", "//LGP[@B='2']", "C", "9521234000007", LINKS),
    ("link list", "office", "linklist.unwanted-namespace", "//LGP[@B='1']", "D", "urn:example:", LINKS),
    ("link list", "office", "linklist.urn-cut-wrong", "//LGP[@B='3']", "D", "urn:example:lindhollen", LINKS),
    ("link list", "office", "linklist", "//LGP[@B='4']", "D", "no address", LINKS),
    ("link list", "office", "linklist.other-version", "//AFE[@A='LINKLIST.XML']", "E", "2", MAIN),
    ("link list", "machine", "linklist.dangling", "(//LNK)[1]", "A", "PFD99", LINKS),
    ("link list", "machine", "linklist.wrong-uuid", "(//LNK)[1]", "B", "12", LINKS),
    ("attached file", "office", "linklist.not-attached", "//AFE[@A='LINKLIST.XML']", "D", "7", MAIN, LINKS),
    ("attached file", "office", "attachment", "//AFE[@A='NOTES001.TXT']", "C", "", MAIN),
    ("attached file", "office", "attachment", "//AFE[@A='NOTES001.TXT']", "C", "9521234000007", MAIN),
    ("attached file", "office", "file.wrong-length", "//AFE[@A='NOTES001.TXT']", "F", "80", MAIN),
    ("attached file", "office", "attachment linklist", "//AFE[@A='LINKLIST.XML']", "C", "9521234000006", MAIN),
    ("stamp", "machine", "stamp.stop-before-start", "(//TIM[@B])[1]", "B", "2024-04-18T05:00:00+02:00", MAIN),
    ("stamp", "machine", "stamp.wrong-duration", "(//TIM[@B])[1]", "C", "99", MAIN),
    ("stamp", "machine", "stamp.mixed-zones", "(//TIM[@B])[1]", "A", "2024-04-18T06:50:00", MAIN),
    ("stamp", "machine", "stamp.mixed-zones", "(//TIM[@B])[2]", "B", "2024-04-18T07:30:01", MAIN),
    ("stamp", "machine", "stamp", "(//ASP[@B])[1]", "B", "2024-04-17T08:06:50+02:00", MAIN),
    ("stamp", "older", "stamp.zone-too-early", "(//TIM[@B])[1]", "A", "2019-03-21T09:10:00Z", MAIN),
    ("stamp", "older", "stamp.stop-before-start", "(//TIM[@B])[1]", "B", "2019-03-20T09:40:15", MAIN),
    ("stamp", "machine", "time", "(//TIM[@D='4'])[1]", "B", "2024-04-18T07:50:00+02:00", MAIN),
    ("stamp", "machine", "stamp time", "(//TIM[@D='4'])[1]", "D", "1", MAIN),
    ("device tree", "office", "device.dangling-object", "//DET[@A='DET203']/DOR[1]", "A", "999", MAIN),
    ("device tree", "older", "device.dangling-object", "//DET[@A='DET4103']/DOR[1]", "A", "999", MAIN),
    ("device tree", "machine", "device.dangling-object", "//DET[@A='DET303']/DOR[1]", "A", "999", MAIN),
    ("device tree", "office", "device.dangling-parent", "//DET[@A='DET203']", "F", "998", MAIN),
    ("device tree", "machine", "device.dangling-parent", "//DET[@A='DET303']", "F", "998", MAIN),
    ("device tree", "older", "device.dangling-parent", "//DET[@A='DET4103']", "F", "998", MAIN),
    ("device tree", "office", "device.parents-in-a-circle", "//DET[@A='DET203']", "F", "39", MAIN),
    ("device tree", "office", "device.root-count", "//DET[@A='DET202']", "C", "1", MAIN, "//DVC[2]"),
    ("device tree", "office", "device.root-count", "//DET[@A='DET201']", "C", "2", MAIN, "//DVC[2]"),
    ("device tree", "office", "device.root-number", "//DET[@A='DET201']", "E", "3", MAIN),
    (
        "device tree",
        "office",
        "device.repeated-element-number",
        "//DET[@A='DET205']",
        "E",
        "5",
        MAIN,
        "//DET[@A='DET206']",
    ),
    (
        "device tree",
        "office",
        "device.repeated-object-number",
        "//DET[@A='DET205']",
        "B",
        "42",
        MAIN,
        "//DET[@A='DET206']",
    ),
    ("device tree", "office", "device.dangling-presentation", "//DVC[2]/DPD[@F][1]", "F", "77", MAIN),
    ("device tree", "older", "device.dangling-presentation", "//DPT[@E][1]", "E", "77", MAIN),
    ("device tree", "office", "device", "//DVC[2]/DPD[@B='DFFF']", "D", "8", MAIN),
    ("device tree", "office", "device", "//DVC[1]/DPD[@C='4']", "C", "6", MAIN),
    ("device tree", "office", "device schema", "//DVC[1]", "G", "FF0000000065", MAIN),
    ("device tree", "office", "device schema", "//DVC[1]", "G", "00000000006564", MAIN),
    (
        "device tree",
        "office",
        "boom",
        "//DVC[2]/DPT[@A='43']",
        "C",
        "-6000",
        MAIN,
        "//DET[DOR/@A='43'] | //DET[@A='DET207']",
    ),
    ("device tree", "office", "boom", "//DVC[2]/DPT[@A='44']", "C", "2000", MAIN, "//DET[DOR/@A='44']"),
    ("device tree", "office", "boom", "//DVC[2]/DPD[@B='008D']", "B", "008E", MAIN, "//DVC[2]/DET[DOR/@A='26']"),
    ("device tree", "office", "boom", "//DVC[2]/DPD[@B='0050']", "B", "0053", MAIN, "//DVC[2]/DET[DOR/@A='25']"),
    ("device tree", "office", "device boom", "//DVC[2]/DPT[@A='18']", "B", "00CD", MAIN, "//DVC[2]/DET[DOR/@A='18']"),
    ("device tree", "office", "device", "//DVC[2]/DPT[@B='009D']", "B", "009C", MAIN, "//DVC[2]/DET[DOR/@A='16']"),
    ("product", "office", "product.wrong-recipe-sum", "//PDT[@A='PDT5']/PRN[1]", "B", "1000000", PRODUCTS),
    ("product", "office", "product.mixture-in-mixture", "//PDT[@A='PDT6']/PRN[1]", "A", "PDT5", PRODUCTS),
    ("product", "office", "product.part-of-itself", "//PDT[@A='PDT6']/PRN[1]", "A", "PDT6", PRODUCTS),
    ("product", "office", "product.parts-of-single-product", "//PDT[@A='PDT6']", "F", "1", PRODUCTS),
    ("product", "office", "product", "//PDT[@A='PDT5']", "G", None, PRODUCTS),
    ("product", "office", "product", "//PDT[@A='PDT4']", "E", None, PRODUCTS, "//PDT[PRN/@A='PDT4']"),
    ("product", "office", "product", "//PDT[@A='PDT3']", "E", "0001", PRODUCTS),
    ("crop", "office", "crop", "//CTP[@A='CTP1']", "C", "PGP2", MAIN),
    ("crop", "office", "crop", "//CVT[@A='CVT1']", "C", "PDT2", MAIN),
    ("crop", "office", "crop", "//CTP[@A='CTP1']", "C", None, MAIN, "//PGP[@A='PGP1']"),
    ("crop", "office", "field", "//PFD[@A='PFD1']", "H", "CVT3", MAIN),
    ("crop", "office", "field", "//PFD[@A='PFD1']", "G", None, MAIN),
    ("field", "office", "field", "//PFD[@A='PFD1']", "F", "FRM2", MAIN),
    ("field", "office", "field", "//PFD[@A='PFD4']", "I", "PFD4", MAIN),
    ("field", "older", "field", "//PFD[@A='PFD4713']", "I", "PFD4713", MAIN),
    ("field", "office", "field.treatment-zone-polygon", "//PFD[@A='PFD1']/PLN[2]", "A", "2", MAIN),
    ("field", "office", "field.wrong-area", "//PFD[@A='PFD1']", "D", "1298340", MAIN),
    ("field", "older", "field.wrong-area", "//PFD[@A='PFD4711']", "D", "12983", MAIN),
    ("colour legend", "office", "coding", "//CRG[2]", "B", "100", MAIN),
    ("colour legend", "office", "coding", "//CRG[2]", "A", "1000000", MAIN),
    ("guidance", "office", "guidance.no-heading", "//GPN[@A='GPN2']", "G", None, MAIN),
    ("guidance", "office", "guidance", "//GPN[@A='GPN1']", "C", "2", MAIN),
    ("task", "machine", "task.unknown-zone", "//TSK[@A='TSK1']", "H", "77", MAIN),
    ("task", "machine", "task.unknown-zone", "//TSK[@A='TSK1']", "I", "77", MAIN),
    ("task", "older", "task.unknown-zone", "//TSK[@A='TSK901']", "J", "77", MAIN),
    ("task", "machine", "task.owner-disagrees", "//TSK[@A='TSK1']", "C", "CTR2", MAIN),
    ("task", "machine", "task.worked-template", "//TSK[@A='TSK1']", "G", "5", MAIN),
    ("task", "office", "zone", "//TSK[@A='TSK1']/TZN[2]", "A", "1", MAIN),
    ("task", "machine", "setpoint zone", "//TSK[@A='TSK1']/TZN[2]/PDV", "A", "0002", MAIN),
    ("task", "machine", "setpoint", "//TSK[@A='TSK1']/TZN[2]/PDV", "D", "DET101", MAIN),
    ("task", "machine", "coding", "//OTP[@A='CPC1']", "B", "OTQ2", MAIN),
    ("comment", "machine", "comment.foreign-value", "//CAN[@A='CCT2']", "B", "CCL1", MAIN),
    ("comment", "machine", "comment.coded-and-free", "//CAN[@A='CCT2']", "C", "dazu", MAIN),
    ("comment", "machine", "comment.empty", "//CAN[@C]", "C", None, MAIN),
    ("allocation", "machine", "allocation.other-device", "//DAN[@C='DVC1']", "A", "A00C86000F623456", MAIN),
    ("allocation", "machine", "allocation.amount-without-quantity", "(//PAN)[1]", "B", None, MAIN),
    ("allocation", "machine", "connection.wrong-element", "//CNN", "B", "DET202", MAIN),
    ("allocation", "machine", "connection.same-device", "//CNN", "C", "DVC1", MAIN),
    ("allocation", "machine", "assignment", "//CAT", "E", "99", MAIN),
    ("trigger", "machine", "trigger", "(//DLT[@D])[1]", "D", "1", MAIN),
    ("trigger", "machine", "trigger", "(//DLT[@A='DFFE'])[1]", "J", None, MAIN),
    ("trigger", "machine", "trigger", "(//DLT[@A='DFFE'])[1]", "L", "70", MAIN),
    ("time log", "machine", "file.wrong-length", "(//TLG)[1]", "B", "380667", MAIN),
    ("time log", "older", "file.wrong-length", "(//TLG)[1]", "B", "14782", MAIN),
    ("time log", "machine", "file", "(//TLG)[1]", "A", "TLG00002", MAIN),
)


def faults() -> Iterator[Fault]:
    """Yield the faults."""
    for kind, source, expected, path, letter, value, file, *told_at in VALUES:
        fault = attribute(str(kind), str(source), str(expected), (str(path), str(letter)), value, file=str(file))
        yield told_elsewhere(fault, str(file), str(told_at[0])) if told_at else fault
    yield in_tree("device tree", "a total withdrawn", "office", "device.no-total-time", _without("//DOR[@A='8']"))
    yield in_tree("device tree", "no default set", "office", "device.no-default-request", _without("//DPD[@B='DFFF']"))
    yield in_tree("device tree", "described twice", "office", "device identity", _doubled("//DVC[1]"))
    yield in_tree("root", "no capabilities", "machine", "root.no-capabilities", _without("//TCC"))
    yield in_tree(
        "task", "two positions of a planned job", "office", "task time comment schema", _doubled("//TSK[1]/TIM")
    )
    yield in_tree("field", "two boundaries", "older", "field.several-boundaries", _doubled("//PFD[1]/PLN[@A='1']"))
    yield in_tree("time log", "named twice", "machine", "file.repeated-binary identity", _doubled("(//TLG)[1]"))
    yield in_tree("grid", "two of a task", "office", "schema file", _doubled("(//GRD)[1]"))
    yield in_tree("link list", "a link twice", "office", "linklist", _doubled("(//LNK)[1]"), file=LINKS)


def _without(path: str) -> Callable[[Node], Iterable[Node]]:
    def change(root: Node) -> Iterator[Node]:
        item = root.xpath(path)[0]
        above = item.getparent()
        above.remove(item)
        yield above
        yield from above.iterancestors("DVC")

    return change


def _doubled(path: str) -> Callable[[Node], Iterable[Node]]:
    def change(root: Node) -> Iterator[Node]:
        item = root.xpath(path)[0]
        again = item.__copy__()
        item.addnext(again)
        yield item
        yield again
        yield item.getparent()

    return change

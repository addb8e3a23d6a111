"""Raise stated lengths to those of files that are longer.

Why it is safe: the length follows from the file, which holds all that was stated and more. A file that is shorter than
stated has lost its end on the way: what was stated is the evidence of it, and stays.
"""

from __future__ import annotations

from taskdata.isoxml.tree.filenames import file_names
from taskdata.isoxml.tree.stated_lengths import LENGTHS, stated_length
from taskdata.phrases import phrase
from taskdata.repairs.repair_work import RepairWork
from taskdata.results.cleaning import Standing

RULES = ("file.wrong-length",)
STANDING = Standing.SAFE
NEEDS = ("timelog",)


def repair(work: RepairWork) -> None:
    """Raise each stated length of a file that is there and longer."""
    blobs = {file.name.upper(): file.blob for file in work.document.xml_files} | work.document.others
    for tag, name in LENGTHS.items():
        for element in work.tagged(tag):
            stated, names = stated_length(element), file_names(element)
            blob = blobs.get(names[-1].upper()) if names else None
            if stated is not None and blob is not None and stated < blob.size:
                work.note(RULES[0], element, element.get(name), str(blob.size), phrase("the file has this many bytes"))
                element.set(name, str(blob.size))

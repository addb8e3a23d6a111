"""The root states the version, and who wrote the set last."""

from __future__ import annotations

from taskdata.adapt.adaptation import Adaptation, spaced
from taskdata.isoxml.facts import ROOT, elements, letter
from taskdata.isoxml.to_document.apply import VERSIONS, WRITER, WRITER_VERSION
from taskdata.isoxml.tree.document import Document
from taskdata.phrases import phrase

_ORIGIN, _OFFICE = "DataTransferOrigin", "1"
_ORIGINS = {"1": phrase("1 (office)"), "2": phrase("2 (machine)")}
_NOW = phrase("the set is now an office set")
_OF_THE_CONTROLLER = ("TaskControllerManufacturer", "TaskControllerVersion")


def state_version(work: Adaptation) -> None:
    """State the new version (R-233, R-257); the language goes where the version has no place for it."""
    root = work.document.root
    before = work.document.version
    put_version(work.document, work.target)
    told = ".".join(map(str, before or ()))
    work.alter(
        None,
        phrase(
            "version {told} becomes {target}.{versions}", told=told, target=work.target, versions=VERSIONS[work.target]
        ),
        phrase("the target is of that version"),
    )
    for fact in elements()[ROOT].attributes.values():
        if not fact.holds(work.target):
            work.drop_attribute(root, fact.name)


def put_version(document: Document, major: int) -> None:
    """Write a major version, and the minor version that this program writes with it."""
    document.root.set("VersionMajor", str(major))
    document.root.set("VersionMinor", str(VERSIONS[major]))


def state_writer(work: Adaptation) -> None:
    """State this program as the last writer of the set (R-255, R-263).

    A set last written by a machine is now one of the office, so what it says of the task controller goes.
    """
    root = work.document.root
    for name, text in {
        "ManagementSoftwareManufacturer": WRITER,
        "ManagementSoftwareVersion": WRITER_VERSION,
        _ORIGIN: _OFFICE,
    }.items():
        before = root.get(name)
        if before != text:
            root.attributes[letter(ROOT, name)] = text
            told = [_ORIGINS.get(item or "", item) if name == _ORIGIN else item for item in (before or "none", text)]
            work.alter(
                None,
                phrase(
                    "{name} {first_told} becomes {told}", name=phrase(spaced(name)), first_told=told[0], told=told[1]
                ),
                phrase("the converter wrote the set last"),
            )
    for name in _OF_THE_CONTROLLER:
        work.drop_attribute(root, name, _NOW)
    for capabilities in work.tagged("TCC"):
        work.drop(capabilities, phrase("capabilities of the task controller"), _NOW)
        work.remove(capabilities)

"""Whole file sets that are valid by the standard, from the fact tables: ``file_sets`` for hypothesis.

A set is drawn from a seed, a version and a choice of features, so that a failing example shrinks to few features and
little content, and ``build(seed, version, features)`` makes it again.
"""

from __future__ import annotations

import uuid
from dataclasses import dataclass
from pathlib import Path
from random import Random

from hypothesis import strategies as st

from taskdata.isoxml.facts import EXTERNAL_ROOT, LINK_LIST_ROOT, ROOT
from taskdata.isoxml.files.blob import Blob
from taskdata.isoxml.files.set_files import FileSet
from taskdata.isoxml.reading.read import document_of
from taskdata.isoxml.tree.document import Document
from tests.generate_coding import Coding
from tests.generate_maker import Maker
from tests.generate_tasks import Tasks
from tests.generate_tree import Node, Style, render

FEATURES = (
    "awkward texts",
    "odd numbers",
    "comments",
    "proprietary",
    "shuffled",
    "spelled files",
    "edges of the world",
    "holes",
    "several parts",
    "binary points",
    "grids",
    "time logs",
    "attachments",
    "link list",
    "external files",
)
MINORS = {2: (0,), 3: (0, 1, 2, 3), 4: (0, 1, 2, 3)}
MOVABLE = ["CCG", "CCT", "CLD", "CPC", "CTP", "CTR", "DVC", "FRM", "OTQ", "PDT", "PFD", "PGP", "TSK", "VPN", "WKR"]
_SCHEMA_HINT = {
    "xmlns:xsi": "http://www.w3.org/2001/XMLSchema-instance",
    "xsi:noNamespaceSchemaLocation": "TASKDATA.xsd",
}


@dataclass(frozen=True)
class FileSetContent:
    """The files of a set by name, and what they were made from."""

    files: dict[str, bytes]
    version: int
    origin: int
    features: frozenset[str]
    seed: int

    def __repr__(self) -> str:
        return f"build({self.seed}, {self.version}, {sorted(self.features)})"

    def file_set(self) -> FileSet:
        return FileSet("generated", tuple(Blob.of(*item) for item in sorted(self.files.items())), "TASKDATA")

    def document(self) -> Document:
        return document_of(self.file_set())

    def write(self, folder: Path) -> Path:
        """Write the files into a new folder and return it."""
        folder.mkdir(parents=True)
        for name, content in self.files.items():
            (folder / name).write_bytes(content)
        return folder


def file_sets(*, version: int | None = None, small: bool = False) -> st.SearchStrategy[FileSetContent]:
    """Return a strategy of valid sets, of one version or any; ``small`` keeps each to a few elements of a kind."""
    return st.builds(
        build,
        st.integers(0, 2**32 - 1),
        st.sampled_from([2, 3, 4]) if version is None else st.just(version),
        st.frozensets(st.sampled_from(FEATURES)) | st.just(frozenset(FEATURES)),
        st.integers(1, 1 if small else 3),
    )


def build(seed: int, version: int = 4, features: frozenset[str] = frozenset(FEATURES), most: int = 2) -> FileSetContent:
    """Make the set of a seed; ``most`` bounds how many elements of a kind stand together."""
    rng = Random(f"{seed} {version}")  # noqa: S311  # test data, no secret
    origin = rng.choice([1, 2])
    maker = Maker(rng, version, origin, frozenset(features), most)
    coding = Coding(maker)
    tasks = Tasks(maker, coding)
    root = maker.element(ROOT, **_root(maker))
    if rng.random() < 0.3:
        root.attributes |= _SCHEMA_HINT
    nodes = [*coding.top, *(tasks.logged(tasks.task()) for _ in maker.count(1))]
    if version >= 4 and origin == 2:
        nodes.append(_capabilities(maker))
    files: dict[str, bytes] = {}
    parts = _external(maker, nodes)
    for name, moved in parts.items():
        content = maker.seasoned(Node(EXTERNAL_ROOT).add(*moved))
        files[f"{name}.XML"] = render(content, _style(maker))
        root.add(maker.element("XFR", Filename=name, Filetype="1"))
    gone = {id(node) for moved in parts.values() for node in moved}
    root.add(*(node for node in nodes if id(node) not in gone))
    files |= _attachments(maker, root)
    head, tail = ("<!-- made for tests -->", "<!-- end -->") if maker.has("comments") else ("", "")
    files["TASKDATA.XML"] = render(maker.seasoned(root), _style(maker), head, tail)
    for name, header in tasks.logs.headers.items():
        files[f"{name}.XML"] = render(header, _style(maker))
    return FileSetContent(files | maker.files, version, origin, frozenset(features), seed)


def _style(maker: Maker) -> Style:
    return Style.drawn(maker.rng) if maker.has("spelled files") else Style()


def _root(maker: Maker) -> dict[str, str | None]:
    controller = {"TaskControllerManufacturer": None, "TaskControllerVersion": None}
    if maker.origin == 2:
        controller = {"TaskControllerManufacturer": maker.values.text(32), "TaskControllerVersion": "7"}
    return {
        "VersionMajor": str(maker.version),
        "VersionMinor": str(maker.rng.choice(MINORS[maker.version])),
        "DataTransferOrigin": str(maker.origin),
        **controller,
    }


def _capabilities(maker: Maker) -> Node:
    bits = maker.rng.randint(0, 63)
    section = maker.values.integer(0, 254) if bits & 16 else 0
    channels = str(maker.values.integer(0, 254) if bits & 4 else 0)
    counts = {"NumberOfBoomsSectionControl": str(section), "NumberOfSectionsSectionControl": str(section)}
    given = {"VersionNumber": "4", "ProvidedCapabilities": str(bits), "NumberOfControlChannels": channels}
    return maker.element("TCC", **given, **counts)


def _external(maker: Maker, nodes: list[Node]) -> dict[str, list[Node]]:
    """Choose what moves to external files: some or all elements of some kinds, by file name."""
    parts: dict[str, list[Node]] = {}
    if not maker.has("external files"):
        return parts
    for tag in maker.rng.sample(MOVABLE, maker.rng.randint(1, 5)):
        ours = [node for node in nodes if node.tag == tag]
        for node in ours[maker.rng.randint(0, max(0, len(ours) - 1)) :]:
            named = [name for name in parts if name.startswith(tag)]
            name = maker.rng.choice([*named, None])
            parts.setdefault(name or maker.new_file(tag), []).append(node)
    return parts


def _attachments(maker: Maker, root: Node) -> dict[str, bytes]:
    """Add attached files and the link list, which is one of them."""
    files: dict[str, bytes] = {}
    if maker.version < 4:
        return files
    for name in ("NOTES001.TXT", "A.B", "PHOTO01.JPG") if maker.has("attachments") else ():
        files[name] = maker.rng.randbytes(maker.rng.choice([0, 1, 3000]))
        given = {"ManufacturerGLN": "9521234000006", "FileType": maker.rng.choice(["128", "254"])}
        given["FileLength"] = maker.rng.choice([None, str(len(files[name]))])
        root.add(maker.element("AFE", FilenameWithExtension=name, **given))
    if maker.has("link list"):
        version = maker.rng.choice([None, "1", "2026-11"])
        files["LINKLIST.XML"] = render(maker.seasoned(_link_list(maker, version)), _style(maker))
        given = {"FilenameWithExtension": "LINKLIST.XML", "ManufacturerGLN": "", "FileType": "1", "FileLength": None}
        root.add(maker.element("AFE", **given, FileVersion=version))
    return files


def _link_list(maker: Maker, version: str | None) -> Node:
    root = maker.element(LINK_LIST_ROOT, **{**_root(maker), "FileVersion": version})
    known = sorted(identifier for tag in maker.made for identifier in maker.ids(tag))
    unlinked = maker.rng.sample(known, len(known))
    for _ in maker.count(1):
        kind = maker.rng.choice("1234")
        space = {
            "3": maker.rng.choice(["https://data.example/id/", "urn:example:lindhollen:"]),
            "4": "https://maps.example/?q=",
        }
        given = {"LinkGroupType": kind, "LinkGroupNamespace": space.get(kind)}
        given["ManufacturerGLN"] = "9521234000006" if kind == "2" else None
        group = maker.element("LGP", **given)
        for _ in maker.count():
            target = unlinked.pop() if kind == "1" else maker.rng.choice(known)
            value = (
                str(uuid.UUID(bytes=maker.rng.randbytes(16), version=4)) if kind == "1" else f"x{maker.rng.random()}"
            )
            group.add(maker.element("LNK", ObjectIdRef=target, LinkValue=value))
        root.add(group)
    return root

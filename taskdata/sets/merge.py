"""Several sets into one: sticks, machines, seasons.

Equal things are recognised, see ``taskdata.sets.joining.steps``; what is not one thing is kept apart, and gets another
number or file name where that is taken. The result does not depend on the order of the sources.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from taskdata.dataclass import dataclass
from taskdata.errors import UsageError
from taskdata.isoxml.facts import LINK_LIST_ROOT, ROOT, elements, letter
from taskdata.isoxml.files.blob import Blob
from taskdata.isoxml.to_document.apply import WRITER, WRITER_VERSION
from taskdata.isoxml.to_model.dataset import to_dataset
from taskdata.isoxml.tree.document import Document
from taskdata.isoxml.tree.element import Element
from taskdata.isoxml.writing.mended_lengths import mend_lengths
from taskdata.isoxml.writing.write import xml_bytes
from taskdata.ledger import Loss, LossKind
from taskdata.phrases import phrase
from taskdata.progress import stage
from taskdata.results.merging import Decision, Recognised
from taskdata.sets.compare import compare
from taskdata.sets.joining.building import CAPABILITIES, MAIN_FILE, Builder
from taskdata.sets.joining.files import Files
from taskdata.sets.joining.links import Links
from taskdata.sets.joining.numbering import Numbering
from taskdata.sets.joining.recognise import recognise
from taskdata.sets.joining.sources import RankedSource, ranked
from taskdata.sets.side import Side

_OFFICE = "1"


@dataclass(frozen=True, slots=True)
class Merged:
    """The result of merging.

    Parameters
    ----------
    document : Document
        One main file with everything, and the other files of the set.
    journal : tuple of Decision
        What a person may want to look at.
    recognised : tuple of Recognised
        What stands in several sources.
    renumbered : dict of str to dict of str to str
        By source: identifiers and file names that changed, old to new.
    losses : tuple of Loss
        What the result does not hold.
    """

    document: Document
    journal: tuple[Decision, ...]
    recognised: tuple[Recognised, ...]
    renumbered: dict[str, dict[str, str]]
    losses: tuple[Loss, ...]


def merge(sides: Sequence[Side]) -> Merged:
    """Merge sets of one major version.

    Parameters
    ----------
    sides : sequence of Side
        At least one set. A set merged with itself or with a part of it stays as it is, external files put into the main
        file.

    Returns
    -------
    Merged
        The result with its journal. What several sets hold stands in it once; where they say different things, the
        rule in the journal tells which word was kept. Comments are kept from the first set alone.

    Raises
    ------
    UsageError
        There is no set, or the sets have different major versions.
    """
    _refuse_mixture(sides)
    sources = ranked(sides)
    things, contents = recognise(sources)
    numbers = Numbering(sources, things)
    builder = Builder(sources, things, contents, numbers)
    root = Element(ROOT, file=MAIN_FILE)
    with stage("Putting the sets together", ""):
        builder.fill(root)
    first = sources[0].document
    main = replace(first.main, root=root, blob=None, before=list(first.main.before), after=list(first.main.after))
    document = Document(sources[0].name, [main], folder=first.folder)
    files = Files(document, sources, builder, numbers)
    files.place()
    links = Links(sources, builder, numbers)
    link_list = links.united()
    if link_list is not None:
        document.xml_files.append(link_list)
    same = _equal_roots(sources) and (
        not (builder.grown or files.grown or links.grown) or _is_the_first(document, sources)
    )
    losses = [*_sign(document, sources, same=same), *links.losses]
    document.touch()
    if not same:
        losses += mend_lengths(document)
    for file in document.xml_files:
        file.declared, file.encoding = True, file.encoding or "UTF-8"
    for file in document.xml_files[1:]:
        file.blob = Blob.of(file.name, xml_bytes(file))
    renumbered: dict[str, dict[str, str]] = {}
    for source in sources:
        renumbered.setdefault(source.name, {}).update(numbers.renamed[source.index])
    return Merged(document, (*builder.journal, *files.journal), tuple(builder.recognised), renumbered, tuple(losses))


def _refuse_mixture(sides: Sequence[Side]) -> None:
    if not sides:
        raise UsageError("there is nothing to merge", remedy="Name the sets to merge")
    majors: dict[int | None, str] = {}
    for side in sides:
        version = side.document.version
        majors.setdefault(None if version is None else version[0], side.dataset.source)
    if len(majors) > 1:
        told = ", ".join(f"{source} is version {major or 'unknown'}" for major, source in majors.items())
        raise UsageError(
            "sets of different versions cannot be merged",
            why=told,
            remedy="Correct VersionMajor in the main file",
        )


def _equal_roots(sources: list[RankedSource]) -> bool:
    return all(source.document.root.attributes == sources[0].document.root.attributes for source in sources)


def _is_the_first(document: Document, sources: list[RankedSource]) -> bool:
    """Tell whether a result, not signed yet, is its first source and nothing else: the others are parts of that.

    Most results differ from it in how many elements or files there are, so that the rest need not be compared.
    """
    first = sources[0].document
    if set(document.others) != set(first.others) or _sizes(document) != _sizes(first):
        return False
    document.root.attributes = dict(first.root.attributes)
    document.touch()
    return compare(Side(first, to_dataset(first)), Side(document, to_dataset(document))).equal


def _sizes(document: Document) -> dict[str, int]:
    """Return how many elements of each kind of the standard a document has, but for references to external files."""
    return {tag: count for tag, count in document.counts().items() if tag in elements() and tag != "XFR"}


def _sign(document: Document, sources: list[RankedSource], *, same: bool) -> list[Loss]:
    """Set the attributes of the root: those of the sources where they are one set, else those of a set made here."""
    root = document.root
    roots = [source.document.root for source in sources]
    if same:
        root.attributes = dict(roots[0].attributes)
        return []
    root.children = [node for node in root.children if not isinstance(node, Element) or node.tag != CAPABILITIES]
    losses = []
    for source in sources:
        for item in source.document.root.elements(CAPABILITIES):
            what = _capabilities(item.get("TaskControllerDesignator"))
            why = phrase("an office set has none (ISO 11783-10, D.32); {name} still has them", name=source.name)
            losses.append(Loss(LossKind.DROPPED, None, what, why))
    merged = {name: text for item in reversed(roots) for name, text in item.attributes.items()}
    minors = [item.attributes.get("VersionMinor", "") for item in roots]
    merged["VersionMinor"] = max(minors, key=lambda text: int(text) if text.isascii() and text.isdigit() else -1)
    root.attributes = _signed(ROOT, {name: merged[name] for item in roots for name in item.attributes})
    losses += _forgotten(roots)
    link_list = document.link_list
    if link_list is not None:
        link_list.root.attributes = _signed(LINK_LIST_ROOT, link_list.root.attributes)
        for name in ("VersionMajor", "VersionMinor"):
            if name in link_list.root.attributes and name in root.attributes:
                link_list.root.attributes[name] = root.attributes[name]
    return losses


def _signed(tag: str, attributes: dict[str, str]) -> dict[str, str]:
    """Return the attributes of a root as this program signs them, without the machine."""
    signed = dict(attributes)
    for name in ("TaskControllerManufacturer", "TaskControllerVersion"):
        signed.pop(letter(tag, name), None)
    signed[letter(tag, "ManagementSoftwareManufacturer")] = WRITER
    signed[letter(tag, "ManagementSoftwareVersion")] = WRITER_VERSION
    signed[letter(tag, "DataTransferOrigin")] = _OFFICE
    return signed


def _capabilities(name: str | None) -> str:
    return phrase("capabilities {name} of the machine", name=name) if name else phrase("capabilities of the machine")


def _forgotten(roots: list[Element]) -> list[Loss]:
    """Say which makers and versions of the sources the result does not name."""
    losses = []
    for fact in elements()[ROOT].attributes.values():
        if fact.name.startswith(("TaskController", "ManagementSoftware")):
            told = dict.fromkeys(text for item in roots if (text := item.attributes.get(fact.letter)))
            what = ", ".join(repr(text) for text in told if text != WRITER)
            why = phrase("the result names the program that wrote it, not a machine (ISO 11783-10, D.32)")
            losses += (
                [Loss(LossKind.CHANGED, None, phrase("{name} {what}", name=fact.name, what=what), why)] if what else []
            )
    return losses

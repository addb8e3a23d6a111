"""The catalogue of translations: ``python -m tests.catalogue`` takes new texts into it and compiles it.

Texts are those that a page asks for (``word.t``), labels of the palette, and messages and remedies of rules. A text
without a translation stays English. Messages of errors have to be translated; a test holds that.
"""

from __future__ import annotations

import ast
import io
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

from babel.messages import pofile
from babel.messages.catalog import Catalog
from babel.messages.mofile import write_mo

import taskdata
from taskdata.adapt.adaptation import spaced
from taskdata.checks.geometry._holes import Fault
from taskdata.geometry.loops import RingFault
from taskdata.isoxml.facts import elements
from taskdata.isoxml.tree.filenames import FILE_KINDS
from taskdata.palette import styles
from taskdata.quantities.dictionary import entries
from taskdata.repairs.attributes import ATTRIBUTE_REPAIRS
from taskdata.results.merging import How

ROOT = Path(__file__).parents[1]
FOLDER = ROOT / "taskdata" / "locale"
KEYWORDS = {"t", "N_"}
LANGUAGE = "de"
ROOMS = ("page", "reports", "workbench")
"""Where texts of pages stand."""
NO_DAY = datetime(2000, 1, 1, tzinfo=UTC)
"""Stands in a compiled file in place of the day on which it was made."""
KEPT = (b"msgid", b"msgstr", b'"Language:', b'"Plural', b'"MIME', b'"Content')
"""What of the head of the file depends on nothing but the language."""


def wanted() -> dict[str, list[str]]:
    """Return every text that may be translated, with what it belongs to."""
    found: dict[str, list[str]] = {}
    for path in sorted(path for room in ROOMS for path in (ROOT / "taskdata" / room).rglob("*.py")):
        for text in _said(ast.parse(path.read_text(encoding="utf-8"))):
            found.setdefault(text, []).append(path.name)
    for path in sorted((ROOT / "taskdata").rglob("*.py")):
        for text in _phrases(ast.parse(path.read_text(encoding="utf-8"))):
            found.setdefault(text, []).append(f"{path.name} (phrase)")
    for text in _words_of_the_standard():
        found.setdefault(text, []).append("elements.csv (word)")
    for item in entries().values():
        for text in (item.name, item.plain_name):
            found.setdefault(text, []).append("ddi.csv (name)")
    for style in styles().values():
        if style.label:
            found.setdefault(style.label, []).append("palette.csv")
    for rule in taskdata.rules():
        for text in (rule.message, rule.remedy):
            found.setdefault(text, []).append(rule.id)
    return found


def _said(tree: ast.AST) -> Iterator[str]:
    """Yield the texts that a translation is asked of, in f-strings too."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Call) and node.args and isinstance(node.args[0], ast.Constant):
            name = node.func.attr if isinstance(node.func, ast.Attribute) else getattr(node.func, "id", None)
            if name in KEYWORDS:
                yield str(node.args[0].value)


def _phrases(tree: ast.AST) -> Iterator[str]:
    """Yield the texts of phrases, of stages of long work, and how many of a thing there are."""
    for node in ast.walk(tree):
        name = getattr(node.func, "id", None) if isinstance(node, ast.Call) else None
        if name in {"phrase", "stage"}:
            said = node.args[:2] if name == "stage" else node.args[:1]  # what is done, and of what
            yield from (str(part.value) for item in said for part in _constants(item) if part.value)
        elif name == "counted":
            nouns = [part.value for item in node.args[1:] for part in _constants(item)]
            if nouns:
                yield f"{{count}} {nouns[0]}"
                yield f"{{count}} {nouns[1]}" if len(nouns) > 1 else f"{{count}} {nouns[0]}s"


def _constants(node: ast.expr) -> list[ast.Constant]:
    if isinstance(node, ast.IfExp):
        return [*_constants(node.body), *_constants(node.orelse)]
    return [node] if isinstance(node, ast.Constant) and isinstance(node.value, str) else []


def _words_of_the_standard() -> Iterator[str]:
    """Yield what elements, attributes and values of the standard are called where the program speaks of them."""
    for fact in elements().values():
        yield from (fact.name, spaced(fact.name))
        for attribute in fact.attributes.values():
            if not attribute.name.endswith("Id"):
                yield spaced(attribute.name.removesuffix("IdRef"))
            yield from (spaced(value.name) for value in attribute.values)
    yield from (
        *FILE_KINDS.values(),
        *(item.value for item in How),
        *(item.value for item in RingFault),
        *(item.value for item in Fault),
    )
    yield from (row.reason for row in ATTRIBUTE_REPAIRS)


def load(language: str = LANGUAGE) -> Catalog:
    """Return the catalogue of a language as it is."""
    path = po_path(language)
    if not path.exists():
        return Catalog(language, project="taskdata", fuzzy=False)
    with path.open("rb") as file:
        return pofile.read_po(file, language)


def po_path(language: str = LANGUAGE) -> Path:
    """Return the file with the texts of a language."""
    return FOLDER / language / "LC_MESSAGES" / "taskdata.po"


def updated(language: str = LANGUAGE) -> Catalog:
    """Return the catalogue with the texts that are wanted, translated where they were."""
    known = load(language)
    fresh = Catalog(language, project="taskdata", fuzzy=False)
    for text, places in wanted().items():
        old = known.get(text)
        fresh.add(text, old.string if old else "", auto_comments=[", ".join(dict.fromkeys(places))[:100]])
    return fresh


def po_bytes(catalogue: Catalog) -> bytes:
    """Return the file of texts, the same to the byte for the same texts."""
    buffer = io.BytesIO()
    pofile.write_po(buffer, catalogue, width=110, omit_header=False, sort_output=True, no_location=True)
    head, _, rest = buffer.getvalue().partition(b"\n\n")
    kept = [line for line in head.split(b"\n") if line.startswith(KEPT)]
    return b"\n".join(kept) + b"\n\n" + rest


def mo_bytes(catalogue: Catalog) -> bytes:
    """Return the compiled file."""
    catalogue.creation_date = catalogue.revision_date = NO_DAY
    buffer = io.BytesIO()
    write_mo(buffer, catalogue)
    return buffer.getvalue()


if __name__ == "__main__":
    po_path().parent.mkdir(parents=True, exist_ok=True)
    po_path().write_bytes(po_bytes(updated()))
    po_path().with_suffix(".mo").write_bytes(mo_bytes(load()))

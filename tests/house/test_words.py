"""Texts for the user hold to the words of DEVELOPERS.md: those that were given up do not come back.

Looked at are the texts in the code (messages, remedies, reasons, help, headings), the pages of rules, the help of
commands, and the pages that users read.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from taskdata import api

ROOT = Path(__file__).parents[2]
PAGES = ["README.md", "schemas/README.md", "schemas/rules.md", "samples/README.md"]
GIVEN_UP = {
    r"reckon\w*": "compute, count",
    r"octets?": "byte",
    r"to the letter": "exactly as it is",
    r"the word of (the|a|an) \w+": "office data takes precedence",
    r"(is|are) let pass": "is allowed",
    r"passed over": "not checked, ignored",
    r"A and heading": "A+ and heading",
    r"the disk refuses": "the disk reported an error",
    r"does not hold as the source does": "not carried over unchanged",
    r"no place that they are known to mean": "no attribute that they are known to match",
    r"from no column": "a column with names was not found",
    r"(it|they) (is|are) no (degrees|number|whole \w+)": "is not a",
    r"(which|that) (is|are) no (?!longer)": "which is not a",
    r"whole records? could be read": "complete records",
    r"copy (it|them|the file|the archive) again from (its source|where it came)": "from the original",
    r"have (its|the machine's own) description loaded": "load the device description again",
    r"(parted|part the set)": "split",
    r"so many (metres|cells|percent|sources)": "name the quantity",
    r"taken for one thing": "treated as the same",
    r"see that it is\b": "check that",
    r"Way: \S+ k?m\w*": "Distance: ",
    r"\d:\d\d:\d\d h": "34 min 15 s",
    r"\de\+\d\d m\b": "a number in full",
}


def texts() -> Iterator[tuple[str, str]]:
    """Yield every text of the code with a blank in it, and the help of commands, each with its file."""
    for path in sorted((ROOT / "taskdata").rglob("*.py")):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        named = str(path.relative_to(ROOT))
        bare = {id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr)}
        for node in ast.walk(tree):
            if isinstance(node, ast.Constant) and isinstance(node.value, str):
                if id(node) not in bare and " " in node.value.strip():
                    yield named, node.value
            elif isinstance(node, ast.FunctionDef) and path.parent.name == "cli" and node.name == "command":
                yield named, ast.get_docstring(node) or ""


def everything() -> list[tuple[str, str]]:
    """Return every text that a user may read, each with where it stands."""
    pages = [(name, (ROOT / name).read_text(encoding="utf-8")) for name in PAGES]
    rules = [(rule.id, f"{rule.message}\n{rule.remedy}\n{rule.about}") for rule in api.rules()]
    return [*texts(), *rules, *pages]


TEXTS = [(name, " ".join(text.split())) for name, text in everything()]


def found(pattern: str) -> list[str]:
    """Return where a word that was given up is, with the words around it; names of facts and rules do not count."""
    word = re.compile(rf"(?<![\w.{{-])({pattern})(?![\w}}-])", re.IGNORECASE)
    return [
        f"{name}: ...{text[max(at.start() - 30, 0) : at.end() + 30]}..."
        for name, text in TEXTS
        for at in word.finditer(text)
    ]


def test_all_kinds_of_texts_are_looked_at() -> None:
    names = {name for name, _ in TEXTS}
    assert len(TEXTS) > 3000
    assert {"taskdata/cli/check.py", "geometry.open-ring", "README.md", "taskdata/reports/coverage_text.py"} <= names


@pytest.mark.parametrize("pattern", GIVEN_UP)
def test_words_that_were_given_up_do_not_come_back(pattern: str) -> None:
    assert found(pattern) == [], f"write instead: {GIVEN_UP[pattern]}"

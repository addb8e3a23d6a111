"""The public page of a rule, in the one form that every rule writes it in: the docstring of its module.

The first paragraph states the fault in a sentence; four headings follow, each with an indented text.
"""

from __future__ import annotations

from taskdata.dataclass import dataclass

HEADINGS = ("What it checks", "Why it matters", "Example", "How to fix")


@dataclass(frozen=True, slots=True)
class RulePage:
    """A page in its parts.

    Parameters
    ----------
    title : str
        The fault, in one sentence.
    checks, matters, example, fix : str
        The texts under the four headings, without their indentation; lines as they stand.
    """

    title: str
    checks: str
    matters: str
    example: str
    fix: str


def parse_page(text: str) -> RulePage:
    """Return the parts of a page.

    Raises
    ------
    ValueError
        The page has no title, other headings, or an empty text, and which.
    """
    title, _, rest = text.strip().partition("\n\n")
    if not title or title.splitlines()[0] in HEADINGS or any(line.startswith(" ") for line in title.splitlines()):
        raise ValueError("a page begins with a sentence that states the fault")
    parts: dict[str, list[str]] = {}
    for line in rest.splitlines():
        if line and not line.startswith("    "):
            parts[line] = []
        elif parts:
            next(reversed(parts.values())).append(line.removeprefix("    "))
    if tuple(parts) != HEADINGS:
        raise ValueError(f"a page has the headings {', '.join(HEADINGS)}, not {', '.join(parts)}")
    texts = ["\n".join(lines).strip() for lines in parts.values()]
    empty = [heading for heading, body in zip(HEADINGS, texts, strict=True) if not body]
    if empty:
        raise ValueError(f"nothing stands under {', '.join(empty)}")
    return RulePage(" ".join(title.split()), *texts)

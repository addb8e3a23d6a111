"""Small pieces of HTML, every text in them escaped."""

from __future__ import annotations

import html
from collections.abc import Iterable, Sequence

from taskdata.visible import visible


def text(words: str) -> str:
    """Return words as content of an element or of an attribute in double quotes, with what is not safe as escapes."""
    return html.escape(visible(words), quote=True)


def paragraph(words: str, name: str = "") -> str:
    """Return a paragraph, of a class where a name is given."""
    return f"<p{f' class={chr(34)}{name}{chr(34)}' if name else ''}>{text(words)}</p>"


def table(
    head: Sequence[str], rows: Iterable[Sequence[str]], figures: Iterable[int] = (), ends: Sequence[str] = ()
) -> str:
    """Return a table that scrolls by itself where it is too wide, empty without a row.

    Parameters
    ----------
    head : sequence of str
    rows : iterable of sequence of str
    figures : iterable of int
        Columns that hold numbers.
    ends : sequence of str
        Of each row markup to stand in a cell at its end, such as a button; blank = nothing.
    """
    body = list(rows)
    if not body:
        return ""
    right = set(figures)

    def cell(tag: str, number: int, words: str) -> str:
        scope = ' scope="col"' if tag == "th" else ""
        name = ' class="figure"' if number in right else ""
        return f'<{tag}{scope}{name} dir="auto">{text(words)}</{tag}>'

    more = any(ends)
    top = "".join(cell("th", number, words) for number, words in enumerate(head)) + ("<td></td>" if more else "")
    lines = "".join(
        f"<tr>{''.join(cell('td', number, words) for number, words in enumerate(row))}"
        f"{f'<td>{ends[index]}</td>' if more else ''}</tr>"
        for index, row in enumerate(body)
    )
    label = f'class="scroll" tabindex="0" role="group" aria-label="{text(head[0])}"'
    return f"<div {label}><table><thead><tr>{top}</tr></thead><tbody>{lines}</tbody></table></div>"


def facts(pairs: Iterable[tuple[str, str]]) -> str:
    """Return labels with their values."""
    found = "".join(f'<dt>{text(label)}</dt><dd dir="auto">{text(value)}</dd>' for label, value in pairs)
    return f"<dl>{found}</dl>" if found else ""


def section(identifier: str, title: str, *parts: str) -> str:
    """Return a section with its heading, empty where it has no content."""
    content = "".join(parts)
    if not content:
        return ""
    head = f'<h2 id="{identifier}-title">{text(title)}</h2>'
    return f'<section id="{identifier}" aria-labelledby="{identifier}-title">{head}{content}</section>'

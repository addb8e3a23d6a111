"""A plain tree and its bytes in many spellings, written without the code under test."""

from __future__ import annotations

from dataclasses import dataclass, field
from random import Random
from xml.sax.saxutils import escape


@dataclass
class Node:
    """An element; ``children`` holds elements and ready-made markup (comments, instructions) as text."""

    tag: str
    attributes: dict[str, str] = field(default_factory=dict)
    children: list[Node | str] = field(default_factory=list)

    def add(self, *children: Node) -> Node:
        self.children.extend(children)
        return self

    def walk(self) -> list[Node]:
        found = [self]
        for child in self.children:
            if isinstance(child, Node):
                found += child.walk()
        return found


@dataclass(frozen=True)
class Style:
    """How a file is spelled: none of it changes what the file says."""

    newline: str = "\n"
    indent: str = "  "
    quote: str = '"'
    mark: bool = False
    declared: str = "UTF-8"
    references: bool = False
    pairs: bool = False

    @classmethod
    def drawn(cls, rng: Random) -> Style:
        return cls(
            newline=rng.choice(["\n", "\n", "\r\n", ""]),
            indent=rng.choice(["  ", "\t", "", "    "]),
            quote=rng.choice(['"', '"', "'"]),
            mark=rng.random() < 0.15,
            declared=rng.choice(["UTF-8", "UTF-8", "utf-8"]),
            references=rng.random() < 0.2,
            pairs=rng.random() < 0.2,
        )


def render(root: Node, style: Style, before: str = "", after: str = "") -> bytes:
    """Return the file with ``root``; each start tag stands on one line."""
    lines = [f"<?xml version={style.quote}1.0{style.quote} encoding={style.quote}{style.declared}{style.quote}?>"]
    lines += [before] if before else []
    _lines(root, style, "", lines)
    lines += [after] if after else []
    text = style.newline.join(lines) + style.newline
    return (b"\xef\xbb\xbf" if style.mark else b"") + text.encode()


def _lines(node: Node, style: Style, indent: str, lines: list[str]) -> None:
    quote = style.quote
    attributes = "".join(f" {name}={quote}{_value(text, style)}{quote}" for name, text in node.attributes.items())
    if not node.children:
        lines.append(f"{indent}<{node.tag}{attributes}" + (f"></{node.tag}>" if style.pairs else "/>"))
        return
    lines.append(f"{indent}<{node.tag}{attributes}>")
    for child in node.children:
        if isinstance(child, Node):
            _lines(child, style, indent + style.indent, lines)
        else:
            lines.append(indent + style.indent + child)
    lines.append(f"{indent}</{node.tag}>")


def _value(text: str, style: Style) -> str:
    """Escape a value; blanks other than the space only survive as references."""
    text = escape(text, {"\t": "&#9;", "\n": "&#xA;", "\r": "&#13;", style.quote: f"&#{ord(style.quote)};"})
    if style.references:
        text = "".join(letter if letter.isascii() else f"&#x{ord(letter):X};" for letter in text)
    return text

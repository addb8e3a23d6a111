"""Patterns of the palette as SVG, and the small pictures of a legend."""

from __future__ import annotations

from collections.abc import Iterable

from taskdata.palette import Style, styles

_PATTERNS = {
    "slash": '<path d="M-2 8L8 -2M4 14L14 4"',
    "backslash": '<path d="M-2 4L8 14M4 -2L14 8"',
    "cross": '<path d="M-2 8L8 -2M4 14L14 4M-2 4L8 14M4 -2L14 8"',
    "dots": '<path d="M3 3h.01M9 9h.01" stroke-linecap="round" stroke-width="2.4"',
    "wave": '<path d="M0 4q3 -3 6 0t6 0M0 10q3 -3 6 0t6 0"',
}
_LINES = {"guidance", "parallel", "track", "line", "moved", "before", "after"}
_MARKS = {"error", "warning", "note", "point", "change"}


def definitions(names: Iterable[str], prefix: str) -> str:
    """Return the patterns that styles need as SVG definitions; ``prefix`` begins their identifiers."""
    found = (styles()[name] for name in sorted(set(names)))
    return "".join(
        f'<pattern id="{prefix}{style.name}" width="12" height="12" patternUnits="userSpaceOnUse">'
        f'<rect width="12" height="12" fill="{style.fill}"/>'
        f'{_PATTERNS[style.pattern]} stroke="{style.stroke}" fill="none"/></pattern>'
        for style in found
        if style.pattern
    )


def paint(style: Style, prefix: str) -> str:
    """Return the attributes that a shape of a style is painted with."""
    fill = f"url(#{prefix}{style.name})" if style.pattern else style.fill or "none"
    dash = f' stroke-dasharray="{style.dash}"' if style.dash else ""
    opacity = f' fill-opacity="{style.opacity:g}"' if style.fill and style.opacity < 1.0 else ""
    return f'fill="{fill}"{opacity} stroke="{style.stroke}" stroke-width="{style.width:g}"{dash}'


def symbol(name: str, prefix: str) -> str:
    """Return what stands for a style in a legend of 24 by 16 pixels, as SVG content."""
    style = styles()[name]
    if name in _LINES:
        arrow = f'<path d="M15 4l7 4l-7 4z" fill="{style.stroke}"/>' if name in {"guidance", "moved"} else ""
        return f'<path d="M1 8H22" {paint(style, prefix)}/>{arrow}'
    if name in _MARKS:
        return mark(name, 12.0, 8.0)
    return f'<rect x="1" y="1" width="22" height="14" {paint(style, prefix)}/>'


def mark(name: str, x: float, y: float) -> str:
    """Return the mark of a point or finding at a place in pixels: each has a form of its own beside its colour."""
    style = styles()[name]
    ink = f'fill="{style.fill}" stroke="{style.stroke}" stroke-width="{style.width:g}"'
    at = f'transform="translate({x:.1f} {y:.1f})"'
    if name == "error":
        return f'<path {at} d="M0 -6L6 5H-6Z" {ink}/>'
    if name == "warning":
        return f'<rect {at} x="-4.5" y="-4.5" width="9" height="9" {ink}/>'
    if name == "change":
        return f'<path {at} d="M0 -6.5L6.5 0L0 6.5L-6.5 0Z" {ink}/>'
    return f'<circle {at} r="{4.5 if name == "note" else 3.5}" {ink}/>'


def swatch(name: str, prefix: str) -> str:
    """Return a legend's picture of a style as an SVG element that screen readers leave out."""
    head = '<svg class="swatch" width="24" height="16" viewBox="0 0 24 16" aria-hidden="true">'
    return f"{head}{symbol(name, prefix)}</svg>"

"""The table of formats in pages for people.

``python -m taskdata.file_formats.pages README.md schemas/README.md`` makes it; a test compares.
"""

from __future__ import annotations

import sys
from collections.abc import Iterable, Sequence
from pathlib import Path

from taskdata.file_formats.declaration import Format, Layers
from taskdata.file_formats.table import FORMATS, ISOXML

BEGIN, END = "<!-- formats: made by taskdata.file_formats.pages -->", "<!-- formats: end -->"


def format_table(formats: Iterable[Format] = FORMATS) -> str:
    """Return what is declared of the formats as a table in Markdown."""
    head = ("`--to`", "format", "file names", "read", "written", "target", "brings the whole set back")
    rows = [head, ("---",) * len(head), *map(_row, formats)]
    return "\n".join(f"| {' | '.join(cells)} |" for cells in rows)


def between(text: str, begin: str, end: str, content: str) -> str:
    """Return the text of a page with what stands between two marks made anew.

    Raises
    ------
    ValueError
        The page has no such mark.
    """
    head, found, rest = text.partition(begin)
    tail = rest.partition(end)
    if not found or not tail[1]:
        raise ValueError(f"the page has no {begin} and {end}")
    return f"{head}{begin}\n\n{content}\n\n{end}{tail[2]}"


def main(pages: Sequence[str]) -> int:
    """Write the table into pages."""
    for name in pages:
        page = Path(name)
        page.write_text(between(page.read_text(encoding="utf-8"), BEGIN, END, format_table()), encoding="utf-8")
    return 0


def _row(form: Format) -> tuple[str, ...]:
    names = ", ".join(f"`{suffix}`" for suffix in form.suffixes)
    if form.only_read:
        names += f"; read only: {', '.join(f'`{suffix}`' for suffix in form.only_read)}"
    return (
        f"`{form.name}`" if form.writes else "",
        form.label,
        names,
        "yes" if form.reads else "no",
        "yes" if form.writes else "no",
        _target(form) if form.writes else "",
        "yes" if form.name == ISOXML else form.carries.value if form.writes else "",
    )


def _target(form: Format) -> str:
    if form.name == ISOXML:
        return "a folder, or a zip archive"
    return "one file" if form.layers is Layers.SEVERAL else "a folder of layers, or a file of one layer"


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))

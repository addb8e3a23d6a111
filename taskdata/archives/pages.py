"""The layers of a catalogue in ``schemas/README.md``.

``python -m taskdata.archives.pages schemas/README.md`` writes them; a test compares.
"""

from __future__ import annotations

import sys
from pathlib import Path

from taskdata.archives.layers import LAYERS
from taskdata.file_formats.pages import between
from taskdata.formats.layer_descriptions import markdown

BEGIN, END = "<!-- catalogue: made by taskdata.archives.pages -->", "<!-- catalogue: end -->"


def page(text: str) -> str:
    """Return the text of the page with the layers made anew."""
    return between(text, BEGIN, END, "\n\n".join(markdown(spec) for spec in LAYERS.values()))


if __name__ == "__main__":
    place = Path(sys.argv[1])
    place.write_text(page(place.read_text(encoding="utf-8")), encoding="utf-8")

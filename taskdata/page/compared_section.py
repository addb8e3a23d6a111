"""What differs from another set, and what moved."""

from __future__ import annotations

from taskdata.page import markup
from taskdata.page.content import Content
from taskdata.page.found_section import map_button
from taskdata.page.layers.moves import DIFFERENCE_WORDS, MARK
from taskdata.page.long_lists import LISTED, more
from taskdata.page.scene import Scene, marks_of
from taskdata.page.wording import Wording
from taskdata.results.comparison import CommonShift


def compared_section(content: Content, scene: Scene, word: Wording) -> str:
    """Return the section of differences, empty where the set was compared with none."""
    found = content.comparison
    if found is None:
        return ""
    placed = marks_of(scene)
    parts = [markup.paragraph(word.t("Compared with {other}.", other=found.first))]
    if found.equal:
        parts.append(markup.paragraph(word.t("Nothing differs.")))
    if found.common_shift is not None:
        parts.append(markup.paragraph(_shift(found.common_shift, word), "caution"))
    for kind, title in DIFFERENCE_WORDS.items():
        items = [(number, item) for number, item in enumerate(found.differences) if item.kind is kind]
        if not items:
            continue
        rows = "".join(
            f'<li><span dir="auto">{markup.text(word.difference(item))}</span>'
            f"{map_button(MARK.format(number), placed, word)}</li>"
            for number, item in items[:LISTED]
        )
        count = word.number(len(items), 0)
        head = f'{markup.text(word.t(title))}<span class="count"> · {count}</span>'
        parts.append(f"<details open><summary>{head}</summary><ul>{rows}</ul>{more(len(items), word)}</details>")
    return markup.section("comparison", word.t("Comparison"), *parts)


def _shift(shift: CommonShift, word: Wording) -> str:
    east, north = (
        word.t("unknown") if metres is None else word.length(metres, 3) for metres in (shift.east_m, shift.north_m)
    )
    return word.t(
        "{share} of all lines, outlines and points moved alike: {east} east, {north} north.",
        share=word.percent(shift.share),
        east=east,
        north=north,
    )

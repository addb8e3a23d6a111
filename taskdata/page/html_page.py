"""The page: one HTML file that needs nothing else, opens from a stick and prints on A4."""

from __future__ import annotations

import base64
import hashlib
import re
from functools import cache
from importlib.resources import files
from pathlib import Path

from xstatic.pkg import leaflet

from taskdata import strict_json
from taskdata.file_formats.table import label_of
from taskdata.page import markup
from taskdata.page.bill_section import bill_section
from taskdata.page.changed_section import changed_section
from taskdata.page.compared_section import compared_section
from taskdata.page.content import Content, scene
from taskdata.page.encoding import scene_document
from taskdata.page.found_section import found_section
from taskdata.page.held_section import held_section
from taskdata.page.scene import Scene, SceneLayer
from taskdata.page.svg_map import DEGREES, svg_map
from taskdata.page.swatches import definitions, swatch
from taskdata.page.thinning import points_of, thinned
from taskdata.page.wording import Wording
from taskdata.page.work_section import work_section
from taskdata.translations import N_
from taskdata.visible import visible_json, visible_xml

CAUTION = N_(
    "This page shows data; it cannot tell whether a line, a boundary or a rate is right for your field. Before work, "
    "drive the first pass by eye, keep people clear, and obey the product label and local rules."
)
SCRIPTS = ("visible.js", "canvas.js", "geo.js", "map.js", "page.js")
_MODULE_LINE = re.compile(r"^import .*?;\n|^export ", re.MULTILINE)


def html_page(content: Content, word: Wording) -> str:
    """Return the page of a set."""
    whole = scene(content, word)
    drawn = thinned(whole)
    title = word.t("Task data of {source}", source=Path(content.dataset.source).name or content.dataset.source)
    body = "".join(
        (
            _header(content, title, word),
            '<main id="content">',
            markup.paragraph(word.t(CAUTION), "caution"),
            _map_section(drawn, whole, title, word),
            changed_section(content.changed, drawn, word),
            found_section(content, drawn, word),
            compared_section(content, drawn, word),
            work_section(content, word),
            bill_section(content, word),
            held_section(content.dataset, word),
            "</main>",
            f"<footer>{markup.text(word.t('Made by taskdata. Areas and lengths on WGS 84.'))}</footer>",
        )
    )
    scripts = [] if drawn.bounds is None else [_library("leaflet.js"), _own_scripts()]
    sheets = [_library("leaflet.css"), _asset("page.css")]
    data = _data(drawn, word) if scripts else ""
    return visible_xml(_document(title, word, (sheets, scripts), body + data))


def svg_page(content: Content, word: Wording) -> str:
    """Return the map of a set alone, as a picture in SVG."""
    title = word.t("Task data of {source}", source=Path(content.dataset.source).name or content.dataset.source)
    return svg_map(scene(content, word), word, title)


def _document(title: str, word: Wording, parts: tuple[list[str], list[str]], body: str) -> str:
    sheets, scripts = parts
    policy = (
        "default-src 'none'; base-uri 'none'; form-action 'none'; img-src data:; "
        f"style-src {_digests(sheets)}; script-src {_digests(scripts)}"
    )
    styles = "".join(f"<style>{sheet}</style>" for sheet in sheets)
    code = "".join(f"<script>{script}</script>" for script in scripts)
    return (
        f'<!DOCTYPE html>\n<html lang="{word.language}"><head><meta charset="utf-8">'
        f'<meta http-equiv="Content-Security-Policy" content="{policy}">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        '<meta name="referrer" content="no-referrer">'
        f"<title>{markup.text(title)}</title>{styles}</head><body>{body}{code}</body></html>\n"
    )


def _header(content: Content, title: str, word: Wording) -> str:
    dataset = content.dataset
    facts = [label_of(dataset.format)]
    if content.report.version:
        facts.append(word.t("version {version}", version=content.report.version))
    skip = f'<a class="skip" href="#findings">{markup.text(word.t("Skip the map"))}</a>'
    return (
        f'{skip}<header><h1 dir="auto">{markup.text(title)}</h1>'
        f'<p class="soft" dir="auto">{markup.text(", ".join(facts))}</p></header>'
    )


def _map_section(drawn: Scene, whole: Scene, title: str, word: Wording) -> str:
    still = f'<div class="still">{svg_map(drawn, word, title, "still-")}</div>'
    if drawn.bounds is None:
        return markup.section("map-section", word.t("Map"), still)
    names = {layer.shapes[0].style for layer in drawn.layers} | {
        name for layer in drawn.layers for name, _ in layer.legend
    }
    patterns = f'<svg width="0" height="0" aria-hidden="true"><defs>{definitions(names, "key-")}</defs></svg>'
    layers = "".join(_layer(layer) for layer in reversed(drawn.layers))
    notes = [layer.note for layer in drawn.layers if layer.note]
    count, kept = points_of(whole), points_of(drawn)
    if kept < count:
        drawn_of = {"kept": word.number(kept, 0), "count": word.number(count, 0)}
        notes.append(word.t("Outlines and lines are drawn with {kept} of {count} points.", **drawn_of))
    show, measure, on_map = (markup.text(word.t(text)) for text in (N_("Show all"), N_("Measure"), N_("On the map")))
    beside = (
        f'<div class="beside live-only"><div class="tools"><button type="button" id="whole">{show}</button>'
        f'<button type="button" id="measure" aria-pressed="false">{measure}</button></div>'
        f'<div id="told" role="status" aria-live="polite">{markup.text(map_texts(word)["hover"])}</div>'
        f"<fieldset><legend>{on_map}</legend>{layers}</fieldset></div>"
    )
    ground = (
        f'{patterns}<div class="ground"><div><div id="map" class="live-only" role="application" tabindex="0" '
        f'aria-label="{markup.text(title)}"></div>{still}</div>{beside}</div>'
    )
    return markup.section("map-section", word.t("Map"), ground, *(markup.paragraph(note, "soft") for note in notes))


def _layer(layer: SceneLayer) -> str:
    identifier = f"layer-{hashlib.sha256(layer.name.encode('utf-8', 'surrogatepass')).hexdigest()[:10]}"
    checked = " checked" if layer.shown else ""
    single = "" if layer.legend else swatch(layer.shapes[0].style, "key-")
    rows = "".join(
        f'<span>{swatch(style, "key-")}<span dir="auto">{markup.text(words)}</span></span>'
        for style, words in layer.legend
    )
    classes = f'<div class="classes">{rows}</div>' if rows else ""
    return (
        f'<div class="layer"><input type="checkbox" id="{identifier}" data-layer="{markup.text(layer.name)}"{checked}>'
        f'<label for="{identifier}">{single}<span dir="auto">{markup.text(layer.label)}</span></label>{classes}</div>'
    )


def map_texts(word: Wording) -> dict[str, str]:
    """Return what the map itself says."""
    return {
        "hover": word.t("Move over the map or tap it to see what lies there."),
        "measureHint": word.t(
            "Click points on the map: their length is shown here, and from the third point on the area too."
        ),
        "length": word.t("Length"),
        "area": word.t("Area"),
        "zoomIn": word.t("Zoom in"),
        "zoomOut": word.t("Zoom out"),
        "north": word.t("North is up"),
        **{letter: word.t(text) for letter, text in DEGREES.items()},
    }


def _data(drawn: Scene, word: Wording) -> str:
    """Return the scene as a block of data; nothing in it can end the block or begin a comment."""
    text = visible_json(strict_json.dumps(scene_document(drawn, word, map_texts(word)), compact=True))
    for character in "<>&":
        text = text.replace(character, f"\\u{ord(character):04x}")
    return f'<script type="application/json" id="scene">{text}</script>'


def _digests(contents: list[str]) -> str:
    """Return what a content security policy names these, and nothing else, by."""
    digests = (base64.b64encode(hashlib.sha256(text.encode("utf-8")).digest()).decode("ascii") for text in contents)
    return " ".join(f"'sha256-{digest}'" for digest in digests) or "'none'"


@cache
def _own_scripts() -> str:
    """Return the modules of the map as one plain script, which browsers run before they paint the page."""
    code = "\n".join(_MODULE_LINE.sub("", _asset(name)) for name in SCRIPTS)
    return f'"use strict";\n(() => {{\n{code}}})();\n'


@cache
def _asset(name: str) -> str:
    return files("taskdata").joinpath("page", "assets", name).read_text(encoding="utf-8")


@cache
def _library(name: str) -> str:
    """Return a file of the map library, as the package that carries it has it, without what asks for other files."""
    text = Path(leaflet.BASE_DIR, name).read_text(encoding="utf-8")
    text = re.sub(r"\n?//# sourceMappingURL=\S*", "", text)
    return re.sub(r"url\(images/[^)]*\)", "none", text)

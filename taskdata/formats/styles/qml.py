"""A plan as QML, the style document of QGIS: renderer, symbols and labels (read by QGIS 3.16 and later)."""

from __future__ import annotations

from xml.sax.saxutils import quoteattr

from taskdata.formats.columns import GeometryType
from taskdata.formats.styles.plan import By, Entry, Plan
from taskdata.palette import Style, styles

_KINDS = {
    GeometryType.POINT: ("marker", 0),
    GeometryType.LINE: ("line", 1),
    GeometryType.POLYGON: ("fill", 2),
    GeometryType.MULTIPOLYGON: ("fill", 2),
}
_RENDERERS = {By.NOTHING: "singleSymbol", By.WORD: "categorizedSymbol", By.NUMBER: "graduatedSymbol"}
_ANGLES = {"slash": (45,), "backslash": (135,), "cross": (45, 135), "wave": (0,)}
_MM = 0.2646
"""Millimetres of a CSS pixel (CSS Values and Units, section 6.2)."""


def qml(plan: Plan) -> str:
    """Return the document."""
    geometry = _KINDS[plan.geometry][1]
    symbols = "".join(_symbol(number, entry, plan) for number, entry in enumerate(plan.entries))
    return (
        "<!DOCTYPE qgis PUBLIC 'http://mrcc.com/qgis.dtd' 'SYSTEM'>\n"
        f'<qgis version="3.16.0" styleCategories="Symbology|Labeling" labelsEnabled="{int(bool(plan.label))}">'
        f'<renderer-v2 type="{_RENDERERS[plan.by]}" attr={quoteattr(plan.column)} forceraster="0" enableorderby="0" '
        f'symbollevels="0"{_graduation(plan)}>{_entries(plan)}<symbols>{symbols}</symbols></renderer-v2>'
        f"{_labels(plan)}<layerGeometryType>{geometry}</layerGeometryType></qgis>\n"
    )


def _graduation(plan: Plan) -> str:
    return ' graduatedMethod="GraduatedColor"' if plan.by is By.NUMBER else ""


def _entries(plan: Plan) -> str:
    if plan.by is By.WORD:
        rows = "".join(
            f'<category render="true" symbol="{number}" value={quoteattr(entry.word)} label={quoteattr(entry.label)}/>'
            for number, entry in enumerate(plan.entries)
        )
        return f"<categories>{rows}</categories>"
    if plan.by is By.NUMBER:
        rows = "".join(
            f'<range render="true" symbol="{number}" lower="{entry.low!r}" upper="{entry.high!r}" '
            f"label={quoteattr(entry.label)}/>"
            for number, entry in enumerate(plan.entries)
        )
        return f"<ranges>{rows}</ranges>"
    return ""


def _symbol(number: int, entry: Entry, plan: Plan) -> str:
    style = styles()[entry.style]
    kind = _KINDS[plan.geometry][0]
    layers = {"marker": _marker, "line": _line, "fill": _fill}[kind](style)
    if plan.arrow:
        layers += _arrow(style)
    return f'<symbol type="{kind}" name="{number}" alpha="1" force_rhr="0" clip_to_extent="1">{layers}</symbol>'


def _marker(style: Style) -> str:
    form = "square" if style.name == "warning" else "circle"
    size = 0.6 if style.name == "track" else 2.4
    return _layer(
        "SimpleMarker",
        {
            "name": form,
            "size": size,
            "size_unit": "MM",
            "color": _colour(style.fill or style.stroke),
            "outline_color": _colour(style.stroke),
            "outline_width": style.width * _MM if size > 1.0 else 0.0,
            "outline_width_unit": "MM",
        },
    )


def _line(style: Style) -> str:
    return _layer("SimpleLine", {"line_color": _colour(style.stroke), **_stroke(style, "line_width")})


def _stroke(style: Style, width: str) -> dict[str, object]:
    found: dict[str, object] = {width: style.width * _MM, f"{width}_unit": "MM"}
    if style.dash:
        lengths = ";".join(f"{float(part) * _MM:.3f}" for part in style.dash.split())
        found |= {"use_custom_dash": 1, "customdash": lengths, "customdash_unit": "MM"}
    return found


def _fill(style: Style) -> str:
    """Return the ground, then its pattern, then the outline."""
    ground = _layer(
        "SimpleFill",
        {
            "color": _colour(style.fill, style.opacity),
            "style": "solid" if style.fill else "no",
            "outline_style": "no",
        },
    )
    outline = _layer("SimpleLine", {"line_color": _colour(style.stroke), **_stroke(style, "line_width")})
    return ground + _pattern(style) + outline


def _pattern(style: Style) -> str:
    if style.pattern == "dots":
        marker = _marker(Style("track", style.stroke, style.stroke, 0.0, "", "", 1.0, ""))
        options = {"distance_x": 2.4, "distance_y": 2.4, "displacement_x": 1.2, "distance_x_unit": "MM"}
        return _layer("PointPatternFill", options, _inner("marker", marker))
    line = _layer("SimpleLine", {"line_color": _colour(style.stroke), "line_width": _MM, "line_width_unit": "MM"})
    return "".join(
        _layer("LinePatternFill", {"angle": angle, "distance": 2.2, "distance_unit": "MM"}, _inner("line", line))
        for angle in _ANGLES.get(style.pattern, ())
    )


def _arrow(style: Style) -> str:
    head = _layer(
        "SimpleMarker",
        {
            "name": "filled_arrowhead",
            "size": 3.4,
            "size_unit": "MM",
            "color": _colour(style.stroke),
            "outline_style": "no",
        },
    )
    options = {"placement": "centralpoint", "placements": "CentralPoint", "rotate": 1}
    return _layer("MarkerLine", options, _inner("marker", head))


def _inner(kind: str, layers: str) -> str:
    return f'<symbol type="{kind}" name="@0@0" alpha="1">{layers}</symbol>'


def _layer(kind: str, options: dict[str, object], inner: str = "") -> str:
    """Return a symbol layer; its options stand twice, for readers before and after QGIS 3.20."""
    new = "".join(f'<Option type="QString" name="{name}" value={_value(value)}/>' for name, value in options.items())
    old = "".join(f'<prop k="{name}" v={_value(value)}/>' for name, value in options.items())
    return (
        f'<layer class="{kind}" enabled="1" pass="0" locked="0"><Option type="Map">{new}</Option>{old}{inner}</layer>'
    )


def _value(value: object) -> str:
    return quoteattr(f"{value:.4g}" if isinstance(value, float) else str(value))


def _labels(plan: Plan) -> str:
    if not plan.label:
        return ""
    placement = {"marker": 6, "line": 2, "fill": 0}[_KINDS[plan.geometry][0]]
    buffer = '<text-buffer bufferDraw="1" bufferSize="0.8" bufferColor="255,255,255,230" bufferSizeUnits="MM"/>'
    return (
        f'<labeling type="simple"><settings><text-style fieldName={quoteattr(plan.label)} isExpression="0" '
        f'fontSize="9" textColor="29,29,29,255" fontSizeUnit="Point">{buffer}</text-style>'
        f'<placement placement="{placement}" dist="1" distUnits="MM" placementFlags="10"/>'
        f'<rendering obstacle="1" drawLabels="1" mergeLines="0"/></settings></labeling>'
    )


def _colour(text: str, opacity: float = 1.0) -> str:
    if not text:
        return "0,0,0,0"
    red, green, blue = (int(text[at : at + 2], 16) for at in (1, 3, 5))
    return f"{red},{green},{blue},{round(opacity * 255)}"

"""A plan as a Styled Layer Descriptor 1.1 with Symbology Encoding 1.1 (OGC 05-078r4, 05-077r4)."""

from __future__ import annotations

from xml.sax.saxutils import escape

from taskdata.formats.columns import GeometryType
from taskdata.formats.styles.plan import By, Entry, Plan
from taskdata.palette import Style, styles

_HEAD = (
    '<StyledLayerDescriptor xmlns="http://www.opengis.net/sld" xmlns:se="http://www.opengis.net/se" '
    'xmlns:ogc="http://www.opengis.net/ogc" version="1.1.0">'
)
_MARKS = {"slash": "shape://slash", "backslash": "shape://backslash", "cross": "shape://times", "dots": "shape://dot"}


def sld(name: str, plan: Plan) -> str:
    """Return the document for a layer of a name."""
    rules = "".join(_rule(entry, plan) for entry in plan.entries)
    return (
        f"{_HEAD}<NamedLayer><se:Name>{escape(name)}</se:Name><UserStyle><se:Name>{escape(name)}</se:Name>"
        f"<se:FeatureTypeStyle>{rules}</se:FeatureTypeStyle></UserStyle></NamedLayer></StyledLayerDescriptor>\n"
    )


def _rule(entry: Entry, plan: Plan) -> str:
    title = f"<se:Description><se:Title>{escape(entry.label)}</se:Title></se:Description>"
    style = styles()[entry.style]
    name = f"<se:Name>{escape(entry.label)}</se:Name>"
    return f"<se:Rule>{name}{title}{_filter(entry, plan)}{_symbol(style, plan)}</se:Rule>"


def _filter(entry: Entry, plan: Plan) -> str:
    if plan.by is By.WORD:
        return "<se:ElseFilter/>" if not entry.word else f"<ogc:Filter>{_equal(plan.column, entry.word)}</ogc:Filter>"
    if plan.by is By.NUMBER:
        name = f"<ogc:PropertyName>{escape(plan.column)}</ogc:PropertyName>"
        low = f"<ogc:LowerBoundary><ogc:Literal>{entry.low!r}</ogc:Literal></ogc:LowerBoundary>"
        high = f"<ogc:UpperBoundary><ogc:Literal>{entry.high!r}</ogc:Literal></ogc:UpperBoundary>"
        return f"<ogc:Filter><ogc:PropertyIsBetween>{name}{low}{high}</ogc:PropertyIsBetween></ogc:Filter>"
    return ""


def _equal(column: str, value: str) -> str:
    name = f"<ogc:PropertyName>{escape(column)}</ogc:PropertyName>"
    return f"<ogc:PropertyIsEqualTo>{name}<ogc:Literal>{escape(value)}</ogc:Literal></ogc:PropertyIsEqualTo>"


def _symbol(style: Style, plan: Plan) -> str:
    words = _text(plan)
    if plan.geometry is GeometryType.POINT:
        size = 2 if style.name == "track" else 8
        mark = f"<se:Mark><se:WellKnownName>circle</se:WellKnownName>{_fill(style)}{_stroke(style)}</se:Mark>"
        return (
            f"<se:PointSymbolizer><se:Graphic>{mark}<se:Size>{size}</se:Size></se:Graphic></se:PointSymbolizer>{words}"
        )
    if plan.geometry is GeometryType.LINE:
        return f"<se:LineSymbolizer>{_stroke(style)}</se:LineSymbolizer>{words}"
    return f"<se:PolygonSymbolizer>{_fill(style)}{_stroke(style)}</se:PolygonSymbolizer>{_pattern(style)}{words}"


def _fill(style: Style) -> str:
    if not style.fill:
        return f'<se:Fill><se:SvgParameter name="fill">{style.stroke}</se:SvgParameter></se:Fill>'
    return (
        f'<se:Fill><se:SvgParameter name="fill">{style.fill}</se:SvgParameter>'
        f'<se:SvgParameter name="fill-opacity">{style.opacity:g}</se:SvgParameter></se:Fill>'
    )


def _stroke(style: Style) -> str:
    dash = f'<se:SvgParameter name="stroke-dasharray">{style.dash}</se:SvgParameter>' if style.dash else ""
    return (
        f'<se:Stroke><se:SvgParameter name="stroke">{style.stroke}</se:SvgParameter>'
        f'<se:SvgParameter name="stroke-width">{style.width:g}</se:SvgParameter>{dash}</se:Stroke>'
    )


def _pattern(style: Style) -> str:
    """Return the pattern of a fill as a second symbolizer over it."""
    shape = _MARKS.get(style.pattern)
    if shape is None:
        return ""
    stroke = f'<se:Stroke><se:SvgParameter name="stroke">{style.stroke}</se:SvgParameter></se:Stroke>'
    mark = f"<se:Mark><se:WellKnownName>{shape}</se:WellKnownName>{stroke}</se:Mark>"
    graphic = f"<se:GraphicFill><se:Graphic>{mark}<se:Size>8</se:Size></se:Graphic></se:GraphicFill>"
    return f"<se:PolygonSymbolizer><se:Fill>{graphic}</se:Fill></se:PolygonSymbolizer>"


def _text(plan: Plan) -> str:
    if not plan.label:
        return ""
    return (
        f"<se:TextSymbolizer><se:Label><ogc:PropertyName>{escape(plan.label)}</ogc:PropertyName></se:Label>"
        '<se:Font><se:SvgParameter name="font-size">12</se:SvgParameter></se:Font>'
        '<se:Halo><se:Radius>1.5</se:Radius><se:Fill><se:SvgParameter name="fill">#ffffff</se:SvgParameter></se:Fill>'
        "</se:Halo>"
        '<se:Fill><se:SvgParameter name="fill">#1d1d1d</se:SvgParameter></se:Fill></se:TextSymbolizer>'
    )

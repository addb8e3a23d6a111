"""The page and its map: whole, self-contained, escaped, the same for the same source."""

from __future__ import annotations

import json
import re
import shutil
from html.parser import HTMLParser
from pathlib import Path
from xml.etree import ElementTree as ET

import numpy as np
import pytest

import taskdata
from taskdata.cli import main
from taskdata.page.content import Content, scene
from taskdata.page.encoding import ALPHABET, STEPS, scene_document
from taskdata.page.nowhere import on_earth
from taskdata.page.scene import Form, SceneLayer, Shape, scene_of
from taskdata.page.svg_map import svg_map
from taskdata.page.wording import Wording
from taskdata.palette import styles
from taskdata.visible import visible

SAMPLES = Path(__file__).parents[2] / "samples"
SVG = "{http://www.w3.org/2000/svg}"


class Page(HTMLParser):
    """What a page holds: its tags with their attributes, its words, and its blocks of data."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.words = ""
        self.data: dict[str, str] = {}
        self._inside = ""
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))
        self._inside = f"{tag} {dict(attrs).get('id') or ''}"

    def handle_endtag(self, tag: str) -> None:
        self._inside = ""

    def handle_data(self, data: str) -> None:
        if self._inside.startswith(("script", "style")):
            self.data[self._inside] = self.data.get(self._inside, "") + data
        else:
            self.words += data


def page_of(source: Path, tmp_path: Path, **choice: object) -> Page:
    target = tmp_path / "page.html"
    taskdata.report(source, target, overwrite=True, **choice)  # type: ignore[arg-type]
    return Page(target.read_text(encoding="utf-8"))


def drawn(page: Page) -> dict[str, object]:
    found: dict[str, object] = json.loads(page.data["script scene"])
    return found


def steps_of(text: str) -> list[int]:
    """Return the numbers of a text of coordinates, as its description says they are put down."""
    numbers, doubled, place = [], 0, 0
    for letter in text:
        value = ALPHABET.index(letter)
        doubled |= (value & 31) << 5 * place
        place += 1
        if value < 32:
            numbers.append(-(doubled + 1) // 2 if doubled & 1 else doubled // 2)
            doubled = place = 0
    return numbers


def test_a_page_asks_for_nothing_else(tmp_path: Path) -> None:
    page = page_of(SAMPLES / "machine", tmp_path)
    for tag, attributes in page.tags:
        for name in ("src", "href", "srcset", "action", "data"):
            assert (attributes.get(name) or "#")[:1] == "#", (tag, attributes)
    text = (tmp_path / "page.html").read_text(encoding="utf-8")
    assert not re.search(r"url\(\s*['\"]?(?!#|data:)", text)
    policy = next(item["content"] for tag, item in page.tags if item.get("http-equiv") == "Content-Security-Policy")
    assert policy is not None
    assert policy.startswith("default-src 'none';")
    assert "unsafe" not in policy


def test_totals_are_those_of_the_check(tmp_path: Path) -> None:
    report = taskdata.check(SAMPLES / "broken")
    page = page_of(SAMPLES / "broken", tmp_path)
    counts = [f"{count} {kind}{'s' if count != 1 else ''}" for kind, count in report.summary.items() if count]
    assert ", ".join(counts) in page.words
    assert all(finding.rule.id in page.words for finding in report.findings)


def test_every_field_and_line_is_on_the_map(tmp_path: Path) -> None:
    data = taskdata.read(SAMPLES / "machine")
    layers = {layer["name"]: layer for layer in drawn(page_of(SAMPLES / "machine", tmp_path))["layers"]}  # type: ignore[attr-defined]
    assert len(layers["fields"]["shapes"]) == len([field for field in data.fields if field.boundaries])
    assert len(layers["guidance"]["shapes"]) == len(data.guidance)
    steps = steps_of(layers["fields"]["shapes"][0]["parts"][0][0])
    first = data.fields[0].boundaries[0].exteriors[0]
    assert [steps[0] / STEPS, steps[1] / STEPS] == pytest.approx([first[:, 0].min(), first[:, 1].min()], abs=0.01)


def test_coordinates_are_as_they_were_to_a_step() -> None:
    line = np.array([[180.0, -90.0], [-179.9999999, 89.1234567], [-179.9999999, 89.1234567], [0.0, 0.0], [1e-7, -1e-7]])
    shape = Shape(Form.LINE, [[line]], "line", "", [("Length", "1 m")])
    document = scene_document(scene_of([SceneLayer("lines", "", [shape])]), Wording(), {})
    (found,) = document["layers"][0]["shapes"]
    steps = np.cumsum(np.reshape(steps_of(found["parts"][0][0]), (-1, 2)), axis=0)
    assert steps.tolist() == np.rint(line * STEPS).astype(int).tolist()
    assert [[document["labels"][number], value] for number, value in found["facts"]] == [["Length", "1 m"]]


def test_positions_that_are_nowhere_are_counted_and_not_drawn() -> None:
    good = np.array([[7.0, 54.3], [7.001, 54.3], [7.001, 54.3005], [7.0, 54.3]])
    bad = np.array([[7.0, 515.4], [np.nan, 54.3], [7.0, 54.3]])
    shapes = [Shape(Form.LINE, [[np.vstack([good, bad])]], "line", ""), Shape(Form.POINT, [[bad[:1]]], "point", "")]
    layer = on_earth(SceneLayer("lines", "Lines", [*shapes, Shape(Form.AREA, [[bad, good]], "outline", "")]), Wording())
    assert layer.note.startswith("5 of 15 positions of Lines lie nowhere")
    assert [shape.form for shape in layer.shapes] == [Form.LINE]
    scene = scene_of([layer])
    assert scene.bounds == (7.0, 54.3, 7.001, 54.3005)
    ticks = re.findall(r"[0-9.]+° [NE]", svg_map(scene, Wording(), "map"))
    assert len(ticks) == len(set(ticks)) > 3


def test_the_picture_is_the_same_to_the_byte_and_well_formed(tmp_path: Path) -> None:
    for name in ("one.svg", "two.svg"):
        taskdata.report(SAMPLES / "machine", tmp_path / name)
    text = (tmp_path / "one.svg").read_bytes()
    assert text == (tmp_path / "two.svg").read_bytes()
    root = ET.fromstring(text)  # noqa: S314 - our own output
    assert root.tag == f"{SVG}svg"
    assert len(root.findall(f".//{SVG}g[@id='m-fields']/{SVG}g/{SVG}path")) == 6


@pytest.mark.parametrize("suffix", [".html", ".svg"])
def test_hostile_names_are_text(suffix: str, tmp_path: Path) -> None:
    hostile = "</script><script>alert(1)</script>&amp;\"'\u202e<b>"
    escaped = hostile.replace("&", "&amp;").replace("<", "&lt;").replace('"', "&quot;")
    stick = tmp_path / "stick"
    shutil.copytree(SAMPLES / "office", stick)
    main = stick / "TASKDATA" / "TASKDATA.XML"
    text = re.sub(
        r'(<(?:PFD|CTR|TSK|GPN|PNT)[^>]*? [BC]=)"[^"]*"', lambda at: f'{at[1]}"{escaped}"', main.read_text("utf-8")
    )
    main.write_text(text, encoding="utf-8")
    target = tmp_path / f"page{suffix}"
    taskdata.report(stick, target)
    written = target.read_text(encoding="utf-8")
    assert "\u202e" not in written
    assert "alert(1)</script>&amp;" not in written
    if suffix == ".svg":
        assert visible(hostile) in [item.text for item in ET.fromstring(written).iter(f"{SVG}text")]  # noqa: S314 - our own output
        return
    page = Page(written)
    assert visible(hostile) in page.words
    assert sum(tag == "script" for tag, _ in page.tags) == 3
    assert not [item for item in page.tags if item[0] == "b"]
    assert hostile in json.dumps(drawn(page), ensure_ascii=False).replace("\\\\", "\\").replace('\\"', '"')


def test_a_page_speaks_german(tmp_path: Path) -> None:
    page = page_of(SAMPLES / "broken", tmp_path, language="de")
    assert ("html", {"lang": "de"}) in page.tags
    for words in ("Befunde", "Fehler", "Auf der Karte", "Fahren Sie vor der Arbeit die erste Spur auf Sicht"):
        assert words in page.words
    assert Wording("de").number(12345.678) == "12.345,68"


def test_units_change_what_is_shown_alone(tmp_path: Path) -> None:
    metric, us = (page_of(SAMPLES / "machine", tmp_path, units=units) for units in ("metric", "us"))
    assert "12.98 ha" in metric.words
    assert "32.08 ac" in us.words  # 12.98 ha / 0.40468564224 ha
    assert drawn(metric)["bounds"] == drawn(us)["bounds"]


def test_another_set_is_compared_and_what_moved_has_an_arrow(tmp_path: Path) -> None:
    taskdata.shift(SAMPLES / "office", tmp_path / "moved", east_m=3.0, north_m=4.0)
    page = page_of(tmp_path / "moved", tmp_path, against=SAMPLES / "office")
    moved = next(layer for layer in drawn(page)["layers"] if layer["name"] == "moved")  # type: ignore[attr-defined]
    assert {shape["label"] for shape in moved["shapes"]} == {"5.00 m"}
    assert "Comparison" in page.words


def test_a_page_says_what_was_changed(tmp_path: Path) -> None:
    cleaned = taskdata.clean(SAMPLES / "broken", tmp_path / "cleaned", review=True)
    page = page_of(tmp_path / "cleaned", tmp_path, against=SAMPLES / "broken", changed=cleaned)
    assert "What was changed" in page.words
    assert all(change.rule in page.words and change.reason in page.words for change in cleaned.changes)
    assert f"Errors before: {cleaned.before['error']}, after: {cleaned.after['error']}." in page.words
    layers = {layer["name"] for layer in drawn(page)["layers"]}  # type: ignore[attr-defined]
    assert {"before", "moved"} <= layers


def test_passes_are_compared_with_each_other_and_with_their_line(tmp_path: Path) -> None:
    found = taskdata.coverage(SAMPLES / "machine", task="TSK1", line="AB Südkante").tasks[0]
    assert found.followed is not None
    assert found.followed.error is not None
    assert found.pass_to_pass is not None
    page = page_of(SAMPLES / "machine", tmp_path)
    charts = {attributes["aria-label"] for tag, attributes in page.tags if tag == "svg" and "aria-label" in attributes}
    assert {"Error from pass to pass", "Error across guidance line AB Südkante (GPN1)"} <= charts
    for error in (found.pass_to_pass, found.followed.error):
        assert f"mean {error.mean_abs_m:.3f} m, 95 % below {error.p95_m:.3f} m" in page.words
    named = page_of(SAMPLES / "machine", tmp_path, line="A+ quer").words
    assert "A+ quer (GPN2): no pass runs along it" in named
    with pytest.raises(taskdata.UsageError, match="no such guidance line"):
        page_of(SAMPLES / "machine", tmp_path, line="GPN99")


def test_the_bill_of_products_has_the_figures_of_coverage(tmp_path: Path) -> None:
    page = page_of(SAMPLES / "machine", tmp_path)
    assert "Bill of products" in page.words
    litres = [rate for task in taskdata.coverage(SAMPLES / "machine").tasks for rate in task.rates if rate.ddi == 2]
    assert len(litres) == 2
    for rate in litres:
        assert f"{rate.applied / 1e6:,.0f} L{rate.logged_total / 1e6:,.0f} L" in page.words  # 1 L = 1e6 mm³
    assert "Spritzbrühe Kornblick 2 %" in page.words
    assert "the maximum on the product label" in page.words
    us = page_of(SAMPLES / "machine", tmp_path, units="us", language="de").words
    assert f"{litres[0].applied / 3_785_411.784:.1f} gal".replace(".", ",") in us  # a US gallon has 3.785411784 L


def run(*words: str) -> int:
    """Return the exit code of a command."""
    with pytest.raises(SystemExit) as left:
        main(words)
    return int(left.value.code or 0)


@pytest.mark.parametrize("command", ["convert", "clean", "merge"])
def test_commands_write_a_page_beside_their_target(
    command: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    sources = ["drill", "sprayer"] if command == "merge" else ["drill"]
    given = [str(SAMPLES / "season" / name) for name in sources]
    page, options = tmp_path / "page.html", ["--to", "isoxml", "--report", str(tmp_path / "page.html")]
    assert run(command, *given, str(tmp_path / "out"), *options, "--dry-run") == 2
    assert not page.exists()
    assert run(command, *given, str(tmp_path / "out"), *options) < 2
    assert given[0] in Page(page.read_text(encoding="utf-8")).words
    assert run(command, *given, str(tmp_path / "again"), *options) == 4
    assert not (tmp_path / "again").exists()
    assert "page.html" in capsys.readouterr().err


def test_a_set_without_places_has_a_page(tmp_path: Path) -> None:
    (tmp_path / "TASKDATA").mkdir()
    (tmp_path / "TASKDATA" / "TASKDATA.XML").write_text(
        '<ISO11783_TaskData VersionMajor="4" VersionMinor="3" DataTransferOrigin="1" '
        'ManagementSoftwareManufacturer="x" ManagementSoftwareVersion="1"><CTR A="CTR1" B="Hof"/></ISO11783_TaskData>',
        encoding="utf-8",
    )
    page = page_of(tmp_path / "TASKDATA", tmp_path)
    assert "Nothing in this source has a place" in page.words
    assert not page.data.get("script scene")


def test_every_style_of_a_scene_is_in_the_palette() -> None:
    data = taskdata.read(SAMPLES / "machine")
    content = Content(data, taskdata.check(data), taskdata.coverage(data).tasks)
    found = scene(content, Wording())
    names = {shape.style for layer in found.layers for shape in layer.shapes}
    names |= {style for layer in found.layers for style, _ in layer.legend}
    assert names <= set(styles())


@pytest.mark.parametrize("target", ["page.pdf", "page"])
def test_other_targets_are_refused(target: str, tmp_path: Path) -> None:
    with pytest.raises(taskdata.UsageError, match=r"is not a page or picture"):
        taskdata.report(SAMPLES / "office", tmp_path / target)
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize("name", ["page.html", "map.svg"])
def test_a_page_of_another_program_is_never_replaced(name: str, tmp_path: Path) -> None:
    target = tmp_path / name
    for foreign in ("", "<html>my own</html>\n", "<!-- made by taskdata -->\n<svg/>"):
        target.write_text(foreign)
        with pytest.raises(taskdata.TargetError, match="was not written by this program"):
            taskdata.report(SAMPLES / "receiver", target, overwrite=True)
        assert target.read_text() == foreign
    target.unlink()
    taskdata.report(SAMPLES / "receiver", target)
    taskdata.report(SAMPLES / "receiver", target, overwrite=True)


def test_a_page_is_never_written_into_a_source(tmp_path: Path) -> None:
    one, other = (Path(shutil.copytree(SAMPLES / "receiver", tmp_path / name)) for name in ("one", "other"))
    before = sorted(tmp_path.rglob("*"))
    for target in (one / "page.html", one / "TASKDATA" / "map.svg", other / "deep" / "page.html"):
        with pytest.raises(taskdata.TargetError, match="lies on the source"):
            taskdata.report(one, target, against=other)
        with pytest.raises(taskdata.TargetError, match="lies on the source"):
            taskdata.report(taskdata.read(one), target, against=taskdata.read(other))
    assert sorted(tmp_path.rglob("*")) == before


@pytest.mark.parametrize("command", ["convert", "clean", "merge"])
def test_a_page_of_a_change_is_refused_before_the_change(
    command: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    source = Path(shutil.copytree(SAMPLES / "receiver", tmp_path / "source"))
    (tmp_path / "mine.html").write_text("mine")
    before = sorted(tmp_path.rglob("*"))
    for page, words in (
        (tmp_path / "new" / "page.html", "lies in the target"),
        (source / "page.html", "lies on the source"),
        (tmp_path / "mine.html", "was not written by this program"),
    ):
        options = ["--to", "isoxml", "--overwrite", "--report", str(page)]
        assert run(command, str(source), str(tmp_path / "new"), *options) == 4
        assert words in capsys.readouterr().err
    assert sorted(tmp_path.rglob("*")) == before

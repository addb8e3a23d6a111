"""How soon the map of a page is there and how it pans, in a real headless Chromium, against a bare Leaflet page.

The floor is a page of Leaflet alone with its canvas that draws the same points, without names, patterns, labels,
arrows or facts. Both are opened from disk, in turn. What counts is the last stroke on any canvas, in milliseconds
since the page was asked for; wall time, so judge the ratio. While the map is dragged by the mouse the frames that the
browser shows in a second are counted, and the longest time between two of them is taken.
"""

from __future__ import annotations

import json
import re
import shutil
import tempfile
import time
from collections.abc import Callable
from itertools import accumulate, pairwise
from pathlib import Path
from statistics import median
from typing import TYPE_CHECKING, Any

from xstatic.pkg import leaflet

import taskdata
from taskdata.geometry import sweeps
from taskdata.page.encoding import ALPHABET, STEPS
from tests.benchmarks import bench_coverage, growth_sets
from tests.benchmarks.bench_gigabyte import write_fields
from tests.benchmarks.measure import show
from tests.samples import MACHINE, OFFICE

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

BROWSERS = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable")
ROUNDS = 3
QUIET_MS = 700
"""Nothing more is drawn where nothing was for so long."""

WATCH = """
window.lastStroke = 0;
for (const name of ["stroke", "fill", "fillRect", "fillText", "drawImage", "clearRect"]) {
  const draw = CanvasRenderingContext2D.prototype[name];
  CanvasRenderingContext2D.prototype[name] = function (...given) {
    const done = draw.apply(this, given);
    window.lastStroke = performance.now();
    return done;
  };
}
"""
COUNT_FRAMES = """
window.frames = [];
const frame = (now) => { window.frames.push(now); requestAnimationFrame(frame); };
requestAnimationFrame(frame);
"""
BARE = """<!DOCTYPE html><html><head><meta charset="utf-8"><style>{sheet} body {{ margin: 0 }}
#map {{ height: 720px; width: 1046px }}</style></head><body><div id="map"></div><script>{library}</script><script>
const map = L.map("map", {{ preferCanvas: true, zoomSnap: 0.25, fadeAnimation: false }});
const [west, south, east, north] = {bounds};
map.fitBounds([[south, west], [north, east]], {{ padding: [18, 18], animate: false }});
for (const [form, look, parts] of {shapes}) {{
  if (form === "area") L.polygon(parts, look).addTo(map);
  else if (form === "line") L.polyline(parts.flat(), look).addTo(map);
  else for (const at of parts.flat(2)) L.circleMarker(at, look).addTo(map);
}}
</script></body></html>
"""


def fields_of_2000(folder: Path) -> Any:
    """Return 2,000 fields of 25 points."""
    growth_sets.fields(folder, 2000, 25)
    return folder


def swept(_: Path) -> Any:
    """Return a log of 100,000 sweeps with the ground that it worked, worked twice and missed."""
    strips = bench_coverage.ordinary(100_000)
    return bench_coverage.drive(strips, bench_coverage.around(sweeps.pieces(strips).quads))


def set_of_100_mb(folder: Path) -> Any:
    """Return 21,300 fields of 60 points in a main file of 100 MB."""
    place = folder / "TASKDATA" / "TASKDATA.XML"
    place.parent.mkdir(parents=True)
    write_fields(place, 21_300)
    return place.parent


CASES: dict[str, Callable[[Path], Any]] = {
    "samples/office": lambda _: OFFICE,
    "samples/machine": lambda _: MACHINE,
    "2,000 fields": fields_of_2000,
    "100,000 sweeps": swept,
    "100 MB": set_of_100_mb,
}


def run(*names: str, rounds: int = ROUNDS) -> dict[str, dict[str, float]]:
    """Print and return what was measured of the named cases, or of all."""
    from playwright.sync_api import sync_playwright

    path = next(found for name in BROWSERS if (found := shutil.which(name)))
    rows = [("set", "made, CPU s", "MB", "last stroke, ms", "bare", "ratio", "frames/s", "bare", "longest, ms", "bare")]
    found: dict[str, dict[str, float]] = {}
    with sync_playwright() as playwright, tempfile.TemporaryDirectory() as folder:
        browser = playwright.chromium.launch(executable_path=path, args=["--no-sandbox"])
        for name in names or CASES:
            page = Path(folder, "page.html")
            data = taskdata.read(source) if isinstance(source := CASES[name](Path(folder, name)), Path) else source
            begun = time.process_time()
            taskdata.report(data, page, overwrite=True)
            made = time.process_time() - begun
            bare = _bare(page)
            strokes: dict[Path, list[float]] = {page: [], bare: []}
            for _ in range(rounds):
                for place, times in strokes.items():
                    times.append(_last_stroke(browser, place))
            frames = {place: _dragged(browser, place) for place in strokes}
            soon, floor = (median(times) for times in strokes.values())
            found[name] = {"last_stroke_to_bare": soon / floor, "frames_to_bare": frames[page][0] / frames[bare][0]}
            figures = [
                f"{made:.2f}",
                f"{page.stat().st_size / 1e6:.2f}",
                f"{soon:.0f}",
                f"{floor:.0f}",
                f"{soon / floor:.2f}",
            ]
            pans = [f"{frames[place][at]:.0f}" for at in (0, 1) for place in strokes]
            rows.append((name, *figures, *pans))
        browser.close()
    show(f"The map of a page and a bare one (median of {rounds})", rows)
    return found


def _last_stroke(browser: Browser, place: Path) -> float:
    page = _opened(browser, place)
    last = float(page.evaluate("lastStroke"))
    page.context.close()
    return last


def _opened(browser: Browser, place: Path) -> Page:
    """Open a page and wait until nothing more is drawn."""
    context = browser.new_context(viewport={"width": 1440, "height": 1000})
    context.set_default_timeout(300_000)
    context.add_init_script(WATCH)
    page = context.new_page()
    page.goto(place.as_uri())
    while not page.evaluate(f"lastStroke > 0 && performance.now() - lastStroke > {QUIET_MS}"):
        page.wait_for_timeout(100)
    return page


def _dragged(browser: Browser, place: Path) -> tuple[float, float]:
    """Drag the map about; return the frames a second, and the longest time between two in milliseconds."""
    page = _opened(browser, place)
    box = page.locator("#map").bounding_box()
    if box is None:
        raise LookupError("the page shows no map")
    x, y = box["x"] + box["width"] / 2.0, box["y"] + box["height"] / 2.0
    page.evaluate(COUNT_FRAMES)
    for way in (1, -1, 1, -1):
        page.mouse.move(x, y)
        page.mouse.down()
        for step in range(30):
            page.mouse.move(x + way * 4 * step, y + way * 2 * step)
        page.mouse.up()
    page.wait_for_timeout(300)
    times = page.evaluate("frames")
    page.context.close()
    gaps = [after - before for before, after in pairwise(times)]
    return 1000.0 * len(gaps) / sum(gaps), max(gaps)


def _bare(page: Path) -> Path:
    """Write the page that draws what another one shows at first with the library alone."""
    text = page.read_text(encoding="utf-8")
    scene = json.loads(re.search(r'id="scene">(.*?)</script>', text, re.DOTALL)[1])  # type: ignore[index]
    shapes = []
    for layer in scene["layers"]:
        for shape in layer["shapes"] if layer["shown"] else ():
            style = scene["styles"][shape["style"]]
            look = {
                "interactive": False,
                "smoothFactor": 0.6,
                "color": style["stroke"],
                "weight": style["width"],
                "dashArray": style["dash"] or None,
                "fill": shape["form"] != "line" and bool(style["fill"]),
                "fillColor": style["fill"],
                "fillOpacity": style["opacity"],
            }
            parts = [[_places(part) for part in rings] for rings in shape["parts"]]
            shapes.append([shape["form"], look, parts])
    library = re.sub(r"\n?//# sourceMappingURL=\S*", "", Path(leaflet.BASE_DIR, "leaflet.js").read_text("utf-8"))
    sheet = re.sub(r"url\([^)]*\)", "none", Path(leaflet.BASE_DIR, "leaflet.css").read_text("utf-8"))
    place = page.with_name("bare.html")
    words = {"sheet": sheet, "library": library, "bounds": json.dumps(scene["bounds"])}
    place.write_text(BARE.format(shapes=json.dumps(shapes, separators=(",", ":")), **words), encoding="utf-8")
    return place


def _places(text: str) -> list[list[float]]:
    """Return latitude and longitude of the points of a text of coordinates."""
    numbers, doubled, place = [], 0, 0
    for letter in text:
        value = ALPHABET.index(letter)
        doubled |= (value & 31) << 5 * place
        place += 1
        if value < 32:
            numbers.append(-(doubled + 1) // 2 if doubled & 1 else doubled // 2)
            doubled = place = 0
    east, north = (accumulate(numbers[axis::2]) for axis in (0, 1))
    return [[lat / STEPS, lon / STEPS] for lon, lat in zip(east, north, strict=True)]

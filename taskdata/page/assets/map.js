// @ts-check
import { PatternCanvas, fillOf, markPath } from "./canvas.js";
import { courseLength, decoded, degreeMetres, holds, ringArea } from "./geo.js";

/** @type {any} */
const L = /** @type {any} */ (globalThis).L;

const MAX_ZOOM = 23;
const NEAR_PX = 7;
const MOST_LABELS = 400;
const SQUARE_PX = 64;
const FOOT_M = 0.3048;
const ACRE_M2 = 4046.8564224;

/** Boxes in pixels that no other box lies on, found by squares of the map. */
class Boxes {
  constructor() {
    /** @type {Map<string, [number, number, number, number][]>} */
    this.squares = new Map();
  }

  /**
   * Take in a box, if no other one lies on it.
   * @param {[number, number, number, number]} box left, top, right and bottom
   * @param {boolean} [always] even where another one does
   * @returns {boolean} whether it was taken in
   */
  add(box, always = false) {
    const lists = [];
    for (let column = Math.floor(box[0] / SQUARE_PX); column * SQUARE_PX <= box[2]; column += 1) {
      for (let row = Math.floor(box[1] / SQUARE_PX); row * SQUARE_PX <= box[3]; row += 1) {
        const key = `${column} ${row}`;
        const list = this.squares.get(key) || [];
        if (!always && list.some((other) => box[0] < other[2] && box[2] > other[0] && box[1] < other[3] && box[3] > other[1])) return false;
        this.squares.set(key, list);
        lists.push(list);
      }
    }
    for (const list of lists) list.push(box);
    return true;
  }
}

/**
 * A map of what the program drew: layers to switch, facts under the pointer, a scale in true metres, and measuring.
 */
export class FieldMap {
  /**
   * @param {HTMLElement} place where the map stands
   * @param {HTMLElement} told where the facts under the pointer are shown
   * @param {any} data what `scene_document` returned
   */
  constructor(place, told, data) {
    this.place = place;
    this.told = told;
    this.data = data;
    this.texts = data.texts;
    this.number = new Intl.NumberFormat(data.language, { maximumFractionDigits: 2 });
    this.renderer = new PatternCanvas({ padding: 0.3, tolerance: 0 });
    this.map = L.map(place, {
      preferCanvas: true, renderer: this.renderer, attributionControl: false, zoomControl: false, maxZoom: MAX_ZOOM,
      minZoom: 2, zoomSnap: 0.25, zoomDelta: 0.5, wheelPxPerZoomLevel: 120, keyboard: true, worldCopyJump: false,
      zoomAnimation: !matchMedia("(prefers-reduced-motion: reduce)").matches,
      fadeAnimation: false,
    });
    L.control.zoom({ zoomInTitle: this.texts.zoomIn, zoomOutTitle: this.texts.zoomOut }).addTo(this.map);
    /** @type {Map<string, {group: any, shapes: any[], shown: boolean}>} */
    this.layers = new Map();
    /** @type {Map<string, any>} */
    this.marks = new Map();
    /** @type {any[] | null} what is named beside the map, null where something else is said there */
    this.named = null;
    /** @type {{lat: number, lng: number} | null} */
    this.pointer = null;
    this.labels = this.map.createPane("labels");
    this.labels.classList.add("leaflet-zoom-hide");
    this.labels.style.zIndex = "620";
    this.whole();
    for (const layer of data.layers) this.add(layer);
    this.order();
    this.scale = this.corner("bottomleft", "map-scale");
    const north = this.corner("topright", "map-north");
    north.innerHTML = '<svg viewBox="-12 -16 24 32" width="24" height="32" aria-hidden="true"><path d="M0 -14L7 13L0 8L-7 13Z"/></svg>';
    north.setAttribute("role", "img");
    north.setAttribute("aria-label", this.texts.north);
    this.edges = this.edge();
    this.measuring = null;
    this.map.on("moveend zoomend resize", () => this.drawn());
    this.map.on("mousemove", (/** @type {any} */ event) => this.soon(event.latlng));
    this.map.on("click", (/** @type {any} */ event) => (this.measuring ? this.step(event.latlng) : this.under(event.latlng)));
    this.drawn();
  }

  /** Take the map off the page. */
  remove() {
    this.map.remove();
    this.edges.remove();
  }

  /**
   * Paint a small picture of a style for a legend, in the form that things of it have on the map.
   * @param {CanvasRenderingContext2D} context
   * @param {any} style
   * @param {string} form
   * @param {boolean} arrow whether lines show their direction
   */
  static paint(context, style, form, arrow) {
    context.fillStyle = "#faf8f3";
    context.fillRect(0, 0, 24, 16);
    context.strokeStyle = style.stroke;
    context.lineWidth = style.width;
    context.setLineDash(style.dash ? style.dash.split(" ").map(Number) : []);
    if (form === "point") {
      markPath(context, style.name, 12, 8, 0.75);
      context.fillStyle = style.fill;
      context.fill();
      context.stroke();
    } else if (form === "area" && !style.fill) {
      context.strokeRect(1, 1, 22, 14);
    } else if (style.fill) {
      context.globalAlpha = style.opacity;
      context.fillStyle = style.pattern ? fillOf(context, style) : style.fill;
      context.fillRect(1, 1, 22, 14);
      context.globalAlpha = 1;
      context.strokeRect(1, 1, 22, 14);
    } else {
      context.beginPath();
      context.moveTo(1, 8);
      context.lineTo(23, 8);
      context.stroke();
      if (!arrow) return;
      context.fillStyle = style.stroke;
      context.fill(new Path2D("M15 4l7 4l-7 4z"));
    }
  }

  /** Show everything. */
  whole() {
    const box = this.data.bounds;
    if (!box) {
      this.map.setView([0, 0], 2);
      return;
    }
    this.map.fitBounds([[box[1], box[0]], [box[3], box[2]]], { padding: [18, 18], maxZoom: 20, animate: false });
  }

  /** @param {any} layer */
  add(layer) {
    const shapes = layer.shapes.map((/** @type {any} */ stored) => decoded(stored, this.data.labels));
    for (const shape of shapes) {
      for (const mark of shape.mark.split(" ").filter(Boolean)) this.marks.set(mark, shape);
    }
    const held = { group: null, shapes, shown: layer.shown };
    this.layers.set(layer.name, held);
    if (layer.shown) this.show(held);
  }

  /**
   * Draw a layer; what it is drawn with is made the first time.
   * @param {{group: any, shapes: any[]}} layer
   */
  show(layer) {
    if (!layer.group) {
      layer.group = L.layerGroup(layer.shapes.flatMap((shape) => this.drawables(shape, this.data.styles[shape.style])));
    }
    layer.group.addTo(this.map);
  }

  /**
   * @param {any} shape
   * @param {any} style
   */
  drawables(shape, style) {
    const options = {
      renderer: this.renderer, interactive: false, style, mark: shape.style, smoothFactor: 0.6, color: style.stroke,
      weight: style.width, dashArray: style.dash || null, fill: shape.form !== "line" && Boolean(style.fill),
      fillColor: style.fill, fillOpacity: style.opacity,
    };
    if (shape.form === "area") return [L.polygon(shape.parts, options)];
    const runs = shape.parts.flat();
    if (shape.form === "line") {
      const lines = runs.map((/** @type {any} */ run) => L.polyline(run, options));
      return shape.arrow ? [...lines, ...runs.map((/** @type {any} */ run) => this.arrow(run, options))] : lines;
    }
    return runs.flat().map((/** @type {any} */ at) => L.circleMarker(at, { ...options, radius: 7, fill: true, fillOpacity: 1 }));
  }

  /**
   * Return the head of an arrow in the middle of a course, of a size in metres that suits its length.
   * @param {[number, number][]} run
   * @param {any} options
   */
  arrow(run, options) {
    const length = courseLength(run);
    let gone = 0;
    let at = 1;
    while (at < run.length - 1 && gone + courseLength([run[at - 1], run[at]]) < length / 2) {
      gone += courseLength([run[at - 1], run[at]]);
      at += 1;
    }
    const [from, to] = [run[at - 1], run[at] || run[at - 1]];
    const [east, north] = degreeMetres(from[0]);
    const part = courseLength([from, to]);
    const share = part ? Math.min(1, (length / 2 - gone) / part) : 0;
    const middle = [from[0] + share * (to[0] - from[0]), from[1] + share * (to[1] - from[1])];
    const [dx, dy] = part ? [(to[1] - from[1]) * east / part, (to[0] - from[0]) * north / part] : [0, 1];
    const size = Math.min(14, length / 6);
    const corner = (/** @type {number} */ ahead, /** @type {number} */ right) => [
      middle[0] + (ahead * dy - right * dx) * size / north, middle[1] + (ahead * dx + right * dy) * size / east,
    ];
    return L.polygon([corner(0.7, 0), corner(-0.5, 0.5), corner(-0.5, -0.5)], {
      ...options, style: null, stroke: false, fill: true, fillColor: options.color, fillOpacity: 1,
    });
  }

  /** Bring the layers into their order, which adding them one by one does not keep. */
  order() {
    for (const { group, shown } of this.layers.values()) {
      if (shown) group.eachLayer((/** @type {any} */ item) => item.bringToFront());
    }
  }

  /**
   * Show or hide a layer.
   * @param {string} name
   * @param {boolean} shown
   */
  toggle(name, shown) {
    const layer = this.layers.get(name);
    if (!layer) return;
    layer.shown = shown;
    if (shown) this.show(layer);
    else if (layer.group) layer.group.remove();
    this.order();
    this.drawn();
  }

  /**
   * Go to what is called so, and say what it is.
   * @param {string} mark
   * @returns {boolean} whether it is on the map
   */
  goTo(mark) {
    const shape = this.marks.get(mark);
    if (!shape) return false;
    const [west, south, east, north] = shape.box;
    if (west === east && south === north) this.map.setView([south, west], Math.max(this.map.getZoom(), 17));
    else this.map.fitBounds([[south, west], [north, east]], { padding: [60, 60], maxZoom: 19 });
    for (const [name, layer] of this.layers) {
      if (layer.shapes.includes(shape) && !layer.shown) this.toggle(name, true);
    }
    this.tell([shape]);
    this.ring(L.latLng((south + north) / 2, (west + east) / 2));
    return true;
  }

  /** @param {any} at */
  ring(at) {
    if (this.halo) this.halo.remove();
    const look = { renderer: L.svg(), radius: 15, fill: false, weight: 3, color: "#111", interactive: false };
    this.halo = L.circleMarker(at, look).addTo(this.map);
  }

  /**
   * Say what lies under the pointer with the next picture, however often it moves until then.
   * @param {{lat: number, lng: number}} at
   */
  soon(at) {
    if (!this.pointer) requestAnimationFrame(() => {
      const there = this.pointer;
      this.pointer = null;
      if (there && this.place.isConnected) this.under(there);
    });
    this.pointer = at;
  }

  /** @param {{lat: number, lng: number}} at */
  under(at) {
    if (this.measuring) return;
    const metres = this.metresPixel() * NEAR_PX;
    const near = metres / degreeMetres(at.lat)[1];
    const found = [];
    for (const layer of [...this.layers.values()].reverse()) {
      if (!layer.shown) continue;
      for (let number = layer.shapes.length - 1; number >= 0; number -= 1) {
        if (holds(layer.shapes[number], at.lat, at.lng, near)) found.push(layer.shapes[number]);
      }
    }
    this.tell(found);
  }

  /**
   * Name everything, the topmost first; fields stand below the others and stay in sight while those are scrolled.
   * @param {any[]} shapes
   */
  tell(shapes) {
    const named = this.named;
    if (named && shapes.length === named.length && shapes.every((shape, at) => shape === named[at])) return;
    this.named = shapes;
    this.told.scrollTop = 0;
    this.told.replaceChildren();
    if (!shapes.length) {
      this.told.textContent = this.texts.hover;
      return;
    }
    const fields = shapes.filter((shape) => shape.style === "outline");
    const others = shapes.filter((shape) => shape.style !== "outline");
    for (const [name, found] of /** @type {[string, any[]][]} */ ([["told-things", others], ["told-fields", fields]])) {
      if (!found.length) continue;
      const list = document.createElement("div");
      list.className = name;
      list.append(...found.map((shape) => this.entry(shape)));
      this.told.append(list);
    }
  }

  /**
   * Return what is said of a shape.
   * @param {any} shape
   */
  entry(shape) {
    const item = document.createElement("div");
    const title = document.createElement("strong");
    title.dir = "auto";
    title.textContent = shape.title;
    const list = document.createElement("dl");
    for (const [label, value] of shape.facts) {
      const term = document.createElement("dt");
      term.textContent = label;
      const text = document.createElement("dd");
      text.dir = "auto";
      text.textContent = value;
      list.append(term, text);
    }
    item.append(title, list);
    return item;
  }

  /** Begin or end measuring. Returns whether it is on. */
  measure() {
    this.named = null;
    if (this.measuring) {
      this.measuring.group.remove();
      this.measuring = null;
      this.told.textContent = this.texts.hover;
      this.place.classList.remove("measuring");
      return false;
    }
    this.measuring = { points: /** @type {[number, number][]} */ ([]), group: L.layerGroup().addTo(this.map) };
    this.told.textContent = this.texts.measureHint;
    this.place.classList.add("measuring");
    return true;
  }

  /** @param {{lat: number, lng: number}} at */
  step(at) {
    const { points, group } = /** @type {any} */ (this.measuring);
    points.push([at.lat, at.lng]);
    group.clearLayers();
    const look = { renderer: this.renderer, interactive: false, color: "#111", weight: 2, dashArray: "6 4", fillOpacity: 0.08 };
    group.addLayer(points.length > 2 ? L.polygon(points, look) : L.polyline(points, look));
    for (const point of points) group.addLayer(L.circleMarker(point, { ...look, dashArray: null, radius: 4, mark: "point", fillColor: "#fff", fillOpacity: 1, fill: true }));
    const lines = [`${this.texts.length}: ${this.length(courseLength(points))}`];
    if (points.length > 2) lines.push(`${this.texts.area}: ${this.area(ringArea(points))}`);
    this.told.replaceChildren(...lines.map((line) => {
      const item = document.createElement("div");
      item.textContent = line;
      return item;
    }));
  }

  /** @param {number} metres */
  length(metres) {
    return this.data.units === "us" ? `${this.number.format(metres / FOOT_M)} ft` : `${this.number.format(metres)} m`;
  }

  /** @param {number} size square metres */
  area(size) {
    if (this.data.units === "us") return `${this.number.format(size / ACRE_M2)} ac`;
    return size < 1000 ? `${this.number.format(size)} m²` : `${this.number.format(size / 10000)} ha`;
  }

  /** Return how many metres a pixel has in the middle of the map. */
  metresPixel() {
    const middle = this.map.getCenter();
    const size = this.map.getSize();
    const [left, right] = [[0, size.y / 2], [Math.max(1, size.x), size.y / 2]].map((at) => this.map.containerPointToLatLng(at));
    return Math.abs(right.lng - left.lng) * degreeMetres(middle.lat)[0] / Math.max(1, size.x);
  }

  /** Draw what depends on the part that is shown: labels, scale and degrees. */
  drawn() {
    this.drawLabels();
    this.drawScale();
    this.drawEdges();
  }

  /**
   * Return the boxes in pixels that marks take, which labels keep clear of.
   * @returns {[number, number, number, number][]}
   */
  markBoxes() {
    const found = [];
    const shown = this.map.getBounds();
    for (const layer of this.layers.values()) {
      for (const shape of layer.shown ? layer.shapes : []) {
        if (shape.form !== "point" || !shown.contains(shape.parts[0][0][0])) continue;
        const { x, y } = this.map.latLngToContainerPoint(shape.parts[0][0][0]);
        found.push([x - 7, y - 7, x + 7, y + 7]);
      }
    }
    return /** @type {[number, number, number, number][]} */ (found);
  }

  drawLabels() {
    const taken = new Boxes();
    for (const box of this.markBoxes()) taken.add(box, true);
    const size = this.map.getSize();
    const shown = this.map.getBounds();
    const fresh = document.createDocumentFragment();
    for (const layer of [...this.layers.values()].reverse()) {
      if (!layer.shown) continue;
      for (const shape of layer.shapes) {
        if (fresh.childElementCount >= MOST_LABELS) break;
        if (!shape.label || !shown.contains(shape.place)) continue;
        const { x, y } = this.map.latLngToContainerPoint(shape.place);
        const half = shape.label.length * 3.7;
        const above = shape.form === "area" ? 0 : 18;
        const free = (above ? [0] : [0, 20, -20]).find((down) => {
          const middle = y + down - above;
          if (x < half || x > size.x - half || middle < 10 || middle > size.y - 10) return false;
          return taken.add([x - half, middle - 9, x + half, middle + 9]);
        });
        if (free === undefined) continue;
        const label = document.createElement("div");
        const text = document.createElement("span");
        text.dir = "auto";
        text.textContent = shape.label;
        label.className = `map-label map-label-${shape.form}`;
        label.append(text);
        L.DomUtil.setPosition(label, this.map.containerPointToLayerPoint([x, y + free]));
        fresh.append(label);
      }
    }
    this.labels.replaceChildren(fresh);
  }

  drawScale() {
    const unit = this.data.units === "us" ? FOOT_M : 1;
    const most = this.metresPixel() * 140 / unit;
    const power = 10 ** Math.floor(Math.log10(most));
    const length = [5, 2, 1].map((step) => step * power).find((step) => step <= most) || power;
    this.scale.style.width = `${length * unit / this.metresPixel()}px`;
    this.scale.textContent = `${this.number.format(length)} ${unit === 1 ? "m" : "ft"}`;
  }

  edge() {
    const edges = document.createElement("div");
    edges.className = "map-edges";
    edges.setAttribute("aria-hidden", "true");
    this.place.append(edges);
    return edges;
  }

  drawEdges() {
    this.edges.replaceChildren();
    const box = this.map.getBounds();
    const size = this.map.getSize();
    const spans = [["lon", box.getWest(), box.getEast()], ["lat", box.getSouth(), box.getNorth()]];
    for (const [axis, low, high] of /** @type {[string, number, number][]} */ (spans)) {
      const power = 10 ** Math.floor(Math.log10((high - low) / 2.5));
      const step = [5, 2, 1].map((times) => times * power).find((value) => value <= (high - low) / 2.5) || power;
      const digits = Math.max(0, Math.ceil(-Math.log10(step) - 1e-9));
      for (let number = Math.ceil(low / step); number * step < high; number += 1) {
        const value = number * step;
        const at = this.map.latLngToContainerPoint(axis === "lon" ? [box.getSouth(), value] : [value, box.getWest()]);
        const along = axis === "lon" ? at.x : at.y;
        if (along < 45 || along > (axis === "lon" ? size.x : size.y) - 45) continue;
        const tick = document.createElement("span");
        tick.className = `map-edge-${axis}`;
        const turned = axis === "lon" ? ((value + 180) % 360 + 360) % 360 - 180 : value;
        const letters = axis === "lon" ? "EW" : "NS";
        const degrees = Math.abs(turned).toLocaleString(this.data.language, { minimumFractionDigits: digits, maximumFractionDigits: digits });
        tick.textContent = this.data.texts[letters[turned < 0 ? 1 : 0]].replace("{degrees}", degrees);
        tick.style[axis === "lon" ? "left" : "top"] = `${along}px`;
        this.edges.append(tick);
      }
    }
  }

  /**
   * @param {string} position
   * @param {string} name
   * @returns {HTMLElement}
   */
  corner(position, name) {
    const control = L.control({ position });
    control.onAdd = () => L.DomUtil.create("div", name);
    control.addTo(this.map);
    return control.getContainer();
  }
}

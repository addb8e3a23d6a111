// @ts-check
/** The map of the step that is shown, with its layers; where a person looked, and what they hid, stays. */
import { call, reader, t } from "./calls.js";
import { make } from "./made.js";
import { FieldMap } from "./map.js";

/** @param {string} id @returns {HTMLElement} */
const byId = (id) => /** @type {HTMLElement} */ (document.getElementById(id));

const PREVIEWS = ["clean", "passes", "ratemap"];
const PLAIN = ["look", "check", "choose", "merge", ...PREVIEWS];

/** @type {{map: FieldMap | null, key: string, box: string, toggled: Map<string, boolean>}} */
const ground = { map: null, key: "", box: "", toggled: new Map() };

/**
 * Return the step whose map is shown: the last of the kinds that belong to what is shown, or else of the set as it is.
 * @param {any} state
 * @param {string[]} kinds
 */
function drawnStep(state, kinds) {
  const steps = state.steps.filter((/** @type {any} */ step) => step.drawn && !step.stale).reverse();
  const plain = (/** @type {any} */ step) => PLAIN.includes(step.kind) && !(PREVIEWS.includes(step.kind) && !step.result.accepted);
  return steps.find((/** @type {any} */ step) => kinds.includes(step.kind)) ?? steps.find(plain) ?? null;
}

/**
 * Show the map that belongs to a step.
 * @param {any} state
 * @param {string[]} kinds
 */
export async function showMap(state, kinds) {
  const step = drawnStep(state, kinds);
  const key = step === null ? "" : `${step.number} ${reader()}`;
  if (key === ground.key) return;
  ground.key = key;
  document.body.classList.toggle("mapped", step !== null);
  if (step === null) {
    clear();
    return;
  }
  byId("map").setAttribute("aria-busy", "true");
  const data = await call(`/api/scene/${step.number}?${reader()}`);
  if (ground.key === key) draw(data);
}

function clear() {
  ground.map?.remove();
  ground.map = null;
  ground.box = "";
  ground.toggled.clear();
  byId("layers").replaceChildren();
}

/** @param {any} data */
function draw(data) {
  const place = byId("map");
  const box = JSON.stringify(data.bounds?.map((/** @type {number} */ value) => Math.round(value * 1000)));
  const view = ground.map && box === ground.box ? { at: ground.map.map.getCenter(), zoom: ground.map.map.getZoom() } : null;
  if (box !== ground.box) ground.toggled.clear();
  ground.map?.remove();
  ground.box = box;
  place.removeAttribute("aria-busy");
  place.setAttribute("aria-label", t("Map"));
  byId("told").textContent = data.texts.hover;
  byId("measure").setAttribute("aria-pressed", "false");
  const map = new FieldMap(place, byId("told"), data);
  ground.map = map;
  if (view) map.map.setView(view.at, view.zoom, { animate: false });
  for (const [name, shown] of ground.toggled) if (map.layers.get(name) && map.layers.get(name)?.shown !== shown) map.toggle(name, shown);
  byId("layers").replaceChildren(...[...data.layers].reverse().map((layer) => layerBox(layer, data.styles)));
  placed();
}

/** Show the ways to the map only of what has a place on it. */
export function placed() {
  for (const item of /** @type {NodeListOf<HTMLElement>} */ (document.querySelectorAll("button[data-mark]"))) {
    item.hidden = Boolean(ground.map) && !ground.map?.marks.has(item.dataset.mark || "");
  }
}

/** @param {string} mark */
export function goTo(mark) {
  const found = ground.map ? ground.map.goTo(mark) : false;
  if (found) byId("map").scrollIntoView({ block: "nearest" });
  else byId("told").textContent = t("This has no place on the map.");
  for (const item of /** @type {NodeListOf<HTMLInputElement>} */ (byId("layers").querySelectorAll("input"))) {
    item.checked = ground.map?.layers.get(item.dataset.layer || "")?.shown ?? item.checked;
  }
  return found;
}

export function whole() {
  ground.map?.whole();
}

export function measure() {
  return ground.map ? ground.map.measure() : false;
}

/** @param {any} layer @param {any} styles */
function layerBox(layer, styles) {
  const id = `layer-${layer.name}`;
  const entries = layer.legend.length ? layer.legend : [[layer.shapes[0].style, ""]];
  const swatches = entries.map((/** @type {[string, string]} */ [style, words]) => make("span", {}, swatch({ ...styles[style], name: style }, layer.shapes[0]), words));
  return make("div", { class: "layer" },
    make("input", {
      type: "checkbox", id, checked: ground.toggled.get(layer.name) ?? layer.shown, "data-layer": layer.name,
      change: (/** @type {Event} */ event) => {
        const shown = /** @type {HTMLInputElement} */ (event.target).checked;
        ground.toggled.set(layer.name, shown);
        ground.map?.toggle(layer.name, shown);
      },
    }),
    make("label", { for: id, dir: "auto" }, ...(layer.legend.length ? [] : swatches), layer.label),
    layer.legend.length ? make("div", { class: "classes" }, ...swatches) : null,
    layer.note ? make("p", { class: "classes soft" }, layer.note) : null);
}

/** @param {any} style @param {any} shape one that is drawn so */
function swatch(style, shape) {
  const canvas = /** @type {HTMLCanvasElement} */ (make("canvas", { width: 24, height: 16, class: "swatch", "aria-hidden": "true" }));
  const ink = canvas.getContext("2d");
  if (ink) FieldMap.paint(ink, style, shape.form, Boolean(shape.arrow));
  return canvas;
}

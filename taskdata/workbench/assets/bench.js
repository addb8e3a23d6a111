// @ts-check
/** The page of the workbench: the steps, their words, and the map; all that is shown comes from the program's state. */
import { call, drop, learn, send, t } from "./calls.js";
import { dropped, watchDrops } from "./dropping.js";
import { button, make } from "./made.js";
import { FieldMap } from "./map.js";
import * as steps from "./steps.js";

const POLL_MS = 400;
const KINDS = { several: ["merge", "compare"], work: ["coverage", "passes"], rates: ["ratemap"] };

/** @param {string} id @returns {HTMLElement} */
const byId = (id) => /** @type {HTMLElement} */ (document.getElementById(id));

const bench = {
  /** @type {any} */
  state: { sources: [], steps: [], job: null, scene: null },
  shown: "look",
  busy: false,
  /** @type {FieldMap | null} */
  map: null,
  /** @type {string} */
  scene: "",
  error: "",
  sending: "",

  /** @param {string} kind @param {any} [options] */
  run(kind, options = {}) {
    const page = { language: choice("language"), units: choice("units") };
    bench.error = "";
    send("/api/run", { kind, options: { ...options, ...page } }).then(take, bench.fail);
  },

  /** @param {{name: string, file: File}[]} files @param {boolean} beside */
  dropped(files, beside) {
    if (!files.length) return;
    bench.error = "";
    const tell = (/** @type {number} */ done, /** @type {number} */ total, /** @type {string} */ name) => {
      bench.sending = t("Taking {done} of {total}: {name}", { done: done + 1, total, name });
      render();
    };
    drop(files, beside, tell).then((state) => {
      bench.sending = "";
      take(state);
      if (!beside) bench.run("look");
    }, (error) => {
      bench.sending = "";
      bench.fail(error);
    });
  },

  /** @param {string} mark */
  goTo(mark) {
    const found = bench.map ? bench.map.goTo(mark) : false;
    if (found) byId("map").scrollIntoView({ block: "nearest" });
    else byId("told").textContent = t("This has no place on the map.");
    return found;
  },

  /** @param {unknown} error */
  fail(error) {
    bench.error = error instanceof Error ? error.message : String(error);
    render();
  },
};

/** @param {string} id */
function choice(id) {
  return /** @type {HTMLSelectElement} */ (byId(id)).value;
}

/** @param {any} state */
function take(state) {
  const before = bench.state.job;
  bench.state = state;
  bench.busy = state.job?.state === "running";
  if (bench.busy) setTimeout(poll, POLL_MS);
  else if (before?.state === "running" && state.job?.state === "done") bench.shown = stepOf(state.job.kind);
  render();
  showMap().catch(bench.fail);
}

/** @param {string} kind */
function stepOf(kind) {
  return Object.entries(KINDS).find(([, kinds]) => kinds.includes(kind))?.[0] || (kind === "convert" && bench.shown === "save" ? "save" : kind);
}

function poll() {
  call("/api/state").then(take, bench.fail);
}

function render() {
  const focused = document.activeElement?.id;
  const inside = byId("words").contains(document.activeElement);
  const titles = steps.titles();
  byId("steps").replaceChildren(...steps.STEPS.map((name) => make("li", {}, button(titles[/** @type {keyof typeof titles} */ (name)], () => {
    bench.shown = name;
    render();
    byId("words").focus();
  }, { id: `step-${name}`, "aria-current": name === bench.shown ? "step" : null, disabled: name !== "look" && !bench.state.sources.length }))));
  const show = /** @type {any} */ (steps)[bench.shown];
  const title = make("h2", { id: "step-title" }, titles[/** @type {keyof typeof titles} */ (bench.shown)]);
  byId("words").replaceChildren(title, ...working(), ...(bench.busy ? [] : show(bench)));
  /** @type {HTMLButtonElement} */ (byId("undo")).disabled = bench.busy || !bench.state.steps.length;
  tell();
  if (document.activeElement !== document.body) return;
  const again = document.getElementById(focused || "") || (inside ? byId("words") : null);
  again?.focus({ preventScroll: true });
}

/** Let screen readers say when work begins and how it ended, once each, and no progress in between. */
function tell() {
  const job = bench.state.job;
  const ended = { done: t("Done."), failed: "", cancelled: t("It was cancelled; nothing changed.") };
  const said = bench.busy || bench.sending ? t("Working ...") : job ? ended[/** @type {keyof typeof ended} */ (job.state)] : "";
  if (byId("said").textContent !== said) byId("said").textContent = said;
}

/** Return what is being done, how much and how long still, with the way to end it; and what failed. */
function working() {
  const parts = [];
  const job = bench.state.job;
  if (bench.sending) parts.push(make("p", {}, bench.sending));
  if (bench.busy) {
    const lines = job.stages.map((/** @type {any} */ stage) => {
      const left = stage.left_s === null ? "" : `, ${t("about {seconds} s left", { seconds: Math.ceil(stage.left_s) })}`;
      const much = stage.total ? `: ${stage.done.toLocaleString()} ${t("of")} ${stage.total.toLocaleString()} ${stage.unit}` : "";
      return make("li", { dir: "auto" }, `${stage.what}${much}${left}`,
        stage.total ? make("progress", { max: stage.total, value: Math.min(stage.done, stage.total), "aria-label": stage.what }) : null);
    });
    parts.push(make("div", { class: "working" }, make("p", {}, t("Working ...")), make("ul", {}, ...lines),
      button(t("Cancel"), () => send("/api/cancel").then(take, bench.fail), { id: "cancel" })));
  } else if (job?.state === "failed") parts.push(make("p", { class: "failed error", role: "alert" }, job.error));
  else if (job?.state === "cancelled") parts.push(make("p", {}, t("It was cancelled; nothing changed.")));
  if (bench.error) parts.push(make("p", { class: "failed error", role: "alert" }, bench.error));
  return parts;
}

async function showMap() {
  const number = bench.state.scene;
  const key = `${number} ${bench.state.steps.length}`;
  if (key === bench.scene) return;
  bench.scene = key;
  document.body.classList.toggle("mapped", number !== null);
  if (number === null) {
    bench.map?.remove();
    bench.map = null;
    byId("layers").replaceChildren();
    return;
  }
  const data = await call(`/api/scene/${number}`);
  bench.map?.remove();
  const place = byId("map");
  place.setAttribute("aria-label", t("Map"));
  byId("told").textContent = data.texts.hover;
  bench.map = new FieldMap(place, byId("told"), data);
  byId("layers").replaceChildren(...[...data.layers].reverse().map((layer) => layerBox(layer, data.styles)));
}

/** @param {any} layer @param {any} styles */
function layerBox(layer, styles) {
  const id = `layer-${layer.name}`;
  const entries = layer.legend.length ? layer.legend : [[layer.shapes[0].style, ""]];
  const swatches = entries.map((/** @type {[string, string]} */ [style, words]) => make("span", {}, swatch({ ...styles[style], name: style }, layer.shapes[0]), words));
  return make("div", { class: "layer" },
    make("input", { type: "checkbox", id, checked: layer.shown, change: (/** @type {Event} */ event) => bench.map?.toggle(layer.name, /** @type {HTMLInputElement} */ (event.target).checked) }),
    make("label", { for: id, dir: "auto" }, ...(layer.legend.length ? [] : swatches), layer.label),
    layer.legend.length ? make("div", { class: "classes" }, ...swatches) : null);
}

/** @param {any} style @param {any} shape one that is drawn so */
function swatch(style, shape) {
  const canvas = /** @type {HTMLCanvasElement} */ (make("canvas", { width: 24, height: 16, class: "swatch", "aria-hidden": "true" }));
  const ink = canvas.getContext("2d");
  if (ink) FieldMap.paint(ink, style, shape.form, Boolean(shape.arrow));
  return canvas;
}

byId("undo").addEventListener("click", () => send("/api/undo").then(take, bench.fail));
byId("whole").addEventListener("click", () => bench.map?.whole());
byId("measure").addEventListener("click", (event) => {
  if (bench.map) /** @type {HTMLElement} */ (event.currentTarget).setAttribute("aria-pressed", String(bench.map.measure()));
});
byId("language").addEventListener("change", () => learn(choice("language")).then(render, bench.fail));
watchDrops(async (transfer, beside) => bench.dropped(await dropped(transfer), beside));
learn(navigator.language.startsWith("de") ? "de" : "en").then(() => {
  /** @type {HTMLSelectElement} */ (byId("language")).value = document.documentElement.lang;
  return call("/api/state");
}).then(take, bench.fail);

// @ts-check
/** The page of the workbench: the steps and their words; all that is shown comes from the program's state. */
import { Refused, call, drop, learn, reader, send, t } from "./calls.js";
import { dropped, watchDrops } from "./dropping.js";
import * as ground from "./ground.js";
import { button, make } from "./made.js";
import * as steps from "./steps.js";
import { forget, note, restore } from "./typed.js";
import { tellEnd, working } from "./working.js";

const BUSY_MS = 400;
const IDLE_MS = 2000;
/** @type {Record<string, string[]>} */
const KINDS = { several: ["merge", "compare"], work: ["coverage", "passes"], rates: ["columns", "ratemap"], save: ["convert"] };

/** @param {string} id @returns {HTMLElement} */
const byId = (id) => /** @type {HTMLElement} */ (document.getElementById(id));

/** @type {ReturnType<typeof setTimeout> | undefined} */
let timer;

const bench = {
  /** @type {any} */
  state: { revision: null, sources: [], steps: [], job: null, undo: null },
  shown: "look",
  busy: false,
  error: "",
  gone: "",
  /** @type {{number: number, total: number, sent: number, bytes: number, began: number, stop: () => void} | null} */
  sending: null,

  /** @param {string} kind @param {any} [options] */
  run(kind, options = {}) {
    const page = Object.fromEntries(new URLSearchParams(reader()));
    bench.error = "";
    send("/api/run", { kind, options: { ...options, ...page }, revision: bench.state.revision }).then(take, bench.fail);
  },

  /** @param {{name: string, file: File}[]} files @param {boolean} beside */
  dropped(files, beside) {
    if (!files.length || bench.sending) return;
    bench.error = "";
    const ending = new AbortController();
    const bytes = files.reduce((sum, { file }) => sum + file.size, 0);
    const sending = { number: 0, total: files.length, sent: 0, bytes, began: performance.now(), stop: () => ending.abort() };
    bench.sending = sending;
    const tell = (/** @type {number} */ number, /** @type {number} */ sent) => {
      Object.assign(sending, { number, sent });
      if (number % 20 === 0 || bytes / files.length > 1e6) render();
    };
    render();
    drop(files, beside, tell, ending.signal).then((state) => {
      bench.sending = null;
      if (!beside) forget();
      take(state);
      if (!beside) bench.run("look");
      else if (bench.shown === "rates") bench.run("columns", { source: state.sources.at(-1).number });
    }, (error) => {
      bench.sending = null;
      if (ending.signal.aborted) render();
      else bench.fail(error);
    });
  },

  goTo: ground.goTo,

  /** @param {unknown} error */
  fail(error) {
    bench.error = error instanceof Error ? error.message : String(error);
    render();
    if (error instanceof Refused) poll();
  },
};

/** @param {string} kind */
function stepOf(kind) {
  if (kind === "convert" && bench.shown === "save") return "save";
  if (kind === "drop") return bench.state.sources.length > 1 ? bench.shown : "look";
  return Object.entries(KINDS).find(([step, kinds]) => step !== "save" && kinds.includes(kind))?.[0] || kind;
}

/** @param {any} state */
function take(state) {
  const before = bench.state;
  const news = Boolean(state.steps) || state.job?.state !== before.job?.state;
  bench.state = state.steps ? state : { ...before, ...state };
  bench.busy = state.job?.state === "running";
  const was = bench.gone;
  bench.gone = "";
  if (!bench.busy && before.job?.state === "running" && state.job?.state === "done") bench.shown = stepOf(state.job.kind);
  if (news || was || bench.busy) render();
  ground.showMap(bench.state, KINDS[bench.shown] || [bench.shown]).catch(bench.fail);
  wait();
}

function wait() {
  clearTimeout(timer);
  timer = setTimeout(poll, bench.busy ? BUSY_MS : IDLE_MS);
}

function poll() {
  if (document.hidden && !bench.busy) return;
  const known = bench.state.revision === null ? "" : `&known=${bench.state.revision}`;
  call(`/api/state?${reader()}${known}`).then(take, (error) => {
    if (bench.gone !== error.message) {
      bench.gone = error.message;
      bench.busy = false;
      render();
    }
    wait();
  });
}

function render() {
  const words = byId("words");
  const focused = document.activeElement?.id;
  const inside = words.contains(document.activeElement);
  const titles = steps.titles();
  byId("steps").replaceChildren(...steps.STEPS.map((name) => make("li", {}, button(titles[/** @type {keyof typeof titles} */ (name)], () => {
    show(name);
    words.focus();
  }, { id: `step-${name}`, "aria-current": name === bench.shown ? "step" : null, disabled: name !== "look" && !bench.state.sources.length }))));
  const title = make("h2", { id: "step-title" }, titles[/** @type {keyof typeof titles} */ (bench.shown)]);
  const body = bench.busy || bench.sending ? [] : /** @type {any} */ (steps)[bench.shown](bench);
  words.replaceChildren(title, ...working(bench, () => send("/api/cancel").then(take, bench.fail)), ...body);
  restore(bench.shown, words);
  ground.placed();
  const undo = /** @type {HTMLButtonElement} */ (byId("undo"));
  undo.disabled = bench.busy || Boolean(bench.sending) || !bench.state.undo;
  undo.textContent = bench.state.undo ? t("Undo: {step}", { step: steps.kindWords()[bench.state.undo] || bench.state.undo }) : t("Undo the last step");
  tellEnd(bench);
  if (document.activeElement !== document.body) return;
  const again = document.getElementById(focused || "") || (inside ? words : null);
  again?.focus({ preventScroll: true });
}

/** @param {string} step */
function show(step) {
  bench.shown = step;
  bench.error = "";
  render();
  ground.showMap(bench.state, KINDS[step] || [step]).catch(bench.fail);
}

/** Show the page, and what the program says, in another language or other units. */
async function reword() {
  await learn(/** @type {HTMLSelectElement} */ (byId("language")).value);
  take(await call(`/api/state?${reader()}`));
}

byId("undo").addEventListener("click", () => {
  const undone = bench.state.undo;
  bench.error = "";
  send("/api/undo", { revision: bench.state.revision }).then((state) => {
    forget();
    take(state);
    show(state.sources.length ? stepOf(undone) : "look");
  }, bench.fail);
});
byId("whole").addEventListener("click", ground.whole);
byId("measure").addEventListener("click", (event) => {
  /** @type {HTMLElement} */ (event.currentTarget).setAttribute("aria-pressed", String(ground.measure()));
});
for (const id of ["language", "units"]) byId(id).addEventListener("change", () => reword().catch(bench.fail));
for (const kind of ["input", "change"]) byId("words").addEventListener(kind, (event) => note(bench.shown, event));
document.addEventListener("visibilitychange", () => poll());
watchDrops(async (transfer, beside) => {
  const aside = beside || (["several", "rates"].includes(bench.shown) && bench.state.sources.length > 0);
  bench.dropped(await dropped(transfer), aside);
});
learn(navigator.language.startsWith("de") ? "de" : "en").then(() => {
  /** @type {HTMLSelectElement} */ (byId("language")).value = document.documentElement.lang;
  return call(`/api/state?${reader()}`);
}).then(take, bench.fail);

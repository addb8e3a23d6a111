// @ts-check
/** What each step shows in words: one function a step, which gets the state and returns elements. */
import { t } from "./calls.js";
import { area, areaUnit, button, cutTable, field, given, make, table } from "./made.js";

export { convert, save } from "./steps_save.js";
export { rates, several, work } from "./steps_more.js";

/**
 * @typedef {{state: any, busy: boolean, run: (kind: string, options?: any) => void, goTo: (mark: string) => boolean,
 *   dropped: (files: {name: string, file: File}[], beside: boolean) => void, fail: (error: unknown) => void}} Bench
 */

export const STEPS = ["look", "check", "clean", "choose", "convert", "save", "several", "work", "rates"];
const FILTERED = 20;
const MOST_CHOICES = 300;

/** What each step is called. */
export function titles() {
  return {
    look: t("Look"), check: t("Check"), clean: t("Clean"), choose: t("Choose"), convert: t("Convert"), save: t("Save"),
    several: t("Merge and compare"), work: t("Coverage and passes"), rates: t("Rate map"),
  };
}

/** What each kind of job is called. @returns {Record<string, string>} */
export function kindWords() {
  return {
    ...titles(), drop: t("Drop"), merge: t("Merge"), compare: t("Compare"), coverage: t("Coverage"), passes: t("Passes"),
    columns: t("Columns"), ratemap: t("Rate map"),
  };
}

/**
 * The last step of a kind that is about the set as it is now, null without one.
 * @param {any} state
 * @param {string} kind
 */
export function lastStep(state, kind) {
  return state.steps.filter((/** @type {any} */ step) => step.kind === kind && !step.stale).at(-1) ?? null;
}

/**
 * The result of that step.
 * @param {any} state
 * @param {string} kind
 */
export function last(state, kind) {
  return lastStep(state, kind)?.result ?? null;
}

/** What is in the set as it is now. @param {any} state */
export function setNow(state) {
  return state.steps.filter((/** @type {any} */ step) => step.result.set).at(-1)?.result.set ?? null;
}

/** What people call a source. @param {any} source */
export function sourceName(source) {
  return source.label || t("{count} files", { count: source.files });
}

/** @param {(HTMLElement | null)[]} parts @param {(options: Record<string, any>) => void} submit */
export function form(parts, submit) {
  return make("form", {
    submit: (/** @type {Event} */ event) => {
      event.preventDefault();
      submit(given(/** @type {HTMLFormElement} */ (event.target)));
    },
  }, ...parts);
}

/**
 * A button that opens the choice of files or of a folder.
 * @param {Bench} bench
 * @param {boolean} folder
 * @param {boolean} beside keep what is there
 */
export function picker(bench, folder, beside) {
  const input = /** @type {HTMLInputElement} */ (make("input", {
    type: "file", multiple: true, webkitdirectory: folder, hidden: true,
    change: () => bench.dropped([...(input.files || [])].map((file) => ({ name: file.webkitRelativePath || file.name, file })), beside),
  }));
  return make("span", {}, button(folder ? t("Choose a folder") : t("Choose files"), () => input.click()), input);
}

/** How many more there are than are shown. @param {number} count */
export function more(count) {
  return t("and {count} more", { count });
}

/** @param {string[]} texts */
export function warnings(texts) {
  return texts.map((text) => make("p", { class: "warning", dir: "auto" }, text));
}

/** @param {Bench} bench */
export function look(bench) {
  const { sources } = bench.state;
  const found = bench.state.steps.filter((/** @type {any} */ step) => step.kind === "look").at(-1)?.result ?? null;
  const intro = sources.length ? t("Drop another stick, zip or files here to begin anew; Undo brings this one back.")
    : t("Drop a stick's folder, a zip or files here. Nothing leaves this computer.");
  const drop = make("div", { class: sources.length ? "drop" : "drop first", id: "drop" }, make("p", {}, intro), picker(bench, true, false), picker(bench, false, false));
  if (!sources.length) return [drop];
  const parts = [make("p", { dir: "auto" }, t("Here: {label}", { label: sources.map(sourceName).join(", ") }))];
  for (const [name, kept] of sources.flatMap((/** @type {any} */ item) => item.kept).slice(0, 10)) {
    parts.push(make("p", { class: "warning", dir: "auto" }, t("{name} is kept under the name {kept}.", { name: name || "-", kept })));
  }
  const set = found && setNow(bench.state);
  if (set) parts.push(...held(set));
  if (found && (found.survey.items.length > 1 || !set)) parts.push(...survey(bench, found));
  if (!found) parts.push(button(t("Look at it"), () => bench.run("look"), { class: "main" }));
  return [...parts, howRead(bench, found), drop];
}

/** @param {any} set */
function held(set) {
  const counts = { lines: set.guidance.length, machines: set.machines.length, tasks: set.tasks.length };
  return [
    cutTable([t("Field"), t("Area, {unit}", { unit: areaUnit() })], set.fields.map((/** @type {any} */ item) => [item.name || item.id, area(item.area_m2)]), [1], more),
    make("p", {}, t("Guidance lines: {lines}, machines: {machines}, tasks: {tasks}", counts)), ...warnings(set.warnings),
  ];
}

/** @param {Bench} bench @param {any} found */
function survey(bench, found) {
  const { items, aside } = found.survey;
  const rows = items.map((/** @type {any} */ item) => [
    item.path || "-", item.kind, item.why,
    items.length < 2 || item.path === found.item ? "" : button(t("Take this one"), () => bench.run("look", { item: item.path })),
  ]);
  const beside = aside.map((/** @type {any} */ item) => [item.path, t("left aside"), item.why, ""]);
  return [make("h3", {}, t("What lies there")), cutTable([t("Item"), t("What it is"), t("Why"), t("Choice")], [...rows, ...beside], [], more)];
}

/** How layers are read, which they do not always say themselves. @param {Bench} bench @param {any} found */
function howRead(bench, found) {
  const asked = bench.state.steps.filter((/** @type {any} */ step) => step.kind === "look").at(-1)?.options.reading || {};
  const failed = bench.state.job?.state === "failed" && bench.state.job.kind === "look";
  return make("details", { open: failed }, make("summary", {}, t("How it is read")), form([
    field(t("Coordinate system"), "crs", { value: asked.crs, placeholder: "EPSG:25832" }),
    field(t("Use the most likely system"), "accept_guess", { type: "checkbox", checked: Boolean(asked.accept_guess) }),
    field(t("Make outlines of fields from swaths and logs"), "derive_fields", { type: "checkbox", checked: Boolean(asked.derive_fields) }),
    field(t("Read a damaged file up to the damage"), "rescue", { type: "checkbox", checked: Boolean(asked.rescue) }),
    make("button", {}, t("Look again")),
  ], (options) => bench.run("look", { reading: options, item: found?.item })));
}

/** @param {Bench} bench */
export function check(bench) {
  const found = last(bench.state, "check");
  const again = button(found ? t("Check again") : t("Check the set"), () => bench.run("check"), { class: "main" });
  if (!found) return [make("p", {}, t("The check finds what a terminal or an office program may stumble over, and says what to do.")), again];
  const order = ["error", "warning", "note"];
  const words = { error: t("errors"), warning: t("warnings"), note: t("notes") };
  const counts = order.filter((kind) => found.summary[kind]);
  const sorted = [...found.groups].sort((one, other) => order.indexOf(one.severity) - order.indexOf(other.severity));
  return [
    make("p", { id: "summary" }, counts.length
      ? counts.map((kind) => `${found.summary[kind]} ${words[/** @type {keyof typeof words} */ (kind)]}`).join(", ")
      : t("The check found nothing.")),
    ...sorted.map((group) => make("details", { open: group.severity === "error" },
      make("summary", {}, make("strong", { class: group.severity }, t(group.severity)), ` ${group.rule} · ${group.count}`),
      make("ul", {}, ...group.items.map((/** @type {any} */ item) => finding(bench, item)), rest(group)))),
    again,
  ];
}

/** @param {any} group */
function rest(group) {
  const left = group.count - group.items.length;
  return left > 0 ? make("li", { class: "soft" }, more(left)) : null;
}

/** @param {Bench} bench @param {any} item */
function finding(bench, item) {
  const repair = { safe: t("Clean repairs it."), review: t("Clean can repair it; look at the change.") };
  const place = [item.file, item.element].filter(Boolean).join(" ");
  return make("li", {}, place && make("div", { class: "soft", dir: "auto" }, place),
    make("div", { dir: "auto" }, item.message), make("p", {}, `${t("What to do")}: ${item.remedy}`),
    item.repair && make("p", { class: "soft" }, repair[/** @type {keyof typeof repair} */ (item.repair)]),
    toMap(bench, item));
}

/** @param {Bench} bench @param {any} item */
export function toMap(bench, item) {
  const about = item.element || item.what || item.rule || "";
  return button(t("Show on the map"), () => bench.goTo(item.mark), {
    class: "show", "data-mark": item.mark, "aria-label": about ? `${t("Show on the map")}: ${about}` : null,
  });
}

/** @param {Bench} bench */
export function clean(bench) {
  const found = last(bench.state, "clean");
  const show = (/** @type {string} */ label) => button(label, () => bench.run("clean"), { class: "main" });
  if (!found) return [make("p", {}, t("Nothing is changed before you accept it.")), show(t("Show what can be repaired"))];
  const totals = make("p", {}, t("Errors before: {before}, after: {after}.", { before: found.before.error, after: found.after.error }));
  const groups = found.groups.map((/** @type {any} */ group) => repairs(bench, found, group));
  const dashed = make("p", { class: "soft" }, t("The map shows the set as it would be; dashed grey lines show what lay elsewhere before."));
  if (found.accepted) return [make("p", {}, t("The set was cleaned.")), totals, ...groups, show(t("Show what else can be repaired"))];
  if (!groups.length) return [make("p", {}, t("There is nothing to repair."))];
  return [make("p", {}, t("Nothing is changed before you accept it.")), totals, dashed,
    form([...groups, make("button", { class: "main" }, t("Accept and clean"))], (options) => {
      bench.run("clean", { accept: true, leave: found.groups.map((/** @type {any} */ group) => group.rule).filter((/** @type {string} */ rule) => !options[rule]?.length) });
    })];
}

/** The changes of one kind of repair. @param {Bench} bench @param {any} found @param {any} group */
function repairs(bench, found, group) {
  const safe = group.items[0].standing === "safe";
  const rows = group.items.map((/** @type {any} */ item) => [
    make("span", {}, make("span", {}, item.element || item.file || "-"), " ", toMap(bench, item)), shown(item.before), shown(item.after), item.reason,
  ]);
  return make("details", { open: !safe || found.groups.length < 8 },
    make("summary", {}, `${group.rule} · ${group.count} `, make("span", { class: "soft" }, safe ? t("safe") : t("a choice was made"))),
    found.accepted ? null : field(t("Accept: {rule}", { rule: group.rule }), group.rule, { type: "checkbox", checked: true, value: group.rule, "data-rule": group.rule }),
    table([t("Where"), t("Before"), t("After"), t("Why")], rows, [], group.rule), rest(group));
}

/** @param {any} value */
function shown(value) {
  const text = value === null || value === undefined ? "-" : typeof value === "string" ? value : JSON.stringify(value);
  return text.length > 160 ? `${text.slice(0, 160)}…` : text;
}

/** @param {Bench} bench */
export function choose(bench) {
  const set = setNow(bench.state);
  if (!set) return [make("p", {}, t("Look at a set first."))];
  return [make("p", {}, t("Only what you tick stays, with all that it needs. The receiver is chosen under Convert.")),
    form([choices(t("Fields"), "fields", set.fields), choices(t("Tasks"), "tasks", set.tasks),
      make("button", { class: "main" }, t("Keep these"))], (options) => bench.run("choose", options))];
}

/** Things to tick, with a way to find some of many. @param {string} title @param {string} name @param {any[]} items */
function choices(title, name, items) {
  if (!items.length) return null;
  const ticked = new Set();
  const list = make("div", { class: "choices-list" });
  const fill = (/** @type {string} */ wanted) => {
    const fits = items.filter((item) => ticked.has(item.id) || `${item.name || ""} ${item.id}`.toLowerCase().includes(wanted.toLowerCase()));
    list.replaceChildren(...fits.slice(0, MOST_CHOICES).map((item) => field(item.name ? `${item.name} (${item.id})` : item.id, name, {
      type: "checkbox", value: item.id, checked: ticked.has(item.id),
      input: (/** @type {any} */ event) => (event.target.checked ? ticked.add(item.id) : ticked.delete(item.id)),
    })), fits.length > MOST_CHOICES ? make("p", { class: "soft" }, more(fits.length - MOST_CHOICES)) : "");
  };
  const find = field(t("Find"), "", { type: "search", input: (/** @type {any} */ event) => fill(event.target.value) });
  fill("");
  return make("fieldset", {}, make("legend", {}, title), items.length > FILTERED ? find : null, list);
}

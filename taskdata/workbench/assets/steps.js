// @ts-check
/** What each step shows in words: one function a step, which gets the state and returns elements. */
import { download, t } from "./calls.js";
import { implementFields } from "./implement.js";
import { button, field, figure, given, make, table } from "./made.js";

/**
 * @typedef {{state: any, busy: boolean, run: (kind: string, options?: any) => void, goTo: (mark: string) => boolean,
 *   dropped: (files: {name: string, file: File}[], beside: boolean) => void, fail: (error: unknown) => void}} Bench
 */

export const STEPS = ["look", "check", "clean", "choose", "convert", "save", "several", "work", "rates"];

/** What each step is called. */
export function titles() {
  return {
    look: t("Look"), check: t("Check"), clean: t("Clean"), choose: t("Choose"), convert: t("Convert"), save: t("Save"),
    several: t("Merge and compare"), work: t("Coverage and passes"), rates: t("Rate map"),
  };
}

/**
 * The last result of a kind of job, null without one.
 * @param {any} state
 * @param {string} kind
 */
export function last(state, kind) {
  return [...state.steps].reverse().find((step) => step.kind === kind)?.result ?? null;
}

/** @param {(HTMLElement | null)[]} parts @param {(options: Record<string, any>) => void} submit */
function form(parts, submit) {
  return make("form", {
    submit: (/** @type {Event} */ event) => {
      event.preventDefault();
      submit(given(/** @type {HTMLFormElement} */ (event.target)));
    },
  }, ...parts);
}

/** @param {Bench} bench */
export function look(bench) {
  const found = last(bench.state, "look");
  const picker = (/** @type {boolean} */ folder) => {
    const input = /** @type {HTMLInputElement} */ (make("input", {
      type: "file", multiple: true, webkitdirectory: folder, hidden: true,
      change: () => bench.dropped([...(input.files || [])].map((file) => ({ name: file.webkitRelativePath || file.name, file })), false),
    }));
    return make("span", {}, button(folder ? t("Choose a folder") : t("Choose files"), () => input.click()), input);
  };
  const area = make("div", { class: "drop", id: "drop" },
    make("p", {}, t("Drop a stick's folder, a zip or files here. Nothing leaves this computer.")), picker(true), picker(false));
  if (!found) return [area];
  const parts = [make("p", {}, t("Here: {label}", { label: bench.state.sources.map((/** @type {any} */ item) => item.label).join(", ") }))];
  const set = found.set;
  if (set) {
    parts.push(table([t("Field"), t("Area, ha")], set.fields.map((/** @type {any} */ item) => [item.name || item.id, figure(item.area_m2 / 10000)]), [1]));
    parts.push(make("p", {}, [
      t("{count} guidance lines", { count: set.guidance.length }), t("{count} machines", { count: set.machines.length }),
      t("{count} tasks", { count: set.tasks.length }),
    ].join(", ")));
    for (const item of set.warnings) parts.push(make("p", { class: "warning" }, item));
  }
  const items = found.survey.items;
  if (items.length > 1 || !set) {
    parts.push(make("h3", {}, t("What lies there")), table([t("Item"), t("What it is"), t("Why"), ""], items.map((/** @type {any} */ item) => [
      item.path || "-", item.kind, item.why, set ? "" : button(t("Take this one"), () => bench.run("look", { item: item.path })),
    ])));
  }
  return [...parts, area];
}

/** @param {Bench} bench */
export function check(bench) {
  const found = last(bench.state, "check");
  const again = button(found ? t("Check again") : t("Check the set"), () => bench.run("check"), { class: "main" });
  if (!found) return [again];
  const counts = ["error", "warning", "note"].filter((kind) => found.summary[kind]);
  const words = { error: t("errors"), warning: t("warnings"), note: t("notes") };
  /** @type {Map<string, any[]>} */
  const groups = new Map();
  for (const item of found.findings) groups.set(`${item.severity} ${item.rule}`, [...(groups.get(`${item.severity} ${item.rule}`) || []), item]);
  const order = ["error", "warning", "note"];
  const sorted = [...groups.values()].sort((one, other) => order.indexOf(one[0].severity) - order.indexOf(other[0].severity));
  return [
    make("p", { id: "summary" }, counts.length
      ? counts.map((kind) => `${found.summary[kind]} ${words[/** @type {keyof typeof words} */ (kind)]}`).join(", ")
      : t("The check found nothing.")),
    ...sorted.map((group) => make("details", { open: group[0].severity === "error" },
      make("summary", {}, make("strong", { class: group[0].severity }, t(group[0].severity)), ` ${group[0].rule} · ${group.length}`),
      make("ul", {}, ...group.map((item) => finding(bench, item))))),
    again,
  ];
}

/** @param {Bench} bench @param {any} item */
function finding(bench, item) {
  const repair = { safe: t("Clean repairs it."), review: t("Clean can repair it; look at the change.") };
  return make("li", {}, make("span", { class: "soft", dir: "auto" }, [item.file, item.element].filter(Boolean).join(" ")), " ",
    make("span", { dir: "auto" }, item.message), make("p", {}, `${t("What to do")}: ${item.remedy}`),
    item.repair && make("p", { class: "soft" }, repair[/** @type {keyof typeof repair} */ (item.repair)]),
    button(t("Show on the map"), () => bench.goTo(item.mark), { class: "show", "data-mark": item.mark }));
}

/** @param {Bench} bench */
export function clean(bench) {
  const found = last(bench.state, "clean");
  if (!found) return [make("p", {}, t("Nothing is changed before you accept it.")), button(t("Show what can be repaired"), () => bench.run("clean"), { class: "main" })];
  const change = (/** @type {any} */ item) => make("tr", {}, make("td", { dir: "auto" }, item.element || item.file || ""),
    make("td", { dir: "auto" }, shown(item.before)), make("td", { dir: "auto" }, shown(item.after)), make("td", {}, item.reason));
  /** @type {Map<string, any[]>} */
  const groups = new Map();
  for (const item of found.changes) groups.set(item.rule, [...(groups.get(item.rule) || []), item]);
  const rows = [...groups].map(([rule, changes]) => make("details", { open: groups.size < 8 },
    make("summary", {}, `${rule} · ${changes.length} `, make("span", { class: "soft" }, changes[0].standing === "safe" ? t("safe") : t("a choice was made"))),
    found.accepted ? null : field(t("Accept"), rule, { type: "checkbox", checked: true, value: rule, "data-rule": rule }),
    make("div", { class: "scroll", tabindex: 0, role: "group", "aria-label": rule }, make("table", {},
      make("thead", {}, make("tr", {}, ...[t("Where"), t("Before"), t("After"), t("Why")].map((title) => make("th", { scope: "col" }, title)))),
      make("tbody", {}, ...changes.slice(0, 100).map(change))))));
  const totals = make("p", {}, t("Errors before: {before}, after: {after}.", { before: found.before.error, after: found.after.error }));
  if (found.accepted) return [make("p", {}, t("The set was cleaned.")), totals, ...rows];
  if (!rows.length) return [make("p", {}, t("There is nothing to repair."))];
  return [totals, form([...rows, make("button", { class: "main" }, t("Accept and clean"))], (options) => {
    const leave = [...groups.keys()].filter((rule) => !(options[rule] || []).length);
    bench.run("clean", { accept: true, leave });
  })];
}

/** @param {any} value */
function shown(value) {
  const text = value === null || value === undefined ? "-" : typeof value === "string" ? value : JSON.stringify(value);
  return text.length > 160 ? `${text.slice(0, 160)}…` : text;
}

/** @param {Bench} bench */
export function choose(bench) {
  const set = (last(bench.state, "choose") || last(bench.state, "look"))?.set;
  if (!set) return [make("p", {}, t("Look at a set first."))];
  const group = (/** @type {string} */ title, /** @type {string} */ name, /** @type {any[]} */ items) => items.length ? make("fieldset", {},
    make("legend", {}, title), ...items.map((item) => field(item.name || item.id, name, { type: "checkbox", value: item.id }))) : null;
  return [make("p", {}, t("Only what you tick stays, with all that it needs.")),
    form([group(t("Fields"), "fields", set.fields), group(t("Tasks"), "tasks", set.tasks),
      make("button", { class: "main" }, t("Keep these"))], (options) => bench.run("choose", options))];
}

const FORMATS = [["isoxml", "ISO-XML"], ["gpkg", "GeoPackage"], ["geojson", "GeoJSON"], ["shapefile", "Shapefile"], ["parquet", "GeoParquet"], ["kml", "KML"], ["csv", "CSV"]];

/** @param {Bench} bench */
export function convert(bench) {
  const found = last(bench.state, "convert");
  const asked = [...bench.state.steps].reverse().find((step) => step.kind === "convert")?.options || {};
  const parts = [
    field(t("Format"), "to", { value: asked.to || "isoxml" }, /** @type {[string, string][]} */ (FORMATS)),
    field(t("Version of ISO-XML"), "version", { value: String(asked.version || "") }, [["", t("as it is")], ["3", "3"], ["4", "4"]]),
    make("details", {}, make("summary", {}, t("Profile of the receiving terminal")), field(t("Its TOML text"), "receiver", { rows: 6 })),
    make("button", { class: "main" }, t("Show what would change")),
  ];
  const words = form(parts, (options) => bench.run("convert", { ...options, version: options.version ? Number(options.version) : null }));
  if (!found) return [words];
  const kinds = { dropped: t("dropped"), changed: t("changed"), approximated: t("approximated") };
  return [words, make("h3", {}, t("What would change")), found.losses.length
    ? table([t("Kind"), t("What"), t("Why")], found.losses.map((/** @type {any} */ item) => [kinds[/** @type {keyof typeof kinds} */ (item.kind)], item.what, item.why]))
    : make("p", {}, t("Nothing of what was read is lost.")),
  ...found.warnings.map((/** @type {string} */ item) => make("p", { class: "warning" }, item))];
}

/** @param {Bench} bench */
export function save(bench) {
  const step = [...bench.state.steps].reverse().find((item) => item.kind === "convert");
  if (!step) return [make("p", {}, t("Choose a format under Convert first."))];
  const parts = [
    make("p", {}, t("Format: {format}", { format: step.options.to || "isoxml" })),
    button(t("Make the file"), () => bench.run("convert", { ...step.options, folder: null, write: true }), { class: "main" }),
    form([field(t("Or write to this folder of this computer"), "folder", { placeholder: "/home/me/stick" }), make("button", {}, t("Write there"))],
      (options) => bench.run("convert", { ...step.options, folder: options.folder, write: true })),
  ];
  if (step.result.wrote && step.result.folder) parts.push(make("p", { id: "saved" }, t("Written to {folder}.", { folder: step.result.target })));
  else if (step.result.wrote) parts.push(button(t("Download"), () => download().catch(bench.fail), { id: "download", class: "main" }));
  return parts;
}

/** @param {Bench} bench */
export function several(bench) {
  const input = /** @type {HTMLInputElement} */ (make("input", {
    type: "file", multiple: true, webkitdirectory: true, hidden: true,
    change: () => bench.dropped([...(input.files || [])].map((file) => ({ name: file.webkitRelativePath || file.name, file })), true),
  }));
  const parts = [make("p", {}, t("Drop a second set beside the first to merge or compare them.")),
    make("div", { class: "drop", id: "drop-beside" }, button(t("Choose another folder"), () => input.click()), input)];
  const others = bench.state.sources.slice(1);
  if (others.length) {
    parts.push(make("ul", {}, ...bench.state.sources.map((/** @type {any} */ item) => make("li", { dir: "auto" }, item.label))));
    parts.push(make("p", { class: "tools" }, button(t("Merge into one set"), () => bench.run("merge")),
      ...others.map((/** @type {any} */ item) => button(t("Compare with {label}", { label: item.label }), () => bench.run("compare", { source: item.number })))));
  }
  const compared = last(bench.state, "compare");
  if (compared) {
    parts.push(make("h3", {}, t("What differs")), compared.equal ? make("p", {}, t("Nothing differs.")) : make("ul", {},
      ...compared.differences.slice(0, 300).map((/** @type {any} */ item) => make("li", { dir: "auto" }, `${item.sentence} `,
        item.distance_m && button(t("Show on the map"), () => bench.goTo(item.mark))))));
  }
  const merged = last(bench.state, "merge");
  if (merged) parts.push(make("p", {}, t("The sets were merged into one.")));
  return parts;
}

/** @param {Bench} bench */
export function work(bench) {
  const asked = [...bench.state.steps].reverse().find((step) => ["coverage", "passes"].includes(step.kind))?.options || {};
  const [fields, picture] = implementFields(asked);
  const ha = (/** @type {number | null} */ size) => (size === null ? "-" : figure(size / 10000));
  const found = last(bench.state, "coverage");
  const plan = last(bench.state, "passes");
  const parts = [
    make("p", {}, t("Without a width the machine's own description counts.")),
    form([fields, picture, make("button", { class: "main" }, t("Compute the coverage"))], (options) => bench.run("coverage", options)),
    button(t("Plan passes along the first guidance line"), () => bench.run("passes", given(/** @type {any} */ (fields.closest("form"))))),
  ];
  if (found) {
    parts.push(table([t("Task"), t("Worked, ha"), t("Twice, ha"), t("Missed, ha"), t("Outside, ha")], found.tasks.map((/** @type {any} */ item) => [
      item.task, ha(item.worked_area_m2), ha(item.double_area_m2), ha(item.missed_area_m2), ha(item.outside_area_m2),
    ]), [1, 2, 3, 4]));
    for (const item of found.warnings) parts.push(make("p", { class: "warning" }, item));
  }
  if (plan) {
    parts.push(make("p", {}, t("{passes} passes of {length} m in all, {spacing} m apart", {
      passes: plan.passes, length: Math.round(plan.length_m), spacing: plan.spacing_m,
    })));
  }
  return parts;
}

/** @param {Bench} bench */
export function rates(bench) {
  const others = bench.state.sources;
  const found = last(bench.state, "ratemap");
  const units = ["kg/ha", "t/ha", "g/ha", "L/ha", "mL/ha", "m³/ha", "1/ha", "1/m²", "lb/ac", "gal/ac", "fl oz/ac", "1/ac"];
  const asked = [...bench.state.steps].reverse().find((step) => step.kind === "ratemap")?.options || {};
  const parts = [make("p", { class: "caution" }, t("Rates feed machines: compare each with the product label before you use the map.")),
    form([
      field(t("Layer with rates"), "source", { value: String(asked.source || "") }, others.map((/** @type {any} */ item) => [String(item.number), item.label])),
      field(t("Column"), "column", { value: asked.column }),
      field(t("Unit"), "unit", { value: asked.unit || "kg/ha" }, units.map((unit) => [unit, unit])),
      field(t("Product"), "product", { value: asked.product }),
      field(t("Field"), "field", { value: asked.field }),
      field(t("Stored as"), "form", { value: asked.form || "zones" }, [["zones", t("zones")], ["grid1", t("grid of codes")], ["grid2", t("grid of rates")]]),
      field(t("A new set, not the one on the bench"), "alone", { type: "checkbox", checked: Boolean(asked.alone) }),
      make("button", { class: "main" }, t("Show the bill")),
    ], (options) => bench.run("ratemap", { ...options, source: Number(options.source) }))];
  if (found) {
    parts.push(table([t("Product"), t("Asked for"), t("Stored"), t("Unit")], found.bill.map((/** @type {any} */ item) => [
      item.product || "-", figure(item.before), figure(item.after), item.unit,
    ]), [1, 2]));
    if (!found.accepted) parts.push(button(t("Accept the map"), () => bench.run("ratemap", { ...asked, accept: true, accept_rates: true }), { class: "main" }));
  }
  return parts;
}

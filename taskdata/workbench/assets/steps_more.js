// @ts-check
/** Several sets, field work, and rate maps. */
import { t } from "./calls.js";
import { implementFields } from "./implement.js";
import { area, areaUnit, button, field, figure, given, make, table } from "./made.js";
import { form, last, lastStep, more, picker, setNow, sourceName, toMap, warnings } from "./steps.js";

/** @typedef {import("./steps.js").Bench} Bench */

const UNITS = ["kg/ha", "t/ha", "g/ha", "L/ha", "mL/ha", "m³/ha", "1/ha", "1/m²", "lb/ac", "gal/ac", "fl oz/ac", "1/ac"];

/** @param {Bench} bench @param {string} words */
function dropBeside(bench, words) {
  return make("div", { class: "drop", id: "drop-beside" }, make("p", {}, words), picker(bench, true, true), picker(bench, false, true));
}

/** @param {Bench} bench */
export function several(bench) {
  const parts = [dropBeside(bench, t("Drop a second set here to merge or compare them; the first one stays."))];
  const [first, ...others] = bench.state.sources;
  if (others.length) {
    parts.push(make("ul", {}, ...[first, ...others].map((item) => make("li", { dir: "auto" }, sourceName(item)))));
    parts.push(make("p", { class: "tools" }, ...others.map((/** @type {any} */ item) => button(t("Compare with {label}", { label: sourceName(item) }), () => bench.run("compare", { source: item.number }))),
      button(t("Merge into one set"), () => bench.run("merge"))));
  }
  const compared = last(bench.state, "compare");
  if (compared) {
    parts.push(make("h3", {}, t("What differs")));
    const items = compared.differences.map((/** @type {any} */ item) => make("li", { dir: "auto" }, `${item.sentence} `, item.distance_m ? toMap(bench, item) : null));
    if (compared.count > items.length) items.push(make("li", { class: "soft" }, more(compared.count - items.length)));
    parts.push(compared.equal ? make("p", {}, t("Nothing differs.")) : make("ul", { class: "plain" }, ...items));
  }
  const merged = last(bench.state, "merge");
  if (merged) parts.push(...decisions(merged));
  return parts;
}

/** What a merge decided. @param {any} merged */
function decisions(merged) {
  const rows = merged.journal.map((/** @type {any} */ item) => [[item.element, item.what].filter(Boolean).join(": "), item.why, item.kept || "-", item.dropped.join("; ") || "-"]);
  return [
    make("p", {}, t("The sets were merged into one.")), make("p", {}, t("{count} things stood in several sets and are kept once.", { count: merged.merged.length })),
    rows.length ? table([t("What"), t("Why"), t("Kept"), t("Not kept")], rows) : null,
    merged.decisions > rows.length ? make("p", { class: "soft" }, more(merged.decisions - rows.length)) : null, ...warnings(merged.warnings),
  ].filter((part) => part !== null);
}

/** @param {any[]} items @param {string} first @returns {[string, string][]} */
function chosen(items, first) {
  return [["", first], ...items.map((item) => /** @type {[string, string]} */ ([item.id, item.name ? `${item.name} (${item.id})` : item.id]))];
}

/** @param {Bench} bench */
export function work(bench) {
  const asked = bench.state.steps.filter((/** @type {any} */ step) => ["coverage", "passes"].includes(step.kind)).at(-1)?.options || {};
  const set = setNow(bench.state) || { fields: [], guidance: [] };
  const [fields, picture] = implementFields(asked);
  const planned = make("fieldset", {}, make("legend", {}, t("Next passes")),
    field(t("Field"), "field", { value: asked.field || "" }, chosen(set.fields, t("the first with a guidance line"))),
    field(t("Guidance line"), "line", { value: asked.line || "" }, [...chosen(set.guidance.filter((/** @type {any} */ item) => item.id), t("the field's first")), ["best", t("the heading with the fewest passes")]]),
    field(t("Headland passes"), "headland", { type: "number", min: 0, step: 1, value: asked.headland }));
  const words = form([
    make("p", {}, t("Without a width the device description counts.")), fields, picture, make("button", { class: "main" }, t("Compute the coverage")),
    planned, button(t("Show the next passes"), () => bench.run("passes", given(/** @type {any} */ (planned.closest("form"))))),
  ], (options) => bench.run("coverage", options));
  const parts = [words];
  const found = last(bench.state, "coverage");
  if (found) parts.push(make("h3", {}, t("What was worked")), ...covered(found));
  const plan = last(bench.state, "passes");
  if (plan) {
    parts.push(make("h3", {}, t("The next passes")), make("p", {}, t("{passes} passes of {length} m in all, {spacing} m apart", {
      passes: plan.passes, length: Math.round(plan.length_m).toLocaleString(document.documentElement.lang), spacing: figure(plan.spacing_m),
    })), ...warnings(plan.warnings));
    parts.push(make("p", { class: "caution" }, t("These passes steer a machine: check width and line on the display, drive the first pass by eye, keep people clear, and watch for obstacles that no boundary shows.")));
    if (plan.accepted) parts.push(make("p", {}, t("They stand in the set as guidance lines.")));
    else parts.push(button(t("Add them to the set"), () => bench.run("passes", { ...lastStep(bench.state, "passes").options, accept: true }), { class: "main" }));
  }
  return parts;
}

/** @param {any} found */
function covered(found) {
  if (!found.tasks.length) return [make("p", {}, t("No task of the set has a log.")), ...warnings(found.warnings)];
  const unit = areaUnit();
  return [table([t("Task"), t("Worked, {unit}", { unit }), t("Twice, {unit}", { unit }), t("Missed, {unit}", { unit }), t("Outside, {unit}", { unit })], found.tasks.map((/** @type {any} */ item) => [
    item.task || "-", area(item.worked_area_m2), area(item.double_area_m2), area(item.missed_area_m2), area(item.outside_area_m2),
  ]), [1, 2, 3, 4]), ...warnings(found.warnings)];
}

/** @param {Bench} bench */
export function rates(bench) {
  const { sources } = bench.state;
  const found = last(bench.state, "ratemap");
  const asked = bench.state.steps.filter((/** @type {any} */ step) => step.kind === "ratemap").at(-1)?.options || {};
  const listed = bench.state.steps.filter((/** @type {any} */ step) => step.kind === "columns").at(-1);
  const source = String(listed?.options.source || asked.source || sources.at(-1)?.number || "");
  const parts = [
    make("p", { class: "caution" }, t("Rates feed machines: compare each with the product label before you use the map.")),
    dropBeside(bench, t("Drop a layer with rates here, such as a shapefile or GeoJSON; the set stays.")),
    form([
      field(t("Layer with rates"), "source", { value: source }, sources.map((/** @type {any} */ item) => [String(item.number), sourceName(item)])),
      make("button", {}, t("Show its columns")),
    ], (options) => bench.run("columns", { source: Number(options.source) })),
  ];
  if (listed) parts.push(mapForm(bench, listed, asked));
  if (found) parts.push(...bill(bench, found));
  return parts;
}

/** @param {Bench} bench @param {any} listed @param {any} asked */
function mapForm(bench, listed, asked) {
  const { columns } = listed.result;
  const set = setNow(bench.state) || { fields: [], products: [] };
  const column = columns.length
    ? columnChoices(columns, asked.column)
    : field(t("Column, or number of the band"), "column", { value: asked.column || "1" });
  const products = make("datalist", { id: "products" }, ...set.products.map((/** @type {any} */ item) => make("option", { value: item.name || item.id })));
  return form([
    column,
    field(t("Unit"), "unit", { value: asked.unit || "", required: true }, [["", t("choose the unit of the column")], ...UNITS.map((unit) => /** @type {[string, string]} */ ([unit, unit]))]),
    field(t("Product"), "product", { value: asked.product, list: "products" }), products,
    field(t("Field"), "field", { value: asked.field || "" }, chosen(set.fields, t("the only one of the set"))),
    make("details", {}, make("summary", {}, t("How it is stored")),
      field(t("Stored as"), "form", { value: asked.form || "zones" }, [["zones", t("zones")], ["grid1", t("grid of codes")], ["grid2", t("grid of rates")]]),
      field(t("Side of a cell, m"), "cell_m", { type: "number", min: 0, step: "0.1", value: asked.cell_m }),
      field(t("Classes"), "classes", { value: asked.classes, placeholder: "4" }),
      field(t("Where rates overlap"), "overlap", { value: asked.overlap || "" }, [["", t("refuse them")], ["first", t("the first")], ["last", t("the last")], ["mean", t("their mean")]]),
      field(t("Accept rates that are out of the usual"), "accept_rates", { type: "checkbox", checked: Boolean(asked.accept_rates) })),
    field(t("A new set, not the one on the bench"), "alone", { type: "checkbox", checked: Boolean(asked.alone) }),
    make("button", { class: "main" }, t("Show the map and the bill")),
  ], (options) => bench.run("ratemap", { ...options, source: listed.options.source }));
}

/** @param {any[]} columns @param {string} known */
function columnChoices(columns, known) {
  const wanted = columns.some((item) => item.name === known) ? known : columns[0].name;
  const rows = columns.map((item, at) => [
    make("label", { class: "tick" }, make("input", { type: "radio", name: "column", value: item.name, checked: item.name === wanted, id: `column-${at}` }), item.name),
    String(item.rows), figure(item.least), figure(item.mean), figure(item.most),
  ]);
  return make("fieldset", {}, make("legend", {}, t("Column with the rates")),
    table([t("Column"), t("Rows"), t("Smallest"), t("Mean"), t("Largest")], rows, [1, 2, 3, 4]));
}

/** @param {Bench} bench @param {any} found */
function bill(bench, found) {
  const { options } = lastStep(bench.state, "ratemap");
  const parts = [make("h3", {}, t("The bill")), table([t("Product"), t("Asked for"), t("Stored"), t("Unit")], found.bill.map((/** @type {any} */ item) => [
    item.product || "-", figure(item.before), figure(item.after), item.unit,
  ]), [1, 2])];
  const unit = areaUnit();
  parts.push(table([t("Rate"), t("Unit"), t("Area, {unit}", { unit })], found.rates.slice(0, 100).map((/** @type {any} */ item) => [figure(item.rate), item.unit, area(item.area_m2)]), [0, 2]));
  parts.push(...warnings(found.warnings));
  if (found.accepted) parts.push(make("p", {}, t("The map stands in the set as a planned task.")));
  else parts.push(button(t("Accept the map"), () => bench.run("ratemap", { ...options, accept: true }), { class: "main" }));
  return parts;
}

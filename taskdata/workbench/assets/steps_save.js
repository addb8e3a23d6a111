// @ts-check
/** Convert and save: what would change before anything is written, and where the result goes. */
import { download, t } from "./calls.js";
import { button, cutTable, field, make } from "./made.js";
import { form, last, lastStep, more, warnings } from "./steps.js";

/** @typedef {import("./steps.js").Bench} Bench */

const FORMATS = [
  ["isoxml", "ISO-XML"], ["gpkg", "GeoPackage"], ["geojson", "GeoJSON"], ["shapefile", "Shapefile"], ["parquet", "GeoParquet"],
  ["flatgeobuf", "FlatGeobuf"], ["kml", "KML"], ["kmz", "KMZ"], ["gpx", "GPX"], ["csv", "CSV"],
];

/** What things are called by the name of their count. @returns {Record<string, string>} */
function things() {
  return {
    fields: t("fields"), areas: t("areas"), lines: t("lines"), guidance_lines: t("guidance lines"), points: t("points"),
    machines: t("machines"), products: t("products"), tasks: t("tasks"), zones: t("zones"), grids: t("grids"), logs: t("logs"),
  };
}

/** @param {Bench} bench */
export function convert(bench) {
  const found = last(bench.state, "convert");
  const asked = bench.state.steps.filter((/** @type {any} */ step) => step.kind === "convert").at(-1)?.options || {};
  const to = field(t("Format"), "to", { value: asked.to || "isoxml" }, /** @type {[string, string][]} */ (FORMATS));
  const version = field(t("Version of ISO-XML"), "version", { value: String(asked.version || "") }, [["", t("as it is")], ["3", "3"], ["4", "4"]]);
  to.addEventListener("input", (event) => { version.hidden = /** @type {any} */ (event.target).value !== "isoxml"; });
  version.hidden = Boolean(asked.to) && asked.to !== "isoxml";
  const receiver = make("details", { open: Boolean(asked.receiver) }, make("summary", {}, t("Receiver: the terminal that gets the set")),
    make("p", { class: "soft" }, t("A profile in TOML says what the terminal can read; the set is fitted to it, or split over sticks.")),
    profileFile(), field(t("Profile of the receiving terminal"), "receiver", { rows: 6 }, undefined, asked.receiver));
  const words = form([to, version, receiver, make("button", { class: "main" }, t("Show what would change"))],
    (options) => bench.run("convert", { ...options, version: options.version ? Number(options.version) : null }));
  return found ? [words, ...changes(found)] : [words];
}

/** A way to fill the field below from a file. */
function profileFile() {
  const input = make("input", {
    type: "file", accept: ".toml", hidden: true,
    change: async (/** @type {any} */ event) => {
      const place = event.target.closest("details").querySelector("textarea");
      place.value = await event.target.files[0].text();
      place.dispatchEvent(new Event("input", { bubbles: true }));
    },
  });
  return make("p", {}, button(t("Choose a file"), () => input.click()), input);
}

/** @param {any} found */
function changes(found) {
  const kinds = { dropped: t("dropped"), changed: t("changed"), approximated: t("approximated") };
  const names = things();
  const counts = Object.entries(found.written).filter(([name, count]) => names[name] && count).map(([name, count]) => `${names[name]}: ${count}`);
  const rows = found.losses.map((/** @type {any} */ item) => [kinds[/** @type {keyof typeof kinds} */ (item.kind)], [item.element, item.what].filter(Boolean).join(": "), item.why]);
  return [
    make("h3", {}, found.wrote ? t("What changed") : t("What would change")),
    make("p", {}, t("It holds {things}", { things: counts.join(", ") || "-" })),
    rows.length ? cutTable([t("Kind"), t("What"), t("Why")], rows, [], more, found.lost) : make("p", {}, t("Nothing of what was read is lost.")),
    ...warnings(found.warnings),
    found.wrote ? null : make("p", {}, t("Nothing is written yet; that is done under Save.")),
  ].filter((part) => part !== null);
}

/** @param {Bench} bench */
export function save(bench) {
  const step = lastStep(bench.state, "convert");
  if (!step) return [make("p", {}, t("Choose a format under Convert first, and look at what would change."))];
  const { options, result } = step;
  const named = FORMATS.find(([name]) => name === (options.to || "isoxml"))?.[1] || options.to;
  const version = options.version ? `${named} ${options.version}` : named;
  const parts = [make("p", {}, t("Format: {format}", { format: version }))];
  if (result.wrote && result.folder) {
    parts.push(make("p", { id: "saved", dir: "auto" }, t("Written to {folder}. Undo does not remove it.", { folder: result.target })));
  }
  const ready = result.wrote && !result.folder;
  if (ready) parts.push(make("p", {}, t("The file is ready.")), button(t("Download"), () => download().catch(bench.fail), { id: "download", class: "main" }));
  else parts.push(button(t("Make the file"), () => bench.run("convert", { ...options, folder: null, write: true }), { class: "main" }));
  parts.push(make("h3", {}, t("Or write to a folder of this computer")), form([
    field(t("Folder, from the root of the disk on"), "folder", { placeholder: "/media/stick", required: true, value: options.folder }),
    field(t("Replace what this program wrote there"), "overwrite", { type: "checkbox" }),
    make("button", {}, t("Write there")),
  ], (given) => bench.run("convert", { ...options, ...given, write: true })));
  if (result.wrote) parts.push(...changes(result));
  return parts;
}

// @ts-check
/** The implement form, drawn to scale: antenna, hitch, working width, overlap or skip to the next pass. */
import { t } from "./calls.js";
import { field, make } from "./made.js";

const UNKNOWN_M = 6;
const SPACE = "http://www.w3.org/2000/svg";

/**
 * @param {string} tag
 * @param {Record<string, any>} attributes
 * @param {string} [text]
 */
function drawn(tag, attributes, text) {
  const item = document.createElementNS(SPACE, tag);
  for (const [name, value] of Object.entries(attributes)) item.setAttribute(name, String(value));
  if (text) item.textContent = text;
  return item;
}

/**
 * Return the fields of an implement and a drawing that follows them.
 * @param {Record<string, any>} known
 */
export function implementFields(known) {
  const number = { type: "number", step: "0.01", inputmode: "decimal" };
  const picture = make("div", { class: "drawing" });
  const fields = make("div", { class: "fields" },
    field(t("Working width, m"), "width_m", { ...number, min: 0, value: known.width_m }),
    field(t("Overlap, m"), "overlap_m", { ...number, min: 0, value: known.overlap_m }),
    field(t("Skip, m"), "skip_m", { ...number, min: 0, value: known.skip_m }),
    field(t("Antenna to the implement's centre, to the right, m"), "offset_right_m", { ...number, value: known.offset_right_m }),
    field(t("Antenna back to the implement, or to the hitch, m"), "offset_back_m", { ...number, value: known.offset_back_m }),
    field(t("Hitch back to a trailed implement, m"), "trailed_m", { ...number, min: 0, value: known.trailed_m }),
  );
  const draw = () => {
    const value = (/** @type {string} */ name) => {
      const item = /** @type {HTMLInputElement | null} */ (fields.querySelector(`[name="${name}"]`));
      return item && item.value !== "" ? Number(item.value) : 0;
    };
    picture.replaceChildren(sketch(value));
  };
  fields.addEventListener("input", draw);
  draw();
  return [fields, picture];
}

/**
 * The implement from above, all of it to one scale: the antenna, the beam back to the hitch, the working width, and
 * the next pass beside it.
 * @param {(name: string) => number} value
 */
function sketch(value) {
  const known = value("width_m") > 0;
  const width = known ? value("width_m") : UNKNOWN_M;
  const gap = value("skip_m") - value("overlap_m");
  const [back, trailed, right] = [value("offset_back_m"), Math.max(0, value("trailed_m")), value("offset_right_m")];
  const far = back + trailed;
  const [left, next] = [right - width / 2, right + width / 2 + gap];
  const [west, east] = [Math.min(left, 0, next), Math.max(next + width, 0, left + width)];
  const unit = Math.max(east - west, Math.abs(far) * 1.6, 4) / 46;
  const deep = unit * 2;
  const [top, low] = [Math.min(0, far) - unit * 6.5, Math.max(0, far) + deep + unit * 8.5];
  const name = known ? t("The implement from above, to scale: {width} m wide", { width: metres(width) }) : t("The implement from above; its width is not given");
  const svg = drawn("svg", { viewBox: `${west - unit * 5} ${top} ${east - west + unit * 10} ${low - top}`, role: "img", "aria-label": name });
  const write = (/** @type {number} */ x, /** @type {number} */ y, /** @type {string} */ text) => svg.append(
    drawn("text", { x, y, "font-size": unit * 2, "text-anchor": "middle" }, text),
  );
  const span = (/** @type {number} */ from, /** @type {number} */ to, /** @type {number} */ y) => svg.append(
    drawn("path", { d: `M${from} ${y - unit / 2}v${unit}M${from} ${y}H${to}M${to} ${y - unit / 2}v${unit}`, class: "span", "stroke-width": unit / 6 }),
  );
  const stroke = { "stroke-width": unit / 5 };
  const bar = { y: far, width, height: deep };
  svg.append(
    drawn("rect", { ...bar, ...stroke, x: next, class: "bar next", "stroke-dasharray": `${unit} ${unit / 2}` }),
    drawn("rect", { ...bar, ...stroke, x: left, class: known ? "bar" : "bar next" }),
    drawn("path", { d: `M0 0V${back}`, class: "beam", "stroke-width": unit / 2 }),
    drawn("path", { d: `M0 ${back}L${right} ${far}`, class: "beam", "stroke-width": unit / 2, "stroke-dasharray": `${unit} ${unit / 2}` }),
    drawn("circle", { cx: 0, cy: back, r: unit * 0.6, class: "hitch" }),
    drawn("circle", { cx: 0, cy: 0, r: unit, class: "antenna" }),
  );
  write(0, Math.min(0, far) - unit * 2, t("antenna"));
  span(left, left + width, far + deep + unit * 1.5);
  write(right, far + deep + unit * 4.2, known ? `${metres(width)} m` : t("width not given"));
  if (gap) {
    const at = gap < 0 ? next : next - gap;
    span(at, at + Math.abs(gap), far + deep + unit * 1.5);
    write(at + Math.abs(gap) / 2, far + deep + unit * 6.4, gap < 0 ? t("overlap {size} m", { size: metres(-gap) }) : t("skip {size} m", { size: metres(gap) }));
  }
  write(next + width / 2, far - unit, t("next pass"));
  return svg;
}

/** @param {number} value */
function metres(value) {
  return value.toLocaleString(document.documentElement.lang, { maximumFractionDigits: 2 });
}

// @ts-check
/** The implement form, drawn to scale: antenna, hitch, working width, overlap or skip to the next pass. */
import { t } from "./calls.js";
import { field, make } from "./made.js";

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
  const metres = { type: "number", step: "0.01", inputmode: "decimal" };
  const picture = make("div", { class: "drawing" });
  const fields = make("div", { class: "fields" },
    field(t("Working width, m"), "width_m", { ...metres, min: 0, value: known.width_m }),
    field(t("Overlap, m"), "overlap_m", { ...metres, min: 0, value: known.overlap_m }),
    field(t("Skip, m"), "skip_m", { ...metres, min: 0, value: known.skip_m }),
    field(t("Antenna to the implement's centre, to the right, m"), "offset_right_m", { ...metres, value: known.offset_right_m }),
    field(t("Antenna back to the implement, or to the hitch, m"), "offset_back_m", { ...metres, value: known.offset_back_m }),
    field(t("Hitch back to a trailed implement, m"), "trailed_m", { ...metres, min: 0, value: known.trailed_m }),
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

/** @param {(name: string) => number} value */
function sketch(value) {
  const width = Math.max(0.5, value("width_m") || 3);
  const gap = value("skip_m") - value("overlap_m");
  const back = value("offset_back_m");
  const trailed = Math.max(0, value("trailed_m"));
  const right = value("offset_right_m");
  const far = back + trailed;
  const left = -width / 2 + Math.min(0, right) - 1;
  const end = width / 2 + Math.max(0, right) + Math.max(0, width + gap) + 1;
  const top = -Math.max(2, -far) - 1.5;
  const low = Math.max(far, 1) + 1.8;
  const unit = (end - left) / 60;
  const svg = drawn("svg", {
    viewBox: `${left} ${top} ${end - left} ${low - top}`, role: "img",
    "aria-label": t("The implement from above, to scale: {width} m wide", { width }),
  });
  svg.append(
    drawn("rect", { x: right - width / 2, y: far - 0.4, width, height: 0.8, class: "bar" }),
    drawn("rect", { x: right - width / 2 + width + gap, y: far - 0.4, width, height: 0.8, class: "bar next" }),
    drawn("path", { d: `M0 0V${back}`, class: "beam", "stroke-width": unit / 2 }),
    drawn("path", { d: `M0 ${back}L${right} ${far}`, class: "beam trailed", "stroke-width": unit / 2 }),
    drawn("circle", { cx: 0, cy: 0, r: unit * 1.2, class: "antenna" }),
    drawn("circle", { cx: 0, cy: back, r: unit * 0.8, class: "hitch" }),
    drawn("text", { x: 0, y: -unit * 2.4, "font-size": unit * 2.6, "text-anchor": "middle" }, t("antenna")),
    drawn("text", { x: right, y: far + unit * 4.2, "font-size": unit * 2.6, "text-anchor": "middle" }, `${width} m`),
  );
  if (gap) {
    const text = gap < 0 ? t("overlap {size} m", { size: -gap }) : t("skip {size} m", { size: gap });
    svg.append(drawn("text", {
      x: right + width / 2 + gap / 2, y: far - unit * 2, "font-size": unit * 2.4, "text-anchor": "middle",
    }, text));
  }
  return svg;
}

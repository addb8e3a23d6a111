// @ts-check
/** Elements made in one call; every text is text, never markup. */

import { visible } from "./visible.js";

const MOST_ROWS = 200;

/**
 * @param {string} tag
 * @param {Record<string, any>} [attributes] listeners are functions
 * @param {...(Node | string | null | undefined | false)} content
 * @returns {HTMLElement}
 */
export function make(tag, attributes = {}, ...content) {
  const item = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) {
    if (typeof value === "function") item.addEventListener(name, value);
    else if (value === true) item.setAttribute(name, "");
    else if (value !== false && value !== null && value !== undefined) item.setAttribute(name, String(value));
  }
  for (const part of content) if (part) item.append(typeof part === "string" ? visible(part) : part);
  return item;
}

/**
 * @param {string} label
 * @param {(event: Event) => void} click
 * @param {Record<string, any>} [attributes]
 */
export function button(label, click, attributes = {}) {
  return make("button", { type: "button", click, ...attributes }, label);
}

/**
 * @param {string[]} head
 * @param {(string | Node)[][]} rows
 * @param {number[]} [figures] columns that hold numbers
 * @param {string} [name] what it is called; else its first title
 */
export function table(head, rows, figures = [], name = head[0]) {
  const cell = (/** @type {string} */ tag, /** @type {string | Node} */ content, /** @type {number} */ column) => make(
    tag, { class: figures.includes(column) ? "figure" : null, scope: tag === "th" ? "col" : null, dir: "auto" }, content,
  );
  return make("div", { class: "scroll", tabindex: 0, role: "group", "aria-label": name }, make("table", {},
    make("thead", {}, make("tr", {}, ...head.map((title, column) => cell("th", title, column)))),
    make("tbody", {}, ...rows.map((row) => make("tr", {}, ...row.map((content, column) => cell("td", content, column))))),
  ));
}

/**
 * A number with two decimals, as the language of the page writes it.
 * @param {number} value
 */
export function figure(value) {
  return value.toLocaleString(document.documentElement.lang, { minimumFractionDigits: 2, maximumFractionDigits: 2 });
}

const ACRE_M2 = 4046.8564224;

/** Whether areas are shown in acres. */
export function inAcres() {
  return /** @type {HTMLSelectElement} */ (document.getElementById("units")).value === "us";
}

/** The unit that areas are shown in. */
export function areaUnit() {
  return inAcres() ? "ac" : "ha";
}

/** An area in that unit, a dash for none. @param {number | null | undefined} size in square metres */
export function area(size) {
  return size === null || size === undefined ? "-" : figure(size / (inAcres() ? ACRE_M2 : 10000));
}

/**
 * The first rows of a table, and how many more there are.
 * @param {string[]} head
 * @param {(string | Node)[][]} rows
 * @param {number[]} figures
 * @param {(count: number) => string} rest
 * @param {number} count how many rows there are in all
 */
export function cutTable(head, rows, figures, rest, count = rows.length) {
  const shown = rows.slice(0, MOST_ROWS);
  const more = Math.max(count, rows.length) - shown.length;
  return make("div", {}, table(head, shown, figures), more > 0 ? make("p", { class: "soft" }, rest(more)) : null);
}

let counted = 0;

/**
 * A field of a form with its label.
 * @param {string} label
 * @param {string} name
 * @param {Record<string, any>} [attributes]
 * @param {[string, string][]} [choices]
 * @param {string} [content] of a field of several lines
 */
export function field(label, name, attributes = {}, choices, content) {
  counted += 1;
  const id = `field-${counted}`;
  const tag = choices ? "select" : attributes.rows ? "textarea" : "input";
  const control = make(tag, { id, name, ...attributes });
  for (const [value, words] of choices || []) {
    control.append(make("option", { value, selected: value === attributes.value }, words));
  }
  if (content) control.append(content);
  const words = make("label", { for: id }, label);
  return attributes.type === "checkbox" ? make("p", { class: "tick" }, control, words) : make("p", { class: "field" }, words, control);
}

/**
 * What a form holds: numbers as numbers, blank fields as null, ticks as truths.
 * @param {HTMLFormElement} form
 * @returns {Record<string, any>}
 */
export function given(form) {
  /** @type {Record<string, any>} */
  const found = {};
  for (const item of /** @type {any} */ (form.elements)) {
    if (!item.name || item.disabled) continue;
    if (item.type === "radio" && !item.checked) continue;
    if (item.type === "checkbox") {
      if (item.value === "on") found[item.name] = item.checked;
      else found[item.name] = [...(found[item.name] || []), ...(item.checked ? [item.value] : [])];
    } else if (item.type === "number") found[item.name] = item.value === "" ? null : Number(item.value);
    else found[item.name] = item.value;
  }
  return found;
}

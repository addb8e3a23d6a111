// @ts-check
/** What a person typed and ticked in the forms of each step, so that nothing of it is lost when the page is made anew. */

/** @type {Map<string, string | boolean>} */
const typed = new Map();

/** @param {any} item */
function ticks(item) {
  return ["checkbox", "radio"].includes(item.type);
}

/** @param {string} step @param {any} item */
function key(step, item) {
  return `${step} ${item.name} ${ticks(item) ? item.value : ""}`;
}

/**
 * Note what was typed.
 * @param {string} step
 * @param {Event} event
 */
export function note(step, event) {
  const item = /** @type {any} */ (event.target);
  if (!item.name) return;
  if (item.type === "radio") for (const known of [...typed.keys()]) if (known.startsWith(`${step} ${item.name} `)) typed.delete(known);
  typed.set(key(step, item), ticks(item) ? item.checked : item.value);
}

/**
 * Put what was typed into the forms of a step again.
 * @param {string} step
 * @param {HTMLElement} place
 */
export function restore(step, place) {
  for (const item of /** @type {any} */ (place.querySelectorAll("[name]"))) {
    const value = typed.get(key(step, item));
    if (value === undefined) continue;
    if (ticks(item)) item.checked = value;
    else item.value = value;
    item.dispatchEvent(new Event("input", { bubbles: true }));
  }
}

/** Forget all that was typed, as for a new drop. */
export function forget() {
  typed.clear();
}

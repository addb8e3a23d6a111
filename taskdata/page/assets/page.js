// @ts-check
import { FieldMap } from "./map.js";

/**
 * @param {string} id
 * @returns {HTMLElement}
 */
function byId(id) {
  return /** @type {HTMLElement} */ (document.getElementById(id));
}

const data = JSON.parse(byId("scene").textContent || "null");
document.documentElement.classList.add("live");
const map = new FieldMap(byId("map"), byId("told"), data);
/** @type {any} */ (globalThis).fieldMap = map;

for (const box of /** @type {NodeListOf<HTMLInputElement>} */ (document.querySelectorAll("input[data-layer]"))) {
  box.addEventListener("change", () => map.toggle(box.dataset.layer || "", box.checked));
}
for (const button of /** @type {NodeListOf<HTMLButtonElement>} */ (document.querySelectorAll("button[data-mark]"))) {
  button.addEventListener("click", () => {
    if (map.goTo(button.dataset.mark || "")) byId("map").scrollIntoView({ block: "nearest" });
    for (const box of /** @type {NodeListOf<HTMLInputElement>} */ (document.querySelectorAll("input[data-layer]"))) {
      box.checked = map.layers.get(box.dataset.layer || "")?.shown || false;
    }
  });
}
byId("measure").addEventListener("click", (event) => {
  const on = map.measure();
  /** @type {HTMLElement} */ (event.currentTarget).setAttribute("aria-pressed", String(on));
});
byId("whole").addEventListener("click", () => map.whole());

// @ts-check
/** Calls to the program behind the page, and its texts in the language of the reader. */

const token = new URLSearchParams(location.search).get("token") || "";

/** @type {Record<string, string>} */
let texts = {};

/**
 * Return a text in the language of the page, with facts in its places.
 * @param {string} text
 * @param {Record<string, string | number>} [facts]
 */
export function t(text, facts = {}) {
  return (texts[text] || text).replace(/\{(\w+)\}/g, (whole, name) => (name in facts ? String(facts[name]) : whole));
}

/**
 * Call the program.
 * @param {string} path
 * @param {RequestInit} [options]
 * @returns {Promise<any>}
 */
export async function call(path, options = {}) {
  const answer = await fetch(path, { ...options, headers: { ...options.headers, "X-Token": token } });
  const kind = answer.headers.get("content-type") || "";
  const found = kind.includes("json") ? await answer.json() : { error: await answer.text() };
  if (!answer.ok) throw new Error(found.error || answer.statusText);
  return found;
}

/**
 * Send a document.
 * @param {string} path
 * @param {any} [body]
 */
export function send(path, body = {}) {
  return call(path, { method: "POST", body: JSON.stringify(body), headers: { "Content-Type": "application/json" } });
}

/** @param {string} language */
export async function learn(language) {
  texts = await call(`/api/texts/${language}`);
  document.documentElement.lang = language;
  for (const item of /** @type {NodeListOf<HTMLElement>} */ (document.querySelectorAll("[data-text]"))) {
    item.textContent = t(item.dataset.text || "");
  }
}

/**
 * Send dropped files, one after the other, by their paths below the folder that was dropped.
 * @param {{name: string, file: File}[]} files
 * @param {boolean} beside keep what is there
 * @param {(done: number, total: number, name: string) => void} tell
 */
export async function drop(files, beside, tell) {
  const tops = new Set(files.map(({ name }) => (name.includes("/") ? name.slice(0, name.indexOf("/")) : "")));
  const top = tops.size === 1 ? [...tops][0] : "";
  const below = top && top.toUpperCase() !== "TASKDATA" ? top.length + 1 : 0;
  await send("/api/drop/begin");
  for (let number = 0; number < files.length; number += 1) {
    const { name, file } = files[number];
    tell(number, files.length, name);
    await call("/api/drop/file", {
      method: "POST", body: file,
      headers: { "X-Name": encodeURIComponent(name.slice(below)), "X-Alone": files.length === 1 ? "1" : "0" },
    });
  }
  return send("/api/drop/finish", { beside, label: top });
}

/** Save what the last step made. */
export async function download() {
  const answer = await fetch("/api/download", { headers: { "X-Token": token } });
  if (!answer.ok) throw new Error((await answer.json()).error);
  const named = /filename="([^"]*)"/.exec(answer.headers.get("content-disposition") || "");
  const link = document.createElement("a");
  link.href = URL.createObjectURL(await answer.blob());
  link.download = named ? named[1] : "taskdata";
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 60000);
}

// @ts-check
/** Calls to the program behind the page, and its texts in the language of the reader. */

const token = new URLSearchParams(location.search).get("token") || "";

/** @type {Record<string, string>} */
let texts = {};

/** What the program said no to, in its own words. */
export class Refused extends Error {}

/**
 * Return a text in the language of the page, with facts in its places.
 * @param {string} text
 * @param {Record<string, string | number>} [facts]
 */
export function t(text, facts = {}) {
  return (texts[text] || text).replace(/\{(\w+)\}/g, (whole, name) => (name in facts ? String(facts[name]) : whole));
}

/** Return the language and the units that the page is read in, as part of an address. */
export function reader() {
  const chosen = ["language", "units"].map((id) => /** @type {HTMLSelectElement} */ (document.getElementById(id)).value);
  return `language=${chosen[0]}&units=${chosen[1]}`;
}

/**
 * Call the program.
 * @param {string} path
 * @param {RequestInit} [options]
 * @returns {Promise<any>}
 */
export async function call(path, options = {}) {
  let answer;
  try {
    answer = await fetch(path, { ...options, headers: { ...options.headers, "X-Token": token } });
  } catch (error) {
    if (options.signal?.aborted) throw error;
    throw new Error(t("The program does not answer. If it was ended, start it again and open the address that it prints; what was saved is still there."));
  }
  const kind = answer.headers.get("content-type") || "";
  const found = kind.includes("json") ? await answer.json() : { error: await answer.text() };
  if (!answer.ok) throw new Refused(found.error || answer.statusText);
  return found;
}

/**
 * Send a document.
 * @param {string} path
 * @param {any} [body]
 */
export function send(path, body = {}) {
  return call(`${path}?${reader()}`, { method: "POST", body: JSON.stringify(body), headers: { "Content-Type": "application/json" } });
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
 * @param {(number: number, sent: number) => void} tell how many files and bytes have arrived
 * @param {AbortSignal} signal
 */
export async function drop(files, beside, tell, signal) {
  const tops = new Set(files.map(({ name }) => (name.includes("/") ? name.slice(0, name.indexOf("/")) : "")));
  const top = tops.size === 1 ? [...tops][0] : "";
  const below = top && top.toUpperCase() !== "TASKDATA" ? top.length + 1 : 0;
  const { number } = await send("/api/drop/begin");
  try {
    let sent = 0;
    for (const [at, { name, file }] of files.entries()) {
      tell(at, sent);
      const inside = whole(name.slice(below));
      const headers = { "X-Name": encodeURIComponent(inside), "X-Alone": files.length === 1 ? "1" : "0", "X-Drop": number };
      try {
        await call("/api/drop/file", { method: "POST", body: file, signal, headers });
      } catch (error) {
        if (error instanceof Refused || signal.aborted) throw error;
        await call("/api/state?known=0"); // throws where the program is gone; else the file is
        throw new Error(t("{name}: the file could not be read. Check the stick, then drop it again.", { name }));
      }
      sent += file.size;
    }
    signal.throwIfAborted();
    return await send("/api/drop/finish", { beside, label: top, number });
  } catch (error) {
    send("/api/drop/forget", { number }).catch(() => null);
    throw error;
  }
}

/** Return a name without halves of characters, which no address can hold. @param {string} name */
function whole(name) {
  return name.replace(/[\ud800-\udfff]/gu, "\ufffd");
}

/** Save what the last step made. */
export async function download() {
  const answer = await fetch("/api/download", { headers: { "X-Token": token } });
  if (!answer.ok) throw new Refused((await answer.json()).error);
  const named = /filename="([^"]*)"/.exec(answer.headers.get("content-disposition") || "");
  const link = document.createElement("a");
  link.href = URL.createObjectURL(await answer.blob());
  link.download = named ? named[1] : "taskdata";
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 60000);
}

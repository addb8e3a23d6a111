// @ts-check
/** Files and folders that are dropped on the page, with their paths below what was dropped. */

/**
 * @param {(transfer: DataTransfer, beside: boolean) => void} taken
 */
export function watchDrops(taken) {
  for (const kind of ["dragover", "dragenter"]) {
    document.addEventListener(kind, (event) => {
      event.preventDefault();
      document.body.classList.add("dragging");
    });
  }
  document.addEventListener("dragleave", (event) => {
    if (!event.relatedTarget) document.body.classList.remove("dragging");
  });
  document.addEventListener("drop", (event) => {
    event.preventDefault();
    document.body.classList.remove("dragging");
    const beside = Boolean(/** @type {Element} */ (event.target).closest?.("#drop-beside"));
    if (event.dataTransfer) taken(event.dataTransfer, beside);
  });
}

/**
 * @param {DataTransfer} transfer
 * @returns {Promise<{name: string, file: File}[]>}
 */
export async function dropped(transfer) {
  const entries = [...transfer.items].map((item) => item.webkitGetAsEntry?.()).filter((entry) => entry !== null && entry !== undefined);
  if (!entries.length) return [...transfer.files].map((file) => ({ name: file.name, file }));
  const found = await Promise.all(entries.map((entry) => inside(/** @type {any} */ (entry), "")));
  return found.flat();
}

/**
 * @param {any} entry
 * @param {string} above
 * @returns {Promise<{name: string, file: File}[]>}
 */
async function inside(entry, above) {
  const name = above ? `${above}/${entry.name}` : entry.name;
  if (entry.isFile) return [{ name, file: await new Promise((give, fail) => entry.file(give, fail)) }];
  const reader = entry.createReader();
  const all = [];
  for (;;) {
    const some = await new Promise((give, fail) => reader.readEntries(give, fail));
    if (!(/** @type {any[]} */ (some).length)) break;
    all.push(.../** @type {any[]} */ (some));
  }
  return (await Promise.all(all.map((item) => inside(item, name)))).flat();
}

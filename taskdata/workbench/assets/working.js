// @ts-check
/** What is being done, how much of it, how long it still takes, and the way to end it; and what failed. */
import { t } from "./calls.js";
import { button, make } from "./made.js";

const MB = 1e6;

/** @param {number} seconds */
export function duration(seconds) {
  const whole = Math.ceil(seconds);
  return whole < 90 ? t("{seconds} s", { seconds: whole }) : t("{minutes} min", { minutes: Math.ceil(whole / 60) });
}

/** @param {number} value @param {string} unit */
function amount(value, unit) {
  const lang = document.documentElement.lang;
  return unit === "bytes" ? (value / MB).toLocaleString(lang, { maximumFractionDigits: 1, minimumFractionDigits: 1 }) : value.toLocaleString(lang);
}

/** @param {any} stage */
function line(stage) {
  const unit = stage.unit === "bytes" ? "MB" : stage.unit;
  const most = stage.total === null ? null : Math.max(stage.total, stage.done);
  const facts = [];
  if (most !== null && unit) facts.push(`${amount(stage.done, stage.unit)} ${t("of")} ${amount(most, stage.unit)} ${unit}`);
  else if (unit && stage.done) facts.push(`${amount(stage.done, stage.unit)} ${unit}`);
  if (stage.left_s !== null) facts.push(t("about {time} left", { time: duration(stage.left_s) }));
  return make("li", { dir: "auto" }, facts.length ? `${stage.what}: ${facts.join(", ")}` : stage.what,
    most ? make("progress", { max: most, value: stage.done, "aria-label": stage.what }) : null);
}

/** @param {any} sending */
function sent(sending) {
  const took = (performance.now() - sending.began) / 1000;
  const left = sending.sent && took > 1 ? (sending.bytes - sending.sent) * took / sending.sent : null;
  return line({
    what: t("Copying {done} of {total} files", { done: sending.number + 1, total: sending.total }),
    unit: "bytes", done: sending.sent, total: sending.bytes, left_s: left,
  });
}

/** @param {any} bench @param {() => void} cancel */
export function working(bench, cancel) {
  const parts = [];
  const job = bench.state.job;
  if (bench.sending) {
    parts.push(make("div", { class: "working" }, make("p", {}, t("Working ...")), make("ul", {}, sent(bench.sending)),
      button(t("Cancel"), bench.sending.stop, { id: "cancel" })));
  } else if (bench.busy) {
    const stages = job.stages.slice(0, 1).concat(job.stages.slice(1).slice(-2));
    parts.push(make("div", { class: "working" },
      make("p", {}, job.ending ? t("Ending ...") : t("Working ..."), " ", make("span", { class: "soft" }, t("{time} so far", { time: duration(job.took_s) }))),
      make("ul", {}, ...stages.map(line)), button(t("Cancel"), cancel, { id: "cancel", disabled: job.ending })));
  } else if (job?.state === "failed") parts.push(make("p", { class: "failed error", role: "alert" }, job.error));
  else if (job?.state === "cancelled") parts.push(make("p", { class: "said" }, t("It was cancelled; nothing changed.")));
  for (const text of [bench.error, bench.gone]) if (text) parts.push(make("p", { class: "failed error", role: "alert" }, text));
  return parts;
}

/** Let screen readers say when work begins and how it ended, once each, and no progress in between. @param {any} bench */
export function tellEnd(bench) {
  const place = /** @type {HTMLElement} */ (document.getElementById("said"));
  const job = bench.state.job;
  const ended = { done: t("Done."), failed: "", cancelled: t("It was cancelled; nothing changed.") };
  const said = bench.busy || bench.sending ? t("Working ...") : job ? ended[/** @type {keyof typeof ended} */ (job.state)] : "";
  if (place.textContent !== said) place.textContent = said;
}
